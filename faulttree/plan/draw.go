package plan

import (
	"slices"

	ft "narrows/faulttree"
)

// generator makes whole engines by the definitions of package faulttree: what
// is wrong with the engine as brought in, which links work through, what the
// repairs made so far did, and how likely the findings are then. A walker
// decides every random choice, and so goes through all of them.
type generator struct {
	m        *ft.Model
	belief   *ft.Belief
	stages   int
	need     []bool     // events that anything of interest rests on
	order    []ft.Event // those, each after all it depends on
	firstOf  []int      // by event: where its links begin among all links
	links    int
	findings [][]ft.Placed // by event after which their likelihood is known
	chance   []itemChances // by item
	gates    []*ft.Gate    // by event; nil for modes
	items    []ft.ItemID   // by event, of modes
	blank    world         // room for the engine being drawn
	present  [][]bool      // by stage, then event
	drawn    []bool        // by item
	coin     [2]float64
}

// itemChances gives the chances of an item's states.
type itemChances struct {
	sources []ft.Event
	known   map[uint64][]float64 // by which sources are present
}

// newGenerator prepares for a belief; events are what else has to be told of an
// engine: the complaint and the rows of checks.
func newGenerator(b *ft.Belief, events []ft.Event) *generator {
	m := b.Model()
	g := &generator{m: m, belief: b, stages: b.Stage() + 1, need: make([]bool, m.Len()), firstOf: make([]int, m.Len()),
		findings: make([][]ft.Placed, m.Len()), chance: make([]itemChances, len(m.Items()))}
	for _, e := range events {
		g.need[e] = true
	}
	for _, f := range b.Findings() {
		for _, e := range restsOn(m, f) {
			g.need[e] = true
		}
	}
	for _, e := range slices.Backward(m.Order()) {
		if g.need[e] {
			m.DependsOn(e, func(d ft.Event) { g.need[d] = true })
		}
	}
	at := make([]int, m.Len()) // place in the order
	for _, e := range m.Order() {
		if !g.need[e] {
			continue
		}
		at[e] = len(g.order)
		g.order = append(g.order, e)
		if gate, ok := m.GateOf(e); ok {
			g.firstOf[e] = g.links
			g.links += len(gate.Inputs)
		}
	}
	for _, f := range b.Findings() {
		last := ft.None
		for _, e := range restsOn(m, f) {
			if last == ft.None || at[e] > at[last] {
				last = e
			}
		}
		if last != ft.None {
			g.findings[last] = append(g.findings[last], f)
		}
	}
	for i := range m.Items() {
		g.chance[i] = itemChances{m.Sources(ft.ItemID(i)), make(map[uint64][]float64)}
	}
	g.makeRoom()
	return g
}

// open counts the items that matter.
func (g *generator) open() int {
	n := 0
	for _, it := range g.m.Items() {
		if slices.ContainsFunc(it.Modes, func(e ft.Event) bool { return g.need[e] }) {
			n++
		}
	}
	return n
}

func (g *generator) makeRoom() {
	g.gates, g.items = make([]*ft.Gate, g.m.Len()), make([]ft.ItemID, g.m.Len())
	for e := range ft.Event(g.m.Len()) {
		if gate, ok := g.m.GateOf(e); ok {
			g.gates[e] = &gate
		} else {
			md, _ := g.m.ModeOf(e)
			g.items[e] = md.Item
		}
	}
	g.blank = world{state: make([]uint8, len(g.m.Items())), works: make([]bool, g.links), extra: make([]bool, g.m.Len())}
	for range g.stages {
		g.present = append(g.present, make([]bool, g.m.Len()))
	}
	g.drawn = make([]bool, len(g.m.Items()))
}

// restsOn lists the events that a finding speaks of.
func restsOn(m *ft.Model, f ft.Placed) []ft.Event {
	if f.Event != ft.None {
		return []ft.Event{f.Event}
	}
	var out []ft.Event
	for _, r := range m.Checks()[f.Check].Rows {
		out = append(out, r.Event)
	}
	return out
}

