package faulttree

import (
	"errors"
	"fmt"
	"math"
)

// Builder collects the parts of a model. Its methods never fail; Build checks
// everything and reports all faults at once. Names of events must be unique.
type Builder struct {
	m       Model
	defined []bool // per gate
	errs    []error
}

// NewBuilder returns an empty Builder.
func NewBuilder() *Builder {
	return &Builder{m: Model{byName: make(map[string]Event)}}
}

func (b *Builder) fail(format string, args ...any) {
	b.errs = append(b.errs, fmt.Errorf(format, args...))
}

func (b *Builder) event(name string, kind eventKind, index int) Event {
	e := Event(len(b.m.events))
	if name == "" {
		b.fail("an event has no name; give each event a name of its own")
	} else if _, dup := b.m.byName[name]; dup {
		b.fail("event %q is declared twice; give each event a name of its own", name)
	} else {
		b.m.byName[name] = e
	}
	b.m.events = append(b.m.events, eventInfo{name: name, kind: kind, index: int32(index)})
	return e
}

// Item declares a part at one position.
func (b *Builder) Item(name string) ItemID {
	b.m.items = append(b.m.items, Item{Name: name})
	return ItemID(len(b.m.items) - 1)
}

// Mode declares a failure mode of an item with its prior, in (0,1).
func (b *Builder) Mode(item ItemID, name string, prior float64) Event {
	e := b.event(name, modeEvent, len(b.m.modes))
	b.m.modes = append(b.m.modes, Mode{Item: item, Prior: prior})
	b.m.modeEv = append(b.m.modeEv, e)
	if item < 0 || int(item) >= len(b.m.items) {
		b.fail("mode %q belongs to an item that was not declared", name)
		return e
	}
	b.m.items[item].Modes = append(b.m.items[item].Modes, e)
	return e
}

// Cause declares a common cause with its prior, in (0,1).
func (b *Builder) Cause(name string, prior float64) Event {
	item := b.Item(name)
	b.m.items[item].Cause = true
	return b.Mode(item, name, prior)
}

// Raise says that source, present before any work, produces the mode by itself
// with probability weight, in (0,1).
func (b *Builder) Raise(source, mode Event, weight float64) {
	if !b.m.has(mode) || b.m.events[mode].kind != modeEvent {
		b.fail("%q cannot be raised: only failure modes and causes can", b.m.Name(mode))
		return
	}
	md := &b.m.modes[b.m.events[mode].index]
	md.Sources = append(md.Sources, Source{Event: source, Weight: weight})
}

// Gate declares an event that Define defines later, so that gates may be
// declared in any order.
func (b *Builder) Gate(name string) Event {
	e := b.event(name, gateEvent, len(b.m.gates))
	b.m.gates = append(b.m.gates, Gate{})
	b.m.gateEv = append(b.m.gateEv, e)
	b.defined = append(b.defined, false)
	return e
}

// Define gives a declared gate its meaning.
func (b *Builder) Define(e Event, g Gate) {
	if !b.m.has(e) || b.m.events[e].kind != gateEvent {
		b.fail("%q is defined as a gate but was not declared as one", b.m.Name(e))
		return
	}
	i := b.m.events[e].index
	if b.defined[i] {
		b.fail("gate %q is defined twice", b.m.Name(e))
	}
	b.defined[i] = true
	g.Inputs = append([]Input(nil), g.Inputs...)
	b.m.gates[i] = g
}

// Check adds a check and returns its index.
func (b *Builder) Check(c Check) CheckID {
	b.m.checks = append(b.m.checks, c)
	return CheckID(len(b.m.checks) - 1)
}

// Repair adds a repair and returns its index.
func (b *Builder) Repair(r Repair) RepairID {
	b.m.repairs = append(b.m.repairs, r)
	return RepairID(len(b.m.repairs) - 1)
}

// Build checks the model and freezes it. The error joins every fault found.
func (b *Builder) Build() (*Model, error) {
	b.checkModes()
	b.checkGates()
	b.checkChecks()
	b.checkRepairs()
	if len(b.errs) == 0 {
		b.sort()
	}
	if err := errors.Join(b.errs...); err != nil {
		return nil, err
	}
	m := b.m
	m.programs = &cache{byKey: make(map[string]*cached)}
	m.layEffects()
	return &m, nil
}

func open01(p float64) bool { return p > 0 && p < 1 }

func (b *Builder) checkModes() {
	for i, md := range b.m.modes {
		name := b.m.Name(b.m.modeEv[i])
		if !open01(md.Prior) {
			b.fail("mode %q has prior %v; it must lie between 0 and 1, both excluded", name, md.Prior)
		}
		for _, s := range md.Sources {
			if !b.m.has(s.Event) {
				b.fail("mode %q is raised by an event that does not exist", name)
			} else if ev := b.m.events[s.Event]; ev.kind == modeEvent && b.m.modes[ev.index].Item == md.Item {
				b.fail("mode %q is raised by %q of the same item; modes of an item exclude one another", name, ev.name)
			}
			if !open01(s.Weight) {
				b.fail("mode %q is raised by %q with weight %v; it must lie between 0 and 1, both excluded", name, b.m.Name(s.Event), s.Weight)
			}
		}
	}
	for _, it := range b.m.items {
		if len(it.Modes) == 0 {
			b.fail("item %q has no failure mode", it.Name)
		}
	}
}

