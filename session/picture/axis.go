package picture

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// far is how many times its own width the middle of the values may be away from
// a value that is still drawn to scale.
const far = 12

// framed is the axis of some values and their limits.
func framed(points []Point, l Limits, n, pad, gap int) axis {
	lo, hi := frame(points, l)
	return axis{lo: lo, hi: hi, n: n, pad: pad, gap: gap, limits: l}
}

// frame is the part of the scale that is drawn: all limits, and all values and
// whiskers but those that are far from where most values and the limits lie.
func frame(points []Point, l Limits) (lo, hi float64) {
	values := make([]float64, len(points))
	us := make([]float64, len(points))
	for i, p := range points {
		values[i], us[i] = p.Value, p.U
	}
	slices.Sort(values)
	slices.Sort(us)
	u := us[len(us)/2]
	from, to := shortest(values)
	if len(points) == 1 && l.both() {
		from, to, u = *l.Lowest, *l.Highest, 0 // the limits alone make the scale
	}
	for _, v := range l.values() {
		from, to = math.Min(from, v), math.Max(to, v)
	}
	// A tenth of the size keeps a dead one beside sound ones to scale even where
	// the sound ones are all alike.
	scale := max(to-from, 4*u, math.Abs(from+to)/20)
	lo, hi = from, to
	for _, p := range points {
		left, right := p.reach()
		for _, v := range []float64{p.Value, left, right} {
			if v >= from-float64(far*scale) && v <= to+float64(far*scale) {
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
		}
	}
	lo, hi = opened(lo, hi)
	span := hi - lo
	lo, hi = lo-float64(0.06*span), hi+float64(0.06*span)
	// Where the zone has no end, some of it is to be seen.
	if l.Lowest != nil && l.Highest == nil {
		hi += float64(0.15 * span)
	}
	if l.Highest != nil && l.Lowest == nil {
		lo -= float64(0.15 * span)
	}
	return lo, hi
}

// shortest is the shortest stretch with more than half of the values, which must
// be sorted. A few that are far off do not move it.
func shortest(values []float64) (from, to float64) {
	n := len(values)/2 + 1
	best := 0
	for i := range len(values) - n + 1 {
		if values[i+n-1]-values[i] < values[best+n-1]-values[best] {
			best = i
		}
	}
	return values[best], values[best+n-1]
}

// opened makes a stretch wide enough to be divided.
func opened(lo, hi float64) (float64, float64) {
	size := math.Max(math.Abs(lo), math.Abs(hi))
	if hi-lo > 1e-9*size && hi-lo > 1e-90 {
		return lo, hi
	}
	half := float64(0.05 * size)
	if size < 1e-85 {
		half = 1
	}
	return lo - half, hi + half
}

// axis places values of a frame on cells: columns, rows or units of SVG. Those
// beyond the frame come to the first or the last cell.
type axis struct {
	lo, hi float64
	n      int // cells
	pad    int // free at either end, at least gap
	gap    int // between the border of the zone and what is outside
	limits Limits
}

// raw is the cell of a value, limits aside.
func (a axis) raw(v float64) int {
	switch {
	case v < a.lo:
		return 0
	case v > a.hi:
		return a.n - 1
	}
	return a.pad + int(math.Round((v-a.lo)/(a.hi-a.lo)*float64(a.n-1-2*a.pad)))
}

// beyond is -1 below the frame, 1 above it, else 0.
func (a axis) beyond(v float64) int {
	switch {
	case v < a.lo:
		return -1
	case v > a.hi:
		return 1
	}
	return 0
}

// zone is the first and the last cell of what is tolerated.
func (a axis) zone() (first, last int) {
	last = a.n - 1
	if a.limits.Lowest != nil {
		first = a.raw(*a.limits.Lowest)
	}
	if a.limits.Highest != nil {
		last = a.raw(*a.limits.Highest)
	}
	return first, last
}

// at is the cell of a mark, inside the zone if and only if its value is.
func (a axis) at(v float64) int {
	cell := a.raw(v)
	first, last := a.zone()
	switch a.limits.side(v) {
	case -1:
		return min(cell, first-a.gap)
	case 1:
		return max(cell, last+a.gap)
	}
	return cell // limits are placed by raw as well, so this is inside
}

// whisker is the first and the last cell of the mark and its whisker.
func (a axis) whisker(p Point) (first, last int) {
	from, to := p.reach()
	cell := a.at(p.Value)
	return min(a.raw(from), cell), max(a.raw(to), cell)
}

// whiskered tells whether there is a whisker and some of it lies in the frame.
func (a axis) whiskered(p Point) bool {
	from, to := p.reach()
	return p.U > 0 && (a.beyond(from) == 0 || a.beyond(from) != a.beyond(to))
}

// tick is a round number on the scale.
type tick struct {
	value float64
	label string
}

// ticks are the multiples of 1, 2 or 5 times a power of ten in the frame; there
// are about as many as wanted, at least 1.
func ticks(lo, hi float64, want int) []tick {
	rough := (hi - lo) / float64(max(want, 1))
	power := math.Pow(10, math.Floor(math.Log10(rough)))
	step := 10 * power
	for _, m := range []float64{1, 2, 5} {
		// A hair less, so that rounding does not skip a step that fits.
		if m*power >= rough*(1-1e-9) {
			step = m * power
			break
		}
	}
	write := writer(lo, hi, step)
	var all []tick
	first := math.Ceil(lo / step)
	for i := range 10*max(want, 1) + 1 {
		v := (first + float64(i)) * step
		if v > hi {
			break
		}
		all = append(all, tick{v, write(v)})
	}
	return all
}

// writer writes the ticks of a scale, all with the decimals that part them.
func writer(lo, hi, step float64) func(float64) string {
	size := math.Max(math.Abs(lo), math.Abs(hi))
	place := int(math.Floor(math.Log10(step) + 1e-9))
	if size < 1e7 && place >= -6 {
		return func(v float64) string {
			s := strconv.FormatFloat(v, 'f', max(-place, 0), 64)
			if math.Abs(v) < step/2 {
				return "0"
			}
			return s
		}
	}
	digits := int(math.Floor(math.Log10(size))) - place
	return func(v float64) string {
		if math.Abs(v) < step/2 {
			return "0"
		}
		mantissa, power, _ := strings.Cut(strconv.FormatFloat(v, 'e', max(digits, 0), 64), "e")
		return trimmed(mantissa) + "e" + power
	}
}
