package study

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	ft "narrows/faulttree"
)

// Simulator draws whole engines from a fault model by the definitions of
// package faulttree, and never asks the model for a probability: common causes
// and modes with their competing sources, which links work through, what is
// unlisted. It is immutable and safe for concurrent use.
type Simulator struct {
	m        *ft.Model
	order    []step // every event after all that it depends on
	items    []itemDef
	gates    []gateDef
	inputs   []ft.Input // of all gates, one after the other
	symptoms []ft.Event
	touched  [][]ft.ItemID // by repair: the items that it can change, rising
	itemOf   []ft.ItemID   // by event; -1 for gates
}

// step draws an item's state or a gate's output.
type step struct {
	gate  bool
	index int32 // into items or gates
}

type itemDef struct {
	modes   []ft.Event
	hazard  []float64     // of each mode by itself, -ln(1-prior)
	sources [][]sourceDef // of each mode
}

type sourceDef struct {
	event  ft.Event
	hazard float64 // -ln(1-weight)
}

type gateDef struct {
	event    ft.Event
	kind     ft.GateKind
	k        int
	from, to int // into inputs
	unlisted float64
}

// NewSimulator lays a model out for drawing.
func NewSimulator(m *ft.Model) *Simulator {
	s := &Simulator{m: m, symptoms: m.Symptoms(), itemOf: make([]ft.ItemID, m.Len())}
	for _, it := range m.Items() {
		s.items = append(s.items, layItem(m, it))
	}
	laid := make([]bool, len(s.items))
	for _, e := range m.Order() {
		s.itemOf[e] = -1
		if g, ok := m.GateOf(e); ok {
			from := len(s.inputs)
			s.inputs = append(s.inputs, g.Inputs...)
			s.order = append(s.order, step{true, int32(len(s.gates))})
			s.gates = append(s.gates, gateDef{e, g.Kind, g.K, from, len(s.inputs), g.Unlisted})
			continue
		}
		md, _ := m.ModeOf(e)
		s.itemOf[e] = md.Item
		if !laid[md.Item] {
			laid[md.Item] = true
			s.order = append(s.order, step{false, int32(md.Item)})
		}
	}
	for _, r := range m.Repairs() {
		var items []ft.ItemID
		for _, e := range r.Fixes {
			items = append(items, s.itemOf[e])
		}
		for _, in := range r.Introduces {
			items = append(items, s.itemOf[in.Mode])
		}
		slices.Sort(items)
		s.touched = append(s.touched, slices.Compact(items))
	}
	return s
}

func layItem(m *ft.Model, it ft.Item) itemDef {
	d := itemDef{modes: it.Modes}
	for _, e := range it.Modes {
		md, _ := m.ModeOf(e)
		d.hazard = append(d.hazard, -math.Log1p(-md.Prior))
		var from []sourceDef
		for _, x := range md.Sources {
			from = append(from, sourceDef{x.Event, -math.Log1p(-x.Weight)})
		}
		d.sources = append(d.sources, from)
	}
	return d
}

// Draw draws an engine as it may be brought in, with a complaint or without.
func (s *Simulator) Draw(rng *rand.Rand) *Truth {
	t := s.blank()
	t.draw(rng)
	t.settle(rng)
	return t
}

func (s *Simulator) blank() *Truth {
	return &Truth{s: s, present: make([]bool, s.m.Len()), state: make([]int, len(s.items)), works: make([]bool, len(s.inputs)),
		extra: make([]bool, len(s.gates)), asked: make([]int, len(s.m.Checks())), made: make([]int, len(s.m.Repairs())),
		hazard: make([]float64, 0, 8)}
}

// mostDrawn is after how many engines without the complaint asked for the pack
// is said to have none.
const mostDrawn = 20_000_000

// manySymptoms is up to how many symptoms of an engine count in full in the
// draw of a complaint.
const manySymptoms = 12

// Complaint draws an engine with a complaint of so many symptoms, at least 1, of
// those that it has. Silence about the others says nothing. Complaint and engine
// are drawn together, an engine with many symptoms being brought in for any of
// them, so that among the engines with one complaint every fault is as frequent
// as the belief given that complaint has it.
func (s *Simulator) Complaint(ctx context.Context, rng *rand.Rand, symptoms int) (*Truth, []ft.Event, error) {
	t := s.blank()
	for n := range mostDrawn {
		if n%1024 == 1023 && ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		t.draw(rng)
		var has []ft.Event
		for _, e := range s.symptoms {
			if t.present[e] {
				has = append(has, e)
			}
		}
		if rng.Float64() >= choices(len(has), symptoms)/choices(manySymptoms, symptoms) {
			continue
		}
		rng.Shuffle(len(has), func(i, j int) { has[i], has[j] = has[j], has[i] })
		told := has[:symptoms]
		slices.Sort(told)
		t.settle(rng)
		return t, told, nil
	}
	return nil, nil, fmt.Errorf("of %d engines drawn none has a complaint of %d symptoms; raise the priors of the pack, or look at its symptoms with narrows cutsets", mostDrawn, symptoms)
}

// choices is in how many ways k of n can be chosen.
func choices(n, k int) float64 {
	c := 1.0
	for i := range k {
		c *= float64(n-i) / float64(i+1)
	}
	return max(0, c)
}
