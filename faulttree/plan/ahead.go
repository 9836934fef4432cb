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
// the planner looks ahead over the belief: for the checks that say most for
// their minutes, over their outcomes, and for the most promising of them over
// the outcomes of a second check. What the first check leads to is exact; what a
// second would save beyond that is reckoned roughly (rough.go), since there are
// hundreds of them.

// How much is looked into at most: checks at first, and joint results of each.
const (
	firstChecks  = 8
	firstResults = 5
)

// breadth is how much is looked into at second: after so many of the first
// checks, so many second ones, and so many joint results of each.
type breadth struct{ after, checks, results int }

// breadths are what is looked into at second where the operations are enough for
// all of it, the widest first; of the last, as far as they go.
func breadths() []breadth { return []breadth{{8, 7, 5}, {8, 5, 3}, {3, 3, 2}} }

// How many passes through a program it takes to find a plan of repairs, and a
// rough one.
const (
	planPasses  = 9
	roughPasses = 4
)

// scope is how far operations of the budget are enough for.
type scope struct {
	checks int
	breadth
	rough bool // not even two checks can be looked into exactly
}

func reach(operations, program float64) scope {
	most := func(share, passes float64) int {
		return int(share * operations / max(1, program*passes*firstResults))
	}
	n := most(0.6, planPasses)
	if n < 2 {
		return scope{checks: min(firstChecks, max(2, most(1, roughPasses))), rough: true}
	}
	to := scope{checks: min(firstChecks, n)}
	for _, to.breadth = range breadths() {
		after := most(0.4, roughPasses*float64(1+to.breadth.checks*to.results))
		if after >= to.after {
			return to
		}
		to.after = min(to.after, after)
	}
	return to
}

// foresight looks ahead from a belief. All checks that it looks into have a
// place in the belief from the start, with findings that say nothing: so all
// their outcomes are computed by one program.
type foresight struct {
	p      *Problem
	checks []screened
	belief *ft.Belief
	silent map[ft.CheckID]int // the findings that say nothing
	share  []float64          // by action, of a repair of many modes: see shares
	to     scope
}

// foresee prepares for looking ahead over the first of the checks, as many as
// can be computed together and the budget is enough for.
func (p *Problem) foresee(ranked []screened, cures *ft.Cures, budget Budget) (*foresight, error) {
	share := p.shares(cures)
	for n := min(firstChecks, len(ranked)); n > 0; n /= 2 {
		f := &foresight{p: p, checks: ranked[:n], belief: p.Belief, share: share, silent: make(map[ft.CheckID]int)}
		err := f.lay()
		if err == nil {
			err = f.compile(budget)
		}
		if !errors.Is(err, ft.ErrEntangled) {
			return f, err
		}
	}
	return &foresight{p: p, belief: p.Belief, share: share}, nil
}

// lay makes room for the checks in the belief.
func (f *foresight) lay() error {
	m := f.p.Belief.Model()
	for _, s := range f.checks {
		for _, c := range f.p.Actions[s.action].Checks {
			if _, ok := f.silent[c]; ok {
				continue
			}
			b, err := f.belief.Find(ft.Reading(c, slices.Repeat([]float64{1}, len(m.Checks()[c].Rows)+1)))
			if err != nil {
				return err
			}
			all := b.Findings()
			f.silent[c] = all[len(all)-1].ID
			f.belief = b.Watching(c)
		}
	}
	return nil
}

// compile makes the two programs that looking ahead takes, side by side. The
// likelihoods of outcomes are at most those of the findings that say nothing, so
// that the rounding error of what follows is no larger than it is now, and need
// not be watched unless it was too large.
func (f *foresight) compile(budget Budget) error {
	var wg sync.WaitGroup
	var solve, cure error
	var cures *ft.Cures
	wg.Go(func() { _, solve = f.belief.Solve() })
	wg.Go(func() { cures, cure = f.belief.Cures() })
	wg.Wait()
	if err := errors.Join(solve, cure); err != nil {
		return err
	}
	if !cures.Cancelled() {
		f.belief = f.belief.Unbounded()
	}
	f.to = reach(budget.Operations, float64(cures.Operations()))
	if budget.Depth < 2 {
		f.to.after = 0
	}
	f.checks = f.checks[:min(f.to.checks, len(f.checks))]
	return nil
}