// draw makes one engine; ok is false if the findings exclude it. The engine's
// weight is its probability times the likelihood of the findings.
func (g *generator) draw(c *walker) (*world, bool) {
	w := &g.blank
	w.weight = 1
	clear(w.state)
	clear(w.works)
	clear(w.extra)
	clear(g.drawn)
	for k := range g.present {
		clear(g.present[k])
	}
	for _, e := range g.order {
		if gate := g.gates[e]; gate != nil {
			g.drawGate(c, w, e, gate)
		} else if item := g.items[e]; !g.drawn[item] {
			g.drawn[item] = true
			g.drawItem(c, w, item)
		}
		for _, f := range g.findings[e] {
			if w.weight *= g.likelihood(f, g.present[f.Stage]); w.weight == 0 {
				return nil, false
			}
		}
	}
	return &world{weight: w.weight, state: slices.Clone(w.state), works: slices.Clone(w.works), extra: slices.Clone(w.extra)}, true
}

// drawItem draws an item's state as brought in, and what the repairs made of
// it.
func (g *generator) drawItem(c *walker, w *world, item ft.ItemID) {
	st, weight := c.choose(g.chances(item))
	w.weight *= weight
	modes := g.m.Items()[item].Modes
	for k := range g.stages {
		if k > 0 {
			st = g.repaired(c, w, modes, st, g.belief.Repairs()[k-1])
		}
		if st > 0 {
			g.present[k][modes[st-1]] = true
		}
	}
	w.state[item] = uint8(st)
}

// chances of an item's states, given what is present as brought in.
func (g *generator) chances(item ft.ItemID) []float64 {
	of, present := &g.chance[item], g.present[0]
	mask := uint64(0)
	for i, s := range of.sources {
		if present[s] {
			mask |= 1 << i
		}
	}
	p, ok := of.known[mask]
	if !ok {
		p = g.m.Chances(item, func(e ft.Event) bool { return present[e] })
		of.known[mask] = p
	}
	return p
}

// repaired is an item's state after a repair.
func (g *generator) repaired(c *walker, w *world, modes []ft.Event, st int, r ft.RepairID) int {
	rep := &g.m.Repairs()[r]
	if st > 0 && slices.Contains(rep.Fixes, modes[st-1]) {
		if rep.Success == 1 || g.yes(c, w, rep.Success) {
			st = 0
		}
	}
	for _, in := range rep.Introduces {
		if k := slices.Index(modes, in.Mode); k >= 0 && st == 0 && g.yes(c, w, in.P) {
			st = k + 1
		}
	}
	return st
}

func (g *generator) yes(c *walker, w *world, p float64) bool {
	g.coin[0], g.coin[1] = 1-p, p
	pick, weight := c.choose(g.coin[:])
	w.weight *= weight
	return pick == 1
}

// drawGate draws the links that matter: those whose input counts at some stage.
// An inverted input may come to count when something is put right.
func (g *generator) drawGate(c *walker, w *world, e ft.Event, gate *ft.Gate) {
	works := w.works[g.firstOf[e]:]
	for j := range gate.Inputs {
		in := &gate.Inputs[j]
		counts := in.Inverted
		for k := range g.present {
			counts = counts || g.present[k][in.Event]
		}
		works[j] = counts && (in.Strength == 1 || g.yes(c, w, in.Strength))
	}
	w.extra[e] = gate.Unlisted > 0 && g.yes(c, w, gate.Unlisted)
	for k := range g.present {
		g.present[k][e] = output(gate, works, w.extra[e], g.present[k])
	}
}

// output evaluates a gate.
func output(gate *ft.Gate, works []bool, extra bool, present []bool) bool {
	if extra {
		return true
	}
	n := 0
	for j := range gate.Inputs {
		if works[j] && present[gate.Inputs[j].Event] != gate.Inputs[j].Inverted {
			if gate.Kind == ft.Or {
				return true
			}
			n++
		}
	}
	switch gate.Kind {
	case ft.And:
		return n == len(gate.Inputs)
	case ft.Voting:
		return n >= gate.K
	}
	return false
}

func (g *generator) likelihood(f ft.Placed, present []bool) float64 {
	if f.Event != ft.None {
		if present[f.Event] {
			return f.Weight[0]
		}
		return f.Weight[1]
	}
	return f.Weight[rowOf(&g.m.Checks()[f.Check], present)]
}

// rowOf is the row of a check's table that decides; len(Rows) is Else.
func rowOf(c *ft.Check, present []bool) int {
	for i := range c.Rows {
		if present[c.Rows[i].Event] {
			return i
		}
	}
	return len(c.Rows)
}
