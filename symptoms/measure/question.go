package measure

import "math"

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
// meant are the values among the slips given that would explain it. A reading below
// 0 is questionable where nothing of the part reads near 0.
func (m Model) Questionable(y, u float64, slips ...float64) (meant []int, ask bool) {
	away := m.Away(y, u)
	for i, s := range slips {
		if m.Away(s, u) < likely {
			meant = append(meant, i)
		}
	}
	switch {
	case away > farAway, y < 0 && !m.below0():
		return meant, true
	case away > odd && len(meant) > 0:
		return meant, true
	}
	return nil, false
}

// below0 tells whether a reading below 0 is nothing out of the way.
func (m Model) below0() bool {
	for i := range len(m.Rows) + 1 {
		if p := m.population(i); p.Mean-odd*p.SD < 0 {
			return true
		}
	}
	return false
}
