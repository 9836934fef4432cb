package study

import (
	"context"
	"errors"
	"fmt"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
)

// engine is what stands on the bench and answers what is done to it.
type engine interface {
	outcome(c ft.CheckID) (int, error)
	repair(r ft.RepairID) (mended bool, err error)
	symptom(e ft.Event) (present bool, err error)
	there(fault ft.Event) bool
}

// Step is one thing that was done.
type Step struct {
	Action  int   // into Problem.Actions
	Results []int // of a check: the outcome of each of the action's checks
	Minutes float64
	Left    []ft.Event // after a repair: what of the complaint is still there
}

// History is what was done so far in a case.
type History struct {
	Told     []ft.Event // the complaint
	Steps    []Step
	Repaired bool // something was repaired
}

// Made tells whether the action was done before.
func (h *History) Made(action int) bool {
	for _, s := range h.Steps {
		if s.Action == action {
			return true
		}
	}
	return false
}

// MostActions is after how many actions every policy hands the job on.
const MostActions = 40

// HandOn is what a policy answers to hand the job on.
const HandOn = -1

// Result is how one case went.
type Result struct {
	Minutes    float64 `json:"minutes"`     // to a confirmed cure, everything closed; or until handed on, its cost included
	Cured      bool    `json:"cured"`       // else the job was handed on
	Uncomputed bool    `json:"uncomputed"`  // handed on because the model could not be computed
	Actions    int     `json:"actions"`     // checks and repairs
	Needless   int     `json:"needless"`    // openings opened for nothing
	InVain     int     `json:"in_vain"`     // repairs with parts that put nothing right
	FirstRight bool    `json:"first_right"` // the first suspect at the start was a working cause
}

// bout is one case being played by one policy.
type bout struct {
	g       *Ground
	eng     engine
	belief  *ft.Belief
	open    plan.Set
	useful  plan.Set // of the open openings: something was found or put right behind them
	done    []bool   // by action: a check whose answer would be the same again
	history History
	r       Result
}

// begin starts a bout: the complaint has been seen by the mechanic.
func (g *Ground) begin(eng engine, told []ft.Event, known ...ft.Finding) (*bout, error) {
	b := &bout{g: g, eng: eng, belief: g.model.NewBelief(), done: make([]bool, len(g.actions)), history: History{Told: told}}
	for _, e := range told {
		known = append(known, ft.Present(e))
	}
	if err := b.learn(known...); err != nil {
		return nil, err
	}
	var err error
	b.belief, err = b.belief.Complaining(told...)
	return b, err
}

func (b *bout) learn(fs ...ft.Finding) error {
	for _, f := range fs {
		next, err := b.belief.Find(f)
		if err != nil {
			return err
		}
		b.belief = next
	}
	return nil
}

// planned is how many table entries the programs that policies plan with may
// have.
const planned = 2e7

// problem is the present state in the planner's terms.
func (b *bout) problem() *plan.Problem {
	return b.g.bench.Problem(b.belief.Within(planned), b.open, func(i int) string {
		switch {
		case b.done[i]:
			return "done"
		case b.g.actions[i].Kind == plan.Try:
			return "the complaint has been seen"
		case b.g.actions[i].BeforeRepairs && b.history.Repaired:
			return "it speaks of the engine as brought in"
		}
		return ""
	})
}

// play goes on until the complaint is gone or the job is handed on.
func (b *bout) play(ctx context.Context, pol Policy) (Result, error) {
	for over := false; !over; {
		if err := ctx.Err(); err != nil {
			return b.r, err
		}
		var err error
		if over, err = b.step(ctx, pol); err != nil {
			return b.r, err
		}
	}
	return b.r, nil
}

