package knowledge_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/faulttree"
	"narrows/knowledge"
)

// largest opens the largest embedded pack with its sheet: the four-carburettor
// outboard.
func largest(tb testing.TB) *faulttree.Model {
	tb.Helper()
	lib, err := knowledge.LoadEmbedded()
	require.NoError(tb, err)
	e, err := knowledge.Open(lib, "marsh_tern_60")
	require.NoError(tb, err)
	return e.Model()
}

// stumbles is the belief of an engine that was heard to stumble at every speed
// and starts well.
func stumbles(tb testing.TB, m *faulttree.Model) *faulttree.Belief {
	tb.Helper()
	b := m.NewBelief()
	var complaint []faulttree.Event
	for _, name := range []string{"stumble_idle", "stumble_mid", "stumble_full"} {
		e := m.Find(name)
		require.NotEqual(tb, faulttree.None, e, name)
		complaint = append(complaint, e)
		b = find(tb, b, faulttree.Present(e))
	}
	for _, name := range []string{"no_start", "hard_start_cold", "hard_start_hot"} {
		if e := m.Find(name); e != faulttree.None {
			b = find(tb, b, faulttree.Absent(e))
		}
	}
	b, err := b.Complaining(complaint...)
	require.NoError(tb, err)
	return b
}

func find(tb testing.TB, b *faulttree.Belief, f faulttree.Finding) *faulttree.Belief {
	tb.Helper()
	b, err := b.Find(f)
	require.NoError(tb, err)
	return b
}

// BenchmarkLargestPack: what a mechanic waits for. Compile is what the first
// answer after a new complaint costs beyond the passes; the others reuse the
// compiled program, as every further finding does.
func BenchmarkLargestPack(b *testing.B) {
	m := largest(b)
	belief := stumbles(b, m)
	check := slices.IndexFunc(m.Checks(), func(c faulttree.Check) bool { return len(c.Rows) == 1 })
	require.GreaterOrEqual(b, check, 0)
	f, err := m.Outcome(faulttree.CheckID(check), 0)
	require.NoError(b, err)
	b.Run("FirstAnswer", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			fresh := stumbles(b, largest(b))
			b.StartTimer()
			_, err := fresh.Solve()
			require.NoError(b, err)
			_, err = fresh.Cures()
			require.NoError(b, err)
		}
	})
	b.Run("BeliefAfterFinding", func(b *testing.B) {
		_, err := find(b, belief, f).Solve()
		require.NoError(b, err)
		for b.Loop() {
			_, err := find(b, belief, f).Solve()
			require.NoError(b, err)
		}
	})
	b.Run("AllCures", func(b *testing.B) {
		_, err := belief.Cures()
		require.NoError(b, err)
		for b.Loop() {
			_, err := belief.Cures()
			require.NoError(b, err)
		}
	})
	b.Run("Sweep", func(b *testing.B) {
		all := make([]faulttree.CheckID, len(m.Checks()))
		for i := range all {
			all[i] = faulttree.CheckID(i)
		}
		_, err := belief.Sweep(all...)
		require.NoError(b, err)
		for b.Loop() {
			_, err := belief.Sweep(all...)
			require.NoError(b, err)
		}
	})
}
