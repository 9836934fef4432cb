package study

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/faulttree/plan"
	"narrows/knowledge"
)

// listed does the actions of that name one after the other, then hands on.
type listed []string

func (listed) ID() string    { return "listed" }
func (listed) Title() string { return "a list" }
func (l listed) Next(_ context.Context, p *plan.Problem, h *History) (int, error) {
	if len(h.Steps) == len(l) {
		return HandOn, nil
	}
	return slices.IndexFunc(p.Actions, func(a plan.Action) bool { return a.Name == l[len(h.Steps)] }), nil
}

const (
	clearVent = "clear the vent in the cap"
	cleanCarb = "clean the carburettor throughout"
	lookBowl  = "bowl, jets and needle"
	renewPlug = "renew the spark plug"
	flow      = "fuel flow at the carburettor"

	cleanFilter = "clean or renew the air filter"
)

// Minutes added up by hand from the pack. Opening and closing: side cover 2 and
// 2, plug 2 and 2, filter cover 1 and 1, bowl 4 and 5 (behind the side cover),
// carburettor 6 and 8 (behind both covers); bowl, carburettor and plug must be
// closed to run; a bowl gasket of 2 is used up by looking. Trying the complaint
// 4, handing on 240. What is weighed for a risk is not spent.
func TestMinutesByHand(t *testing.T) {
	for _, x := range []struct {
		name, causes, symptom string
		does                  listed
		want                  Result
	}{
		{"cures at once", "cap_vent.blocked", "fades", listed{clearVent}, Result{Minutes: 3 + 4, Cured: true, Actions: 1}},
		{"behind openings", "pilot_jet.blocked", "surge_light", listed{cleanCarb},
			Result{Minutes: (2 + 1 + 4 + 6) + (15 + 6) + (5 + 8) + 4 + (2 + 1), Cured: true, Actions: 1}},
		{"hands on at once", "cap_vent.blocked", "fades", nil, Result{Minutes: 240}},
		{"looks in vain", "cap_vent.blocked", "fades", listed{lookBowl},
			Result{Minutes: (2 + 4) + (6 + 2) + 240 + (5 + 2), Actions: 1, Needless: 2}},
		{"finds it", "pilot_jet.blocked", "surge_light", listed{lookBowl, cleanCarb},
			Result{Minutes: (2 + 4) + (6 + 2) + (1 + 6) + (15 + 6) + (5 + 8) + 4 + (2 + 1), Cured: true, Actions: 2}},
		{"a part in vain", "cap_vent.blocked", "fades", listed{renewPlug, clearVent},
			Result{Minutes: 2 + (1 + 4) + 2 + 4 + 3 + 4, Cured: true, Actions: 2, Needless: 1, InVain: 1}},
		// The side cover stays off while the engine runs, and what was found
		// behind it counts though the second look finds nothing.
		{"found once", "cap_vent.blocked", "fades", listed{flow, lookBowl, clearVent},
			Result{Minutes: 2 + 4 + 4 + (6 + 2) + 3 + 5 + 4 + 2, Cured: true, Actions: 3, Needless: 1}},
		// Looked at in 2; washed in 2 more and parts of 6 only if it is bad.
		{"a filter that is bad", "air_filter.clogged", "smoke_black", listed{cleanFilter},
			Result{Minutes: 1 + 2 + (2 + 6) + 4 + 1, Cured: true, Actions: 1}},
		{"a filter that is good", "cap_vent.blocked", "fades", listed{cleanFilter, clearVent},
			Result{Minutes: 1 + 2 + 4 + 3 + 4 + 1, Cured: true, Actions: 2, Needless: 1}},
	} {
		t.Run(x.name, func(t *testing.T) {
			g := pump(t)
			f := caseOf(t, g, "complaint: {present: ["+x.symptom+"]}, causes: ["+x.causes+"]")
			a, err := g.Play(context.Background(), f, x.does)
			require.NoError(t, err)
			x.want.FirstRight = a.FirstRight
			require.Equal(t, x.want, a.Result)
		})
	}
}

// caseOf reads one worked case of the pump.
func caseOf(t *testing.T, g *Ground, body string) *Worked {
	t.Helper()
	f, err := ReadCases(knowledge.Source{Name: "x.yaml", Data: []byte("study: x\nformat: 1\nengine: holm_pump_5\ncases: {one: {" + body + "}}\n")})
	require.NoError(t, err)
	ws, err := f.On(g.Engine())
	require.NoError(t, err)
	require.Len(t, ws, 1)
	return ws[0]
}

// A policy that does what cannot be done is a fault of the policy.
func TestChoiceThatCannotBe(t *testing.T) {
	g := pump(t)
	w := caseOf(t, g, "complaint: {present: [fades]}, causes: [cap_vent.blocked]")
	_, err := g.Play(context.Background(), w, listed{lookBowl, lookBowl})
	require.ErrorContains(t, err, "the policy listed chose action")
}

// restless makes the first check that it may, then fits a plug.
type restless struct{ listed }

func (restless) Next(_ context.Context, p *plan.Problem, _ *History) (int, error) {
	return slices.IndexFunc(p.Actions, func(a plan.Action) bool {
		return a.Kind == plan.Check && a.Barred == "" || a.Name == renewPlug
	}), nil
}

// After 40 actions the job is handed on.
func TestEndsAfterFortyActions(t *testing.T) {
	g := pump(t)
	w := caseOf(t, g, "complaint: {present: [smoke_blue]}, causes: [rings.worn]")
	a, err := g.Play(context.Background(), w, restless{})
	require.NoError(t, err)
	require.False(t, a.Cured)
	require.Equal(t, MostActions, a.Actions)
}
