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
// the planner looks ahead over the belief: for the checks that have a place in it
// (lay.go) roughly, for the best of those over all that their outcomes lead to, and
// for the most promising again over the outcomes of a second check, of which there
// are hundreds: what it would save is reckoned roughly (second.go, rough.go).

// How many checks are looked into first at most, and joint results of each.
const (
	firstChecks  = 5
	firstResults = 5
)

// scope is how far operations of the budget are enough for.
type scope struct {
	checks int
	breadth
	rough bool // not even two checks can be looked into exactly
}

// breadth is how much is looked into at second: after so many of the first
// checks, so many second ones, and so many joint results of each.
type breadth struct{ after, checks, results int }

// breadths are what is looked into at second where the operations are enough for
// all of it, the widest first; of the last, as far as they go.
func breadths() []breadth { return []breadth{{5, 5, 3}, {3, 4, 3}, {2, 4, 2}} }

// passes is about how many passes through a program it takes to look into all
// second checks after one result of a first one.
func (b breadth) passes() float64 { return float64(6 + 8*b.checks) }

// How many passes through a program it takes to find a plan of repairs, and a
// rough one.
const (
	planPasses  = 12
	roughPasses = 4
)

func reach(operations, program float64) scope {
	most := func(share, passes float64) int {
		return int(share * operations / max(1, program*passes*firstResults))
	}
	n := most(0.5, planPasses)
	if n < 2 {
		return scope{checks: min(firstChecks, max(2, most(1, roughPasses))), rough: true}
	}
	to := scope{checks: min(firstChecks, n)}
	for _, to.breadth = range breadths() {
		after := most(0.5, to.breadth.passes())
		if after >= to.after {
			return to
		}
		to.after = min(to.after, after)
	}
	return to
}

// ahead is the state that looking ahead has reached.
type ahead struct {
	belief *ft.Belief
	cures  *ft.Cures
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
	base, err := f.p.base(at.belief, at.cures, at.open)
	v := prospect{base.Expected, base.Expected, -1}
	if len(base.Steps) > 0 {
		v.first = base.Steps[0].Action
	}
	return v, err
}

// nearly is the same, roughly.
func (f *foresight) nearly(_ context.Context, at ahead) (prospect, error) {
	least, first := f.roughly(singles(f.p.Belief.Model(), at.cures), at.open)
	return prospect{least, least, first}, nil
}

