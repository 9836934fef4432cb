package knowledge

import (
	"slices"

	"narrows/faulttree"
	"narrows/symptoms"
)

// Engine is one pack with one sheet, built into a fault model. It is immutable
// and safe for concurrent readers; what it returns must not be changed.
type Engine struct {
	pack    *packFile
	sheet   *sheetFile
	words   *wordFile
	snap    *Snapshot
	model   *faulttree.Model
	events  map[string][]faulttree.Event // by identifier, then by place; None where absent
	about   []about                      // by event
	checks  []CheckUse
	repairs []RepairUse
	history []CircumstanceUse
	reads   map[faulttree.CheckID]*ReadingUse
}

// about says which definition stands behind an event, and at which place.
type about struct {
	def *EventDef
	at  Place
}

// CheckUse is a check at one place. ID is its index in the model, and in the
// list of checks.
type CheckUse struct {
	Def   *Check
	Place Place
	ID    faulttree.CheckID
	Title string // "cylinder drop test, cylinder 3"
}

// RepairUse is a repair at one place. ID is its index in the model, and in the
// list of repairs.
type RepairUse struct {
	Def   *Repair
	Place Place
	ID    faulttree.RepairID
	Title string
}

// CircumstanceUse is a history entry as a check of the model, named
// "history:" and its identifier, with the outcomes HistorySaid and
// HistoryNotSaid.
type CircumstanceUse struct {
	Def *Circumstance
	ID  faulttree.CheckID
}

// The outcomes of a history entry's check.
const (
	HistorySaid = iota
	HistoryNotSaid
)

// Model returns the fault model.
func (e *Engine) Model() *faulttree.Model { return e.model }

// Pack returns the pack as written.
func (e *Engine) Pack() *Pack { return e.pack.pack }

// Sheet returns the sheet as written.
func (e *Engine) Sheet() *Sheet { return e.sheet.sheet }

// Snapshot returns the store of the pack, for look-ups and completion.
func (e *Engine) Snapshot() *Snapshot { return e.snap }

// Lexicon returns the words of owners for this pack's symptoms and history.
func (e *Engine) Lexicon() *symptoms.Lexicon { return e.pack.lexicon }

// Sources returns the files that the engine was built from: the pack with its
// fragments and amendments, the sheet and the vocabulary. OpenSheet on them
// builds the same engine again.
func (e *Engine) Sources() []Source {
	return slices.Concat([]Source{e.pack.src}, e.pack.srcs, []Source{e.sheet.src, e.words.src})
}

// Event returns the event of that identifier at a place. An event at a set of
// places is asked for at one of them, an engine-wide one at the zero Place. ok
// is false if there is none: an unknown identifier, a place of another set, or
// a gate that no input can reach there.
func (e *Engine) Event(id string, at Place) (ev faulttree.Event, ok bool) {
	def := e.pack.byID[id]
	if def == nil || def.At != at.Set {
		return faulttree.None, false
	}
	i, ok := e.pack.lay.index(at)
	if !ok || e.events[id][i] == faulttree.None {
		return faulttree.None, false
	}
	return e.events[id][i], true
}

// EventsOf returns the events of that identifier at all places where it
// exists, in the order of the places.
func (e *Engine) EventsOf(id string) []faulttree.Event {
	var out []faulttree.Event
	for _, ev := range e.events[id] {
		if ev != faulttree.None {
			out = append(out, ev)
		}
	}
	return out
}

// Description says in words what an event is.
type Description struct {
	ID     string // as in the pack: "pilot_jet.blocked"
	Place  Place
	Kind   Kind
	Title  string // "pilot jet, carburettor 3: blocked or part-blocked"
	Short  string // "pilot jet 3 blocked"
	System string // the item's heading, or ""
	Def    *EventDef
}

// Describe describes an event of the model; the zero Description if there is
// no such event.
func (e *Engine) Describe(ev faulttree.Event) Description {
	if ev < 0 || int(ev) >= len(e.about) {
		return Description{}
	}
	a := e.about[ev]
	d := Description{ID: a.def.ID, Place: a.at, Kind: a.def.Kind, System: a.def.System, Def: a.def}
	d.Title, d.Short = e.pack.lay.titles(a.def, a.at)
	return d
}

// Checks returns every check at every place, in the order of the pack.
func (e *Engine) Checks() []CheckUse { return e.checks }

// Check returns a check at a place.
func (e *Engine) Check(id string, at Place) (CheckUse, bool) {
	for _, u := range e.checks {
		if u.Def.ID == id && u.Place == at {
			return u, true
		}
	}
	return CheckUse{}, false
}

// ChecksOf returns a check at all its places.
func (e *Engine) ChecksOf(id string) []CheckUse {
	var out []CheckUse
	for _, u := range e.checks {
		if u.Def.ID == id {
			out = append(out, u)
		}
	}
	return out
}

// CheckByID returns the check behind an index of the model; ok is false for a
// history entry.
func (e *Engine) CheckByID(id faulttree.CheckID) (CheckUse, bool) {
	if id < 0 || int(id) >= len(e.checks) {
		return CheckUse{}, false
	}
	return e.checks[id], true
}

// Repairs returns every repair at every place, in the order of the pack.
func (e *Engine) Repairs() []RepairUse { return e.repairs }

// Repair returns a repair at a place.
func (e *Engine) Repair(id string, at Place) (RepairUse, bool) {
	for _, u := range e.repairs {
		if u.Def.ID == id && u.Place == at {
			return u, true
		}
	}
	return RepairUse{}, false
}

// RepairsOf returns a repair at all its places.
func (e *Engine) RepairsOf(id string) []RepairUse {
	var out []RepairUse
	for _, u := range e.repairs {
		if u.Def.ID == id {
			out = append(out, u)
		}
	}
	return out
}

// Circumstances returns the history entries as checks of the model.
func (e *Engine) Circumstances() []CircumstanceUse { return e.history }

// Circumstance returns a history entry by its identifier.
func (e *Engine) Circumstance(id string) (CircumstanceUse, bool) {
	for _, c := range e.history {
		if c.Def.ID == id {
			return c, true
		}
	}
	return CircumstanceUse{}, false
}
