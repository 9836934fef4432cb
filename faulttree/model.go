package faulttree

import "slices"

// Event is a thing that is present or absent in the engine: a failure mode of
// an item, a common cause, or the output of a gate. It is an index into its
// Model; None is no event.
type Event int32

// None stands where no event is meant.
const None Event = -1

// ItemID, CheckID and RepairID are indices into the Model that made them.
type (
	ItemID   int32
	CheckID  int32
	RepairID int32
)

// GateKind says how the inputs of a gate make its output.
type GateKind uint8

// The gates of IEC 61025 that the model knows.
const (
	Or     GateKind = iota // present if any input works through
	And                    // present if all inputs are present
	Voting                 // present if at least K inputs work through
)

func (k GateKind) String() string {
	switch k {
	case Or:
		return "or"
	case And:
		return "and"
	case Voting:
		return "voting"
	}
	return "unknown gate"
}

// Input is one input of a gate.
type Input struct {
	Event Event
	// Strength is the probability, in (0,1], that the event, present, really
	// works through to the gate. Whether it does is a property of this engine
	// and stays the same before and after a repair. Inputs of an And gate have
	// strength 1.
	Strength float64
	// Inverted means that the input counts when the event is absent.
	Inverted bool
}

// Gate defines an intermediate event or a top event (symptom).
type Gate struct {
	Kind   GateKind
	K      int // Voting only: how many inputs at least, 1..len(Inputs)
	Inputs []Input
	// Unlisted is the prior, in [0,1), of something outside the model that
	// makes the output present by itself; it persists through repairs. Symptoms
	// have one above 0.
	Unlisted float64
	// Symptom marks a top event that a complaint can name.
	Symptom bool
}

// Item is a part at one position: sound, or in one of its modes.
type Item struct {
	Name  string
	Modes []Event // in order of declaration
	Cause bool    // a common cause: one mode, engine-wide
}

// Mode is a failure mode of an item, or a common cause.
type Mode struct {
	Item  ItemID
	Prior float64 // probability of the spontaneous part, in (0,1)
	// Sources that may produce the mode beside its own hazard.
	Sources []Source
}

// Source is an event which, present before any work is done, produces a mode
// by itself with probability Weight, in (0,1).
type Source struct {
	Event  Event
	Weight float64
}

// Row is one line of a check's table: if Event is present, and no event of an
// earlier row, the outcomes have the probabilities P.
type Row struct {
	Event Event
	P     []float64
}

// Check is an observation with exclusive outcomes. The first row whose event
// is present decides the outcome's probabilities; Else decides if none is.
type Check struct {
	Name     string
	Outcomes []string
	Rows     []Row
	Else     []float64
}

// Introduced is a fault that a repair may leave behind with probability P in
// an item that is sound once the repair is made.
type Introduced struct {
	Mode Event
	P    float64
}

// Repair is an intervention: each of the modes and causes in Fixes, if
// present, is gone afterwards with probability Success (independently).
type Repair struct {
	Name       string
	Fixes      []Event
	Success    float64 // in (0,1]
	Introduces []Introduced
}

type eventKind uint8

const (
	modeEvent eventKind = iota
	gateEvent
)

type eventInfo struct {
	name  string
	kind  eventKind
	index int32 // into modes or gates
}

// Model is a checked, immutable fault model. It is safe for concurrent use.
type Model struct {
	events   []eventInfo
	items    []Item
	modes    []Mode
	modeEv   []Event // event of modes[i]
	gates    []Gate
	gateEv   []Event
	checks   []Check
	repairs  []Repair
	order    []Event // every event after all that it depends on
	effects  [][]effect
	byName   map[string]Event
	programs *cache
}

// Len returns the number of events; events are 0..Len-1.
func (m *Model) Len() int { return len(m.events) }

// Name returns the name that the event was declared with.
func (m *Model) Name(e Event) string {
	if !m.has(e) {
		return "no event"
	}
	return m.events[e].name
}

// Find returns the event of that name, or None.
func (m *Model) Find(name string) Event {
	if e, ok := m.byName[name]; ok {
		return e
	}
	return None
}

// simplified is the gate in the plainest form that means the same: a voting
// gate that one input satisfies is an or, one that needs all of them for
// certain is an and, and an and of one input passes it on as an or does.
func (m *Model) simplified(e Event) (gate Gate, ok bool) {
	gate, ok = m.GateOf(e)
	switch {
	case gate.Kind == Voting && gate.K == 1, gate.Kind == And && len(gate.Inputs) == 1:
		gate.Kind = Or
	case gate.Kind == Voting && gate.K == len(gate.Inputs) && !slices.ContainsFunc(gate.Inputs, func(in Input) bool { return in.Strength < 1 }):
		gate.Kind = And
	}
	return gate, ok
}

func (m *Model) has(e Event) bool { return e >= 0 && int(e) < len(m.events) }

// ModeOf returns the mode behind e; ok is false if e is a gate.
func (m *Model) ModeOf(e Event) (mode Mode, ok bool) {
	if !m.has(e) || m.events[e].kind != modeEvent {
		return Mode{}, false
	}
	return m.modes[m.events[e].index], true
}

// GateOf returns the gate behind e; ok is false if e is a mode or a cause.
func (m *Model) GateOf(e Event) (gate Gate, ok bool) {
	if !m.has(e) || m.events[e].kind != gateEvent {
		return Gate{}, false
	}
	return m.gates[m.events[e].index], true
}

// Items returns the items in order of declaration; the caller must not change
// the slice.
func (m *Model) Items() []Item { return m.items }

// Checks returns the checks in order of declaration; read only.
func (m *Model) Checks() []Check { return m.checks }

// Repairs returns the repairs in order of declaration; read only.
func (m *Model) Repairs() []Repair { return m.repairs }

// Symptoms returns the top events in order of declaration.
func (m *Model) Symptoms() []Event {
	var out []Event
	for i, g := range m.gates {
		if g.Symptom {
			out = append(out, m.gateEv[i])
		}
	}
	return out
}

// Order returns the events so that each stands after all it depends on; read
// only.
func (m *Model) Order() []Event { return m.order }

// Below returns the event and all events that it is made of through gates, in
// the order of Order.
func (m *Model) Below(e Event) []Event {
	in := make([]bool, len(m.events))
	in[e] = true
	for i := len(m.order) - 1; i >= 0; i-- {
		if g, ok := m.GateOf(m.order[i]); ok && in[m.order[i]] {
			for _, x := range g.Inputs {
				in[x.Event] = true
			}
		}
	}
	return slices.DeleteFunc(slices.Clone(m.order), func(x Event) bool { return !in[x] })
}
