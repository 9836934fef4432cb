// Package circuit compiles a product of discrete factors, all variables summed
// out, into an arithmetic circuit: a list of sums and products over leaves
// whose weights the caller sets. One upward pass gives the value of the sum,
// one downward pass its derivative by every leaf (Darwiche 2003, "A
// differential approach to inference in Bayesian networks", JACM 50:280). The
// package knows nothing of faults.
//
// A worked case: one binary variable with factor (0.2, 0.8) and leaves a and b
// on its two values compiles to 0.2a + 0.8b. With a = b = 1 the value is 1; the
// derivatives are 0.2 and 0.8, which are the probabilities of the two values.
package circuit

import "math"

// Node is a node of a circuit under construction: a constant if negative, else
// a leaf or an operation in order of recording.
type Node int32

// The two constants that fold away.
const (
	Zero Node = -1
	One  Node = -2
)

type opKind uint8

const (
	opMul opKind = iota
	opAdd
)

// operation is a product or a sum of two nodes.
type operation struct {
	a, b Node
	kind opKind
}

// Builder records operations. Equal operations are shared where they come close
// together, zeros and ones are folded while recording.
type Builder struct {
	leaves int
	pages  [][]operation // of the operations, node by node after the leaves
	next   Node
	consts []float64
	errors []float64 // bound on the rounding error of each constant
	known  map[constant]Node
	recent []entry // operations recorded lately, by hash
}

// pageSize is the operations in a page: whole pages are added, so that nothing
// recorded is ever copied.
const pageSize = 1 << 15

// entry is an operation with its node, Zero where there is none yet.
type entry struct {
	operation
	node Node
}

// remembered is how many operations are looked up for sharing. Equal
// operations mostly come close together, and a table that stays in the
// processor's cache makes recording several times faster than a complete one.
const remembered = 1 << 15

// NewBuilder returns a Builder with the given number of leaves.
func NewBuilder(leaves int) *Builder {
	b := &Builder{leaves: leaves, next: Node(leaves), known: make(map[constant]Node), recent: make([]entry, remembered)}
	for i := range b.recent {
		b.recent[i].node = Zero // no operation's
	}
	b.Const(0)
	b.Const(1)
	return b
}

func (b *Builder) push(o operation) Node {
	i := int(b.next) - b.leaves
	if i%pageSize == 0 {
		b.pages = append(b.pages, make([]operation, 0, pageSize))
	}
	last := len(b.pages) - 1
	b.pages[last] = append(b.pages[last], o)
	b.next++
	return b.next - 1
}

// constant is a number with a class of error bounds: equal numbers that are
// known to different digits are kept apart, lest the bounds of all creep up to
// the worst.
type constant struct {
	bits  uint64
	class int32
}

// Const returns the node of a constant.
func (b *Builder) Const(v float64) Node { return b.constWithin(v, ulp*math.Abs(v)) }

func (b *Builder) constWithin(v, bound float64) Node {
	key := constant{bits: math.Float64bits(v)}
	if v == 0 {
		// A difference of equal numbers is taken for nothing: zeros have to
		// fold away.
		key.bits, bound = 0, 0
	} else if bound > ulp*math.Abs(v) {
		// Classes are a sixteenth of an octave apart: rounding up costs
		// little even where one constant is folded from many.
		key.class = int32(math.Ceil(16 * math.Log2(bound/(ulp*math.Abs(v)))))
		bound = ulp * math.Abs(v) * math.Exp2(float64(key.class)/16)
	}
	if n, ok := b.known[key]; ok {
		return n
	}
	b.consts = append(b.consts, v)
	b.errors = append(b.errors, bound)
	n := ^Node(len(b.consts) - 1)
	b.known[key] = n
	return n
}

// Leaf returns the node of leaf i.
func (b *Builder) Leaf(i int) Node { return Node(i) }

// folded computes an operation on two constants while recording.
func (b *Builder) folded(k opKind, x, y Node) (Node, bool) {
	if x >= 0 || y >= 0 {
		return Zero, false
	}
	i, j := ^x, ^y
	v := b.consts[i] + b.consts[j]
	if k == opMul {
		v = b.consts[i] * b.consts[j]
	}
	bound := spread(k, b.consts[i], b.consts[j], b.errors[i], b.errors[j])
	return b.constWithin(v, bound+ulp*math.Abs(v)), true
}

// Mul returns x times y.
func (b *Builder) Mul(x, y Node) Node {
	switch {
	case x == Zero || y == Zero:
		return Zero
	case x == One:
		return y
	case y == One:
		return x
	}
	if n, ok := b.folded(opMul, x, y); ok {
		return n
	}
	return b.shared(opMul, x, y)
}

// Add returns x plus y.
func (b *Builder) Add(x, y Node) Node {
	switch {
	case x == Zero:
		return y
	case y == Zero:
		return x
	}
	if n, ok := b.folded(opAdd, x, y); ok {
		return n
	}
	return b.shared(opAdd, x, y)
}

func (b *Builder) shared(k opKind, x, y Node) Node {
	if x > y {
		x, y = y, x
	}
	o := operation{x, y, k}
	e := &b.recent[hash(k, x, y)%remembered]
	if e.operation == o && e.node != Zero {
		return e.node
	}
	*e = entry{o, b.push(o)}
	return e.node
}

func hash(k opKind, x, y Node) uint64 {
	h := uint64(x)<<32 | uint64(uint32(y))
	h ^= uint64(k) << 60
	h *= 0x9e3779b97f4a7c15
	h ^= h >> 29
	h *= 0xbf58476d1ce4e5b9
	return h ^ h>>32
}
