package plan

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
)

// twoFaults is an engine with two symptoms, each of its own mode and of one that
// causes both, and checks that tell the modes apart.
func twoFaults(t *testing.T, r *rand.Rand) *Problem {
	t.Helper()
	return twoFaultsAnd(t, r, func(*ft.Builder, *Problem, []ft.Event) {})
}

// twoFaultsAnd has more in the model than twoFaults.
func twoFaultsAnd(t *testing.T, r *rand.Rand, more func(b *ft.Builder, p *Problem, modes []ft.Event)) *Problem {
	t.Helper()
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	b := ft.NewBuilder()
	p := &Problem{Recheck: between(1, 4), HandOn: between(60, 150), Openings: Openings{{Name: "o", Open: between(1, 9), Close: between(1, 9), ShutToRun: true}}}
	var modes, symptoms []ft.Event
	for i := range 3 {
		name := string(rune('A' + i))
		e := b.Cause(name, between(.02, .2))
		modes = append(modes, e)
		a := Action{Kind: Repair, Name: name, Minutes: between(4, 30), Repair: b.Repair(ft.Repair{Name: name, Fixes: []ft.Event{e}, Success: between(.85, 1)})}
		hit, miss := between(.7, 1), between(0, .2)
		c := Action{Kind: Check, Name: "look at " + name, Minutes: between(1, 5), Checks: []ft.CheckID{b.Check(ft.Check{Name: name,
			Outcomes: []string{"bad", "good"}, Rows: []ft.Row{{Event: e, P: []float64{hit, 1 - hit}}}, Else: []float64{miss, 1 - miss}})}}
		if i == 1 {
			a.Need, c.Need = Of(0), Of(0)
		}
		p.Actions = append(p.Actions, a, c)
	}
	for i := range 2 {
		s := b.Gate(string(rune('s' + i)))
		b.Define(s, ft.Gate{Symptom: true, Unlisted: .004, Inputs: []ft.Input{{Event: modes[i], Strength: between(.5, 1)}, {Event: modes[2], Strength: between(.5, 1)}}})
		symptoms = append(symptoms, s)
	}
	more(b, p, modes)
	m, err := b.Build()
	require.NoError(t, err)
	belief := m.NewBelief()
	for _, s := range symptoms {
		belief, err = belief.Find(ft.Present(s))
		require.NoError(t, err)
	}
	p.Belief, err = belief.Complaining(symptoms...)
	require.NoError(t, err)
	return p
}

// repairing is what looking ahead starts from.
func repairing(t *testing.T, p *Problem) (*ft.Cures, Base) {
	t.Helper()
	cures, err := p.Belief.Cures()
	require.NoError(t, err)
	base, err := p.shown(p.Belief, cures, p.Open)
	require.NoError(t, err)
	return cures, base
}

// Looking one check ahead over the belief says what walking through all engines
// says, where a plan of repairs alone follows every outcome: on the whole
// complaint, no second check, all results looked into.
func TestOverTheBeliefAsEngineByEngine(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 40 {
		p := twoFaults(t, r)
		_, base := repairing(t, p)
		f, err := p.foresee()
		require.NoError(t, err)
		out, err := f.lookAhead(context.Background(), base, Budget{Depth: 1, Operations: 1e9})
		require.NoError(t, err)
		require.Empty(t, out.unvalued)
		require.Len(t, out.options, 3)
		require.Equal(t, 1, out.depth)
		ws, err := p.newWorlds(true, 0)
		require.NoError(t, err)
		for _, o := range out.options {
			results, minutes, err := ws.check(ws.start(), o.Action)
			require.NoError(t, err)
			require.InDelta(t, minutes, o.Minutes, 1e-9)
			sum := minutes
			for k, x := range results {
				require.InDelta(t, x.mass, o.Outcomes[indexOf(t, o, x.results)].P, 1e-9, "outcome %d", k)
				// The very plan of repairs that was found over the belief, costed engine
				// by engine.
				found, err := p.Belief.Model().Outcome(p.Actions[o.Action].Checks[0], x.results[0])
				require.NoError(t, err)
				belief, err := p.Belief.Find(found)
				require.NoError(t, err)
				cures, err := belief.Cures()
				require.NoError(t, err)
				plan, err := p.base(belief, cures, x.state.open)
				require.NoError(t, err)
				v := costed(ws, x.state, plan)
				require.InDelta(t, v, plan.Expected*x.mass, 1e-7)
				require.InDelta(t, plan.Expected, o.Outcomes[indexOf(t, o, x.results)].Expected, 1e-7)
				sum += v
			}
			require.InDelta(t, sum, o.Expected, 1e-6)
		}
	}
}

