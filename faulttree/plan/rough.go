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
	alone   []float64 // by event: see singles
	left    []promise
	righted []bool // by event
}

// promise is a repair that may be made.
type promise struct {
	action int
	cure   float64 // by itself, of what the repairs before it have left
}

// singles is, by event, the probability that a mode or cause is there and that
// putting it right alone, and without fail, ends the complaint; 0 for gates.
func singles(m *ft.Model, cures *ft.Cures) []float64 {
	out := make([]float64, m.Len())
	for _, it := range m.Items() {
		for _, e := range it.Modes {
			out[e] = cures.Mode(e)
		}
	}
	return out
}

// order begins a plan from what cures alone and, by action, what a repair of very
// many modes cures.
func (p *Problem) order(alone []float64, many func(action int) float64) *order {
	m := p.Belief.Model()
	o := &order{p: p, alone: alone, righted: make([]bool, m.Len())}
	for i := range p.Actions {
		a := &p.Actions[i]
		if a.Kind != Repair || a.Barred != "" {
			continue
		}
		cure := 0.0
		if len(m.Repairs()[a.Repair].Fixes) < manyFixes {
			cure = p.singly(alone, a.Repair)
		} else {
			cure = many(i)
		}
		if cure > 1e-4 {
			o.left = append(o.left, promise{i, cure})
		}
	}
	return o
}

// asked is for order: what a repair of very many modes cures is asked for.
func (p *Problem) asked(cures *ft.Cures) func(action int) float64 {
	return func(action int) float64 { return cures.Repair(p.Actions[action].Repair) }
}

// shared is for order: a repair of very many modes cures a share of the engines
// that no single mode cures. By action: see shares.
func (p *Problem) shared(alone, share []float64) func(action int) float64 {
	several := 1 - sum(alone)
	return func(action int) float64 {
		return p.singly(alone, p.Actions[action].Repair) + share[action]*several
	}
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
		if !o.righted[e] && o.alone[e] > 0 {
			o.righted[e] = true
			now = append(now, e)
		}
	}
	for i := range o.left {
		r := &repairs[o.p.Actions[o.left[i].action].Repair]
		for _, e := range now {
			if slices.Contains(r.Fixes, e) {
				o.left[i].cure -= r.Success * o.alone[e]
			}
		}
	}
}

// sum is the probability that some single mode or cause cures alone.
func sum(alone []float64) float64 {
	all := 0.0
	for _, p := range alone {
		all += p
	}
	return min(1, all)
}

// singly is the probability that a repair cures what is cured by one of its
// modes alone.
func (p *Problem) singly(alone []float64, r ft.RepairID) float64 {
	rep := &p.Belief.Model().Repairs()[r]
	all := 0.0
	for _, e := range rep.Fixes {
		all += alone[e]
	}
	return all * rep.Success
}

// shares is, by action, which share of the engines that no single mode cures a
// repair of very many modes does cure.
func (p *Problem) shares(cures *ft.Cures) []float64 {
	out := make([]float64, len(p.Actions))
	alone := singles(p.Belief.Model(), cures)
	several := 1 - sum(alone)
	for i := range p.Actions {
		a := &p.Actions[i]
		if a.Kind == Repair && a.Barred == "" && len(p.Belief.Model().Repairs()[a.Repair].Fixes) >= manyFixes && several > 1e-6 {
			out[i] = min(1, max(0, (cures.Repair(a.Repair)-p.singly(alone, a.Repair))/several))
		}
	}
	return out
}

// roughly is the expected minutes of a plan of repairs and its first repair, or
// -1 to hand on, without a pass for each step: the complaint persists as what
// the sum of the cures leaves. The minutes are rather too many for it.
func (f *foresight) roughly(alone []float64, open Set) (least float64, first int) {
	p := f.p
	least, first = p.HandOn+p.Openings.CloseAll(open), -1
	order := p.order(alone, p.shared(alone, f.share))
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
	return least, first
}
