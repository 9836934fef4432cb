package diagram

import (
	"math"
	"math/bits"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const maxVars = 7

// drawTree draws a tree of every kind of gate, small enough for its truth
// table; gates share operands.
func drawTree(t *rapid.T, negations bool) *Tree {
	tree := &Tree{Vars: rapid.IntRange(1, maxVars).Draw(t, "vars")}
	not := func() bool { return negations && rapid.IntRange(0, 3).Draw(t, "not") == 0 }
	kinds := []Op{Or, And, AtLeast}
	if negations {
		kinds = append(kinds, Xor)
	}
	for i := range rapid.IntRange(1, 7).Draw(t, "gates") {
		g := Gate{Op: rapid.SampledFrom(kinds).Draw(t, "op")}
		for range rapid.IntRange(1, 4).Draw(t, "operands") {
			o := rapid.IntRange(0, tree.Vars+i-1).Draw(t, "operand")
			if o < tree.Vars {
				g.Operands = append(g.Operands, Operand{Index: o, Not: not()})
			} else {
				g.Operands = append(g.Operands, Operand{Index: o - tree.Vars, Gate: true, Not: not()})
			}
		}
		if g.Op == AtLeast {
			g.K = rapid.IntRange(1, len(g.Operands)).Draw(t, "k")
		}
		tree.Gates = append(tree.Gates, g)
	}
	tree.Top = Operand{Index: len(tree.Gates) - 1, Gate: true, Not: not()}
	return tree
}

// truth evaluates a tree by the meaning of its gates; a state has bit v where
// variable v is present.
func (t *Tree) truth(o Operand, state uint) bool {
	if !o.Gate {
		return (state>>o.Index&1 == 1) != o.Not
	}
	g := t.Gates[o.Index]
	n := 0
	for _, below := range g.Operands {
		if t.truth(below, state) {
			n++
		}
	}
	var on bool
	switch g.Op {
	case Or:
		on = n > 0
	case And:
		on = n == len(g.Operands)
	case AtLeast:
		on = n >= g.K
	case Xor:
		on = n%2 == 1
	}
	return on != o.Not
}

// minimalByTable lists the states that make the top true while no state of
// fewer of the same variables does.
func minimalByTable(t *Tree) []uint {
	var out []uint
	for s := range uint(1) << t.Vars {
		if !t.truth(t.Top, s) {
			continue
		}
		minimal := true
		for below := (s - 1) & s; s != 0; below = (below - 1) & s {
			minimal = minimal && !t.truth(t.Top, below)
			if below == 0 {
				break
			}
		}
		if minimal {
			out = append(out, s)
		}
	}
	return out
}

func drawP(t *rapid.T, n int) []float64 {
	p := make([]float64, n)
	for i := range p {
		p[i] = rapid.Float64Range(0.01, 0.99).Draw(t, "p")
	}
	return p
}

// weigh is the probability of a state, or with over the product of p alone.
func weighState(s uint, p []float64, over bool) float64 {
	w := 1.0
	for v, q := range p {
		if s>>v&1 == 1 {
			w *= q
		} else if !over {
			w *= 1 - q
		}
	}
	return w
}

func asState(set []int) uint {
	var s uint
	for _, v := range set {
		s |= 1 << v
	}
	return s
}

func (z *Families) states(f Family) []uint {
	var out []uint
	for set := range z.Each(f, nil, 0) {
		out = append(out, asState(set))
	}
	slices.Sort(out)
	return out
}

func TestFunctionEqualsTruthTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tree := drawTree(t, true)
		p := drawP(t, tree.Vars)
		d, f, err := Compile(tree, 0)
		require.NoError(t, err)
		want, derivative := 0.0, make([]float64, tree.Vars)
		for s := range uint(1) << tree.Vars {
			on := tree.truth(tree.Top, s)
			require.Equal(t, on, d.Value(f, func(v int) bool { return s>>v&1 == 1 }))
			if !on {
				continue
			}
			w := weighState(s, p, false)
			want += w
			for v, q := range p {
				if s>>v&1 == 1 {
					derivative[v] += w / q
				} else {
					derivative[v] -= w / (1 - q)
				}
			}
		}
		got, sweep := make([]float64, tree.Vars), d.Sweep(f)
		require.InDelta(t, want, sweep.P(p), 1e-12)
		require.InDelta(t, want, sweep.Derive(p, got), 1e-12)
		require.InDeltaSlice(t, derivative, got, 1e-12)
	})
}

func TestMinimalEqualsTruthTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tree := drawTree(t, true)
		d, f, err := Compile(tree, 0)
		require.NoError(t, err)
		z := NewFamilies(d, 0)
		sets, want := z.Minimal(d, f), minimalByTable(tree)
		require.NoError(t, z.Err())
		require.ElementsMatch(t, want, z.states(sets))
		total, err := z.Count(sets)
		require.NoError(t, err)
		require.EqualValues(t, len(want), total)
		byOrder, err := z.CountByOrder(sets)
		require.NoError(t, err)
		counted := make([]uint64, len(byOrder))
		for _, s := range want {
			counted[bits.OnesCount(s)]++
		}
		require.True(t, slices.Equal(counted, byOrder), "%v is not %v", byOrder, counted)
		some := d.SomeSet(z, sets)
		for s := range uint(1) << tree.Vars {
			held := slices.ContainsFunc(want, func(m uint) bool { return m&s == m })
			require.Equal(t, held, d.Value(some, func(v int) bool { return s>>v&1 == 1 }))
		}
	})
}

// A subset of the sets is the sets that a plain filter leaves.
func TestSubsetsOfSets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tree := drawTree(t, true)
		d, f, err := Compile(tree, 0)
		require.NoError(t, err)
		z := NewFamilies(d, 0)
		sets := z.Minimal(d, f)
		all := z.states(sets)
		filter := func(keep func(s uint) bool) []uint {
			return slices.DeleteFunc(slices.Clone(all), func(s uint) bool { return !keep(s) })
		}
		v := rapid.IntRange(0, tree.Vars-1).Draw(t, "holding")
		require.ElementsMatch(t, filter(func(s uint) bool { return s>>v&1 == 1 }), z.states(z.Holding(sets, v)))
		k := rapid.IntRange(0, tree.Vars).Draw(t, "at most")
		require.ElementsMatch(t, filter(func(s uint) bool { return bits.OnesCount(s) <= k }), z.states(z.AtMost(sets, k)))
		group := rapid.SliceOfNDistinct(rapid.IntRange(0, tree.Vars-1), 0, tree.Vars, rapid.ID).Draw(t, "group")
		mask := asState(group)
		require.ElementsMatch(t, filter(func(s uint) bool { return bits.OnesCount(s&mask) <= 1 }), z.states(z.Exclusive(sets, group...)))
		var used uint
		for _, s := range all {
			used |= s
		}
		require.Equal(t, used, asState(z.Used(sets)))
	})
}

// Sums, bounds and walks are those of the sets listed one by one.
func TestProductsOfSets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tree := drawTree(t, true)
		p := drawP(t, tree.Vars)
		d, f, err := Compile(tree, 0)
		require.NoError(t, err)
		z := NewFamilies(d, 0)
		sets := z.Minimal(d, f)
		sum, none := 0.0, 1.0
		var products []float64
		for _, s := range minimalByTable(tree) {
			w := weighState(s, p, true)
			sum, none, products = sum+w, none*(1-w), append(products, w)
		}
		require.InDelta(t, sum, z.Sum(sets, p), 1e-12)
		require.InDelta(t, 1-none, z.Bound(sets, p), 1e-12)
		slices.SortFunc(products, func(a, b float64) int { return -int(math.Copysign(1, a-b)) })
		var walked []float64
		for set, w := range z.Likeliest(sets, p) {
			require.InDelta(t, weighState(asState(set), p, true), w, 1e-12)
			walked = append(walked, w)
		}
		require.InDeltaSlice(t, products, walked, 1e-12)
		above, n := rapid.Float64Range(0, 1).Draw(t, "above"), 0
		for _, w := range products {
			if w > above {
				n++
			}
		}
		for _, w := range z.Each(sets, p, above) {
			require.Greater(t, w, above)
			n--
		}
		require.Zero(t, n)
	})
}

func TestBoundedEqualsTruthTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tree := drawTree(t, false)
		k := rapid.IntRange(0, tree.Vars).Draw(t, "at most")
		z, f, err := CompileBounded(tree, k, 0)
		require.NoError(t, err)
		want := slices.DeleteFunc(minimalByTable(tree), func(s uint) bool { return bits.OnesCount(s) > k })
		require.ElementsMatch(t, want, z.states(f))
	})
}
