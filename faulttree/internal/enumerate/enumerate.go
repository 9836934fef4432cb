// Package enumerate is the plain reference for tests: it walks through every
// state that a small model can be in, by the definitions of package faulttree,
// and adds up. It reads a model's definition and never asks it for an answer.
package enumerate

import (
	"math"

	ft "narrows/faulttree"
)

// World is one complete state of affairs: which events are present at which
// stage, with its probability before any finding.
type World struct {
	P       float64
	Present [][]bool // by stage, then event
}

// Worlds calls visit for every world of the model with the given repairs made
// one after the other. The World is reused between calls.
func Worlds(m *ft.Model, repairs []ft.RepairID, visit func(*World)) {
	w := &walker{m: m, repairs: repairs, visit: visit, state: make([][]int, len(repairs)+1)}
	w.world.Present = make([][]bool, len(repairs)+1)
	for k := range w.world.Present {
		w.world.Present[k] = make([]bool, m.Len())
		w.state[k] = make([]int, len(m.Items()))
	}
	w.drawn = make([]bool, len(m.Items()))
	w.works = make(map[ft.Event][]bool)
	w.extra = make(map[ft.Event]bool)
	w.event(0, 1)
}

type walker struct {
	m       *ft.Model
	repairs []ft.RepairID
	visit   func(*World)
	world   World
	state   [][]int // by stage, then item: 0 sound, k the k-th mode
	drawn   []bool
	works   map[ft.Event][]bool // by gate, then input: does the link work
	extra   map[ft.Event]bool   // by gate: is something unlisted at work
}

// event draws everything that the i-th event in order of dependence needs.
func (w *walker) event(i int, p float64) {
	if p == 0 {
		return
	}
	if i == len(w.m.Order()) {
		w.stage(1, 0, p)
		return
	}
	e := w.m.Order()[i]
	if g, ok := w.m.GateOf(e); ok {
		works := make([]bool, len(g.Inputs))
		w.works[e] = works
		w.link(e, g, 0, p, func(p float64) {
			w.world.Present[0][e] = w.output(e, g, 0)
			w.event(i+1, p)
		})
		return
	}
	md, _ := w.m.ModeOf(e)
	if w.drawn[md.Item] {
		w.event(i+1, p)
		return
	}
	w.drawn[md.Item] = true
	for s, q := range w.chances(md.Item) {
		w.put(0, md.Item, s)
		w.event(i+1, p*q)
	}
	w.drawn[md.Item] = false
}

func (w *walker) put(stage int, item ft.ItemID, state int) {
	w.state[stage][item] = state
	for k, e := range w.m.Items()[item].Modes {
		w.world.Present[stage][e] = state == k+1
	}
}

// chances of an item's states: sources compete with hazards -ln(1-p).
func (w *walker) chances(item ft.ItemID) []float64 {
	modes := w.m.Items()[item].Modes
	h := make([]float64, len(modes)+1)
	sum := 0.0
	for k, e := range modes {
		md, _ := w.m.ModeOf(e)
		h[k+1] = -math.Log(1 - md.Prior)
		for _, s := range md.Sources {
			if w.world.Present[0][s.Event] {
				h[k+1] -= math.Log(1 - s.Weight)
			}
		}
		sum += h[k+1]
	}
	any := 1 - math.Exp(-sum)
	for k := range modes {
		h[k+1] = h[k+1] / sum * any
	}
	h[0] = 1 - any
	return h
}

// link draws whether link j of a gate works, and last the unlisted cause.
func (w *walker) link(e ft.Event, g ft.Gate, j int, p float64, then func(float64)) {
	if j < len(g.Inputs) {
		s := g.Inputs[j].Strength
		w.works[e][j] = true
		w.link(e, g, j+1, p*s, then)
		if s < 1 {
			w.works[e][j] = false
			w.link(e, g, j+1, p*(1-s), then)
		}
		return
	}
	w.extra[e] = false
	then(p * (1 - g.Unlisted))
	if g.Unlisted > 0 {
		w.extra[e] = true
		then(p * g.Unlisted)
	}
}

func (w *walker) output(e ft.Event, g ft.Gate, stage int) bool {
	n := 0
	for j, in := range g.Inputs {
		if w.world.Present[stage][in.Event] != in.Inverted && w.works[e][j] {
			n++
		}
	}
	on := false
	switch g.Kind {
	case ft.Or:
		on = n >= 1
	case ft.And:
		on = n == len(g.Inputs)
	case ft.Voting:
		on = n >= g.K
	}
	return on || w.extra[e]
}

// stage draws what the repair before a stage does to the items from the given
// one on, then lets the gates follow.
func (w *walker) stage(k int, item ft.ItemID, p float64) {
	if p == 0 {
		return
	}
	if k > len(w.repairs) {
		w.world.P = p
		w.visit(&w.world)
		return
	}
	if int(item) == len(w.m.Items()) {
		for _, e := range w.m.Order() {
			if g, ok := w.m.GateOf(e); ok {
				w.world.Present[k][e] = w.output(e, g, k)
			}
		}
		w.stage(k+1, 0, p)
		return
	}
	r := w.m.Repairs()[w.repairs[k-1]]
	modes := w.m.Items()[item].Modes
	before := w.state[k-1][item]
	fixes := false
	for _, e := range r.Fixes {
		fixes = fixes || before > 0 && modes[before-1] == e
	}
	if !fixes {
		w.introduce(k, item, before, r.Introduces, p)
		return
	}
	w.introduce(k, item, 0, r.Introduces, p*r.Success)
	if r.Success < 1 {
		w.introduce(k, item, before, r.Introduces, p*(1-r.Success))
	}
}

func (w *walker) introduce(k int, item ft.ItemID, state int, left []ft.Introduced, p float64) {
	if len(left) == 0 {
		w.put(k, item, state)
		w.stage(k, item+1, p)
		return
	}
	if state == 0 {
		for s, e := range w.m.Items()[item].Modes {
			if e == left[0].Mode {
				w.introduce(k, item, s+1, left[1:], p*left[0].P)
				w.introduce(k, item, 0, left[1:], p*(1-left[0].P))
				return
			}
		}
	}
	w.introduce(k, item, state, left[1:], p)
}

// Likelihood of the findings in a world.
func Likelihood(m *ft.Model, findings []ft.Placed, w *World) float64 {
	p := 1.0
	for _, f := range findings {
		if f.Event != ft.None {
			if w.Present[f.Stage][f.Event] {
				p *= f.Weight[0]
			} else {
				p *= f.Weight[1]
			}
			continue
		}
		rows := m.Checks()[f.Check].Rows
		i := 0
		for i < len(rows) && !w.Present[f.Stage][rows[i].Event] {
			i++
		}
		p *= f.Weight[i]
	}
	return p
}

// Probability of what holds in a world, given the findings. It also returns
// the probability of the findings themselves.
func Probability(m *ft.Model, repairs []ft.RepairID, findings []ft.Placed, holds func(*World) bool) (given, evidence float64) {
	sum := 0.0
	Worlds(m, repairs, func(w *World) {
		p := w.P * Likelihood(m, findings, w)
		evidence += p
		if holds(w) {
			sum += p
		}
	})
	return sum / evidence, evidence
}
