package faulttree_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	ft "narrows/faulttree"
)

// Cures of a belief with another finding at the same place are the same whether
// computed by themselves or from those that are known.
func TestCuresWith(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawModel(t)
		checks := s.m.Checks()
		if len(checks) == 0 || len(s.symptoms) == 0 {
			t.Skip("nothing to find or to cure")
		}
		b, err := s.m.NewBelief().Find(ft.Present(s.symptoms[0]))
		require.NoError(t, err)
		b, err = b.Complaining(s.symptoms[0])
		require.NoError(t, err)
		c := ft.CheckID(rapid.IntRange(0, len(checks)-1).Draw(t, "check"))
		read := func() (*ft.Belief, *ft.Cures, float64) {
			weights := rapid.SliceOfN(rapid.Float64Range(0.05, 1), len(checks[c].Rows)+1, len(checks[c].Rows)+1).Draw(t, "weights")
			next, err := b.Find(ft.Reading(c, weights))
			require.NoError(t, err)
			cures, err := next.Cures()
			require.NoError(t, err)
			post, err := next.Solve()
			require.NoError(t, err)
			return next, cures, post.LogEvidence()
		}
		_, from, before := read()
		next, want, after := read()
		got, err := from.With(next, math.Exp(after-before))
		require.NoError(t, err)
		for _, e := range s.modes {
			require.InDelta(t, want.Mode(e), got.Mode(e), 1e-9)
		}
		for k := range s.m.Repairs() {
			require.InDelta(t, want.Repair(ft.RepairID(k)), got.Repair(ft.RepairID(k)), 1e-9)
		}
	})
}