func (b *Builder) checkGates() {
	for i, g := range b.m.gates {
		name := b.m.Name(b.m.gateEv[i])
		if !b.defined[i] {
			b.fail("gate %q is declared but never defined", name)
			continue
		}
		b.checkInputs(name, g)
		switch {
		case g.Kind > Voting:
			b.fail("gate %q is of an unknown kind", name)
		case g.Kind == Voting && (g.K < 1 || g.K > len(g.Inputs)):
			b.fail("gate %q wants at least %d of %d inputs; it must be 1 to %d", name, g.K, len(g.Inputs), len(g.Inputs))
		}
		if len(g.Inputs) == 0 {
			b.fail("gate %q has no input", name)
		}
		if !(g.Unlisted >= 0 && g.Unlisted < 1) {
			b.fail("gate %q has unlisted prior %v; it must be at least 0 and below 1", name, g.Unlisted)
		}
		if g.Symptom && g.Unlisted == 0 {
			b.fail("symptom %q has no unlisted prior; a cause outside the model is always possible", name)
		}
	}
}

func (b *Builder) checkInputs(name string, g Gate) {
	seen := make(map[Event]bool, len(g.Inputs))
	for _, in := range g.Inputs {
		if !b.m.has(in.Event) {
			b.fail("gate %q has an input that does not exist", name)
			continue
		}
		if seen[in.Event] {
			b.fail("gate %q has %q as input twice; name it once", name, b.m.Name(in.Event))
		}
		seen[in.Event] = true
		if !(in.Strength > 0 && in.Strength <= 1) {
			b.fail("gate %q takes %q with strength %v; it must be above 0 and at most 1", name, b.m.Name(in.Event), in.Strength)
		}
		if g.Kind == And && in.Strength != 1 {
			b.fail("gate %q is an and gate and takes %q with strength %v; inputs of an and gate have strength 1", name, b.m.Name(in.Event), in.Strength)
		}
	}
}

func (b *Builder) checkChecks() {
	for _, c := range b.m.checks {
		if len(c.Outcomes) < 2 {
			b.fail("check %q has %d outcomes; it needs two or more", c.Name, len(c.Outcomes))
		}
		seen := make(map[Event]bool, len(c.Rows))
		for _, r := range c.Rows {
			if !b.m.has(r.Event) {
				b.fail("check %q has a row for an event that does not exist", c.Name)
				continue
			}
			if seen[r.Event] {
				b.fail("check %q has two rows for %q", c.Name, b.m.Name(r.Event))
			}
			seen[r.Event] = true
			b.checkOutcomes(c, b.m.Name(r.Event), r.P)
		}
		b.checkOutcomes(c, "else", c.Else)
	}
}

func (b *Builder) checkOutcomes(c Check, row string, p []float64) {
	if len(p) != len(c.Outcomes) {
		b.fail("check %q, row %q: %d probabilities for %d outcomes", c.Name, row, len(p), len(c.Outcomes))
		return
	}
	sum := 0.0
	for _, x := range p {
		if !(x >= 0 && x <= 1) {
			b.fail("check %q, row %q: probability %v is not in 0 to 1", c.Name, row, x)
		}
		sum += x
	}
	if math.Abs(sum-1) > 1e-9 {
		b.fail("check %q, row %q: the probabilities add up to %v, not to 1", c.Name, row, sum)
	}
}

func (b *Builder) checkRepairs() {
	for _, r := range b.m.repairs {
		if len(r.Fixes) == 0 {
			b.fail("repair %q fixes nothing", r.Name)
		}
		if !(r.Success > 0 && r.Success <= 1) {
			b.fail("repair %q has success %v; it must be above 0 and at most 1", r.Name, r.Success)
		}
		for _, e := range r.Fixes {
			if !b.m.has(e) || b.m.events[e].kind != modeEvent {
				b.fail("repair %q fixes %q, which is no failure mode or cause", r.Name, b.m.Name(e))
			}
		}
		for _, in := range r.Introduces {
			if !b.m.has(in.Mode) || b.m.events[in.Mode].kind != modeEvent {
				b.fail("repair %q introduces %q, which is no failure mode or cause", r.Name, b.m.Name(in.Mode))
			}
			if !open01(in.P) {
				b.fail("repair %q introduces %q with probability %v; it must lie between 0 and 1, both excluded", r.Name, b.m.Name(in.Mode), in.P)
			}
		}
	}
}

// DependsOn calls f for every event that e directly depends on: the inputs of a
// gate; for a mode, the sources of all modes of its item, since the item's state
// is drawn once.
func (m *Model) DependsOn(e Event, f func(Event)) {
	info := m.events[e]
	if info.kind == gateEvent {
		for _, in := range m.gates[info.index].Inputs {
			f(in.Event)
		}
		return
	}
	for _, sib := range m.items[m.modes[info.index].Item].Modes {
		for _, s := range m.modes[m.events[sib].index].Sources {
			f(s.Event)
		}
	}
}

// sort orders the events by dependence or reports one cycle by its names.
func (b *Builder) sort() {
	const white, grey, black = 0, 1, 2
	colour := make([]uint8, len(b.m.events))
	var path []Event
	var visit func(e Event) bool
	visit = func(e Event) bool {
		switch colour[e] {
		case black:
			return true
		case grey:
			b.fail("%s depends on itself: %s", b.m.Name(e), b.cycle(path, e))
			return false
		}
		colour[e] = grey
		path = append(path, e)
		ok := true
		b.m.DependsOn(e, func(d Event) { ok = ok && visit(d) })
		path = path[:len(path)-1]
		colour[e] = black
		b.m.order = append(b.m.order, e)
		return ok
	}
	for e := range b.m.events {
		if !visit(Event(e)) {
			return
		}
	}
}

func (b *Builder) cycle(path []Event, e Event) string {
	i := len(path) - 1
	for path[i] != e {
		i--
	}
	s := ""
	for _, p := range path[i:] {
		s += b.m.Name(p) + " -> "
	}
	return s + b.m.Name(e)
}
