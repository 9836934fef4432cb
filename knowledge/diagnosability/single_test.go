package diagnosability

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"narrows/faulttree"
)

// alone is the belief of an engine in which only that fault is there.
func alone(t require.TestingT, m *faulttree.Model, only faulttree.Event) *faulttree.Belief {
	b := m.NewBelief()
	for _, it := range m.Items() {
		for _, ev := range it.Modes {
			f := faulttree.Absent(ev)
			if ev == only {
				f = faulttree.Present(ev)
			}
			var err error
			b, err = b.Find(f)
			require.NoError(t, err)
		}
	}
	return b
}

// chances are those of two outcomes, often ones that leave little doubt.
func chances(t *rapid.T) []float64 {
	p := rapid.OneOf(rapid.Float64Range(0.05, 0.95), rapid.SampledFrom([]float64{0.02, 0.98})).Draw(t, "chance")
	return []float64{p, 1 - p}
}

// randomModel has a few faults, gates of every kind over what stands before them,
// and some checks on some events.
func randomModel(t *rapid.T, checks int) (*faulttree.Model, []faulttree.Event) {
	b := faulttree.NewBuilder()
	var modes, events []faulttree.Event
	for i := range rapid.IntRange(1, 4).Draw(t, "modes") {
		modes = append(modes, b.Mode(b.Item(fmt.Sprint("item", i)), fmt.Sprint("mode", i), 0.1))
	}
	events = append(events, modes...)
	for i := range rapid.IntRange(1, 6).Draw(t, "gates") {
		g := faulttree.Gate{Kind: faulttree.GateKind(rapid.IntRange(0, 2).Draw(t, "kind"))}
		for _, ev := range events {
			if len(g.Inputs) > 0 && rapid.Bool().Draw(t, "leaves out") {
				continue
			}
			in := faulttree.Input{Event: ev, Strength: 1, Inverted: rapid.IntRange(0, 4).Draw(t, "inverted") == 0}
			if g.Kind != faulttree.And && rapid.IntRange(0, 3).Draw(t, "sure") > 0 {
				in.Strength = rapid.Float64Range(0.1, 0.95).Draw(t, "strength")
			}
			g.Inputs = append(g.Inputs, in)
		}
		if g.Kind == faulttree.Voting {
			g.K = rapid.IntRange(1, len(g.Inputs)).Draw(t, "k")
		}
		ev := b.Gate(fmt.Sprint("gate", i))
		b.Define(ev, g)
		events = append(events, ev)
	}
	for i := range checks {
		b.Check(randomCheck(t, fmt.Sprint("check", i), events))
	}
	m, err := b.Build()
	if err != nil {
		t.Skip(err.Error())
	}
	return m, modes
}

func randomCheck(t *rapid.T, name string, events []faulttree.Event) faulttree.Check {
	c := faulttree.Check{Name: name, Outcomes: []string{"a", "b"}, Else: chances(t)}
	few := rapid.Bool().Draw(t, "few rows") // so that checks often look through the same gate
	for i, ev := range events {
		if few && i < len(events)-1 || !few && rapid.Bool().Draw(t, "leaves out") {
			continue
		}
		c.Rows = append(c.Rows, faulttree.Row{Event: ev, P: chances(t)})
	}
	// The first row that holds decides: their order must not follow that of the gates.
	if rapid.Bool().Draw(t, "turned") {
		slices.Reverse(c.Rows)
	}
	return c
}

// What a single fault shows, gone through by hand of the gates, against the exact
// belief of package faulttree with every other fault ruled out.
func TestSingleFaultsEqualBelief(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, modes := randomModel(t, 1)
		s := sightOf(m, m.Checks()[0])
		for _, only := range append(modes, faulttree.None) {
			post, err := alone(t, m, only).Watching(0).Solve()
			require.NoError(t, err)
			rows, err := s.rows(m, only)
			require.NoError(t, err)
			require.InDeltaSlice(t, post.Rows(0), rows, 1e-9)
		}
	})
}

// A gate that no chance is left to is never called doubtful, and one that is
// neither sure nor impossible always is.
func TestDoubtfulGates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, modes := randomModel(t, 1)
		for _, only := range append(modes, faulttree.None) {
			doubt := doubtful(m, only)
			var gates []faulttree.Event
			for _, ev := range m.Order() {
				if _, ok := m.GateOf(ev); ok {
					gates = append(gates, ev)
				}
			}
			post, err := alone(t, m, only).Including(gates...).Solve()
			require.NoError(t, err)
			for _, ev := range gates {
				if p := post.P(ev); p > 1e-9 && p < 1-1e-9 {
					require.True(t, doubt[ev], "%s has a chance of %v", m.Name(ev), p)
				}
			}
		}
	})
}

// together is the chance of outcomes of the checks together, outcome i of which is
// the i-th bit of seen, if only that fault is there.
func together(t *rapid.T, m *faulttree.Model, only faulttree.Event, seen int) float64 {
	b := alone(t, m, only)
	before, err := b.Solve()
	require.NoError(t, err)
	for c := range m.Checks() {
		f, err := m.Outcome(faulttree.CheckID(c), seen>>c&1)
		require.NoError(t, err)
		b, err = b.Find(f)
		require.NoError(t, err)
	}
	after, err := b.Solve()
	require.NoError(t, err)
	return math.Exp(after.LogEvidence() - before.LogEvidence())
}

// What is said to be told apart is: the bound against the exact error of the best
// decision, by going through everything that six checks can show together.
func TestErrorIsBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, modes := randomModel(t, 6)
		var p pair
		one, other := modes[0], faulttree.None
		if len(modes) > 1 {
			other = modes[1]
		}
		for _, c := range m.Checks() {
			s := sightOf(m, c)
			a, err := s.view(m, one, doubtful(m, one), outcomesOf(c))
			require.NoError(t, err)
			b, err := s.view(m, other, doubtful(m, other), outcomesOf(c))
			require.NoError(t, err)
			p.add(&a, &b)
		}
		exact := 0.0
		for seen := range 1 << len(m.Checks()) {
			exact += min(together(t, m, one, seen), together(t, m, other, seen)) / 2
		}
		require.LessOrEqual(t, exact, p.wrong()+1e-9)
	})
}