// check gives a check the expected minutes that its outcomes lead to, each with
// the prospect then; without the check there are so many.
func (f *foresight) check(ctx context.Context, at ahead, s screened, without float64, results int, then func(context.Context, ahead) (prospect, error)) (o seen, err error) {
	o.Option = Option{Action: s.action, Minutes: s.minutes, Expected: s.minutes}
	found, err := f.results(at, &f.p.Actions[s.action], results)
	if err != nil {
		return o, err
	}
	rest := 1.0
	made := append(slices.Clone(at.made), s.action)
	for _, r := range found {
		if err := ctx.Err(); err != nil {
			return o, err
		}
		cures, err := at.cures.With(r.belief, r.p)
		if err != nil {
			return o, err
		}
		v, err := then(ctx, ahead{r.belief, cures, s.after, made})
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

// idleMinutes is up to how many minutes that a check's results save count as none.
const idleMinutes = 1e-3

// idle tells whether a check changes nothing, as far as what follows at once.
// Without it, and with all as it is, there are so many minutes.
func (f *foresight) idle(ctx context.Context, at ahead, s screened, o seen, without float64, then func(context.Context, ahead) (prospect, error)) (bool, error) {
	for _, x := range o.Outcomes {
		if x.First != o.Outcomes[0].First {
			return false, nil
		}
	}
	if s.after == at.open {
		return o.expected() >= without-idleMinutes, nil
	}
	v, err := then(ctx, ahead{at.belief, at.cures, s.after, []int{s.action}})
	return o.expected() >= v.least-idleMinutes, err
}

// idleDeeper tells the same of what a further check saves after it.
func (f *foresight) idleDeeper(ctx context.Context, at ahead, s screened, o seen) (bool, error) {
	v, err := f.further(ctx, ahead{at.belief, at.cures, s.after, []int{s.action}})
	saved := 0.0
	for k, g := range o.gains {
		saved += o.Outcomes[k].P * g
	}
	return saved <= v.plain-v.least+idleMinutes, err
}

// expected is what the outcomes that were looked into lead to, in the mean.
func (o *seen) expected() float64 {
	sum, mass := 0.0, 0.0
	for _, x := range o.Outcomes {
		sum += x.P * x.Expected
		mass += x.P
	}
	return sum / max(mass, seldom)
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

// lookAhead looks ahead from where a foresight was laid, of which the base plan
// is known.
func (f *foresight) lookAhead(ctx context.Context, base Base, budget Budget) (out outlook, err error) {
	f.plan(budget)
	start := ahead{f.belief, f.cures, f.p.Open, nil}
	plain, checks, err := f.likely(ctx, start)
	if err != nil {
		return out, err
	}
	for _, s := range f.ranked {
		if !slices.ContainsFunc(checks, func(c screened) bool { return c.action == s.action }) {
			out.unvalued = append(out.unvalued, s.action)
		}
	}
	without, then := base.Expected, f.exactly
	if f.to.rough {
		without, then = plain, f.nearly
	}
	all, err := f.each(ctx, start, checks, without, then)
	if err != nil {
		return out, err
	}
	for i := range all {
		all[i].Expected = base.Expected - all[i].Saves
		if all[i].Idle, err = f.idle(ctx, start, checks[i], all[i], without, then); err != nil {
			return out, err
		}
	}
	slices.SortStableFunc(all, func(a, b seen) int { return cmp.Compare(a.Expected, b.Expected) })
	var best []screened
	for _, o := range all[:min(f.to.after, len(all))] {
		best = append(best, checks[slices.IndexFunc(checks, func(s screened) bool { return s.action == o.Action })])
	}
	deeper, err := f.each(ctx, start, best, base.Expected, f.further)
	if err != nil {
		return out, err
	}
	for i, d := range deeper {
		if all[i].Idle {
			if all[i].Idle, err = f.idleDeeper(ctx, start, best[i], d); err != nil {
				return out, err
			}
		}
		all[i].deepen(d)
	}
	for _, o := range all {
		out.options = append(out.options, o.Option)
	}
	out.depth = min(1, len(all)) + min(1, len(best))
	return out, nil
}

// likely are the checks that are looked into, as many as the budget is enough
// for: the two that say most for their minutes, and those that save most, roughly.
// plain is what repairs alone take, roughly.
func (f *foresight) likely(ctx context.Context, at ahead) (plain float64, checks []screened, err error) {
	alone := singles(f.p.Belief.Model(), at.cures)
	plain, _ = f.roughly(alone, at.open)
	if len(f.checks) <= f.to.checks {
		return plain, f.checks, nil
	}
	type worth struct {
		screened
		expected float64
	}
	all, errs := make([]worth, len(f.checks)), make([]error, len(f.checks))
	var wg sync.WaitGroup
	for i, s := range f.checks {
		wg.Go(func() {
			all[i].screened = s
			all[i].expected, errs[i] = f.second(ctx, at, s, alone, f.post, plain)
		})
	}
	wg.Wait()
	if err := errors.Join(errs...); err != nil {
		return plain, nil, err
	}
	slices.SortStableFunc(all[min(2, len(all)):], func(a, b worth) int { return cmp.Compare(a.expected, b.expected) })
	for _, w := range all[:f.to.checks] {
		checks = append(checks, w.screened)
	}
	return plain, checks, nil
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

// result is a joint outcome of checks answered together.
type result struct {
	outcomes []int
	p        float64
	belief   *ft.Belief
}

// results lists the joint outcomes of checks answered together, the likeliest
// kept.
func (f *foresight) results(at ahead, act *Action, most int) ([]result, error) {
	all := []result{{p: 1, belief: at.belief}}
	for _, c := range act.Checks {
		var next []result
		ck := act.check(f.p.Belief.Model(), c)
		for _, r := range all {
			more, err := f.extend(r, c, ck)
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
func (f *foresight) extend(r result, c ft.CheckID, ck ft.Check) ([]result, error) {
	post, err := r.belief.Solve()
	if errors.As(err, new(*ft.ImpossibleError)) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var out []result
	for k, q := range outcomes(ck, post.Rows(c)) {
		if q < seldom {
			continue
		}
		b, err := f.found(r.belief, c, likelihoods(ck, k))
		if err != nil {
			return nil, err
		}
		out = append(out, result{append(slices.Clone(r.outcomes), k), r.p * q, b})
	}
	return out, nil
}

// found is the belief with a finding where it had one that says nothing, or one
// of an earlier reading, which the finding then joins.
func (f *foresight) found(b *ft.Belief, c ft.CheckID, likelihood []float64) (*ft.Belief, error) {
	if so, ok := f.soFar[c]; ok {
		likelihood = slices.Clone(likelihood)
		for r := range likelihood {
			likelihood[r] *= so[r]
		}
	}
	b, err := b.Retract(f.silent[c])
	if err != nil {
		return nil, err
	}
	return b.Find(ft.Reading(c, likelihood))
}

// likelihoods are the chances of an outcome by row, the last for none.
func likelihoods(ck ft.Check, outcome int) []float64 {
	out := make([]float64, len(ck.Rows)+1)
	for r := range out {
		out[r] = odds(ck, r)[outcome]
	}
	return out
}

// outcomes are the chances of a check's outcomes by those of its rows.
func outcomes(ck ft.Check, rows []float64) []float64 {
	out := make([]float64, len(ck.Outcomes))
	for r, q := range rows {
		for k, p := range odds(ck, r) {
			out[k] += q * p
		}
	}
	return out
}

// odds are the chances of a check's outcomes where a row decides it, the last
// being none.
func odds(ck ft.Check, row int) []float64 {
	if row < len(ck.Rows) {
		return ck.Rows[row].P
	}
	return ck.Else
}
