package session

import (
	"slices"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
	"narrows/knowledge"
)

// Bench is an engine's checks and repairs in the planner's terms, for whoever
// plans without a case: the same actions, at the same minutes and openings, as
// a case has. It never changes and is safe for concurrent readers.
type Bench struct{ b *bench }

// NewBench makes the actions of an engine. It fails where the pack has more
// openings than can be planned with.
func NewBench(e *knowledge.Engine) (*Bench, error) {
	b, err := newBench(e)
	if err != nil {
		return nil, err
	}
	return &Bench{b}, nil
}

// Engine returns the knowledge that the bench rests on.
func (b *Bench) Engine() *knowledge.Engine { return b.b.e }

// Problem is a belief, with what is open now, in the planner's terms. barred
// says why the action of that index cannot be done, or "" if it can; nil bars
// nothing. The actions are always the same and in the same order: the pack's
// checks, its repairs, handing on, seeing the complaint, and taking readings again,
// which is barred as long as there is none.
func (b *Bench) Problem(belief *ft.Belief, open plan.Set, barred func(action int) string) *plan.Problem {
	return b.b.problem(belief, open, barred)
}

func (b *bench) problem(belief *ft.Belief, open plan.Set, barred func(action int) string) *plan.Problem {
	pack := b.e.Pack()
	p := &plan.Problem{Belief: belief, Openings: b.weighed, Open: open, Actions: slices.Clone(b.actions),
		Recheck: pack.Recheck.Minutes, HandOn: pack.HandingOn.Minutes}
	for i := range p.Actions {
		if barred != nil && p.Actions[i].Again == nil {
			p.Actions[i].Barred = barred(i)
		}
	}
	return p
}

// Suspects are the modes and causes in the order in which a case lists them;
// cures may be nil where they could not be computed.
func (b *Bench) Suspects(post *ft.Posterior, cures *ft.Cures) []ft.Event {
	return rank(b.b.e.Model(), post, cures)
}

// Openings are the pack's, with the minutes that opening and closing take;
// problems have what is weighed beside them.
func (b *Bench) Openings() plan.Openings { return b.b.openings }

// Risk is what the charges of an action's cautions add to its minutes; whoever
// counts time spent takes it off again.
func (b *Bench) Risk(action int) float64 { return b.b.about[action].cost.risk }
