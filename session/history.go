package session

import (
	"time"
)

// The kinds of step, as the journal names them.
const (
	StepCheck   = kindCheck
	StepNoticed = kindNoticed
	StepRepair  = kindRepair
	StepRetried = kindRetried
)

// History is what happened in a case, from its entries, as plain data.
type History struct {
	Case, Engine, Owner string
	Complaint           ComplaintPast
	Steps               []Step // every entry that counts, in order
	Undone              []Step // entries taken back, words only
	Repairs             []RepairPast
	Cautions            []CautionPast
	StillOpen           []string      // openings open at the end
	Pictures            []PictureView // what was read, the latest at each position
	Parts               []PartTable   // the tables of parts and of the ledger in which something was entered
	Minutes             float64       // of all steps; standard times of the pack, not clocked
	Cured, Closed       bool
	Untried             bool   // a repair has been made and the complaint not tried since
	Closing             string // words of closing
	Pack, Sheet         string
	PackVersion         string
	Sources             []SourceSum
	Entries             int    // in the journal, those taken back included
	Head                string // SHA-256 of the last line; "" if the recorder has none
	Partial             bool   // some steps have no numbers: the context ended or they cannot be computed
}

// SourceSum is a knowledge file with its SHA-256 in hexadecimal digits.
type SourceSum struct{ Name, SHA256 string }

// CautionPast is a caution that work of this case needed, first at entry Seq.
type CautionPast struct {
	ID, Title, Text string
	Seq             int
}

// ComplaintPast is the complaint as stated and as seen.
type ComplaintPast struct {
	Text     string
	Symptoms []SymptomPast
	Said     []SaidPast
	Missed   []string // words that were not understood
}

// SymptomPast is a symptom: what the owner says of it, corrections included,
// and what the mechanic has seen. States are present, absent, unknown or "".
type SymptomPast struct {
	ID, Title, Owner, Words, Seen string
	Assumed                       bool
	Unseen                        bool // it was tried and did not show
}

// SaidPast is something said beside the complaint.
type SaidPast struct {
	Title, Words string
	Denied       bool
}

// Mark names an event at a place; Mode tells a failure mode or cause from the
// gates above them.
type Mark struct {
	Event, Place, Title string
	Mode, Present       bool
}

// Step is an entry. Entries of one piece of work (a check answered place by
// place, a complaint with its corrections, a repair with its retry) are a run:
// Before stands at its first entry and After at its last. Both rank every
// suspect, and are nil where there was no complaint, or it was gone.
type Step struct {
	Seq           int
	Time          time.Time
	Kind, Words   string
	Title         string // the work, or ""
	Minutes       float64
	Advised       string // what was advised first where the mechanic chose otherwise
	Stage         int    // repairs made before it
	Answers       []AnswerPast
	Noticed       *Mark
	Follows       bool // of one run with the step before
	Before, After []Suspect
	UndoneBy      int // entry that took it back, 0 if it counts
}

// AnswerPast is what a check showed at a place.
type AnswerPast struct {
	Check, Title, Place, At string // At is the place in words
	Shows                   string // outcome, or the reading in words
	Reading                 *ReadingPast
}

// ReadingPast is a reading as typed, and what was made of it, with units.
type ReadingPast struct {
	Typed, Value, Corrected string
	Instrument              string // a better one than the check asks for, or one that was chosen
	Warmth                  string // of the engine, where it was asked for
	Uncertainty             string // standard uncertainty
	Corrections             []string
	Limit, Verdict          string
	Together                string  // what it says with earlier readings of the same thing
	Conformance             float64 // chance in [0,1] that the true value is within the limit; with a Verdict only
}

// RepairPast is a repair and how the complaint fared after it. Retry is nil if
// the complaint was not tried before the next repair, or not yet.
type RepairPast struct {
	Seq             int
	Title, At       string
	Minutes, Cure   float64 // Cure is the chance believed before it
	AsFound, AsLeft string
	Fixes           []Mark
	Retry           *RetryPast
}

// RetryPast is the complaint tried again; Symptoms are those tried.
type RetryPast struct {
	Seq      int
	Cured    bool
	Words    string
	Minutes  float64
	Symptoms []Mark
}
