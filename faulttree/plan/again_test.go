package plan

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
)

// A reading repeated is worth what another check of the same event with the same
// chances is worth, whether the planner walks through the engines or looks ahead
// over the belief: to the planner the two are the same evidence.
func TestAgainIsAsAnotherCheck(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	worth := 0
	for range 40 {
		hit, miss := .5+.5*r.Float64(), .5*r.Float64()
		odds := [][]float64{{hit, 1 - hit}, {miss, 1 - miss}}
		said := []float64{.2 + .8*r.Float64(), .2 + .8*r.Float64()}
		var other ft.CheckID
		p := twoFaultsAnd(t, r, func(b *ft.Builder, p *Problem, modes []ft.Event) {
			other = b.Check(ft.Check{Name: "other", Outcomes: []string{"bad", "good"}, Rows: []ft.Row{{Event: modes[0], P: odds[0]}}, Else: odds[1]})
		})
		first := p.Actions[1]
		require.Equal(t, Check, first.Kind)
		var err error
		p.Belief, err = p.Belief.Find(ft.Reading(first.Checks[0], said))
		require.NoError(t, err)
		p.Actions[1].Barred = "done"
		all := p.Belief.Findings()
		again, twin := *p, *p
		// The same minutes as before, and dearer and cheaper ones.
		minutes := first.Minutes * (.2 + r.Float64())
		again.Actions = append(again.Actions[:len(p.Actions):len(p.Actions)],
			Action{Kind: Check, Name: "again", Minutes: minutes, Checks: first.Checks, Again: &Again{all[len(all)-1].ID, odds}})
		twin.Actions = append(twin.Actions[:len(p.Actions):len(p.Actions)],
			Action{Kind: Check, Name: "again", Minutes: minutes, Checks: []ft.CheckID{other}})
		last := len(p.Actions)

		a, err := again.Advise(context.Background(), Budget{})
		require.NoError(t, err)
		b, err := twin.Advise(context.Background(), Budget{})
		require.NoError(t, err)
		require.Positive(t, a.Worlds)
		same(t, a.Options, b.Options)
		for _, o := range a.Options {
			if o.Action == last && o.Saves > 1e-6 {
				worth++
			}
		}

		lookAhead := func(p *Problem) outlook {
			_, base := repairing(t, p)
			f, err := p.foresee()
			require.NoError(t, err)
			require.True(t, f.has(last))
			out, err := f.lookAhead(context.Background(), base, Budget{Depth: 2, Operations: 1e9})
			require.NoError(t, err)
			return out
		}
		x, y := lookAhead(&again), lookAhead(&twin)
		require.Equal(t, 2, x.depth)
		same(t, x.options, y.options)
	}
	require.Greater(t, worth, 5, "too few of the models have a use for it")
}

// same tells whether two lists of options agree.
func same(t *testing.T, a, b []Option) {
	t.Helper()
	require.Len(t, a, len(b))
	by := make(map[int]Option)
	for _, o := range b {
		by[o.Action] = o
	}
	for _, o := range a {
		w, ok := by[o.Action]
		require.True(t, ok, "action %d", o.Action)
		require.InDelta(t, w.Expected, o.Expected, 1e-6)
		require.InDelta(t, w.Minutes, o.Minutes, 1e-9)
		require.Len(t, o.Outcomes, len(w.Outcomes))
		for k := range o.Outcomes {
			require.Equal(t, w.Outcomes[k].Results, o.Outcomes[k].Results)
			require.InDelta(t, w.Outcomes[k].P, o.Outcomes[k].P, 1e-9)
			require.InDelta(t, w.Outcomes[k].Expected, o.Outcomes[k].Expected, 1e-5)
		}
	}
}