func indexOf(t *testing.T, o Option, results []int) int {
	t.Helper()
	for i, x := range o.Outcomes {
		if x.Results[0] == results[0] {
			return i
		}
	}
	t.Fatalf("the outcome %v was not looked into", results)
	return -1
}

// costed is what a plan of repairs, each tried, costs over the engines of a
// state, handing on at its end.
func costed(ws *worlds, s *state, plan Base) float64 {
	sum := 0.0
	for _, st := range plan.Steps {
		cost, after, ok := ws.block(s, []int{st.Action})
		if !ok {
			return -1
		}
		sum += cost
		s = after
	}
	return sum + s.mass()*(ws.p.HandOn+ws.p.Openings.CloseAll(s.open))
}

// A further check saves or is not made; working on one symptom first is advised
// only where it takes less than the plan for all; and the same problem gets the
// same advice.
func TestLookingFurther(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	inParts, deeper := 0, 0
	for range 40 {
		p := twoFaults(t, r)
		_, whole := repairing(t, p)
		f, err := p.foresee()
		require.NoError(t, err)
		once, err := f.lookAhead(context.Background(), whole, Budget{Depth: 1, Operations: 1e9})
		require.NoError(t, err)
		twice, err := f.lookAhead(context.Background(), whole, Budget{Depth: 2, Operations: 1e9})
		require.NoError(t, err)
		expected := make(map[int]float64)
		for _, o := range once.options {
			expected[o.Action] = o.Expected
		}
		for _, o := range twice.options {
			require.LessOrEqual(t, o.Expected, expected[o.Action]+1e-9)
			if o.Expected < expected[o.Action]-1e-6 {
				deeper++
			}
		}
		adv, again := &Advice{First: ft.None, Base: whole}, &Advice{First: ft.None, Base: whole}
		done, err := p.adviseParts(context.Background(), Standard(), adv)
		require.NoError(t, err)
		_, err = p.adviseParts(context.Background(), Standard(), again)
		require.NoError(t, err)
		require.Equal(t, adv, again)
		require.LessOrEqual(t, adv.Base.Expected, whole.Expected)
		require.Equal(t, done, adv.First != ft.None)
		if done {
			inParts++
			require.Less(t, adv.Base.Expected, whole.Expected)
		}
	}
	require.Positive(t, deeper)
	require.Positive(t, inParts)
}

// What a second check saves is the same whether it is reckoned over the rows that
// decide its outcome or over the outcomes one by one.
func TestSecondByRowAsByOutcome(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 40 {
		p := twoFaults(t, r)
		f, err := p.foresee()
		require.NoError(t, err)
		start := ahead{f.belief, f.cures, p.Open, nil}
		alone := singles(p.Belief.Model(), f.cures)
		without, _ := f.roughly(alone, p.Open)
		for _, s := range f.checks {
			byRow, err := f.second(context.Background(), start, s, alone, f.post, without)
			require.NoError(t, err)
			byOutcome, err := f.check(context.Background(), start, s, without, firstResults, f.nearly)
			require.NoError(t, err)
			require.InDelta(t, byOutcome.Expected, byRow, 1e-6)
		}
	}
}

// Checks keep their places while those of a round are made, and what was found in
// the round does not change which they are.
func TestRounds(t *testing.T) {
	p := twoFaults(t, rand.New(rand.NewPCG(9, 10)))
	before, made := p.round()
	require.Empty(t, made)
	require.Equal(t, p.Belief, before)
	pool, err := p.pool(before, made)
	require.NoError(t, err)
	require.Len(t, pool, 3)
	found, err := p.Belief.Model().Outcome(p.Actions[1].Checks[0], 0)
	require.NoError(t, err)
	p.Belief, err = p.Belief.Find(found)
	require.NoError(t, err)
	p.Actions[1].Barred = "done"
	before, made = p.round()
	require.Equal(t, map[int]bool{1: true}, made)
	again, err := p.pool(before, made)
	require.NoError(t, err)
	require.Equal(t, pool, again)
	// A repair begins a new round.
	p.Belief, err = p.Belief.Repaired(0)
	require.NoError(t, err)
	_, made = p.round()
	require.Empty(t, made)
}

