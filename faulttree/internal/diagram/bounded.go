package diagram

import "errors"

// ErrNegated says that a tree has a negation where only coherent ones will do.
var ErrNegated = errors.New("the tree holds a negation")

// CompileBounded finds the minimal solutions of at most k variables straight
// from the tree: where the function is too large for a diagram, those often
// are not. It returns ErrNegated for trees with negations, and ErrTooLarge.
func CompileBounded(t *Tree, k, limit int) (*Families, Family, error) {
	if err := t.check(); err != nil {
		return nil, 0, err
	}
	if !t.coherent() {
		return nil, 0, ErrNegated
	}
	for _, order := range t.orders() {
		z := newFamilies(order, limit)
		b := bounded{z: z, t: t, k: int32(k), done: make(map[int]int32, len(t.Gates))}
		if f := b.operand(t.Top); !z.full {
			return z, Family(f), nil
		}
	}
	return nil, 0, ErrTooLarge
}

// coherent reports whether nothing below the top is negated.
func (t *Tree) coherent() bool {
	seen := make([]bool, len(t.Gates))
	var visit func(o Operand) bool
	visit = func(o Operand) bool {
		if o.Not {
			return false
		}
		if !o.Gate || seen[o.Index] {
			return true
		}
		seen[o.Index] = true
		g := &t.Gates[o.Index]
		if g.Op == Xor && len(g.Operands) > 1 {
			return false
		}
		for _, below := range g.Operands {
			if !visit(below) {
				return false
			}
		}
		return true
	}
	return visit(t.Top)
}

// bounded is one run of CompileBounded. Every family in it is minimal: no set
// contains another.
type bounded struct {
	z    *Families
	t    *Tree
	k    int32
	done map[int]int32
}

func (b *bounded) operand(o Operand) int32 {
	if !o.Gate {
		if b.k < 1 {
			return 0
		}
		return b.z.make(b.z.level[o.Index], 0, 1)
	}
	if f, ok := b.done[o.Index]; ok || b.z.full {
		return f
	}
	g := &b.t.Gates[o.Index]
	need := 1
	switch g.Op {
	case And:
		need = len(g.Operands)
	case AtLeast:
		need = max(0, g.K)
	}
	f := b.atLeast(need, g.Operands)
	b.done[o.Index] = f
	return f
}

// atLeast counts operand by operand, as AtLeast of Functions does.
func (b *bounded) atLeast(k int, operands []Operand) int32 {
	counted := make([]int32, k+1)
	counted[0] = 1
	for i, o := range operands {
		f := b.operand(o)
		for j := min(k, i+1); j >= max(1, k-len(operands)+i+1); j-- {
			counted[j] = b.z.either(counted[j], b.z.both(f, counted[j-1], b.k))
		}
	}
	return counted[k]
}

// either returns the minimal sets among those of f and g.
func (z *Families) either(f, g int32) int32 {
	switch {
	case f == 1 || g == 1:
		return 1
	case f == 0 || f == g || z.full:
		return g
	case g == 0:
		return f
	}
	if f > g {
		f, g = g, f
	}
	if r, ok := z.recall(opEither, f, g); ok {
		return r
	}
	level, a, b := z.split(f, g)
	low := z.either(a.low, b.low)
	r := z.make(level, low, z.without(z.either(a.high, b.high), low))
	z.remember(opEither, f, g, r)
	return r
}

// both returns the minimal sets of at most k variables that join one of f and
// one of g.
func (z *Families) both(f, g, k int32) int32 {
	switch {
	case f == 0 || g == 0 || k < 0 || z.full:
		return 0
	case f == 1 || f == g:
		return z.first(g, k)
	case g == 1:
		return z.first(f, k)
	}
	if f > g {
		f, g = g, f
	}
	if r, ok := z.recall(opBoth+k, f, g); ok {
		return r
	}
	level, a, b := z.split(f, g)
	low := z.both(a.low, b.low, k)
	high := z.either(z.both(a.high, z.either(b.high, b.low), k-1), z.both(a.low, b.high, k-1))
	r := z.make(level, low, z.without(high, low))
	z.remember(opBoth+k, f, g, r)
	return r
}

// first returns the sets of f of at most k variables.
func (z *Families) first(f, k int32) int32 {
	if f < terminals || z.full {
		return f
	}
	if k == 0 {
		if z.holdsEmpty(f) {
			return 1
		}
		return 0
	}
	if r, ok := z.recall(opFirst, f, k); ok {
		return r
	}
	n := z.nodes[f]
	low := z.first(n.low, k)
	r := z.make(n.level, low, z.first(n.high, k-1))
	z.remember(opFirst, f, k, r)
	return r
}

// split gives the branches of f and g on the topmost variable of either.
func (z *Families) split(f, g int32) (level int32, a, b node) {
	a, b = z.nodes[f], z.nodes[g]
	switch {
	case a.level < b.level:
		return a.level, a, node{low: g}
	case a.level > b.level:
		return b.level, node{low: f}, b
	}
	return a.level, a, b
}
