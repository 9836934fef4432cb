package plan

import (
	"cmp"
	"errors"
	"slices"

	ft "narrows/faulttree"
)

// told writes a plan of repairs down for people, step by step: every step counts
// with the probability that the complaint persists after all repairs before it
// that were tried.
func (ws *worlds) told(s *state, rp repairPlan) Base {
	mass := s.mass()
	out := Base{Expected: rp.value / mass, Left: 1}
	cures := ws.cures(s)
	at, made := s, 0
	for _, end := range rp.tries {
		persists := at.mass() / mass
		for _, a := range rp.steps[made:end] {
			next, minutes, err := ws.repair(at, a)
			if err != nil {
				return out
			}
			at = next
			out.Steps = append(out.Steps, Step{a, minutes, cures[a] / mass, persists, false})
		}
		made = end
		var back float64
		at, back, _ = ws.retry(at)
		last := &out.Steps[len(out.Steps)-1]
		last.Minutes += back
		last.Try = true
		out.Left = at.mass() / mass
	}
	return out
}

// RepairsAlone is the base plan: repairs and trying the complaint, without any
// check.
func (p *Problem) RepairsAlone() (Base, error) {
	b, err := p.repairsAlone()
	p.spentIn(b)
	return b, err
}

func (p *Problem) repairsAlone() (Base, error) {
	ws, err := p.newWorlds(false, seldomLeft)
	switch {
	case errors.Is(err, ErrTooLarge):
		cures, err := p.Belief.Cures()
		if err != nil {
			return Base{}, err
		}
		return p.shown(p.Belief, cures, p.Open)
	case err != nil:
		return Base{}, err
	}
	s := ws.start()
	return ws.told(s, ws.base(s)), nil
}

// base finds the base plan from a belief with its cures and a set of openings.
func (p *Problem) base(b *ft.Belief, cures *ft.Cures, open Set) (Base, error) {
	order := p.order(singles(b.Model(), cures), p.asked(cures))
	var plan Base
	persists, cost := 1.0, 0.0
	var done []ft.RepairID
	best := Base{Expected: p.HandOn + p.Openings.CloseAll(open), Left: 1}
	for range planSteps {
		next, ok := order.next(open, persists)
		if !ok {
			break
		}
		done = append(done, p.Actions[next.action].Repair)
		cured, err := cures.Set(done...)
		if err != nil {
			return Base{}, err
		}
		more, err := p.more(b, next.action)
		if err != nil {
			return Base{}, err
		}
		then := min(persists, 1-cured)
		plan.Steps = append(plan.Steps, Step{next.action, next.minutes + more, next.cure, persists, true})
		cost += persists*(next.minutes+more) + (persists-then)*p.Openings.CloseAll(next.after)
		open, persists = next.after, then
		if e := cost + persists*(p.HandOn+p.Openings.CloseAll(open)); e < best.Expected {
			best = Base{Steps: slices.Clone(plan.Steps), Expected: e, Left: persists}
		}
	}
	return best, nil
}

// shown is the base plan with the cure probability that each of its repairs has
// alone and next, where base keeps what it ordered them by.
func (p *Problem) shown(b *ft.Belief, cures *ft.Cures, open Set) (Base, error) {
	base, err := p.base(b, cures, open)
	if err != nil {
		return base, err
	}
	for i := range base.Steps {
		base.Steps[i].Cure = cures.Repair(p.Actions[base.Steps[i].Action].Repair)
	}
	return base, nil
}

// more is the mean of what a repair takes more for what it finds, as the belief
// stands.
func (p *Problem) more(b *ft.Belief, action int) (float64, error) {
	found := p.Actions[action].Found
	if len(found) == 0 {
		return 0, nil
	}
	post, err := b.Solve()
	if err != nil {
		return 0, err
	}
	sum := 0.0
	for _, f := range found {
		sum += f.Minutes * post.P(f.Mode)
	}
	return sum, nil
}

// candidates are the repairs that may be worth planning with: those with a
// chance to cure. Repairs of several items, which take a pass each, are asked
// only where their single modes promise something or they are many.
func (p *Problem) candidates(m *ft.Model, cures *ft.Cures) []int {
	var out []int
	for i, a := range p.Actions {
		if a.Kind != Repair || a.Barred != "" {
			continue
		}
		fixes := m.Repairs()[a.Repair].Fixes
		promise := 0.0
		for _, e := range fixes {
			promise += cures.Mode(e)
		}
		if promise < 0.005 && len(fixes) < manyFixes {
			continue
		}
		if cures.Repair(a.Repair) > 1e-4 {
			out = append(out, i)
		}
	}
	return out
}

// manyFixes is how many modes a repair fixes that may cure although none of
// them alone promises to.
const manyFixes = 20

// bound is the expected minutes if it were revealed free which single repair,
// if any, ends the complaint: each costs its own minutes, what no single
// repair ends costs at least the cheaper of handing on and the two cheapest
// repairs.
func (p *Problem) bound(cures *ft.Cures, open Set) float64 {
	type offer struct{ cure, minutes float64 }
	var offers []offer
	for _, i := range p.candidates(p.Belief.Model(), cures) {
		if m, after, err := p.tryCost(&p.Actions[i], open); err == nil {
			offers = append(offers, offer{cures.Repair(p.Actions[i].Repair), min(m+p.Openings.CloseAll(after), p.HandOn+p.Openings.CloseAll(open))})
		}
	}
	// Repairs may overlap; the cheapest that may cure gets its full share.
	slices.SortStableFunc(offers, func(x, y offer) int { return cmp.Compare(x.minutes, y.minutes) })
	rest, sum := 1.0, 0.0
	for _, o := range offers {
		share := min(rest, o.cure)
		sum += share * o.minutes
		rest -= share
	}
	several := p.HandOn + p.Openings.CloseAll(open)
	if len(offers) > 1 {
		several = min(several, offers[0].minutes+offers[1].minutes-p.Openings.CloseAll(open))
	}
	return sum + rest*max(0, several)
}

// bound is the expected minutes if what is wrong were revealed free: every
// engine costs the cheapest repair that ends its complaint, or the two cheapest
// of those that change something in it, or handing on.
func (ws *worlds) bound() float64 {
	p, from := ws.p, ws.tries(ws.p.Open)
	sum := 0.0
	for _, w := range ws.list {
		least := p.HandOn + p.Openings.CloseAll(p.Open)
		var others []float64
		for _, f := range w.fix {
			more := f.more(0)
			if ws.look(w, f.mask).cured {
				least = min(least, from.minutes[f.action]+p.Openings.CloseAll(from.after[f.action])+more)
			} else {
				others = append(others, p.Actions[f.action].Minutes+more)
			}
		}
		if slices.Sort(others); len(others) > 1 {
			least = min(least, others[0]+others[1]+p.Recheck)
		}
		sum += w.weight * least
	}
	return sum
}
