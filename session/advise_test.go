package session

import (
	"testing"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
	"narrows/knowledge"
)

// stumbling is the planner's problem of a large pack: stumbles at every speed,
// starts well.
func stumbling(tb testing.TB) *plan.Problem { return stumblingOf(tb, "marsh_tern_60") }

func stumblingOf(tb testing.TB, sheet string) *plan.Problem {
	tb.Helper()
	sources, err := knowledge.EmbeddedSources()
	require.NoError(tb, err)
	e, err := knowledge.OpenSheet(sources, sheet)
	require.NoError(tb, err)
	b, err := newBench(e)
	require.NoError(tb, err)
	m := e.Model()
	belief := m.NewBelief()
	var complaint []ft.Event
	for _, name := range []string{"stumble_idle", "stumble_mid", "stumble_full"} {
		complaint = append(complaint, m.Find(name))
		belief, err = belief.Find(ft.Present(m.Find(name)))
		require.NoError(tb, err)
	}
	for _, name := range []string{"no_start", "hard_start_cold", "hard_start_hot"} {
		belief, err = belief.Find(ft.Absent(m.Find(name)))
		require.NoError(tb, err)
	}
	belief, err = belief.Complaining(complaint...)
	require.NoError(tb, err)
	return &plan.Problem{Belief: belief, Openings: b.openings, Actions: b.actions, Recheck: e.Pack().Recheck.Minutes, HandOn: e.Pack().HandingOn.Minutes}
}

// BenchmarkAdvise: the ranking of what to do next on the outboard of four cylinders and
// on the largest pack, that of six. What the prompt computes first is compiled already.
func BenchmarkAdvise(b *testing.B) {
	for _, sheet := range []string{"marsh_tern_60", "marsh_heron_150"} {
		b.Run(sheet, func(b *testing.B) {
			p := stumblingOf(b, sheet)
			_, err := p.Belief.Solve()
			require.NoError(b, err)
			for b.Loop() {
				_, err := p.Advise(b.Context(), plan.Budget{})
				require.NoError(b, err)
			}
		})
	}
}
