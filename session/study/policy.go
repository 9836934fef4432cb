package study

import (
	"context"
	"fmt"
	"slices"
	"strings"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
)

// Policy says what to do next. It is asked by several cases at once and keeps
// nothing of them.
type Policy interface {
	ID() string    // as it is named on the command line
	Title() string // for people
	// Next returns an index into p.Actions of an action that is not barred, or
	// HandOn.
	Next(ctx context.Context, p *plan.Problem, h *History) (action int, err error)
}

// Policies are all that can be played, ours first, in the order of the table.
func Policies() []Policy {
	return []Policy{
		advised{}, ruled{"chart", "fixed chart order", chart}, noChecks{},
		ruled{"cheapest", "cheapest check first", cheapest}, ruled{"suspect", "most probable suspect first", suspect},
		advised{freeOpenings: true},
	}
}

// Named picks policies by their identifiers, in the order given.
func Named(ids ...string) ([]Policy, error) {
	var out []Policy
	for _, id := range ids {
		all := Policies()
		i := slices.IndexFunc(all, func(p Policy) bool { return p.ID() == id })
		switch {
		case i < 0:
			var known []string
			for _, p := range all {
				known = append(known, p.ID())
			}
			return nil, fmt.Errorf("there is no policy %q; there are %s", id, strings.Join(known, ", "))
		case slices.ContainsFunc(out, func(p Policy) bool { return p.ID() == id }):
			return nil, fmt.Errorf("the policy %q is named twice; name it once", id)
		}
		out = append(out, all[i])
	}
	return out, nil
}

// advised does what the planner puts first.
type advised struct{ freeOpenings bool }

func (a advised) ID() string {
	if a.freeOpenings {
		return "free_openings"
	}
	return "ours"
}

func (a advised) Title() string {
	if a.freeOpenings {
		return "ours, blind to opening minutes"
	}
	return "ours"
}

func (a advised) Next(ctx context.Context, p *plan.Problem, _ *History) (int, error) {
	if a.freeOpenings {
		q := *p
		q.Openings = slices.Clone(p.Openings)
		for i := range q.Openings {
			q.Openings[i].Open, q.Openings[i].Close, q.Openings[i].Wear = 0, 0, 0
		}
		p = &q
	}
	adv, err := p.Advise(ctx, hasty())
	if err != nil || len(adv.Options) == 0 {
		return HandOn, err
	}
	return adv.Options[0].Action, nil
}

// hasty is the budget that a prompt has with half of its operations: thousands
// of engines are played.
func hasty() plan.Budget {
	b := plan.Standard()
	b.Operations /= 2
	return b
}

// ruled is a policy with a plain rule. It hands on where a plan of repairs
// alone says so.
type ruled struct {
	id, title string
	rule      func(p *plan.Problem, h *History, cures *ft.Cures) int
}

func (r ruled) ID() string    { return r.id }
func (r ruled) Title() string { return r.title }

func (r ruled) Next(ctx context.Context, p *plan.Problem, h *History) (int, error) {
	cures, err := p.Belief.Cures()
	if err != nil {
		return HandOn, err
	}
	if !worthOneRepair(p, cures) {
		repairs, err := p.RepairsAlone()
		if err != nil || len(repairs.Steps) == 0 {
			return HandOn, err
		}
	}
	return r.rule(p, h, cures), nil
}

// worthOneRepair tells whether making some one repair and handing on if it does
// not cure is cheaper than handing on now: then so is every better plan, and
// none has to be looked for.
func worthOneRepair(p *plan.Problem, cures *ft.Cures) bool {
	now := p.HandOn + p.Openings.CloseAll(p.Open)
	for i := range p.Actions {
		a := &p.Actions[i]
		if a.Kind != plan.Repair || a.Barred != "" {
			continue
		}
		there, during, err := p.Openings.Reach(p.Open, a)
		if err != nil {
			continue
		}
		back, after, err := p.Openings.Reach(during, &plan.Action{Running: true})
		if err != nil {
			continue
		}
		spent := there + a.Minutes + back + p.Recheck + p.Openings.CloseAll(after)
		if spent+(1-cures.Repair(a.Repair))*p.HandOn < now {
			return true
		}
	}
	return false
}

// noChecks follows the plan of repairs.
type noChecks struct{}

func (noChecks) ID() string    { return "base" }
func (noChecks) Title() string { return "cure per minute, no checks" }

func (noChecks) Next(_ context.Context, p *plan.Problem, _ *History) (int, error) {
	b, err := p.RepairsAlone()
	if err != nil || len(b.Steps) == 0 {
		return HandOn, err
	}
	return b.Steps[0].Action, nil
}

// sureEnough is the cure probability from which on a chart goes over to a
// repair.
const sureEnough = 0.5

// suspect is the repair that most probably cures.
func suspect(p *plan.Problem, _ *History, cures *ft.Cures) int {
	best, chance := HandOn, 0.0
	for i := range p.Actions {
		a := &p.Actions[i]
		if a.Kind == plan.Repair && possible(p, a) {
			if c := cures.Repair(a.Repair); c > chance {
				best, chance = i, c
			}
		}
	}
	return best
}

// chart makes the checks in the order of the pack.
func chart(p *plan.Problem, h *History, cures *ft.Cures) int {
	at := 0
	for _, s := range h.Steps {
		if p.Actions[s.Action].Kind == plan.Check {
			at = max(at, s.Action+1)
		}
	}
	return checkOr(p, h, cures, func() int {
		for i := at; i < len(p.Actions); i++ {
			if p.Actions[i].Kind == plan.Check && possible(p, &p.Actions[i]) {
				return i
			}
		}
		return HandOn
	})
}

// cheapest makes the check of the fewest minutes that was not made yet.
func cheapest(p *plan.Problem, h *History, cures *ft.Cures) int {
	return checkOr(p, h, cures, func() int {
		best := HandOn
		for i := range p.Actions {
			if a := &p.Actions[i]; a.Kind == plan.Check && possible(p, a) && !h.Made(i) && (best < 0 || a.Minutes < p.Actions[best].Minutes) {
				best = i
			}
		}
		return best
	})
}

// checkOr makes the likeliest repair once it is sure enough or no check is
// left, else the next check.
func checkOr(p *plan.Problem, h *History, cures *ft.Cures, next func() int) int {
	repair := suspect(p, h, cures)
	if repair >= 0 && cures.Repair(p.Actions[repair].Repair) >= sureEnough {
		return repair
	}
	if check := next(); check >= 0 {
		return check
	}
	return repair
}

// possible tells whether an action can be done from what is open now.
func possible(p *plan.Problem, a *plan.Action) bool {
	if a.Barred != "" {
		return false
	}
	_, _, err := p.Openings.Reach(p.Open, a)
	return err == nil
}
