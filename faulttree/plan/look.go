package plan

import (
	"context"
	"errors"
	"slices"
	"sync"

	ft "narrows/faulttree"
)

// Budget bounds the work of Advise by counts, not by time, so that the same
// case gets the same advice on any machine.
type Budget struct {
	Checks  int // how many checks are valued; the rest are screened out
	Results int // how many joint results of one check are valued
}

// standard is enough for the packs that come with the program.
func standard() Budget { return Budget{Checks: 5, Results: 6} }

// Advise ranks what to do next. With a zero Budget it uses a default. It
// returns early with the context's error.
func (p *Problem) Advise(ctx context.Context, budget Budget) (*Advice, error) {
	if budget == (Budget{}) {
		budget = standard()
	}
	base, err := p.base(p.Belief, p.Open)
	if err != nil {
		return nil, err
	}
	bound, err := p.bound(p.Belief, p.Open)
	if err != nil {
		return nil, err
	}
	adv := &Advice{Base: base, Bound: min(bound, base.Expected), WhileOpen: p.whileOpen()}
	p.valueRepairs(adv)
	post, err := p.overview()
	if err != nil {
		return nil, err
	}
	ranked := p.screen(post)
	for valued := 0; valued < budget.Checks && len(ranked) > 0; {
		n := min(budget.Checks-valued, len(ranked))
		options, err := p.valueChecks(ctx, ranked[:n], adv.Base, budget)
		if err != nil {
			return nil, err
		}
		for i, o := range options {
			if o == nil {
				adv.Unvalued = append(adv.Unvalued, ranked[i].action)
				continue
			}
			adv.Options = append(adv.Options, *o)
			valued++
		}
		ranked = ranked[n:]
	}
	for _, s := range ranked {
		adv.Unvalued = append(adv.Unvalued, s.action)
	}
	slices.SortStableFunc(adv.Options, func(a, b Option) int {
		switch {
		case a.Expected < b.Expected:
			return -1
		case a.Expected > b.Expected:
			return 1
		}
		return a.Action - b.Action
	})
	return adv, nil
}

// overview is the belief about the modes and, where that can be computed, about
// all gates that the complaint is made of.
func (p *Problem) overview() (*ft.Posterior, error) {
	var gates []ft.Event
	for _, s := range p.Belief.Complaint() {
		gates = append(gates, p.Belief.Model().Below(s)...)
	}
	post, err := p.Belief.Including(gates...).Solve()
	if errors.Is(err, ft.ErrEntangled) {
		return p.Belief.Solve()
	}
	return post, err
}

// valueRepairs adds the options to start the base plan and to hand on.
func (p *Problem) valueRepairs(adv *Advice) {
	for i, a := range p.Actions {
		if a.Kind == HandOn && a.Barred == "" {
			e := p.HandOn + p.Openings.CloseAll(p.Open)
			adv.Options = append(adv.Options, Option{Action: i, Minutes: p.HandOn, Expected: e, Saves: adv.Base.Expected - e})
		}
	}
	if len(adv.Base.Steps) > 0 {
		s := adv.Base.Steps[0]
		adv.Options = append(adv.Options, Option{Action: s.Action, Minutes: s.Minutes, Expected: adv.Base.Expected, Cure: s.Cure})
	}
}

// valueChecks values several checks side by side, one goroutine each; they are
// independent of one another. A check that cannot be computed gives nil.
func (p *Problem) valueChecks(ctx context.Context, checks []screened, base Base, budget Budget) ([]*Option, error) {
	options := make([]*Option, len(checks))
	errs := make([]error, len(checks))
	var wg sync.WaitGroup
	for i, s := range checks {
		wg.Go(func() {
			if errs[i] = ctx.Err(); errs[i] != nil {
				return
			}
			o, err := p.valueCheck(s, base, budget)
			switch {
			case errors.Is(err, ft.ErrEntangled):
			case err != nil:
				errs[i] = err
			default:
				options[i] = &o
			}
		})
	}
	wg.Wait()
	return options, errors.Join(errs...)
}

// valueCheck gives a check the expected minutes that its outcomes lead to.
func (p *Problem) valueCheck(s screened, base Base, budget Budget) (Option, error) {
	o := Option{Action: s.action, Minutes: s.minutes}
	results, err := p.results(p.Actions[s.action].Checks, budget.Results)
	if err != nil {
		return o, err
	}
	rest := 1.0
	for _, r := range results {
		plan, err := p.base(r.belief, s.after)
		if err != nil {
			return o, err
		}
		out := Outcome{Results: r.outcomes, P: r.p, Expected: plan.Expected, First: -1}
		if len(plan.Steps) > 0 {
			out.First = plan.Steps[0].Action
		}
		o.Outcomes = append(o.Outcomes, out)
		o.Expected += r.p * plan.Expected
		rest -= r.p
	}
	// Results too rare to be valued lead, at worst, to the plan without the
	// check.
	without, err := p.base(p.Belief, s.after)
	if err != nil {
		return o, err
	}
	o.Expected += max(0, rest)*without.Expected + s.minutes
	o.Saves = base.Expected - o.Expected
	return o, nil
}

// result is a joint outcome of checks answered together.
type result struct {
	outcomes []int
	p        float64
	belief   *ft.Belief
}

// results lists the joint outcomes of the checks, the likeliest kept.
func (p *Problem) results(checks []ft.CheckID, most int) ([]result, error) {
	open := []result{{p: 1, belief: p.Belief}}
	for _, c := range checks {
		var next []result
		for _, r := range open {
			more, err := extend(r, c, checks)
			if err != nil {
				return nil, err
			}
			next = append(next, more...)
		}
		slices.SortStableFunc(next, func(a, b result) int {
			switch {
			case a.p > b.p:
				return -1
			case a.p < b.p:
				return 1
			}
			return slices.Compare(a.outcomes, b.outcomes)
		})
		if len(next) > most {
			next = next[:most]
		}
		open = next
	}
	return open, nil
}

// extend adds the outcomes of one more of the checks answered together.
func extend(r result, c ft.CheckID, together []ft.CheckID) ([]result, error) {
	post, err := r.belief.Watching(together...).Solve()
	if errors.As(err, new(*ft.ImpossibleError)) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var out []result
	m := r.belief.Model()
	for k, q := range post.Outcomes(c) {
		if q < 1e-6 {
			continue
		}
		f, err := m.Outcome(c, k)
		if err != nil {
			return nil, err
		}
		b, err := r.belief.Find(f)
		if err != nil {
			return nil, err
		}
		out = append(out, result{append(slices.Clone(r.outcomes), k), r.p * q, b})
	}
	return out, nil
}

// whileOpen lists the checks whose openings are open now, among those that
// need any.
func (p *Problem) whileOpen() []int {
	var out []int
	for i, a := range p.Actions {
		if a.Kind == Check && a.Barred == "" && a.Need != 0 && p.Openings.required(a.Need)&^p.Open == 0 && a.Shut&p.Open == 0 && !a.Running {
			out = append(out, i)
		}
	}
	return out
}
