package symptoms

import "math/bits"

// set is a set of regimes, by their index in the vocabulary.
type set uint64

// maxRegimes is how many regimes a vocabulary may have.
const maxRegimes = 64

func (s set) has(i int) bool { return s&(1<<i) != 0 }
func (s set) size() int      { return bits.OnesCount64(uint64(s)) }

// members gives the indexes in rising order.
func (s set) members() []int {
	out := make([]int, 0, s.size())
	for s != 0 {
		i := bits.TrailingZeros64(uint64(s))
		out = append(out, i)
		s &^= 1 << i
	}
	return out
}

// A regime counts as touched by a stretch of engine speeds where the stretch
// meets more than a fifth of its band, and as covered where it holds more than
// half: trouble is placed by what is touched, absence by what is covered.
const (
	touchShare = 0.2
	coverShare = 0.5
)

// reach is how far a saying reaches over the regimes.
type reach struct{ touch, cover set }

func exactly(s set) reach { return reach{s, s} }

func (r reach) or(o reach) reach { return reach{r.touch | o.touch, r.cover | o.cover} }

// place is a saying of where or when: the regimes it names, and those below
// and above them on their axis.
type place struct {
	at, below, above reach
	everywhere       bool
}

// from is the place and what lies above it.
func (p place) from() reach { return p.at.or(p.above) }

// scale holds the regimes of a vocabulary with their axes and bands.
type scale struct {
	words []RegimeWord
	near  [][]int
	then  []set
	axes  []set // in the order of the vocabulary
	axis  []set // by regime
}

// newScale builds the scale; names it does not know are left out, the checks
// report them.
func newScale(words []RegimeWord) scale {
	s := scale{words: words, near: make([][]int, len(words)), then: make([]set, len(words)), axis: make([]set, len(words))}
	byAxis := map[string]int{}
	for i, w := range words {
		k, ok := byAxis[w.Axis]
		if !ok {
			k = len(s.axes)
			byAxis[w.Axis] = k
			s.axes = append(s.axes, 0)
		}
		s.axes[k] |= 1 << i
	}
	for i, w := range words {
		s.axis[i] = s.axes[byAxis[w.Axis]]
		s.then[i] = s.named(w.Then)
		for _, id := range w.Near {
			s.near[i] = append(s.near[i], s.named([]string{id}).members()...)
		}
	}
	for i, w := range words {
		if len(w.Then) == 0 {
			s.then[i] = s.place(1 << i).above.touch
		}
	}
	return s
}

// named turns identifiers into a set.
func (s scale) named(ids []string) set {
	var out set
	for _, id := range ids {
		for i, w := range s.words {
			if w.ID == id {
				out |= 1 << i
			}
		}
	}
	return out
}

// axesOf gives all regimes of the axes on which a set has a member.
func (s scale) axesOf(of set) set {
	var out set
	for _, axis := range s.axes {
		if axis&of != 0 {
			out |= axis
		}
	}
	return out
}

// ordered gives the regimes of the axes of a set that have a place in order:
// the steady ones, not the changes between them.
func (s scale) ordered(of set) set {
	var out set
	for _, i := range s.axesOf(of).members() {
		if s.words[i].Order > 0 {
			out |= 1 << i
		}
	}
	return out
}

// place gives the place of a set of regimes named by words.
func (s scale) place(at set) place {
	p := place{at: exactly(at)}
	low, high := s.orders(at)
	if high == 0 {
		return p
	}
	for _, i := range s.ordered(at).members() {
		switch o := s.words[i].Order; {
		case o > high:
			p.above = p.above.or(exactly(1 << i))
		case o < low:
			p.below = p.below.or(exactly(1 << i))
		}
	}
	return p
}

// orders gives the lowest and highest order in a set, 0 if it has none.
func (s scale) orders(of set) (low, high int) {
	for _, i := range of.members() {
		o := s.words[i].Order
		if o == 0 {
			continue
		}
		if low == 0 || o < low {
			low = o
		}
		high = max(high, o)
	}
	return low, high
}

// between gives the place of all regimes from one set to another.
func (s scale) between(a, b set) place {
	low, high := s.orders(a | b)
	var at set
	for _, i := range s.ordered(a & s.axesOf(b)).members() {
		if o := s.words[i].Order; o >= low && o <= high {
			at |= 1 << i
		}
	}
	if at == 0 {
		at = a | b
	}
	return s.place(at)
}

// others gives the regimes of the same axes that a set leaves out, without
// those for which it may stand.
func (s scale) others(of set) set {
	var out set
	for _, i := range (s.axesOf(of) &^ of).members() {
		near := false
		for _, n := range s.near[i] {
			near = near || of.has(n)
		}
		if !near {
			out |= 1 << i
		}
	}
	return out
}

// after gives the regimes meant by "then it cleans up" after trouble in a set:
// those of the last axis on which anything comes after.
func (s scale) after(of set) set {
	var out set
	for _, axis := range s.axes {
		var then set
		for _, i := range (of & axis).members() {
			then |= s.then[i]
		}
		if then &^= of; then != 0 {
			out = then
		}
	}
	return out
}
