package knowledge

import (
	"narrows/faulttree"
	"narrows/symptoms/quantity"
)

// The structs of this file hold a pack as it is written: every list in the
// order of the file, every definition and reference with its place in it.
// They are filled by the loader and must not be changed afterwards.

// Ref names something defined elsewhere.
type Ref struct {
	ID  string
	Pos Pos
}

// Entry is what all definitions have.
type Entry struct {
	ID     string
	Title  string
	Source string // what the numbers rest on: a published source, common practice, judgement
	Note   string
	Pos    Pos
}

// Pack is the knowledge for a family of engines.
type Pack struct {
	Entry
	Version    string
	HandingOn  HandingOn
	Recheck    Recheck
	Sets       []*PositionSet
	Serves     []*Relation
	Causes     []*Cause
	Items      []*Item
	Conditions []*Condition
	Symptoms   []*Symptom
	History    []*Circumstance
	Sites      []*Site
	Openings   []*Opening
	Tools      []*Tool
	Cautions   []*Caution
	Checks     []*Check
	Repairs    []*Repair
	Ledger     []*LedgerEntry
}

// HandingOn is the way out that is always open: its cost in minutes.
type HandingOn struct {
	Title   string
	Minutes float64
}

// Recheck is the cost of repeating the complaint after a repair.
type Recheck struct {
	Minutes float64
	Engine  EngineState
	Sites   []Ref   // where it can be done; empty: anywhere
	Shows   float64 // chance that a complaint that is there shows at one try, above 0
}

// Site is where an engine can stand while it is worked on: a bench, a stand
// with water, in the water. In a pack it is one of its places.
type Site struct {
	Entry         // its title goes on after "the engine is"
	Phrases []Ref // what the mechanic may call it
}

// EngineState says what the engine does while work is done on it.
type EngineState uint8

// The states of the engine.
const (
	Off EngineState = iota
	Cranking
	Running
)

var engineStates = []string{"off", "cranking", "running"}

func (s EngineState) String() string {
	if int(s) < len(engineStates) {
		return engineStates[s]
	}
	return "unknown"
}

// PositionSet is a set of places where a like part stands.
type PositionSet struct {
	Entry
	Members []string
}

// Relation says which places of one set act on which of another.
type Relation struct {
	From, To Ref
	Same     bool   // members of the same name act on one another
	Pairs    []Pair // in written order; filled in where Same is set
}

// Pair is one place acting on another.
type Pair struct{ From, To string }

// Raise says that something, present before any work, produces a mode by
// itself with the given chance, in (0,1).
type Raise struct {
	Mode   Ref
	Chance float64
}

// Cause is a common cause, engine-wide.
type Cause struct {
	Entry
	Prior  float64 // in (0,1)
	Raises []Raise
}

// Item is a part at every place of a set, or one for the engine.
type Item struct {
	Entry
	At     Ref    // a position set; the zero Ref means engine-wide
	System string // a heading for lists
	Modes  []*Mode
}

// Mode is a failure mode of an item; modes of one item exclude one another at
// one place.
type Mode struct {
	Entry
	Item   *Item
	Prior  float64 // in (0,1)
	Raises []Raise
}

// EventID returns the mode's name as an event, "item.mode".
func (m *Mode) EventID() string { return m.Item.ID + "." + m.ID }

// GateDef is the gate of a condition or a symptom as written.
type GateDef struct {
	Kind    faulttree.GateKind
	AtLeast int // voting gates only
	From    []GateInput
	Unless  []Ref // and gates only: inputs that must be absent
	Pos     Pos   // of the word that names the gate
}

// GateInput is one input with its strength, in (0,1].
type GateInput struct {
	Event    Ref
	Strength float64
}

// Condition is an intermediate event.
type Condition struct {
	Entry
	At     Ref
	Gate   GateDef
	Raises []Raise
}

// Symptom is a top event: what a complaint can name. It is engine-wide.
type Symptom struct {
	Entry
	Shows    Ref   // what is seen; a word of the vocabulary
	Regimes  []Ref // when; all are needed to name it
	Unlisted float64
	Gate     GateDef
}

