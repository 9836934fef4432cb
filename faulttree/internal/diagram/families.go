package diagram

// Family is a set of sets of variables in a store of Families. Equal families
// of one store have equal values.
type Family int32

// The family without any set, and the family of the empty set alone.
const (
	Nothing  Family = 0
	EmptySet Family = 1
)

// Families is a store of zero-suppressed decision diagrams over the variables
// of a store of Functions, in the same order. It is not safe for concurrent
// use.
type Families struct {
	table
	order []int32
	level []int32
}

// NewFamilies returns an empty store for the minimal solutions of functions of
// d, which it reads no more afterwards; limit as with NewFunctions.
func NewFamilies(d *Functions, limit int) *Families {
	return &Families{table: newTable(limit), order: d.order, level: d.level}
}

func newFamilies(order []int, limit int) *Families {
	return NewFamilies(NewFunctions(order, terminals), limit)
}

// make leaves out a variable that no set holds.
func (z *Families) make(level, low, high int32) int32 {
	if high == 0 {
		return low
	}
	return z.unique(level, low, high)
}

// Minimal returns the minimal solutions of f, a function of d.
//
// Of a decision on x, the solutions without x are those of the branch where x
// is absent; those with x are those of the other branch that hold none of the
// former. That takes no coherence.
func (z *Families) Minimal(d *Functions, f Ref) Family {
	if f < terminals {
		return Family(f)
	}
	done := make([]int32, f+1)
	done[1] = 1
	for _, at := range d.below(int32(f)) {
		if z.full {
			break
		}
		n := d.nodes[at]
		low := done[n.low]
		done[at] = z.make(n.level, low, z.without(done[n.high], low))
	}
	return Family(done[f])
}

// without returns the sets of f that contain no set of g.
func (z *Families) without(f, g int32) int32 {
	switch {
	case f == 0 || g == 1 || f == g || z.full:
		return 0
	case g == 0 || f == 1 && !z.holdsEmpty(g):
		return f
	case f == 1:
		return 0
	}
	if r, ok := z.recall(opWithout, f, g); ok {
		return r
	}
	a, b := z.nodes[f], z.nodes[g]
	var r int32
	switch {
	case a.level > b.level:
		r = z.without(f, b.low)
	case a.level < b.level:
		high := z.without(a.high, g)
		r = z.make(a.level, z.without(a.low, g), high)
	default:
		high := z.without(z.without(a.high, b.high), b.low)
		r = z.make(a.level, z.without(a.low, b.low), high)
	}
	z.remember(opWithout, f, g, r)
	return r
}

// holdsEmpty reports whether the empty set is in f.
func (z *Families) holdsEmpty(f int32) bool {
	for f >= terminals {
		f = z.nodes[f].low
	}
	return f == 1
}