// step does one thing. What cannot be computed is handed on, and counted.
func (b *bout) step(ctx context.Context, pol Policy) (over bool, err error) {
	p := b.problem()
	action := HandOn
	if len(b.history.Steps) < MostActions {
		action, err = pol.Next(ctx, p, &b.history)
	}
	if errors.Is(err, ft.ErrEntangled) || errors.As(err, new(*ft.ImpossibleError)) {
		action, err, b.r.Uncomputed = HandOn, nil, true
	}
	if err != nil {
		return false, err
	}
	if action == HandOn || action >= 0 && action < len(p.Actions) && p.Actions[action].Kind == plan.HandOn {
		b.r.Minutes += p.HandOn
		b.closeAll(p)
		return true, nil
	}
	if action < 0 || action >= len(p.Actions) || p.Actions[action].Barred != "" {
		return false, fmt.Errorf("the policy %s chose action %d, which cannot be done", pol.ID(), action)
	}
	before := b.r.Minutes
	b.r.Actions++
	b.history.Steps = append(b.history.Steps, Step{Action: action})
	s := &b.history.Steps[len(b.history.Steps)-1]
	if err := b.goTo(p, &p.Actions[action]); err != nil {
		return false, err
	}
	b.r.Minutes += p.Actions[action].Minutes - b.g.bench.Risk(action) // what is spent, not what was weighed
	if p.Actions[action].Kind == plan.Check {
		err = b.check(p, s)
	} else {
		over, err = b.repair(p, s)
	}
	s.Minutes = b.r.Minutes - before
	return over, err
}

// check makes a check at all places of its action.
func (b *bout) check(p *plan.Problem, s *Step) error {
	found := false
	for _, c := range p.Actions[s.Action].Checks {
		k, err := b.eng.outcome(c)
		if err != nil {
			return err
		}
		s.Results = append(s.Results, k)
		found = found || k != b.g.sound[c]
		f, err := b.g.model.Outcome(c, k)
		if err != nil {
			return err
		}
		if err := b.learn(f); err != nil {
			return err
		}
	}
	b.done[s.Action] = true
	b.visited(p, s.Action, found)
	return nil
}

// repair makes a repair and tries the complaint after it.
func (b *bout) repair(p *plan.Problem, s *Step) (over bool, err error) {
	a := &p.Actions[s.Action]
	for _, f := range a.Found {
		if b.eng.there(f.Mode) {
			b.r.Minutes += f.Minutes
		}
	}
	mended, err := b.eng.repair(a.Repair)
	if err != nil {
		return false, err
	}
	if !mended && b.g.parts[a.Repair] {
		b.r.InVain++
	}
	b.visited(p, s.Action, mended)
	if b.belief, err = b.belief.Repaired(a.Repair); err != nil {
		return false, err
	}
	b.history.Repaired = true
	for _, i := range b.g.bench.Stirs(a.Repair) {
		b.done[i] = false
	}
	if err := b.goTo(p, &plan.Action{Running: true}); err != nil {
		return false, err
	}
	b.r.Minutes += p.Recheck
	for _, e := range b.history.Told {
		there, err := b.eng.symptom(e)
		if err != nil {
			return false, err
		}
		f := ft.Absent(e)
		if there {
			f, s.Left = ft.Present(e), append(s.Left, e)
		}
		if err := b.learn(f); err != nil {
			return false, err
		}
	}
	if len(s.Left) == 0 {
		b.r.Cured = true
		b.closeAll(p)
	}
	return b.r.Cured, nil
}

// goTo opens and closes what an action asks for.
func (b *bout) goTo(p *plan.Problem, a *plan.Action) error {
	minutes, during, err := b.g.bench.Openings().Reach(b.open, a)
	if err != nil {
		return err
	}
	b.shut(b.open &^ during)
	b.r.Minutes += minutes
	b.open = during
	return nil
}

// visited notes what came of the openings that an action needed.
func (b *bout) visited(p *plan.Problem, action int, useful bool) {
	if useful {
		b.useful |= p.Openings.Required(p.Actions[action].Need) & b.open
	}
}

// shut ends the visits behind the openings that are closed.
func (b *bout) shut(closing plan.Set) {
	(closing &^ b.useful).Each(func(int) { b.r.Needless++ })
	b.useful &^= closing
}

func (b *bout) closeAll(p *plan.Problem) {
	b.r.Minutes += p.Openings.CloseAll(b.open)
	b.shut(b.open)
	b.open = 0
}