// Circumstance is something that the owner says beside the complaint.
type Circumstance struct {
	Entry
	Phrases []string
	Said    []Said
	Else    float64 // chance that it is said where none of Said holds
}

// Said is the chance that a circumstance is spoken of if the event is present.
type Said struct {
	Event  Ref
	Chance float64
}

// Opening is an access step: cowl off, bowl open.
type Opening struct {
	Entry
	Open, Close float64 // minutes
	Needs       []Ref   // openings that must be open first
	ShutToRun   bool    // must be closed before the engine may run
	Wear        float64 // minutes that opening it weighs beyond those spent, at least 0
}

// Tool is something a check or repair needs at hand.
type Tool struct{ Entry }

// Caution is said before the first check or repair that needs it.
type Caution struct {
	Entry
	Text   string
	Charge float64 // what its risk weighs in the planner, in minutes
}

// Work is what checks and repairs have in common.
type Work struct {
	Entry
	Short       string // one line
	Steps       []Step
	At          Ref
	Minutes     float64
	Opens       []Ref // openings that must be open
	Shut        []Ref // openings that must be closed
	Engine      EngineState
	Sites       []Ref // where it can be done; empty: anywhere
	Tools       []Ref
	Cautions    []Ref
	Consumables []Consumable
}

// Consumable is something that work uses up, priced as minutes at the shop's
// rate.
type Consumable struct {
	Title   string
	Minutes float64
	Pos     Pos
}

// Check is an observation with exclusive outcomes, or a reading.
type Check struct {
	Work
	Each     bool // minutes are for each place; false: one go answers them all
	Outcomes []Outcome
	Reading  *Reading // in place of Outcomes
	Rows     []Row
	Else     Row   // its Event is the zero Ref
	Fitted   []Ref // items whose tables on the sheet this check fills in as found
	// FittedShows are the outcomes that such a table amounts to at a position, by
	// FittedRight, FittedExchanged, FittedForeign; one left out says nothing.
	FittedShows map[string]Ref
}

// Outcome is one way a check can turn out.
type Outcome struct{ ID, Title string }

// Row says what a check shows if its event is present and no event of an
// earlier row is: chances of the outcomes, or the population of true values.
type Row struct {
	Event Ref
	P     []float64   // checks with outcomes
	True  *Population // checks with a reading
	Pos   Pos
}

// Population is a normal population of true values as written: quantities, or
// factors of the sheet's nominal value.
type Population struct {
	OfNominal bool
	Mean, SD  Amount  // OfNominal false
	FMean     float64 // OfNominal true
	FSD       float64
	Pos       Pos
}

// Amount is a quantity as typed. One that was not given has no unit.
type Amount struct {
	quantity.Quantity
	Pos Pos
}

// Reading says what number a check reads.
type Reading struct {
	Quantity    Ref           // a dimension of package quantity
	Unit        Ref           // the unit that it is shown in
	In          quantity.Unit // Unit, found
	Limit       Ref           // the sheet's limit of that name; zero: none
	Siblings    Ref           // a limit of the sheet that compares the places; zero: none
	Uncertainty Amount
	Derive      *Derive // nil: it is typed; else made of values that the steps take
	Finer       *Finer  // nil: there is no better instrument for it
	Corrections []Ref
	Pos         Pos
}

// Finer is a better instrument for the same reading.
type Finer struct {
	Tool        Ref
	Uncertainty Amount // standard uncertainty of one reading, below that of the Reading
	Pos         Pos
}

// Repair is an intervention.
type Repair struct {
	Work
	Fixes        []Ref   // modes and causes
	Success      float64 // in (0,1]: chance that each of them is really gone
	Introduces   []Raise // faults that it may leave behind
	PartsMinutes float64 // cost of parts as minutes at the shop's rate
	// FoundMinutes are minutes of work beyond Minutes for each of Fixes that is
	// really there: it is looked at in Minutes and put right in these.
	FoundMinutes   float64
	PartsWhenFound bool // PartsMinutes count for what is found only
}

// What a table of fitted parts says of one position.
const (
	FittedRight     = "right"     // the part that belongs there
	FittedExchanged = "exchanged" // one that belongs to another position
	FittedForeign   = "foreign"   // one that belongs to none
)
