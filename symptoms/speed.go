package symptoms

import "math"

// Engine speeds said as bare numbers: below or above these they are taken for
// something else. Revolutions a minute; common practice, no source.
const (
	leastSpeed = 500
	mostSpeed  = 15000
)

// speed gives the place of one engine speed: the band it falls in, the lowest
// or highest band for speeds outside all of them.
func (s scale) speed(v float64) place {
	return place{
		at:    exactly(s.band(v)),
		below: s.stretch(math.Inf(-1), v),
		above: s.stretch(v, math.Inf(1)),
	}
}

// speeds gives the place of a stretch of engine speeds.
func (s scale) speeds(a, b float64) place {
	low, high := min(a, b), max(a, b)
	return place{
		at:    s.stretch(low, high),
		below: s.stretch(math.Inf(-1), low),
		above: s.stretch(high, math.Inf(1)),
	}
}

// band gives the regime in whose band a speed falls. A speed on a border
// belongs to the upper band.
func (s scale) band(v float64) set {
	var out set
	first, last := -1, -1
	for i, w := range s.words {
		if w.RPM[1] <= w.RPM[0] {
			continue
		}
		if v >= w.RPM[0] && v < w.RPM[1] {
			out |= 1 << i
		}
		if first < 0 || w.RPM[0] < s.words[first].RPM[0] {
			first = i
		}
		if last < 0 || w.RPM[1] > s.words[last].RPM[1] {
			last = i
		}
	}
	switch {
	case out != 0 || first < 0:
		return out
	case v < s.words[first].RPM[0]:
		return 1 << first
	case v >= s.words[last].RPM[1]:
		return 1 << last
	default:
		return 0
	}
}

// stretch gives what the speeds from low to high touch and cover. A stretch
// open at one end reaches at least the outermost band.
func (s scale) stretch(low, high float64) reach {
	var out reach
	for i, w := range s.words {
		width := w.RPM[1] - w.RPM[0]
		if width <= 0 {
			continue
		}
		share := (min(high, w.RPM[1]) - max(low, w.RPM[0])) / width
		if share > touchShare {
			out.touch |= 1 << i
		}
		if share > coverShare {
			out.cover |= 1 << i
		}
	}
	if out.touch != 0 {
		return out
	}
	switch {
	case math.IsInf(high, 1):
		return exactly(s.band(low))
	case math.IsInf(low, -1):
		return exactly(s.band(high))
	default:
		return exactly(s.band((low + high) / 2))
	}
}
