package session

import (
	"context"
	"slices"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
)

// RankLater makes Do and Welcome answer before what to do next is ranked, for a
// caller at whose prompt nothing may wait for it. Such a View has Ranking set
// and no offer; Ranking is then what is to be run, beside the case, and Offer
// takes its result over. A line that needs the offer before it is there (a
// number, next, skip) waits for it in Do. rank takes the place of the planner;
// nil stands for it.
func (c *Case) RankLater(rank Ranker) {
	c.later = true
	if rank != nil {
		c.rank = rank
	}
}

// Ranking is the ranking that is owed for the present state, or nil. It stays
// the same until it has been taken over or is not wanted any more.
func (c *Case) Ranking() *Ranking { return c.owed }

// Offer takes over what a ranking came to and gives the View of it. ok is false,
// and nothing changes, where the case has moved on, the ranking has not ended, or
// nobody has asked for it yet. The error is the ranking's, which is given up with it.
func (c *Case) Offer(r *Ranking) (v View, ok bool, err error) {
	if r == nil || r != c.owed || r.Ahead() || !r.Ready() {
		return View{}, false, nil
	}
	next, err := c.takeOver()
	if err != nil {
		return View{}, false, err
	}
	return View{Kind: "next", Next: next, Hint: offerHint}, true, nil
}

// takeOver installs the offer of the ranking that is owed and has ended.
func (c *Case) takeOver() (*NextView, error) {
	adv, err := c.owed.result()
	c.StopRanking()
	if err != nil {
		return nil, err
	}
	return c.nextView(adv), nil
}

// StopRanking gives up the ranking that is owed, and what runs of it; next ranks
// anew. It tells whether there was one.
func (c *Case) StopRanking() bool {
	if c.owed == nil {
		return false
	}
	c.owed.giveUp()
	c.owed = nil
	return true
}

// owe leaves the ranking of the present state to whoever runs it.
func (c *Case) owe() {
	if c.owed != nil && c.owed.thought {
		c.StopRanking()
	}
	if c.owed == nil {
		c.owed = newRanking(c.problem(), c.rank, c.s.mark())
	}
	c.offer = nil
}

// oweAhead leaves it beforehand: while the complaint is read back there is time for
// it, and mostly it is right.
func (c *Case) oweAhead() {
	if c.mayThink() && c.list() == nil {
		c.owe()
		c.owed.ahead.Store(true)
	}
}

// mayThink tells whether there is somebody to run a ranking beside the case, and
// nothing for him to do.
func (c *Case) mayThink() bool { return c.later && c.owed == nil }

// think ranks beforehand, while something is tried or measured, what would be next
// after findings like those that it will bring. The answer is never shown: it is
// asked anew then, and what takes longest about it has been done.
func (c *Case) think(p *plan.Problem, done *plan.Action, findings ...ft.Finding) {
	var err error
	for _, f := range findings {
		if p.Belief, err = p.Belief.Find(f); err != nil {
			return
		}
	}
	if _, open, err := p.Openings.Reach(p.Open, done); err == nil {
		p.Open = open
	}
	c.owed = newRanking(p, c.rank, c.s.mark())
	c.owed.thought = true
	c.owed.ahead.Store(true)
}

// thinkStill thinks of a complaint that is still there after a repair.
func (c *Case) thinkStill() {
	if !c.mayThink() {
		return
	}
	p := c.problem()
	var fs []ft.Finding
	for _, e := range p.Belief.Complaint() {
		fs = append(fs, ft.Present(e))
	}
	c.think(p, &plan.Action{Running: true}, fs...)
}

// thinkAnswered thinks of the check that is asked as answered, whatever it shows.
func (c *Case) thinkAnswered() {
	// The finding of a reading that is repeated is there already.
	if !c.mayThink() || c.b.actions[c.asked.action].Again != nil {
		return
	}
	p := c.problem()
	a := &p.Actions[c.asked.action]
	a.Barred = "done"
	var fs []ft.Finding
	for i, at := range c.b.about[c.asked.action].places {
		if slices.Contains(c.asked.places, at) {
			rows := len(c.b.e.Model().Checks()[a.Checks[i]].Rows)
			fs = append(fs, ft.Reading(a.Checks[i], slices.Repeat([]float64{1}, rows+1)))
		}
	}
	c.think(p, a, fs...)
}

// demand asks for the ranking that is owed. It gives the offer, with an error if
// that failed, where it is there already.
func (c *Case) demand() (*NextView, error) {
	c.owe()
	c.owed.ahead.Store(false)
	if !c.owed.Ready() {
		return nil, nil
	}
	return c.takeOver()
}

// moveOn gives up the ranking of a state that is no more.
func (c *Case) moveOn() {
	if c.owed != nil && c.owed.mark != c.s.mark() {
		c.StopRanking()
	}
}

// await makes the offer that is owed, or waits for whoever makes it, for a line
// that needs it. Where the context ends first it is given up.
func (c *Case) await(ctx context.Context) error {
	if c.owed == nil || c.owed.Ahead() {
		return nil
	}
	if err := c.owed.Run(ctx); err != nil {
		c.StopRanking()
		return err
	}
	_, err := c.takeOver()
	return err
}

// list is what a number picks from, or nil. Where offers come later, one for a
// state that is no more is none.
func (c *Case) list() *offer {
	if c.offer == nil || c.later && c.offer.mark != c.s.mark() {
		return nil
	}
	return c.offer
}

// owedAgain asks anew for a ranking that an entry ended which was then taken
// back.
func (c *Case) owedAgain(was *Ranking) {
	if was != nil && !was.thought && c.owed == nil && c.list() == nil && was.mark == c.s.mark() {
		c.owe()
		c.owed.ahead.Store(was.Ahead())
	}
}
