package measure

import (
	"cmp"
	"math"
	"slices"
)

// A reading that is typed wrongly is mostly far from anything that the part could
// read: of the wrong sign, ten times too large, in another unit.

// Away is how far the reading y with standard uncertainty u lies from the nearest
// of the model's populations, in standard deviations of a reading of it.
func (m Model) Away(y, u float64) float64 {
	away := math.Inf(1)
	for i := range len(m.Rows) + 1 {
		p := m.population(i)
		away = math.Min(away, math.Abs(y-p.Mean)/math.Sqrt(p.variance(u)))
	}
	return away
}

// From where on a reading is questioned, in standard deviations; judgement.
const (
	farAway = 6 // whatever else it may be
	odd     = 3 // where a slip of the usual kinds would explain it well
	likely  = 2 // how near that has to come
)

// Questionable tells whether a reading should be asked for again before it counts;
// meant are the values among the slips given that would explain it, the likeliest
// first. It is asked for
//
//   - far from all that the part could read,
//   - below 0, where that is not in the nature of the thing,
//   - where it is odd, or less likely than a slip, and one of the slips explains it.
func (m Model) Questionable(y, u float64, slips ...float64) (meant []int, ask bool) {
	away, fits := m.Away(y, u), m.fits(y, u)
	slipped := false
	for i, s := range slips {
		if m.Away(s, u) < likely {
			meant = append(meant, i)
			slipped = slipped || math.Log(Slip)+m.fits(s, u) > fits
		}
	}
	slices.SortStableFunc(meant, func(a, b int) int { return cmp.Compare(m.fits(slips[b], u), m.fits(slips[a], u)) })
	switch {
	case away > farAway, y < 0 && !m.below0(y, u):
		return meant, true
	case len(meant) > 0 && (away > odd || slipped):
		return meant, true
	}
	return nil, false
}

// fits is the logarithm of how likely the digits of a reading are in the state that
// they fit best, but for a constant. The last digit typed is a share of the reading,
// so that the density counts by the reading's size: 18 kohm may lie among the
// broken heaters, spread over all from 10 to 200, and yet is likelier 18 ohm.
func (m Model) fits(y, u float64) float64 {
	best := math.Inf(-1)
	for i := range len(m.Rows) + 1 {
		p := m.population(i)
		v := p.variance(u)
		best = math.Max(best, -0.5*(math.Log(v)+float64((y-p.Mean)*(y-p.Mean))/v))
	}
	return best + math.Log(math.Abs(y))
}

// below0 tells whether a reading y below 0 is nothing out of the way: where the part
// may read about 0 it is the instrument's noise, or else of a population that lies on
// both sides of 0. A population that only tails off below 0 is one of something that
// cannot be less than nothing.
func (m Model) below0(y, u float64) bool {
	for i := range len(m.Rows) + 1 {
		p := m.population(i)
		near0 := p.Mean-odd*p.SD < 0
		if near0 && (y >= -likely*u || p.Mean < p.SD && p.Mean-y <= odd*math.Sqrt(p.variance(u))) {
			return true
		}
	}
	return false
}