// ahead is the state that looking ahead has reached.
type ahead struct {
	belief *ft.Belief
	open   Set
	made   []int // actions
}

// prospect is what is to be expected from a state: the least minutes, those
// without a further check, and what to do first, an action or -1 to hand on.
type prospect struct {
	least, plain float64
	first        int
}

// exactly is the prospect of repairs alone.
func (f *foresight) exactly(_ context.Context, at ahead) (prospect, error) {
	base, err := f.p.base(at.belief, at.open)
	v := prospect{base.Expected, base.Expected, -1}
	if len(base.Steps) > 0 {
		v.first = base.Steps[0].Action
	}
	return v, err
}

// nearly is the same, roughly.
func (f *foresight) nearly(_ context.Context, at ahead) (prospect, error) {
	least, first, err := f.roughly(at.belief, at.open)
	return prospect{least, least, first}, err
}

// further is the prospect, roughly, if one more check may be made.
func (f *foresight) further(ctx context.Context, at ahead) (prospect, error) {
	v, err := f.nearly(ctx, at)
	if err != nil {
		return v, err
	}
	next, err := f.promising(at)
	if err != nil {
		return v, err
	}
	for _, s := range next {
		o, err := f.check(ctx, at, s, v.plain, f.to.results, f.nearly)
		if err != nil {
			return v, err
		}
		if o.Expected < v.least {
			v.least, v.first = o.Expected, s.action
		}
	}
	return v, nil
}

// promising are the checks, not made yet, that say most for their minutes as
// things stand.
func (f *foresight) promising(at ahead) ([]screened, error) {
	post, err := at.belief.Solve()
	if err != nil {
		return nil, err
	}
	m := f.p.Belief.Model()
	var out []screened
	for _, s := range f.checks {
		act := &f.p.Actions[s.action]
		move, after, err := f.p.Openings.Reach(at.open, act)
		if err != nil || slices.Contains(at.made, s.action) {
			continue
		}
		s.minutes, s.after = move+act.Minutes, after
		s.rate = 0
		for _, c := range act.Checks {
			s.rate += tells(m.Checks()[c], post.Rows(c)) / max(0.5, s.minutes)
		}
		if s.rate > 1e-4 {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b screened) int {
		return cmp.Or(cmp.Compare(b.rate, a.rate), a.action-b.action)
	})
	return out[:min(len(out), f.to.breadth.checks)], nil
}

// check gives a check the expected minutes that its outcomes lead to, each with
// the prospect then; without the check there are so many.
func (f *foresight) check(ctx context.Context, at ahead, s screened, without float64, results int, then func(context.Context, ahead) (prospect, error)) (o seen, err error) {
	o.Option = Option{Action: s.action, Minutes: s.minutes, Expected: s.minutes}
	found, err := f.results(at, f.p.Actions[s.action].Checks, results)
	if err != nil {
		return o, err
	}
	rest := 1.0
	made := append(slices.Clone(at.made), s.action)
	for _, r := range found {
		if err := ctx.Err(); err != nil {
			return o, err
		}
		v, err := then(ctx, ahead{r.belief, s.after, made})
		if err != nil {
			return o, err
		}
		o.Outcomes = append(o.Outcomes, Outcome{Results: r.outcomes, P: r.p, Expected: v.least, First: v.first})
		o.gains = append(o.gains, v.plain-v.least)
		o.Expected += r.p * v.least
		rest -= r.p
	}
	// Results too rare to be looked into lead, at worst, to the plan without the
	// check; what the check has opened is closed again then.
	o.Expected += max(0, rest) * (without + f.p.Openings.CloseAll(s.after&^at.open))
	o.Saves = without - o.Expected
	return o, nil
}

// seen is a check that was looked into, with what a further check would save
// after each of its outcomes.
type seen struct {
	Option
	gains []float64
}