// Wear is weighed in what is expected and left out of the minutes that are spent.
func TestWear(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for range 20 {
		p := twoFaults(t, r)
		q := *p
		q.Openings = slices.Clone(p.Openings)
		q.Openings[0].Wear = 25
		spent := func(p *Problem) map[int]float64 {
			adv, err := p.Advise(context.Background(), Budget{})
			require.NoError(t, err)
			out := make(map[int]float64)
			for _, o := range adv.Options {
				out[o.Action] = o.Minutes
			}
			for _, s := range adv.Base.Steps {
				require.GreaterOrEqual(t, s.Minutes, p.Actions[s.Action].Minutes)
				require.LessOrEqual(t, s.Minutes, p.Actions[s.Action].Minutes+p.Openings[0].Open+p.Openings[0].Close+p.Recheck+1e-9)
			}
			return out
		}
		plain, worn := spent(p), spent(&q)
		for a, m := range worn {
			if w, ok := plain[a]; ok {
				require.InDelta(t, w, m, 1e-9)
			}
		}
		a, err := p.RepairsAlone()
		require.NoError(t, err)
		b, err := q.RepairsAlone()
		require.NoError(t, err)
		require.GreaterOrEqual(t, b.Expected, a.Expected-1e-9)
	}
}

// A greater budget looks into no less, whatever the size of the program; a
// vanishing one still looks into something.
func TestReach(t *testing.T) {
	work := func(s scope) int {
		return s.checks*firstResults + s.after*firstResults*(1+s.breadth.checks*s.results)
	}
	for _, program := range []float64{1, 1e3, 1e5, 1e7} {
		last := reach(0, program)
		require.True(t, last.rough)
		require.Equal(t, 2, last.checks)
		for operations := 1e3; operations < 1e12; operations *= 1.3 {
			to := reach(operations, program)
			if !to.rough && !last.rough {
				require.GreaterOrEqual(t, work(to), work(last))
			}
			last = to
		}
		require.Equal(t, scope{firstChecks, breadths()[0], false}, last)
	}
}

// A check that says something and changes nothing, beside one that does: it saves
// nothing, though the other may be made after it as well as before. Two that
// change nothing alone, and something together, do not count as such (as in T12 of
// the published checks).
func TestIdle(t *testing.T) {
	build := func(odds ...[2]float64) *Problem {
		b := ft.NewBuilder()
		p := &Problem{Recheck: 2, HandOn: 200}
		var modes []ft.Event
		s := b.Gate("s")
		g := ft.Gate{Symptom: true, Unlisted: .001}
		for i, x := range []struct{ prior, minutes float64 }{{.3, 40}, {.12, 40}} {
			name := string(rune('A' + i))
			e := b.Cause(name, x.prior)
			modes, g.Inputs = append(modes, e), append(g.Inputs, ft.Input{Event: e, Strength: .9})
			p.Actions = append(p.Actions, Action{Kind: Repair, Name: name, Minutes: x.minutes, Repair: b.Repair(ft.Repair{Name: name, Fixes: []ft.Event{e}, Success: 1})})
		}
		b.Define(s, g)
		for i, o := range odds {
			c := b.Check(ft.Check{Name: string(rune('x' + i)), Outcomes: []string{"bad", "good"},
				Rows: []ft.Row{{Event: modes[0], P: []float64{o[0], 1 - o[0]}}}, Else: []float64{o[1], 1 - o[1]}})
			p.Actions = append(p.Actions, Action{Kind: Check, Name: string(rune('x' + i)), Minutes: .05, Checks: []ft.CheckID{c}})
		}
		m, err := b.Build()
		require.NoError(t, err)
		belief, err := m.NewBelief().Find(ft.Present(s))
		require.NoError(t, err)
		p.Belief, err = belief.Complaining(s)
		require.NoError(t, err)
		return p
	}
	both := func(p *Problem, want map[int]bool) {
		t.Helper()
		adv, err := p.Advise(context.Background(), Budget{})
		require.NoError(t, err)
		require.Positive(t, adv.Worlds)
		_, base := repairing(t, p)
		f, err := p.foresee()
		require.NoError(t, err)
		out, err := f.lookAhead(context.Background(), base, Budget{Depth: 2, Operations: 1e9})
		require.NoError(t, err)
		seen := 0
		for _, o := range append(adv.Options, out.options...) {
			if idle, ok := want[o.Action]; ok {
				require.Equal(t, idle, o.Idle, "%+v", o)
				seen++
			}
		}
		require.Equal(t, 2*len(want), seen)
		for _, o := range adv.Options {
			if o.Idle {
				require.Equal(t, -o.Minutes, o.Saves)
			}
		}
	}
	weak, strong := [2]float64{.52, .48}, [2]float64{.98, .02}
	both(build(weak), map[int]bool{2: true})
	both(build(weak, strong), map[int]bool{2: true, 3: false})
	// Either alone leaves A first; both against it do not.
	half := [2]float64{.7, .3}
	both(build(half), map[int]bool{2: true})
	both(build(half, half), map[int]bool{2: false, 3: false})
}
