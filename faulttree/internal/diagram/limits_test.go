package diagram

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// chains is the conjunction of n disjunctions of two variables each, in an
// order that lets the function grow to 2 to the power of n nodes.
func chains(n int) *Tree {
	tree := &Tree{Vars: 2 * n, Top: Operand{Index: n, Gate: true}}
	top := Gate{Op: And}
	for i := range n {
		tree.Gates = append(tree.Gates, Gate{Operands: []Operand{{Index: i}, {Index: n + i}}})
		top.Operands = append(top.Operands, Operand{Index: i, Gate: true})
	}
	tree.Gates = append(tree.Gates, top)
	return tree
}

func TestTooLarge(t *testing.T) {
	tree := chains(20)
	bad := make([]int, tree.Vars)
	for v := range bad {
		bad[v] = v
	}
	d := NewFunctions(bad, 10000)
	d.build(tree)
	require.ErrorIs(t, d.Err(), ErrTooLarge)
	require.LessOrEqual(t, d.Len(), 10000)
	_, _, err := Compile(tree, 30)
	require.ErrorIs(t, err, ErrTooLarge)
	_, _, err = CompileBounded(tree, 20, 30)
	require.ErrorIs(t, err, ErrTooLarge)
	d, f, err := Compile(tree, 0)
	require.NoError(t, err, "a good order is found")
	z := NewFamilies(d, 30)
	z.Minimal(d, f)
	require.ErrorIs(t, z.Err(), ErrTooLarge)
}

// n disjunctions of two have 2 to the power of n minimal solutions, all of
// order n.
func TestCountBeyond64Bits(t *testing.T) {
	for _, n := range []int{63, 64} {
		d, f, err := Compile(chains(n), 0)
		require.NoError(t, err)
		z := NewFamilies(d, 0)
		got, err := z.Count(z.Minimal(d, f))
		if n == 64 {
			require.ErrorIs(t, err, ErrTooMany)
			continue
		}
		require.NoError(t, err)
		require.Equal(t, uint64(1)<<63, got)
	}
}

// All 2^60 products are 2^-60, so that the sum is 1 and the bound 1-1/e, by
// the limit of (1-1/n)^n.
func TestBoundOfManySets(t *testing.T) {
	d, f, err := Compile(chains(60), 0)
	require.NoError(t, err)
	z := NewFamilies(d, 0)
	p := make([]float64, d.Vars())
	for v := range p {
		p[v] = 0.5
	}
	cuts := z.Minimal(d, f)
	require.InDelta(t, 1, z.Sum(cuts, p), 1e-12)
	require.InDelta(t, 1-1/math.E, z.Bound(cuts, p), 1e-12)
	n := 0
	for _, w := range z.Likeliest(cuts, p) {
		require.Equal(t, math.Pow(0.5, 60), w)
		if n++; n == 100 {
			break
		}
	}
	for v := range p {
		p[v] = 1
	}
	require.Equal(t, 1.0, z.Bound(cuts, p))
}

func TestTreesThatCannotBeCompiled(t *testing.T) {
	variable, gate := Operand{}, func(i int) Operand { return Operand{Index: i, Gate: true} }
	for _, c := range []struct {
		name string
		tree Tree
		want string
	}{
		{"cycle", Tree{Vars: 1, Top: gate(0), Gates: []Gate{{Operands: []Operand{gate(1)}}, {Operands: []Operand{variable, gate(0)}}}}, "gate 0 depends on itself"},
		{"empty", Tree{Vars: 1, Top: gate(0), Gates: []Gate{{}}}, "gate 0 has no operand"},
		{"unknown variable", Tree{Top: variable}, "an operand has the number 0; there are 0"},
		{"unknown gate", Tree{Vars: 1, Top: gate(2), Gates: []Gate{{}}}, "an operand has the number 2; there are 1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Compile(&c.tree, 0)
			require.EqualError(t, err, c.want)
			_, _, err = CompileBounded(&c.tree, 1, 0)
			require.EqualError(t, err, c.want)
		})
	}
	negated := Tree{Vars: 1, Top: Operand{Not: true}}
	_, _, err := CompileBounded(&negated, 1, 0)
	require.ErrorIs(t, err, ErrNegated)
	parity := Tree{Vars: 2, Top: gate(0), Gates: []Gate{{Op: Xor, Operands: []Operand{variable, {Index: 1}}}}}
	_, _, err = CompileBounded(&parity, 1, 0)
	require.ErrorIs(t, err, ErrNegated)
}

// Constants: the sure and the impossible event, and gates without operands to
// count.
func TestConstants(t *testing.T) {
	d := NewFunctions([]int{0, 1}, 0)
	x, y := d.Var(0), d.Var(1)
	require.Equal(t, True, d.All())
	require.Equal(t, False, d.Any())
	require.Equal(t, False, d.Odd())
	require.Equal(t, True, d.AtLeast(0, x))
	require.Equal(t, False, d.AtLeast(3, x, y))
	require.Equal(t, d.Or(x, y), d.Not(d.And(d.Not(x), d.Not(y))))
	require.Equal(t, False, d.Xor(x, x))
	require.Equal(t, d.Not(x), d.Xor(x, True))
	derivatives := []float64{7, 7}
	require.Equal(t, 1.0, d.Sweep(True).Derive([]float64{.5, .5}, derivatives))
	require.Equal(t, []float64{0, 0}, derivatives)
	require.Zero(t, d.Sweep(False).P([]float64{.5, .5}))
	z := NewFamilies(d, 0)
	require.Equal(t, EmptySet, z.Minimal(d, True))
	require.Equal(t, Nothing, z.Minimal(d, False))
	require.Equal(t, EmptySet, z.Minimal(d, d.Not(x)), "true where nothing is present")
}
