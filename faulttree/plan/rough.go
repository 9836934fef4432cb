package plan

import (
	"slices"

	ft "narrows/faulttree"
)

// promise is a repair in a rough plan.
type promise struct {
	action int
	cure   float64 // by itself, of what the repairs before it have left
}

// roughly is the expected minutes of a plan of repairs and its first repair, or
// -1 to hand on, by the cures of single modes: that a repair ends the complaint
// is taken as the sum over what it fixes, and that the complaint persists as what
// the sum leaves. Both leave out engines with several faults at work; of those a
// repair of very many modes, which is made for them, is taken to cure the same
// share everywhere.
func (f *foresight) roughly(b *ft.Belief, open Set) (least float64, first int, err error) {
	p := f.p
	least, first = p.HandOn+p.Openings.CloseAll(open), -1
	cures, err := b.Cures()
	if err != nil {
		return least, first, err
	}
	m := b.Model()
	left := f.promises(m, cures)
	righted := make([]bool, m.Len())
	persists, cost, begin := 1.0, 0.0, -1
	for range planSteps {
		k, minutes, after := p.pickRough(left, open)
		if k < 0 || left[k].cure*p.HandOn < 0.2*minutes && begin >= 0 {
			break // far from worth its minutes, and so are all that follow
		}
		a, cure := left[k].action, min(persists, left[k].cure)
		left[k].cure = 0
		cost += persists*minutes + cure*p.Openings.CloseAll(after)
		open, persists = after, persists-cure
		if begin < 0 {
			begin = a
		}
		if e := cost + persists*(p.HandOn+p.Openings.CloseAll(open)); e < least {
			least, first = e, begin
		}
		p.discount(left, m, cures, righted, m.Repairs()[p.Actions[a].Repair].Fixes)
	}
	return least, first, nil
}

// promises lists the repairs that promise something.
func (f *foresight) promises(m *ft.Model, cures *ft.Cures) []promise {
	var out []promise
	several := 1 - f.p.alone(m, cures)
	for i := range f.p.Actions {
		a := &f.p.Actions[i]
		if a.Kind != Repair || a.Barred != "" {
			continue
		}
		if cure := singly(m, cures, a.Repair) + f.share[i]*several; cure > 0.001 {
			out = append(out, promise{i, cure})
		}
	}
	return out
}

// alone is the probability that some single mode or cause cures alone.
func (p *Problem) alone(m *ft.Model, cures *ft.Cures) float64 {
	sum := 0.0
	for _, it := range m.Items() {
		for _, e := range it.Modes {
			sum += cures.Mode(e)
		}
	}
	return min(1, sum)
}

// singly is the probability that a repair cures what is cured by one of its
// modes alone.
func singly(m *ft.Model, cures *ft.Cures, r ft.RepairID) float64 {
	sum := 0.0
	for _, e := range m.Repairs()[r].Fixes {
		sum += cures.Mode(e)
	}
	return sum * m.Repairs()[r].Success
}

// shares is, by action, which share of the engines that no single mode cures a
// repair of very many modes does cure.
func (p *Problem) shares(cures *ft.Cures) []float64 {
	m := p.Belief.Model()
	out := make([]float64, len(p.Actions))
	several := 1 - p.alone(m, cures)
	for i := range p.Actions {
		a := &p.Actions[i]
		if a.Kind == Repair && a.Barred == "" && len(m.Repairs()[a.Repair].Fixes) >= manyFixes && several > 1e-6 {
			out[i] = min(1, max(0, (cures.Repair(a.Repair)-singly(m, cures, a.Repair))/several))
		}
	}
	return out
}

// pickRough is the repair with the best cure probability per minute.
func (p *Problem) pickRough(left []promise, open Set) (k int, minutes float64, after Set) {
	k = -1
	best := 0.0
	for i, x := range left {
		a := &p.Actions[x.action]
		if x.cure <= best*a.Minutes {
			continue // it takes at least its own minutes
		}
		m, at, err := p.tryCost(a, open)
		if err != nil {
			continue
		}
		if rate := x.cure / max(m, 1e-9); rate > best {
			k, minutes, after, best = i, m, at, rate
		}
	}
	return k, minutes, after
}

// discount takes from the repairs that are left what was put right already.
func (p *Problem) discount(left []promise, m *ft.Model, cures *ft.Cures, righted []bool, fixes []ft.Event) {
	var now []ft.Event
	for _, e := range fixes {
		if !righted[e] && cures.Mode(e) > 0 {
			righted[e] = true
			now = append(now, e)
		}
	}
	for i := range left {
		if left[i].cure <= 0 {
			continue
		}
		r := &m.Repairs()[p.Actions[left[i].action].Repair]
		for _, e := range now {
			if slices.Contains(r.Fixes, e) {
				left[i].cure -= r.Success * cures.Mode(e)
			}
		}
	}
}
