package faulttree_test

import (
	"fmt"

	"pgregory.net/rapid"

	ft "narrows/faulttree"
)

// small is a random model with what a random case asks of it.
type small struct {
	m        *ft.Model
	events   []ft.Event
	modes    []ft.Event
	symptoms []ft.Event
	choices  int // binary choices that enumeration would make
	size     size
}

// size bounds what is drawn.
type size struct {
	causes, items, modes, gates, inputs, checks, repairs int
	choices                                              int // binary ones, beyond which all links pass for certain
}

// enumerable models have few enough worlds to walk through.
var enumerable = size{causes: 2, items: 3, modes: 2, gates: 4, inputs: 3, checks: 3, repairs: 3, choices: 10}

// drawModel draws a model that uses the whole of the semantics, small enough
// to enumerate.
func drawModel(t *rapid.T) small { return drawModelOf(t, enumerable) }

func drawModelOf(t *rapid.T, z size) small {
	b := ft.NewBuilder()
	s := small{size: z}
	prob := func(name string) float64 { return rapid.Float64Range(0.02, 0.6).Draw(t, name) }
	for i := range rapid.IntRange(0, z.causes).Draw(t, "causes") {
		e := b.Cause(fmt.Sprintf("cause%d", i), prob("prior"))
		s.modes, s.events = append(s.modes, e), append(s.events, e)
		s.choices++
	}
	items := rapid.IntRange(1, z.items).Draw(t, "items")
	sources := append([]ft.Event(nil), s.events...)
	for i := range items {
		item := b.Item(fmt.Sprintf("item%d", i))
		n := rapid.IntRange(1, z.modes).Draw(t, "modes")
		s.choices += n
		for k := range n {
			e := b.Mode(item, fmt.Sprintf("item%d.mode%d", i, k), prob("prior"))
			for _, src := range sources {
				if rapid.Bool().Draw(t, "raised") {
					b.Raise(src, e, prob("weight"))
				}
			}
			s.modes, s.events = append(s.modes, e), append(s.events, e)
		}
	}
	gates := rapid.IntRange(1, z.gates).Draw(t, "gates")
	for i := range gates {
		s.drawGate(t, b, i, i == gates-1)
	}
	if rapid.Bool().Draw(t, "consequence") && s.choices < s.size.choices {
		// A mode raised by a gate: a fouled plug is the consequence of a rich mixture.
		e := b.Mode(b.Item("consequence"), "consequence.mode", prob("prior"))
		b.Raise(s.events[len(s.events)-1], e, prob("weight"))
		s.modes, s.events = append(s.modes, e), append(s.events, e)
		s.choices++
	}
	s.drawChecks(t, b)
	s.drawRepairs(t, b)
	m, err := b.Build()
	if err != nil {
		t.Fatalf("%v", err)
	}
	s.m = m
	return s
}

func (s *small) drawGate(t *rapid.T, b *ft.Builder, i int, last bool) {
	e := b.Gate(fmt.Sprintf("gate%d", i))
	g := ft.Gate{Kind: ft.GateKind(rapid.IntRange(0, 2).Draw(t, "kind"))}
	pool := rapid.Permutation(s.events).Draw(t, "inputs")
	for _, in := range pool[:rapid.IntRange(1, min(s.size.inputs, len(pool))).Draw(t, "n")] {
		strength := 1.0
		if g.Kind != ft.And && s.choices < s.size.choices && rapid.Bool().Draw(t, "weak") {
			strength = rapid.Float64Range(0.1, 0.95).Draw(t, "strength")
			s.choices++
		}
		inverted := rapid.IntRange(0, 5).Draw(t, "inverted") == 0
		g.Inputs = append(g.Inputs, ft.Input{Event: in, Strength: strength, Inverted: inverted})
	}
	if g.Kind == ft.Voting {
		g.K = rapid.IntRange(1, len(g.Inputs)).Draw(t, "k")
	}
	if last || s.choices < s.size.choices && rapid.Bool().Draw(t, "symptom") {
		g.Symptom, g.Unlisted = true, rapid.Float64Range(0.01, 0.2).Draw(t, "unlisted")
		s.symptoms = append(s.symptoms, e)
		s.choices++
	}
	b.Define(e, g)
	s.events = append(s.events, e)
}

func (s *small) drawChecks(t *rapid.T, b *ft.Builder) {
	for i := range rapid.IntRange(1, s.size.checks).Draw(t, "checks") {
		n := rapid.IntRange(2, 4).Draw(t, "outcomes")
		c := ft.Check{Name: fmt.Sprintf("check%d", i), Else: drawSimplex(t, n)}
		for o := range n {
			c.Outcomes = append(c.Outcomes, fmt.Sprint(o))
		}
		pool := rapid.Permutation(s.events).Draw(t, "rows")
		for _, e := range pool[:rapid.IntRange(0, min(3, len(pool))).Draw(t, "n")] {
			c.Rows = append(c.Rows, ft.Row{Event: e, P: drawSimplex(t, n)})
		}
		b.Check(c)
	}
}

func drawSimplex(t *rapid.T, n int) []float64 {
	p, sum := make([]float64, n), 0.0
	for i := range p {
		p[i] = rapid.Float64Range(0.01, 1).Draw(t, "p")
		sum += p[i]
	}
	for i := range p {
		p[i] /= sum
	}
	return p
}

func (s *small) drawRepairs(t *rapid.T, b *ft.Builder) {
	for i := range rapid.IntRange(1, s.size.repairs).Draw(t, "repairs") {
		r := ft.Repair{Name: fmt.Sprintf("repair%d", i), Success: 1}
		pool := rapid.Permutation(s.modes).Draw(t, "fixes")
		r.Fixes = pool[:rapid.IntRange(1, min(3, len(pool))).Draw(t, "n")]
		if rapid.Bool().Draw(t, "may fail") {
			r.Success = rapid.Float64Range(0.5, 0.99).Draw(t, "success")
		}
		if rapid.IntRange(0, 3).Draw(t, "introduces") == 0 {
			e := rapid.SampledFrom(s.modes).Draw(t, "introduced")
			r.Introduces = []ft.Introduced{{Mode: e, P: rapid.Float64Range(0.01, 0.2).Draw(t, "p")}}
		}
		b.Repair(r)
	}
}

// drawFinding draws a finding that is possible in every state, or a hard one.
func (s *small) drawFinding(t *rapid.T) ft.Finding {
	switch rapid.IntRange(0, 3).Draw(t, "finding") {
	case 0:
		e := rapid.SampledFrom(s.symptoms).Draw(t, "symptom")
		if rapid.Bool().Draw(t, "present") {
			return ft.Present(e)
		}
		return ft.Absent(e)
	case 1:
		e := rapid.SampledFrom(s.events).Draw(t, "event")
		return ft.Soft(e, rapid.Float64Range(0.05, 1).Draw(t, "if present"), rapid.Float64Range(0.05, 1).Draw(t, "if absent"))
	}
	c := rapid.IntRange(0, len(s.m.Checks())-1).Draw(t, "check")
	o := rapid.IntRange(0, len(s.m.Checks()[c].Outcomes)-1).Draw(t, "outcome")
	f, err := s.m.Outcome(ft.CheckID(c), o)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return f
}
