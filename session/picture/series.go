package picture

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
)

// Moment is a reading at a time.
type Moment struct {
	Seconds float64 // from where the caller counts; of a size up to 1e9
	Point
}

// Wait is a moment at which a wait ended, or something was done.
type Wait struct {
	Seconds float64
	Label   string // what ended; may be empty
}

// Series is a reading as it changes with time.
type Series struct {
	Title   string
	Unit    string // symbol; empty for bare numbers
	Verdict string // what the readings prove, in words; may be empty
	Moments []Moment
	Waits   []Wait
	Limits
	// LastOnly says that the limits are for the last value alone, and not for all.
	LastOnly bool
}

// Check says everything for which the series cannot be drawn, joined; nil if
// nothing.
func (s Series) Check() error {
	var all []error
	if len(s.Moments) == 0 {
		all = append(all, errors.New("there is no reading to draw; take at least one"))
	}
	timed := func(seconds float64, what string) {
		if !(math.Abs(seconds) <= 1e9) {
			all = append(all, fmt.Errorf("the time of %s is %v s and cannot be drawn; give the seconds since the beginning", what, seconds))
		}
	}
	for i, m := range s.Moments {
		what := fmt.Sprintf("reading %d", i+1)
		timed(m.Seconds, what)
		all = append(all, m.check(what))
		if i > 0 && m.Seconds < s.Moments[i-1].Seconds {
			all = append(all, fmt.Errorf("%s is earlier than the one before; give them in the order of time", what))
		}
	}
	for i, w := range s.Waits {
		timed(w.Seconds, fmt.Sprintf("wait %d", i+1))
	}
	return titled(s.Title, append(all, s.Limits.check())...)
}

func (s Series) tidied(clean func(string) string) Series {
	s.Title, s.Unit, s.Verdict = clean(s.Title), clean(s.Unit), clean(s.Verdict)
	s.Limits = s.Limits.tidied(clean)
	moments := make([]Moment, len(s.Moments))
	for i, m := range s.Moments {
		m.Label = clean(m.Label)
		moments[i] = m
	}
	waits := make([]Wait, len(s.Waits))
	for i, w := range s.Waits {
		w.Label = clean(w.Label)
		waits[i] = w
	}
	s.Moments, s.Waits = moments, waits
	return s
}

// axis is the axis of the values.
func (s Series) axis(n, pad, gap int) axis {
	points := make([]Point, len(s.Moments))
	for i, m := range s.Moments {
		points[i] = m.Point
	}
	return framed(points, s.Limits, n, pad, gap)
}

// time is the axis of the time, in minutes.
func (s Series) time(n, pad int) axis {
	lo, hi := s.Moments[0].Seconds, s.Moments[len(s.Moments)-1].Seconds
	for _, w := range s.Waits {
		lo, hi = math.Min(lo, w.Seconds), math.Max(hi, w.Seconds)
	}
	lo, hi = opened(lo/60, hi/60)
	return axis{lo: lo, hi: hi, n: n, pad: pad}
}

// mark is the mark of a moment; the zone counts only where the limits do.
func (s Series) mark(i int, a axis) key {
	k := a.markOf(s.Moments[i].Value, downKey, upKey)
	if k == outsideKey && s.LastOnly && i != len(s.Moments)-1 {
		return insideKey
	}
	return k
}

// order is the moments as they are to be drawn: those that must not be hidden
// come last.
func (s Series) order(a axis) []int {
	var first, last []int
	for i := range s.Moments {
		if s.mark(i, a) == insideKey {
			first = append(first, i)
		} else {
			last = append(last, i)
		}
	}
	return append(first, last...)
}

// name is the letter of a wait.
func (s Series) name(i int) string {
	if i < 26 {
		return string(rune('a' + i))
	}
	return "*"
}

func minutes(seconds float64) string { return written(seconds/60, "", "min") }

func (s Series) told(i int) string {
	m := s.Moments[i]
	return m.words(s.Unit) + " at " + minutes(m.Seconds)
}

