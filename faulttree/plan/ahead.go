package plan

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"sync"

	ft "narrows/faulttree"
)

// Where the engines that may stand on the bench are too many to walk through,
// the planner looks one check ahead, every number computed from the belief.

// What is valued then: so many checks, the rest screened out; so many joint
// results of one check.
const (
	fewChecks  = 5
	fewResults = 6
)

// lookOnce gives the options of looking one check ahead.
func (p *Problem) lookOnce(ctx context.Context, base Base) (options []Option, unvalued []int, err error) {
	post, err := p.overview()
	if err != nil {
		return nil, nil, err
	}
	ranked := p.screen(post)
	for len(options) < fewChecks && len(ranked) > 0 {
		n := min(fewChecks-len(options), len(ranked))
		valued, err := p.valueChecks(ctx, ranked[:n], base)
		if err != nil {
			return nil, nil, err
		}
		for i, o := range valued {
			if o == nil {
				unvalued = append(unvalued, ranked[i].action)
				continue
			}
			options = append(options, *o)
		}
		ranked = ranked[n:]
	}
	for _, s := range ranked {
		unvalued = append(unvalued, s.action)
	}
	return options, unvalued, nil
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

// valueChecks values several checks side by side, one goroutine each; they are
// independent of one another. A check that cannot be computed gives nil.
func (p *Problem) valueChecks(ctx context.Context, checks []screened, base Base) ([]*Option, error) {
	options := make([]*Option, len(checks))
	errs := make([]error, len(checks))
	var wg sync.WaitGroup
	for i, s := range checks {
		wg.Go(func() {
			if errs[i] = ctx.Err(); errs[i] != nil {
				return
			}
			o, err := p.valueCheck(s, base)
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
func (p *Problem) valueCheck(s screened, base Base) (Option, error) {
	o := Option{Action: s.action, Minutes: s.minutes}
	results, err := p.results(p.Actions[s.action].Checks, fewResults)
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
			return cmp.Or(cmp.Compare(b.p, a.p), slices.Compare(a.outcomes, b.outcomes))
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
