package plan_test

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
)

var models = flag.Int("models", 12, "random small models that the planner is measured on against the optimum; from 100 on, large ones among them")

// smallProblem draws a problem with up to 6 modes, 5 checks and 4 openings.
func smallProblem(r *rand.Rand) (*plan.Problem, error) {
	b := ft.NewBuilder()
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	var modes []ft.Event
	n := 2 + r.IntN(4)
	for i := 0; len(modes) < n; i++ {
		item := b.Item(fmt.Sprint("item", i))
		modes = append(modes, b.Mode(item, fmt.Sprint("m", i), between(.02, .25)))
		if len(modes) < n && r.IntN(4) == 0 {
			modes = append(modes, b.Mode(item, fmt.Sprint("m", i, "b"), between(.02, .2)))
		}
	}
	last := b.Cause("consequence", between(.01, .1))
	if r.IntN(2) == 0 {
		b.Raise(modes[0], last, between(.2, .6))
	}
	modes = append(modes, last)
	n = len(modes)
	top := b.Gate("top")
	g := ft.Gate{Symptom: true, Unlisted: between(.002, .03)}
	for _, e := range modes {
		s := 1.0
		if r.IntN(2) == 0 {
			s = between(.4, .95)
		}
		g.Inputs = append(g.Inputs, ft.Input{Event: e, Strength: s})
	}
	if n >= 4 && r.IntN(2) == 0 { // two of them only together
		both := b.Gate("both")
		b.Define(both, ft.Gate{Kind: ft.And, Inputs: []ft.Input{{Event: modes[0], Strength: 1}, {Event: modes[1], Strength: 1}}})
		g.Inputs = append(slices.Clone(g.Inputs[2:]), ft.Input{Event: both, Strength: 1})
	}
	b.Define(top, g)
	p := &plan.Problem{Recheck: between(1, 6), HandOn: between(40, 150)}
	open := r.IntN(5)
	for i := range open {
		o := plan.Opening{Name: fmt.Sprint("o", i), Open: between(1, 10), Close: between(1, 10), ShutToRun: r.IntN(3) == 0}
		if i > 0 && r.IntN(2) == 0 {
			o.Needs = plan.Of(r.IntN(i))
		}
		p.Openings = append(p.Openings, o)
	}
	need := func() plan.Set {
		if open == 0 || r.IntN(3) == 0 {
			return 0
		}
		return plan.Of(r.IntN(open))
	}
	for i, e := range modes {
		fixes := []ft.Event{e}
		if r.IntN(4) == 0 {
			if other := modes[r.IntN(n)]; other != e {
				fixes = append(fixes, other)
			}
		}
		success := 1.0
		if r.IntN(3) == 0 {
			success = between(.8, .99)
		}
		rep := b.Repair(ft.Repair{Name: fmt.Sprint("r", i), Fixes: fixes, Success: success})
		p.Actions = append(p.Actions, plan.Action{Kind: plan.Repair, Name: fmt.Sprint("r", i), Minutes: between(2, 40), Need: need(), Repair: rep})
	}
	for i := range r.IntN(6) {
		hit := between(.6, 1)
		row := ft.Row{Event: modes[r.IntN(n)], P: []float64{hit, 1 - hit}}
		miss := between(0, .25)
		c := ft.Check{Name: fmt.Sprint("c", i), Outcomes: []string{"yes", "no"}, Rows: []ft.Row{row}, Else: []float64{miss, 1 - miss}}
		if other := modes[r.IntN(n)]; other != row.Event && r.IntN(2) == 0 {
			c.Rows = append(c.Rows, ft.Row{Event: other, P: []float64{1 - hit, hit}})
		}
		a := plan.Action{Kind: plan.Check, Name: c.Name, Minutes: between(.5, 10), Need: need(), Checks: []ft.CheckID{b.Check(c)}}
		a.Running = a.Need == 0 && r.IntN(3) == 0
		p.Actions = append(p.Actions, a)
	}
	m, err := b.Build()
	if err != nil {
		return nil, err
	}
	belief, err := m.NewBelief().Find(ft.Present(top))
	if err != nil {
		return nil, err
	}
	p.Belief, err = belief.Complaining(top)
	return p, err
}

