package session

import (
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// The kinds of journal entry. A kind's payload keeps its meaning for good: an
// older journal must replay to the same numbers.
const (
	kindOpened       = "opened"
	kindComplaint    = "complaint"
	kindStated       = "stated"
	kindVerified     = "verified"
	kindUnseen       = "unseen"
	kindCheck        = "check"
	kindStep         = "step"
	kindNoticed      = "noticed"
	kindSkipped      = "skipped"
	kindAccess       = "access"
	kindMeans        = "means"
	kindSurroundings = "surroundings"
	kindPlace        = "place"
	kindInstrument   = "instrument"
	kindUnits        = "units"
	kindPart         = "part"
	kindLedger       = "ledger"
	kindRepair       = "repair"
	kindRetried      = "retried"
	kindNote         = "note"
	kindUndo         = "undo"
	kindReloaded     = "reloaded"
	kindClosed       = "closed"
)

// opened says which knowledge the case rests on; copies of the files lie in
// the case's folder.
type opened struct {
	Sheet   string      `json:"sheet"`
	Pack    string      `json:"pack"`
	Engine  string      `json:"engine"`
	Sources []sumOf     `json:"sources"`
	Owner   string      `json:"owner,omitempty"`
	Weights StatedTrust `json:"stated_trust"`
}

type sumOf struct {
	Name string `json:"name"`
	SHA  string `json:"sha256"`
}

// StatedTrust says how far the owner is trusted who speaks of trouble: the
// chance that a symptom is spoken of if it is there, and if it is not.
type StatedTrust struct {
	PresentIf  float64 `json:"present_if_there"`
	PresentNot float64 `json:"present_if_not"`
}

// complaint is the owner's words with what was understood.
type complaint struct {
	Text    string      `json:"text"`
	Stated  []statement `json:"stated"`
	History []said      `json:"history,omitempty"`
	Missed  []string    `json:"missed,omitempty"`
}

type statement struct {
	Symptom string `json:"symptom"`
	State   string `json:"state"` // present, absent or unknown
	Words   string `json:"words,omitempty"`
	Assumed bool   `json:"assumed,omitempty"`
}

type said struct {
	ID     string `json:"id"`
	Words  string `json:"words,omitempty"`
	Denied bool   `json:"denied,omitempty"`
}

// verified is a symptom that the mechanic has seen, or has tried and not seen.
type verified struct {
	Symptom string  `json:"symptom"`
	Present bool    `json:"present"`
	Minutes float64 `json:"minutes,omitempty"` // of a try that was made to see it; stands in the first of its symptoms
	Advised string  `json:"advised,omitempty"` // what was offered first instead of the try
}

// unseen is a complaint that was tried and did not show.
type unseen struct {
	Symptoms []string `json:"symptoms"`
	Minutes  float64  `json:"minutes"`
	Advised  string   `json:"advised,omitempty"` // what was offered first instead
}

// checked is one check done, at all places that were answered in one go.
type checked struct {
	Check   string   `json:"check"`
	Results []answer `json:"results"`
	Minutes float64  `json:"minutes"`
	Advised string   `json:"advised,omitempty"` // what was offered first instead
}

// answer is what a check showed at one place: an outcome, or a reading.
type answer struct {
	Place   string   `json:"place,omitempty"` // "carb:3"; empty for the engine
	Outcome string   `json:"outcome,omitempty"`
	Reading *reading `json:"reading,omitempty"`
}

// reading keeps a measurement as typed, with every correction beside it.
type reading struct {
	Typed       string              `json:"typed"`
	Instrument  string              `json:"instrument,omitempty"` // a better one than the check asks for, or one that was chosen
	Unit        string              `json:"unit"`
	Value       float64             `json:"value"`     // as typed, in Unit
	Corrected   float64             `json:"corrected"` // in Unit
	Uncertainty float64             `json:"uncertainty"`
	Components  []measure.Component `json:"components,omitempty"` // of Uncertainty, where errors are shared with other readings
	Corrections []correction        `json:"corrections,omitempty"`
	Verdict     string              `json:"verdict,omitempty"`
	Conformance float64             `json:"conformance,omitempty"`
	Limit       string              `json:"limit,omitempty"`
	Likelihood  []float64           `json:"likelihood"`     // by row of the check, then otherwise
	Took        []took              `json:"took,omitempty"` // the values that it was made of
}

type correction struct {
	Name  string  `json:"name"`
	Typed string  `json:"typed"`
	After float64 `json:"after"`
}

// noticed is something seen without a check: an event, present or absent.
type noticed struct {
	Event   string `json:"event"`
	Place   string `json:"place,omitempty"`
	Present bool   `json:"present"`
	Words   string `json:"words"`
}

type skipped struct {
	Check  string `json:"check"`
	Place  string `json:"place,omitempty"`
	Reason string `json:"reason,omitempty"`
}

type access struct {
	Opening string `json:"opening"`
	Open    bool   `json:"open"`
}

type repaired struct {
	Repair  string  `json:"repair"`
	Place   string  `json:"place,omitempty"`
	Minutes float64 `json:"minutes"`
	Cure    float64 `json:"cure"` // believed before it was made
	AsFound string  `json:"as_found,omitempty"`
	AsLeft  string  `json:"as_left,omitempty"`
}

// retried is the complaint tried again after a repair.
type retried struct {
	Cured    bool       `json:"cured"`
	Symptoms []verified `json:"symptoms"` // each symptom of the complaint that was tried
	Minutes  float64    `json:"minutes"`
	Words    string     `json:"words,omitempty"`
}

type note struct {
	Text string `json:"text"`
}

// undo takes an earlier entry back; the entry stays in the journal.
type undo struct {
	Seq int `json:"seq"`
}

type closed struct {
	Cured bool   `json:"cured"`
	Words string `json:"words,omitempty"`
}

// pendingReading is a reading on its way: what was typed so far.
type pendingReading struct {
	place   string
	raw     quantity.Quantity
	typed   string
	line    string                       // the whole answer, its place included
	entered map[string]quantity.Quantity // corrections asked for, by name
	kept    bool                         // it was questioned, and is to stand
	with    *instrumentUsed              // nil: the check's own figure
}
