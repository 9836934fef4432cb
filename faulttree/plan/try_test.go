package plan_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
)

// A complaint that was only told of. Worked by hand: a fault of prior 0.1 that
// always causes it, told of with chance 0.9 if it is there and 0.3 if not, so that
// it is there in 0.09/(0.09+0.27) = 0.25. Repairing and trying takes 24 minutes
// whether it is there or not. Trying first, for 4 minutes, expects
//   - where it always shows, 4 + 0.25*24 = 10;
//   - where it shows in 0.8 of tries, 4 + 0.2*24 + 0.8*u, u being what follows a try
//     at which it did not: let go, and back in 0.05/0.8 of them for another try and
//     the repair, 0.0625*(4+24) = 1.75. So 10.2.
func TestSeeingItFirst(t *testing.T) {
	b := ft.NewBuilder()
	a := b.Cause("A", .1)
	s := b.Gate("s")
	b.Define(s, ft.Gate{Symptom: true, Unlisted: 1e-13, Inputs: []ft.Input{{Event: a, Strength: 1}}})
	r := b.Repair(ft.Repair{Name: "A", Fixes: []ft.Event{a}, Success: 1})
	m, err := b.Build()
	require.NoError(t, err)
	told, err := m.NewBelief().Complaining(s)
	require.NoError(t, err)
	// Told of where it is hardly ever there, it is worth a look all the more: there
	// in 0.1*0.9/(0.1*0.9+0.9*40) = 1/401, so 4 + 24/401 minutes.
	p := &plan.Problem{Recheck: 4, HandOn: 100, Actions: []plan.Action{
		{Kind: plan.Repair, Name: "A", Minutes: 20, Repair: r},
		{Kind: plan.Try, Name: "see it", Minutes: 4, Running: true, Shows: 1},
	}}
	p.Belief, err = told.Find(ft.Soft(s, .9, 40))
	require.NoError(t, err)
	require.InDelta(t, 4+24./401, advise(t, p).Options[0].Expected, 1e-6)

	for shows, want := range map[float64]float64{1: 10, .8: 10.2} {
		p := &plan.Problem{Recheck: 4, HandOn: 100, Actions: []plan.Action{
			{Kind: plan.Repair, Name: "A", Minutes: 20, Repair: r},
			{Kind: plan.Try, Name: "see it", Minutes: 4, Running: true, Shows: shows},
		}}
		p.Belief, err = told.Find(ft.Soft(s, .9, .3))
		require.NoError(t, err)
		adv := advise(t, p)
		require.InDelta(t, 24, adv.Base.Expected, 1e-6)
		require.Equal(t, 1, adv.Options[0].Action)
		require.InDelta(t, want, adv.Options[0].Expected, 1e-6)
		require.InDelta(t, 24-want, adv.Options[0].Saves, 1e-6)
		require.InDelta(t, .25*shows, adv.Options[0].Outcomes[0].P, 1e-6)

		// Seen already, it is not offered; barred neither.
		for _, barred := range []bool{false, true} {
			q := *p
			q.Actions = append([]plan.Action(nil), p.Actions...)
			if barred {
				q.Actions[1].Barred = "no water"
			} else if q.Belief, err = told.Find(ft.Present(s)); err != nil {
				t.Fatal(err)
			}
			for _, o := range advise(t, &q).Options {
				require.NotEqual(t, 1, o.Action)
			}
		}
	}
}
