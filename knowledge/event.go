package knowledge

// Kind says what an event of a pack is.
type Kind uint8

// The kinds of events, in the order in which a model declares them.
const (
	KindCause Kind = iota
	KindMode
	KindCondition
	KindSymptom
)

var kindNames = []string{"cause", "mode", "condition", "symptom"}

func (k Kind) String() string {
	if int(k) < len(kindNames) {
		return kindNames[k]
	}
	return "unknown"
}

// EventDef is one event as a pack defines it, whatever the places it stands
// at. One of Mode, Cause, Condition and Symptom is set, as Kind says.
type EventDef struct {
	ID     string // "stale_fuel", "pilot_jet.blocked", "lean_idle"
	Kind   Kind
	Title  string // "pilot jet: blocked or part-blocked"
	At     string // the position set, or "" for engine-wide
	System string // the item's heading, or ""
	Order  int    // in the pack

	Mode      *Mode
	Cause     *Cause
	Condition *Condition
	Symptom   *Symptom
}

// owner is what cycles go through: an item's state is drawn once for all its
// modes.
func (e *EventDef) owner() string {
	if e.Kind == KindMode {
		return e.Mode.Item.ID
	}
	return e.ID
}

// gate returns the event's gate, or nil.
func (e *EventDef) gate() *GateDef {
	switch e.Kind {
	case KindCondition:
		return &e.Condition.Gate
	case KindSymptom:
		return &e.Symptom.Gate
	}
	return nil
}

// raises returns what the event raises.
func (e *EventDef) raises() []Raise {
	switch e.Kind {
	case KindCause:
		return e.Cause.Raises
	case KindMode:
		return e.Mode.Raises
	case KindCondition:
		return e.Condition.Raises
	}
	return nil
}

// events lists the events of a pack in the order of declaration. Definitions
// whose name is taken are left out; the caller reports them.
func (p *Pack) events() (list []*EventDef, byID map[string]*EventDef) {
	byID = make(map[string]*EventDef)
	add := func(e *EventDef) {
		if byID[e.ID] != nil {
			return
		}
		e.Order = len(list)
		byID[e.ID] = e
		list = append(list, e)
	}
	for _, c := range p.Causes {
		add(&EventDef{ID: c.ID, Kind: KindCause, Title: c.Title, Cause: c})
	}
	for _, it := range p.Items {
		for _, m := range it.Modes {
			add(&EventDef{ID: m.EventID(), Kind: KindMode, Title: it.Title + ": " + m.Title, At: it.At.ID, System: it.System, Mode: m})
		}
	}
	for _, c := range p.Conditions {
		add(&EventDef{ID: c.ID, Kind: KindCondition, Title: c.Title, At: c.At.ID, Condition: c})
	}
	for _, s := range p.Symptoms {
		add(&EventDef{ID: s.ID, Kind: KindSymptom, Title: s.Title, Symptom: s})
	}
	return list, byID
}