// sentences says what is seen.
func (s Series) sentences(a axis) []sentence {
	last := len(s.Moments) - 1
	lowest, highest, whisker, above := 0, 0, false, false
	counts := map[key]int{}
	var off []string
	for i, m := range s.Moments {
		if m.Value < s.Moments[lowest].Value {
			lowest = i
		}
		if m.Value > s.Moments[highest].Value {
			highest = i
		}
		whisker = whisker || m.U > 0
		counts[s.keyOf(m.Value)]++
		k := s.mark(i, a)
		if k == upKey || k == downKey {
			off = append(off, s.told(i))
			above = above || k == upKey
		}
	}
	var all []sentence
	switch {
	case last == 0:
		all = append(all, sentence{text: s.told(0)})
	case s.Moments[lowest].Value == s.Moments[highest].Value:
		all = append(all, sentence{text: fmt.Sprintf("all %d readings alike: %s, from %s to %s", last+1,
			s.Moments[0].words(s.Unit), minutes(s.Moments[0].Seconds), minutes(s.Moments[last].Seconds))})
	default:
		text := "first: " + s.told(0) + "; last: " + s.told(last)
		if lowest != 0 && lowest != last {
			text += "; lowest: " + s.told(lowest)
		}
		if highest != 0 && highest != last {
			text += "; highest: " + s.told(highest)
		}
		all = append(all, sentence{text: text})
	}
	if s.Limits.any() {
		when := ""
		if s.LastOnly {
			when = " of the last reading"
		}
		all = append(all, sentence{key: zoneKey, text: "tolerated" + when + ": " + s.Limits.words(s.Unit)})
		if s.LastOnly {
			all = append(all, sentence{key: s.mark(last, a), text: "the last reading is " + s.Limits.place(s.Moments[last].Value)})
		} else {
			for _, k := range []key{insideKey, outsideKey} {
				if counts[k] > 0 {
					all = append(all, sentence{key: k, text: fmt.Sprintf("%s what is tolerated: %d of %d", []string{"inside", "outside"}[k-insideKey], counts[k], last+1)})
				}
			}
		}
	}
	if len(off) > 0 {
		k := downKey
		if above {
			k = upKey
		}
		more := ""
		if len(off) > 3 {
			more = fmt.Sprintf(" and %d more", len(off)-3)
			off = off[:3]
		}
		all = append(all, sentence{key: k, text: "too far off to be drawn to scale: " + strings.Join(off, ", ") + more})
	}
	if whisker {
		all = append(all, sentence{key: uprightKey, text: "two standard uncertainties up and down"})
	}
	for i, w := range s.Waits {
		text := minutes(w.Seconds)
		if w.Label != "" {
			text += ": " + w.Label
		}
		all = append(all, sentence{key: waitKey, text: text, name: s.name(i)})
	}
	return all
}

// Text is the picture in lines of at most width columns; see Reading.Text. Time
// runs to the right, in minutes. Numbers stand beside the marks where there is
// room; the first, last, lowest and highest are said below in any case.
func (s Series) Text(width int, ascii bool) []string {
	p := newPen(width, ascii)
	if err := s.Check(); err != nil {
		return p.refused(err)
	}
	s = s.tidied(p.clean)
	p.title(s.Title, s.Unit)
	p.text(s.Verdict, 0)
	p.line("")
	rows := 13
	if p.narrow() {
		rows = 9
	}
	a := s.axis(rows, 1, 1)
	marks := ticks(a.lo, a.hi, rows/3)
	side := 0
	for _, t := range marks {
		side = max(side, len(t.label))
	}
	if side > p.width/3 {
		side, marks = 0, nil // numbers so long are said below only
	}
	time := s.time(p.width-side-2, 1)
	g := s.plot(p, a, time)
	left := make([]string, rows)
	for i := range left {
		left[i] = spaces(side) + string(p.side)
	}
	for _, t := range marks {
		left[rows-1-a.raw(t.value)] = spaces(side-len(t.label)) + t.label + string(p.sideTick)
	}
	if len(s.Waits) > 0 {
		names := newGrid(1, time.n)
		for i, w := range s.Waits {
			names[0][time.raw(w.Seconds/60)] = []rune(s.name(i))[0]
		}
		p.line(spaces(side+1) + names.String(0))
	}
	// What is tolerated stands as a bar at the right, beside the last value.
	first, end := a.zone()
	for i := range g {
		right := ""
		if cell := rows - 1 - i; s.Limits.any() && first <= cell && cell <= end {
			right = string(p.zone)
		}
		p.line(left[i] + g.String(i) + right)
	}
	line, numbers := p.scale(time)
	p.line(spaces(side+1) + line)
	p.line(p.withMinutes(spaces(side+1) + numbers))
	p.sentences(s.sentences(a))
	return p.lines
}

// withMinutes says what the numbers below the axis of time are, where there is
// room.
func (p *pen) withMinutes(s string) string {
	s = strings.TrimRight(s, " ")
	if columns(s)+4 <= p.width {
		return s + " min"
	}
	p.line(s)
	return spaces(p.width-7) + "minutes"
}

