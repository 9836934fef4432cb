package diagram

import (
	"errors"
	"math"
)

// ErrTooLarge says that a diagram would exceed the limit of its store.
var ErrTooLarge = errors.New("the decision diagram grows too large")

// DefaultLimit is the usual limit of nodes of a store: with its tables, some
// 150 MB.
const DefaultLimit = 2 << 20

// The two terminals have the first places of every store, and a level below
// every variable.
const (
	terminals = 2
	bottom    = math.MaxInt32
)

// node is a decision on the variable of a level. Both diagrams use it.
type node struct{ level, low, high int32 }

// table keeps every node once, and remembers results of operations. Children
// come before parents.
type table struct {
	nodes []node
	slots []int32 // open addressing; 0 is free, since no terminal is looked for
	memo  []remembered
	limit int
	full  bool
}

// remembered is an operation with its result; a newer one takes the place.
type remembered struct{ op, a, b, result int32 }

func newTable(limit int) table {
	if limit <= 0 {
		limit = DefaultLimit
	}
	const first = 1 << 10
	t := table{nodes: make([]node, terminals, first), slots: make([]int32, 2*first), memo: make([]remembered, first), limit: limit}
	t.nodes[0].level, t.nodes[1].level = bottom, bottom
	return t
}

// Err returns ErrTooLarge once the store has filled up.
func (t *table) Err() error {
	if t.full {
		return ErrTooLarge
	}
	return nil
}

// Len returns the number of nodes made so far, terminals included.
func (t *table) Len() int { return len(t.nodes) }

func hash(a, b, c int32) uint32 {
	h := uint64(uint32(a))*0x9e3779b97f4a7c15 ^ uint64(uint32(b))*0xc2b2ae3d27d4eb4f ^ uint64(uint32(c))*0x165667b19e3779f9
	h ^= h >> 29
	return uint32(h * 0xbf58476d1ce4e5b9 >> 32)
}

// unique returns the node of that content, new or old.
func (t *table) unique(level, low, high int32) int32 {
	mask := uint32(len(t.slots) - 1)
	at := hash(level, low, high) & mask
	for ; t.slots[at] != 0; at = (at + 1) & mask {
		if n := &t.nodes[t.slots[at]]; n.low == low && n.high == high && n.level == level {
			return t.slots[at]
		}
	}
	if len(t.nodes) >= t.limit {
		t.full = true
		return 0
	}
	i := int32(len(t.nodes))
	t.nodes = append(t.nodes, node{level, low, high})
	t.slots[at] = i
	if 2*len(t.nodes) > len(t.slots) {
		t.grow()
	}
	return i
}

// grow doubles the tables; the memory of operations keeps what fits.
func (t *table) grow() {
	t.slots = make([]int32, 2*len(t.slots))
	mask := uint32(len(t.slots) - 1)
	for i := terminals; i < len(t.nodes); i++ {
		n := t.nodes[i]
		at := hash(n.level, n.low, n.high) & mask
		for t.slots[at] != 0 {
			at = (at + 1) & mask
		}
		t.slots[at] = int32(i)
	}
	old := t.memo
	t.memo = make([]remembered, 2*len(old))
	for _, r := range old {
		if r.op != 0 {
			t.memo[hash(r.op, r.a, r.b)&uint32(len(t.memo)-1)] = r
		}
	}
}

func (t *table) recall(op, a, b int32) (int32, bool) {
	r := &t.memo[hash(op, a, b)&uint32(len(t.memo)-1)]
	return r.result, r.op == op && r.a == a && r.b == b
}

func (t *table) remember(op, a, b, result int32) {
	t.memo[hash(op, a, b)&uint32(len(t.memo)-1)] = remembered{op, a, b, result}
}
