package faulttree

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// entangled is a top of two small ways, {a} and {b, c}, beside a conjunction of
// disjunctions that share their inputs criss-cross. Each of these is in few
// disjunctions, so that no cut set of the conjunction is small. The links of
// the first two may fail.
func entangled(t *testing.T, inverted bool) *structure {
	t.Helper()
	const wide = 18
	b := NewBuilder()
	sure := func(in ...Event) (out []Input) {
		for _, e := range in {
			out = append(out, Input{Event: e, Strength: 1})
		}
		return out
	}
	var x, any []Event
	for i := range wide {
		x = append(x, b.Cause(fmt.Sprint("x", i), .1))
	}
	for i := range wide {
		any = append(any, b.Gate(fmt.Sprint("any", i)))
		b.Define(any[i], Gate{Inputs: sure(x[i], x[(i+5)%wide], x[(i+11)%wide])})
	}
	tangle, pair, top := b.Gate("tangle"), b.Gate("pair"), b.Gate("top")
	b.Define(tangle, Gate{Kind: And, Inputs: sure(any...)})
	b.Define(pair, Gate{Kind: And, Inputs: sure(b.Cause("b", .2), b.Cause("c", .3))})
	b.Define(top, Gate{Inputs: []Input{{Event: b.Cause("a", .1), Strength: .5}, {Event: pair, Strength: .5},
		{Event: tangle, Strength: 1, Inverted: inverted}}})
	m, err := b.Build()
	require.NoError(t, err)
	return m.below(top)
}

// Where the whole is too entangled for the limit, that is said, and the small
// sets, their probabilities and the top event's are found all the same.
func TestCutSetsBounded(t *testing.T) {
	whole, err := entangled(t, false).analyse(CutSetOptions{Importance: true})
	require.NoError(t, err)
	require.NoError(t, whole.Trouble)
	require.False(t, whole.Bounded)
	require.Greater(t, whole.Total, uint64(2))

	s := entangled(t, false)
	s.limit = 150
	_, err = s.analyse(CutSetOptions{})
	require.ErrorIs(t, err, ErrTooLarge)
	c, err := s.analyse(CutSetOptions{MaxOrder: 2, Importance: true})
	require.NoError(t, err)
	require.NoError(t, c.Trouble)
	require.True(t, c.Bounded)
	require.Equal(t, []uint64{0, 1, 1}, c.ByOrder)
	require.Equal(t, whole.Sets[:2], c.Sets)
	require.InDelta(t, .1, c.Sets[0].P, 1e-15)
	require.InDelta(t, .06, c.Sets[1].P, 1e-15)
	require.True(t, c.Independent && math.IsNaN(c.UpperBound) && math.IsNaN(c.RareEvent))
	// Belief and diagram compute the same independently of each other.
	require.InEpsilon(t, whole.P, c.P, 1e-12)
	require.Len(t, c.Importance, len(whole.Importance))
	for k, i := range c.Importance {
		require.Equal(t, whole.Importance[k].Basic, i.Basic)
		require.InEpsilon(t, whole.Importance[k].Present, i.Present, 1e-9)
		require.InEpsilon(t, whole.Importance[k].Absent, i.Absent, 1e-9)
	}

	s = entangled(t, true)
	s.limit = 150
	_, err = s.analyse(CutSetOptions{MaxOrder: 2})
	require.ErrorIs(t, err, ErrTooLarge)
	require.ErrorContains(t, err, "inverted inputs")
}
