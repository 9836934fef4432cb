package faulttree

import (
	"math"
	"slices"
)

// weigh sets every leaf to the likelihood of the findings. Likelihoods are
// gathered as logarithms and every group of leaves that they touch is divided
// by its largest value, so that many findings do not underflow.
func (b *Belief) weigh(r *evaluation) {
	for i := range r.w {
		r.w[i] = 1
	}
	clear(r.ws.log)
	r.ws.hit = r.ws.hit[:0]
	for _, f := range b.ordered() {
		if f.Event == None {
			b.weighCheck(f, r)
			continue
		}
		if md, ok := b.m.ModeOf(f.Event); ok {
			state := uint8(slices.Index(b.m.items[md.Item].Modes, f.Event) + 1)
			r.weighItem(md.Item, f.Stage, func(s uint8) float64 {
				if s == state {
					return f.Weight[0]
				}
				return f.Weight[1]
			})
			continue
		}
		if b.m.symptom(f.Event) && f.Hard() {
			r.scale += math.Log(f.Weight[0] + f.Weight[1]) // built into the structure with weight 1
			continue
		}
		r.weighGate(f.Event, f.Stage, f.Weight)
	}
	r.settle()
}

func (b *Belief) weighCheck(f Placed, r *evaluation) {
	rows := b.m.checks[f.Check].Rows
	switch b.m.reach(f.Check) {
	case onItem:
		md, _ := b.m.ModeOf(rows[0].Event)
		modes := b.m.items[md.Item].Modes
		r.weighItem(md.Item, f.Stage, func(s uint8) float64 {
			for i, row := range rows {
				if s > 0 && modes[s-1] == row.Event {
					return f.Weight[i]
				}
			}
			return f.Weight[len(rows)]
		})
	case onGate:
		r.weighGate(rows[0].Event, f.Stage, f.Weight)
	case onChain:
		from := r.prog.rows[stagedCheck{f.Check, f.Stage}]
		r.hit(from, from+len(f.Weight))
		for i, w := range f.Weight {
			r.ws.log[from+i] += math.Log(w)
		}
	}
}

func (r *evaluation) weighItem(item ItemID, stage int, weight func(state uint8) float64) {
	from := r.prog.items[item]
	hs := r.prog.histories[item]
	r.hit(from, from+len(hs))
	for x, h := range hs {
		r.ws.log[from+x] += math.Log(weight(h[stage]))
	}
}

func (r *evaluation) weighGate(e Event, stage int, weight []float64) {
	leaves := r.prog.gates[stagedEvent{e, stage}]
	r.hit(leaves, leaves+2)
	r.ws.log[leaves+1] += math.Log(weight[0])
	r.ws.log[leaves] += math.Log(weight[1])
}

func (r *evaluation) hit(from, to int) {
	if s := (span{from, to}); !slices.Contains(r.ws.hit, s) {
		r.ws.hit = append(r.ws.hit, s)
	}
}

// settle turns the logarithms into weights. An item's states count with their
// prior, if nothing raises them: a fault that is seen to be there, however
// rare, then takes nothing from the range.
func (r *evaluation) settle() {
	for _, s := range r.ws.hit {
		most := math.Inf(-1)
		for i := s.from; i < s.to; i++ {
			most = max(most, r.ws.log[i]+r.prog.logPrior[i])
		}
		if math.IsInf(most, -1) {
			most = 0
		}
		r.scale += most
		for i := s.from; i < s.to; i++ {
			r.w[i] = math.Exp(r.ws.log[i] - most)
		}
	}
}