// The planner against the least expected minutes that any plan can reach, on
// random small models: the mean excess, the 95th percentile and the worst.
// Exact on both sides; -models N takes more.
func TestAgainstTheOptimum(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	var excess, repairsOnly []float64
	for i := 0; len(excess) < *models; {
		var some []*measured // side by side: each takes seconds
		for len(some) < 2*runtime.GOMAXPROCS(0) {
			p, err := smallProblem(r)
			require.NoError(t, err)
			if i++; *models < 100 && len(p.Actions) > 7 {
				continue // following the advice to its end takes seconds there
			}
			some = append(some, &measured{model: i, p: p})
		}
		var wg sync.WaitGroup
		for _, m := range some {
			wg.Go(m.measure)
		}
		wg.Wait()
		for _, m := range some {
			if errors.Is(m.err, plan.ErrTooLarge) || len(excess) == *models {
				continue
			}
			m.require(t)
			excess = append(excess, 100*(m.ours/m.best-1))
			repairsOnly = append(repairsOnly, 100*(m.base/m.best-1))
			if len(excess)%50 == 0 {
				t.Logf("  %d of %d models, of %d drawn", len(excess), *models, i)
			}
		}
	}
	mean, high, worst := summary(excess)
	bm, bh, bw := summary(repairsOnly)
	t.Logf("%d models, above the optimum in per cent: mean, 95th percentile, worst", len(excess))
	t.Logf("  repairs only    %6.2f %6.2f %6.2f", bm, bh, bw)
	t.Logf("  the planner     %6.2f %6.2f %6.2f", mean, high, worst)
	require.LessOrEqual(t, mean, .3)
	require.LessOrEqual(t, high, 1.5)
	require.LessOrEqual(t, worst, 8.0)
}

// measured is a small model with what the plans for it expect.
type measured struct {
	model            int
	p                *plan.Problem
	best, ours, base float64
	repairs          plan.Base
	err              error
}

func (m *measured) measure() {
	ctx := context.Background()
	if m.best, m.err = m.p.Optimum(ctx); m.err != nil {
		return
	}
	if m.ours, m.err = m.p.PlanValue(ctx, plan.Budget{}); m.err != nil {
		return
	}
	if m.base, m.err = m.p.PlanValue(ctx, plan.Budget{Nodes: 1 << 40, Depth: 0}); m.err != nil {
		return
	}
	m.repairs, m.err = m.p.RepairsAlone()
}

// require checks what holds of every model.
func (m *measured) require(t *testing.T) {
	t.Helper()
	require.NoError(t, m.err)
	require.GreaterOrEqual(t, m.ours, m.best*(1-1e-9), "model %d: no plan can beat the optimum", m.model)
	require.GreaterOrEqual(t, m.repairs.Expected, m.base*(1-1e-9), "model %d: choosing anew after each repair costs no more than the plan", m.model)
	persists(t, m.p, m.repairs)
}

// persists checks, by the belief, how likely the complaint is to persist before
// each step of a plan of repairs that was found engine by engine.
func persists(t *testing.T, p *plan.Problem, b plan.Base) {
	t.Helper()
	cures, err := p.Belief.Cures()
	require.NoError(t, err)
	var done []ft.RepairID
	left := 1.0
	for _, s := range b.Steps {
		require.InDelta(t, left, s.Before, 1e-9)
		require.InDelta(t, cures.Repair(p.Actions[s.Action].Repair), s.Cure, 1e-9)
		done = append(done, p.Actions[s.Action].Repair)
		if s.Try {
			cured, err := cures.Set(done...)
			require.NoError(t, err)
			left = 1 - cured
		}
	}
	require.InDelta(t, left, b.Left, 1e-9)
}

func summary(x []float64) (mean, high, worst float64) {
	slices.Sort(x)
	for _, v := range x {
		mean += v / float64(len(x))
	}
	return mean, x[int(math.Ceil(.95*float64(len(x))))-1], x[len(x)-1]
}
