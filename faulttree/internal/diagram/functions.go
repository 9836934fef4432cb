package diagram

import "slices"

// Ref is a Boolean function in a store of Functions. Equal functions of one
// store have equal Refs.
type Ref int32

// The constant functions.
const (
	False Ref = 0
	True  Ref = 1
)

// Operations remembered by the stores; 0 stands for none.
const (
	opAnd int32 = iota + 1
	opOr
	opXor
	opNot
	opWithout
	opEither
	opFirst
	opBoth // and those above it: one for each bound on the order
)

// Functions is a store of reduced ordered binary decision diagrams over
// variables 0..n-1. It is not safe for concurrent use.
type Functions struct {
	table
	order []int32 // variable of a level
	level []int32 // level of a variable
}

// NewFunctions returns an empty store. The order names every variable once, the
// topmost first; limit is the number of nodes at most, 0 for DefaultLimit.
func NewFunctions(order []int, limit int) *Functions {
	f := &Functions{table: newTable(limit), order: make([]int32, len(order)), level: make([]int32, len(order))}
	for l, v := range order {
		f.order[l], f.level[v] = int32(v), int32(l)
	}
	return f
}

// Vars returns the number of variables.
func (d *Functions) Vars() int { return len(d.order) }

// Var returns the function that is true where the variable is.
func (d *Functions) Var(v int) Ref { return d.make(d.level[v], 0, 1) }

func (d *Functions) make(level, low, high int32) Ref {
	if low == high {
		return Ref(low)
	}
	return Ref(d.unique(level, low, high))
}

// And returns f and g.
func (d *Functions) And(f, g Ref) Ref { return Ref(d.apply(opAnd, int32(f), int32(g))) }

// Or returns f or g.
func (d *Functions) Or(f, g Ref) Ref { return Ref(d.apply(opOr, int32(f), int32(g))) }

// Xor returns f or g but not both.
func (d *Functions) Xor(f, g Ref) Ref { return Ref(d.apply(opXor, int32(f), int32(g))) }

// trivial gives results that need no recursion.
func trivial(op, f, g int32) (int32, bool) {
	switch op {
	case opAnd:
		switch {
		case f == 0 || g == 0:
			return 0, true
		case f == 1 || f == g:
			return g, true
		case g == 1:
			return f, true
		}
	case opOr:
		switch {
		case f == 1 || g == 1:
			return 1, true
		case f == 0 || f == g:
			return g, true
		case g == 0:
			return f, true
		}
	case opXor:
		switch {
		case f == g:
			return 0, true
		case f == 0:
			return g, true
		case g == 0:
			return f, true
		}
	}
	return 0, false
}

func (d *Functions) apply(op, f, g int32) int32 {
	if r, ok := trivial(op, f, g); ok || d.full {
		return r
	}
	if f > g {
		f, g = g, f
	}
	if f == 1 { // only xor comes here with a constant
		return d.not(g)
	}
	if r, ok := d.recall(op, f, g); ok {
		return r
	}
	a, b := d.nodes[f], d.nodes[g]
	level := a.level
	switch {
	case a.level < b.level:
		b.low, b.high = g, g
	case a.level > b.level:
		level = b.level
		a.low, a.high = f, f
	}
	low := d.apply(op, a.low, b.low)
	high := d.apply(op, a.high, b.high)
	r := int32(d.make(level, low, high))
	d.remember(op, f, g, r)
	return r
}

// Not returns the negation of f.
func (d *Functions) Not(f Ref) Ref { return Ref(d.not(int32(f))) }

func (d *Functions) not(f int32) int32 {
	if f < terminals {
		return 1 - f
	}
	if d.full {
		return 0
	}
	if r, ok := d.recall(opNot, f, 0); ok {
		return r
	}
	n := d.nodes[f]
	low := d.not(n.low)
	r := int32(d.make(n.level, low, d.not(n.high)))
	d.remember(opNot, f, 0, r)
	d.remember(opNot, r, 0, f)
	return r
}

// fold joins operands, those that begin lowest in the order first: so each step
// adds to the top of what is there, where it can.
func (d *Functions) fold(op int32, fs []Ref) Ref {
	fs = d.lowestFirst(fs)
	r := int32(fs[0])
	for _, f := range fs[1:] {
		r = d.apply(op, r, int32(f))
	}
	return Ref(r)
}

func (d *Functions) lowestFirst(fs []Ref) []Ref {
	fs = slices.Clone(fs)
	slices.SortStableFunc(fs, func(a, b Ref) int { return int(d.nodes[b].level) - int(d.nodes[a].level) })
	return fs
}

// All returns the conjunction of fs, True if there is none.
func (d *Functions) All(fs ...Ref) Ref {
	if len(fs) == 0 {
		return True
	}
	return d.fold(opAnd, fs)
}

// Any returns the disjunction of fs, False if there is none.
func (d *Functions) Any(fs ...Ref) Ref {
	if len(fs) == 0 {
		return False
	}
	return d.fold(opOr, fs)
}

// Odd returns the exclusive or of fs: true where an odd number of them is.
func (d *Functions) Odd(fs ...Ref) Ref {
	if len(fs) == 0 {
		return False
	}
	return d.fold(opXor, fs)
}

// AtLeast returns the function that is true where at least k of fs are. It
// counts operand by operand, k times len(fs) steps.
func (d *Functions) AtLeast(k int, fs ...Ref) Ref {
	if k <= 0 {
		return True
	}
	// counted[j]: at least j of the operands so far.
	counted := make([]Ref, k+1)
	counted[0] = True
	fs = d.lowestFirst(fs)
	for i, f := range fs {
		for j := min(k, i+1); j >= max(1, k-len(fs)+i+1); j-- {
			counted[j] = d.Or(counted[j], d.And(f, counted[j-1]))
		}
	}
	return counted[k]
}

// Value returns f for one assignment of all variables.
func (d *Functions) Value(f Ref, present func(v int) bool) bool {
	at := int32(f)
	for at >= terminals {
		n := d.nodes[at]
		if at = n.low; present(int(d.order[n.level])) {
			at = n.high
		}
	}
	return at == 1
}

// Size returns the number of nodes of one function, terminals left out.
func (d *Functions) Size(f Ref) int { return len(d.below(int32(f))) }

// below lists the nodes that f consists of, children before parents.
func (t *table) below(f int32) []int32 {
	if f < terminals {
		return nil
	}
	seen := make([]bool, f+1)
	seen[f] = true
	n := 0
	for i := f; i >= terminals; i-- {
		if seen[i] {
			n++
			seen[t.nodes[i].low], seen[t.nodes[i].high] = true, true
		}
	}
	out := make([]int32, 0, n)
	for i := int32(terminals); i <= f; i++ {
		if seen[i] {
			out = append(out, i)
		}
	}
	return out
}
