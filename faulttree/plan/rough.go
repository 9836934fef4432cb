package plan

import (
	"slices"

	ft "narrows/faulttree"
)

// order finds the order of a plan of repairs: by cure probability per minute,
// what the repairs before have put right taken off. That a repair ends the
// complaint is taken as the sum over what it fixes of what cures alone, which
// leaves out engines with several faults at work; only repairs of very many
// modes, which are made for those, are asked for.
type order struct {
	p       *Problem
	cures   *ft.Cures
	left    []promise
	righted []bool // by event
}

// promise is a repair that may be made.
type promise struct {
	action int
	cure   float64 // by itself, of what the repairs before it have left
}

// order begins a plan. With shares, by action, a repair of very many modes cures
// that share of the engines that no single mode cures, instead of being asked
// for.
func (p *Problem) order(cures *ft.Cures, shares []float64) *order {
	m := p.Belief.Model()
	o := &order{p: p, cures: cures, righted: make([]bool, m.Len())}
	several := 1 - p.alone(cures)
	for i := range p.Actions {
		a := &p.Actions[i]
		if a.Kind != Repair || a.Barred != "" {
			continue
		}
		cure := 0.0
		switch {
		case len(m.Repairs()[a.Repair].Fixes) < manyFixes:
			cure = p.singly(cures, a.Repair)
		case shares != nil:
			cure = p.singly(cures, a.Repair) + shares[i]*several
		default:
			cure = cures.Repair(a.Repair)
		}
		if cure > 1e-4 {
			o.left = append(o.left, promise{i, cure})
		}
	}
	return o
}

// following is the next repair of a plan.
type following struct {
	promise
	minutes float64 // with opening, closing and trying
	after   Set     // what is open then
}

// next takes the repair with the best cure probability per minute, the first of
// equals; ok is false if what is left is far from worth its minutes against
// handing on.
func (o *order) next(open Set, persists float64) (best following, ok bool) {
	k, rate := -1, 0.0
	for i, x := range o.left {
		a := &o.p.Actions[x.action]
		if x.cure <= rate*(a.Minutes+o.p.Recheck) {
			continue // it takes at least that long
		}
		minutes, after, err := o.p.tryCost(a, open)
		if err != nil {
			continue
		}
		if r := x.cure / max(minutes, 1e-9); r > rate {
			k, rate, best = i, r, following{x, minutes, after}
		}
	}
	if k < 0 || best.cure*o.p.HandOn < 0.5*persists*best.minutes {
		return best, false
	}
	o.left = slices.Delete(o.left, k, k+1)
	o.discount(best.action)
	return best, true
}

// discount takes from the repairs that are left what a repair has put right.
func (o *order) discount(action int) {
	repairs := o.p.Belief.Model().Repairs()
	var now []ft.Event
	for _, e := range repairs[o.p.Actions[action].Repair].Fixes {
		if !o.righted[e] && o.cures.Mode(e) > 0 {
			o.righted[e] = true
			now = append(now, e)
		}
	}
	for i := range o.left {
		r := &repairs[o.p.Actions[o.left[i].action].Repair]
		for _, e := range now {
			if slices.Contains(r.Fixes, e) {
				o.left[i].cure -= r.Success * o.cures.Mode(e)
			}
		}
	}
}

// alone is the probability that some single mode or cause cures alone.
func (p *Problem) alone(cures *ft.Cures) float64 {
	sum := 0.0
	for _, it := range p.Belief.Model().Items() {
		for _, e := range it.Modes {
			sum += cures.Mode(e)
		}
	}
	return min(1, sum)
}

// singly is the probability that a repair cures what is cured by one of its
// modes alone.
func (p *Problem) singly(cures *ft.Cures, r ft.RepairID) float64 {
	rep := &p.Belief.Model().Repairs()[r]
	sum := 0.0
	for _, e := range rep.Fixes {
		sum += cures.Mode(e)
	}
	return sum * rep.Success
}

// shares is, by action, which share of the engines that no single mode cures a
// repair of very many modes does cure.
func (p *Problem) shares(cures *ft.Cures) []float64 {
	out := make([]float64, len(p.Actions))
	several := 1 - p.alone(cures)
	for i := range p.Actions {
		a := &p.Actions[i]
		if a.Kind == Repair && a.Barred == "" && len(p.Belief.Model().Repairs()[a.Repair].Fixes) >= manyFixes && several > 1e-6 {
			out[i] = min(1, max(0, (cures.Repair(a.Repair)-p.singly(cures, a.Repair))/several))
		}
	}
	return out
}

// roughly is the expected minutes of a plan of repairs and its first repair, or
// -1 to hand on, without a pass for each step: the complaint persists as what
// the sum of the cures leaves. The minutes are rather too many for it.
func (f *foresight) roughly(b *ft.Belief, open Set) (least float64, first int, err error) {
	p := f.p
	least, first = p.HandOn+p.Openings.CloseAll(open), -1
	cures, err := b.Cures()
	if err != nil {
		return least, first, err
	}
	order := p.order(cures, f.share)
	persists, cost, begin := 1.0, 0.0, -1
	for range planSteps {
		next, ok := order.next(open, persists)
		if !ok {
			break
		}
		cure := min(persists, next.cure)
		cost += persists*next.minutes + cure*p.Openings.CloseAll(next.after)
		open, persists = next.after, persists-cure
		if begin < 0 {
			begin = next.action
		}
		if e := cost + persists*(p.HandOn+p.Openings.CloseAll(open)); e < least {
			least, first = e, begin
		}
	}
	return least, first, nil
}