// deepen adds what a further check would save.
func (o *seen) deepen(d seen) {
	for k := range o.Outcomes {
		o.Outcomes[k].Expected -= d.gains[k]
		o.Expected -= o.Outcomes[k].P * d.gains[k]
		o.Saves += o.Outcomes[k].P * d.gains[k]
		if d.gains[k] > 0 {
			o.Outcomes[k].First = d.Outcomes[k].First
		}
	}
}

// outlook is what looking ahead came to.
type outlook struct {
	options  []Option
	unvalued []int // checks that were not looked into
	depth    int   // checks looked ahead
}

// lookAhead looks ahead from the problem's belief, of which the cures and the
// base plan are known.
func (p *Problem) lookAhead(ctx context.Context, cures *ft.Cures, base Base, budget Budget) (out outlook, err error) {
	post, err := p.overview()
	if err != nil {
		return out, err
	}
	ranked := p.screen(post)
	f, err := p.foresee(ranked, cures, budget)
	if err != nil {
		return out, err
	}
	for _, s := range ranked[len(f.checks):] {
		out.unvalued = append(out.unvalued, s.action)
	}
	start := ahead{f.belief, p.Open, nil}
	without, then := base.Expected, f.exactly
	if f.to.rough {
		then = f.nearly
		if without, _, err = f.roughly(f.belief, p.Open); err != nil {
			return out, err
		}
	}
	all, err := f.each(ctx, start, f.checks, without, then)
	if err != nil {
		return out, err
	}
	for i := range all {
		all[i].Expected = base.Expected - all[i].Saves
	}
	slices.SortStableFunc(all, func(a, b seen) int { return cmp.Compare(a.Expected, b.Expected) })
	var best []screened
	for _, o := range all[:min(f.to.after, len(all))] {
		best = append(best, f.checks[slices.IndexFunc(f.checks, func(s screened) bool { return s.action == o.Action })])
	}
	deeper, err := f.each(ctx, start, best, base.Expected, f.further)
	if err != nil {
		return out, err
	}
	for i, d := range deeper {
		all[i].deepen(d)
	}
	for _, o := range all {
		out.options = append(out.options, o.Option)
	}
	out.depth = min(1, len(all)) + min(1, len(best))
	return out, nil
}

// each looks into several checks side by side; they are independent of one
// another.
func (f *foresight) each(ctx context.Context, at ahead, checks []screened, without float64, then func(context.Context, ahead) (prospect, error)) ([]seen, error) {
	all, errs := make([]seen, len(checks)), make([]error, len(checks))
	var wg sync.WaitGroup
	for i, s := range checks {
		wg.Go(func() { all[i], errs[i] = f.check(ctx, at, s, without, firstResults, then) })
	}
	wg.Wait()
	return all, errors.Join(errs...)
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

// result is a joint outcome of checks answered together.
type result struct {
	outcomes []int
	p        float64
	belief   *ft.Belief
}

// results lists the joint outcomes of checks answered together, the likeliest
// kept.
func (f *foresight) results(at ahead, checks []ft.CheckID, most int) ([]result, error) {
	all := []result{{p: 1, belief: at.belief}}
	for _, c := range checks {
		var next []result
		for _, r := range all {
			more, err := f.extend(r, c)
			if err != nil {
				return nil, err
			}
			next = append(next, more...)
		}
		slices.SortStableFunc(next, func(a, b result) int {
			return cmp.Or(cmp.Compare(b.p, a.p), slices.Compare(a.outcomes, b.outcomes))
		})
		all = next[:min(len(next), most)]
	}
	return all, nil
}

// extend adds the outcomes of one more of the checks answered together.
func (f *foresight) extend(r result, c ft.CheckID) ([]result, error) {
	post, err := r.belief.Solve()
	if errors.As(err, new(*ft.ImpossibleError)) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var out []result
	for k, q := range post.Outcomes(c) {
		if q < 1e-6 {
			continue
		}
		found, err := r.belief.Model().Outcome(c, k)
		if err != nil {
			return nil, err
		}
		b := r.belief
		if b, err = b.Retract(f.silent[c]); err != nil {
			return nil, err
		}
		if b, err = b.Find(found); err != nil {
			return nil, err
		}
		out = append(out, result{append(slices.Clone(r.outcomes), k), r.p * q, b})
	}
	return out, nil
}