// plot is the field of the marks.
func (s Series) plot(p *pen, a, time axis) grid {
	g := newGrid(a.n, time.n)
	row := func(cell int) int { return a.n - 1 - cell }
	column := func(i int) int { return time.raw(s.Moments[i].Seconds / 60) }
	last := len(s.Moments) - 1
	from := 0
	if s.LastOnly {
		from = max(column(last)-3, 0)
	}
	for _, v := range s.Limits.values() {
		for x := from; x < time.n; x++ {
			g[row(a.raw(v))][x] = p.level
		}
	}
	for _, w := range s.Waits {
		for y := range g {
			g[y][time.raw(w.Seconds/60)] = p.wait
		}
	}
	order := s.order(a)
	for _, i := range order {
		if !a.whiskered(s.Moments[i].Point) {
			continue
		}
		first, end := a.whisker(s.Moments[i].Point)
		for y := first; y <= end; y++ {
			g[row(y)][column(i)] = p.upright
		}
		low, high := s.Moments[i].reach()
		if a.beyond(low) < 0 {
			g[row(first)][column(i)] = p.marks[downKey]
		}
		if a.beyond(high) > 0 {
			g[row(end)][column(i)] = p.marks[upKey]
		}
	}
	for _, i := range order {
		g[row(a.at(s.Moments[i].Value))][column(i)] = p.marks[s.mark(i, a)]
	}
	// The last number first: it is the one that is looked for.
	for i := last; i >= 0; i-- {
		label := s.Moments[i].words(s.Unit)
		y, x := row(a.at(s.Moments[i].Value)), column(i)
		_ = g.put(y, x+2, label) || g.put(y, x-1-columns(label), label)
	}
	return g
}

// SVG writes the picture as a document of its own; see Reading.SVG.
func (s Series) SVG(w io.Writer) error {
	if err := s.Check(); err != nil {
		return err
	}
	s = s.tidied(tidy)
	const height, side = 240, 70
	c := newCanvas()
	left := svgMargin + side
	a := s.axis(height, 14, 4)
	time := s.time(svgWidth-left-svgMargin, 24)
	top := c.heading(s.Title, s.Verdict) + 16
	bottom := top + height - 1
	x := func(seconds float64) int { return left + time.raw(seconds/60) }
	last := len(s.Moments) - 1
	if s.Limits.any() {
		first, end := a.zone()
		from := left
		if s.LastOnly {
			from = x(s.Moments[last].Seconds) - 20
		}
		c.rect(from, bottom-end, left+time.n-from, max(end-first, 1), zoneFill)
		for _, v := range s.Limits.values() {
			c.line(from, bottom-a.raw(v), left+time.n, bottom-a.raw(v), zoneBorder, 2, "6 3")
		}
	}
	c.line(left, top, left, bottom, soft, 1, "")
	for _, t := range ticks(a.lo, a.hi, 5) {
		y := bottom - a.raw(t.value)
		c.line(left-5, y, left, y, soft, 1, "")
		c.words(left-8, y+4, "end", c.cells.shorten(t.label, (side-8)/svgLetter), 12, "normal")
	}
	c.words(svgMargin, top-4, "start", c.cells.shorten(s.Unit, 16), 12, "normal")
	for i, wait := range s.Waits {
		at := x(wait.Seconds)
		c.line(at, top, at, bottom, soft, 1, "2 3")
		c.label(at, top-4, s.name(i))
	}
	for i := 1; i <= last; i++ {
		b, e := s.Moments[i-1], s.Moments[i]
		dash := ""
		if a.beyond(b.Value) != 0 || a.beyond(e.Value) != 0 {
			dash = "2 6" // not to scale
		}
		c.line(x(b.Seconds), bottom-a.at(b.Value), x(e.Seconds), bottom-a.at(e.Value), "#8c8c8c", 1, dash)
	}
	order := s.order(a)
	for _, i := range order {
		if m := s.Moments[i]; a.whiskered(m.Point) {
			first, end := a.whisker(m.Point)
			low, high := m.reach()
			at := x(m.Seconds)
			c.line(at, bottom-first, at, bottom-end, ink, 1.5, "")
			c.upEnd(at, bottom-first, a.beyond(low) < 0, downKey)
			c.upEnd(at, bottom-end, a.beyond(high) > 0, upKey)
		}
	}
	for _, i := range order {
		m := s.Moments[i]
		c.mark(x(m.Seconds), bottom-a.at(m.Value), s.mark(i, a))
	}
	for i := last; i >= 0; i-- {
		m := s.Moments[i]
		_, end := a.whisker(m.Point)
		y := bottom - end - 10
		if end > height-26 {
			y = bottom - a.at(m.Value) + 26 // no room above
		}
		c.label(x(m.Seconds), y, c.cells.shorten(m.words(s.Unit), 24))
	}
	c.scale(left, bottom, time, 8)
	c.words(svgWidth-svgMargin, bottom+34, "end", "minutes", 12, "normal")
	all := s.sentences(a)
	y := c.sentences(bottom+56, all)
	return c.finish(w, y, s.Title, s.Verdict, all)
}

// upEnd draws the end of a whisker that stands upright.
func (c *canvas) upEnd(x, y int, beyond bool, arrow key) {
	if beyond {
		c.mark(x, y, arrow)
		return
	}
	c.line(x-5, y, x+5, y, ink, 1.5, "")
}
