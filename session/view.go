package session

// View is everything that one command has to say, as data: a screen draws it,
// and its JSON is the same.
type View struct {
	Kind     string        `json:"kind"`
	Text     []string      `json:"text,omitempty"`
	Error    string        `json:"error,omitempty"` // what was wrong with the line; nothing was recorded
	Cautions []CautionView `json:"cautions,omitempty"`
	Stated   []StatedView  `json:"stated,omitempty"`
	Missed   []string      `json:"missed,omitempty"`
	Suspects []Suspect     `json:"suspects,omitempty"`
	Several  float64       `json:"several,omitempty"`  // chance that no single repair cures
	Unlisted float64       `json:"unlisted,omitempty"` // chance of something not in this pack
	Next     *NextView     `json:"next,omitempty"`
	Ranking  bool          `json:"ranking,omitempty"` // what to do next is still to be ranked
	Ask      *Ask          `json:"ask,omitempty"`
	Wait     *WaitView     `json:"wait,omitempty"`
	Why      []WeightView  `json:"why,omitempty"`
	Tree     []TreeLine    `json:"tree,omitempty"`
	Sets     []SetView     `json:"sets,omitempty"`
	Conflict *ConflictView `json:"conflict,omitempty"`
	Parts    []PartTable   `json:"parts,omitempty"`
	Pictures []PictureView `json:"pictures,omitempty"`
	Log      []LogLine     `json:"log,omitempty"`
	Limits   []LimitView   `json:"limits,omitempty"`
	Changed  []Change      `json:"changed,omitempty"`
	Hint     string        `json:"hint,omitempty"` // what to do next
	Report   string        `json:"report,omitempty"`
	Done     bool          `json:"done,omitempty"` // leave the prompt
}

// CautionView is a caution to be read before the work that needs it.
type CautionView struct {
	Title string `json:"title"`
	Text  string `json:"text"`
}

// StatedView is one symptom as understood.
type StatedView struct {
	Symptom  string `json:"symptom"`
	Title    string `json:"title"`
	State    string `json:"state"`
	Words    string `json:"words,omitempty"`
	Assumed  bool   `json:"assumed,omitempty"`
	Verified bool   `json:"verified,omitempty"`
}

// SetView is a set of faults that are there together, nothing else of what the
// findings bear on being wrong.
type SetView struct {
	P      float64     `json:"probability"`
	Faults []FaultView `json:"faults"` // empty: nothing of it is wrong
}

// FaultView is a failure mode or cause at a position.
type FaultView struct {
	Event string `json:"event"`
	Place string `json:"place,omitempty"`
	Title string `json:"title"`
}

// ConflictView says how well the findings go together: bits above 0 mean that
// they are rarer together than by chance.
type ConflictView struct {
	Bits  float64 `json:"bits"`
	Words string  `json:"words"`
}

// Suspect is a failure mode at a position with its two numbers.
type Suspect struct {
	N       int     `json:"n"`
	Event   string  `json:"event"`
	Place   string  `json:"place,omitempty"`
	Title   string  `json:"title"`
	Present float64 `json:"present"` // probability that it is there now
	Cures   float64 `json:"cures"`   // probability that putting it right alone ends the complaint
	id      int32
}

// NextView is the advice.
type NextView struct {
	Options  []OptionView `json:"options"`
	Expected float64      `json:"expected_minutes"` // of the best option
	Bound    float64      `json:"bound_minutes"`
	Why      string       `json:"why,omitempty"` // why the first option stands first
	Open     []string     `json:"open,omitempty"`
	While    []string     `json:"while_open,omitempty"`
	First    string       `json:"first,omitempty"` // the symptom, of several, that the options work on
}

// OptionView is one action offered.
type OptionView struct {
	N        int      `json:"n"`
	Kind     string   `json:"kind"`
	ID       string   `json:"id"`
	Place    string   `json:"place,omitempty"`
	Title    string   `json:"title"`
	Minutes  float64  `json:"minutes"`
	Expected float64  `json:"expected_minutes"`
	Saves    float64  `json:"saves_minutes"`
	Cure     float64  `json:"cure,omitempty"`
	Needs    []string `json:"opens,omitempty"`
	// What is in Minutes beside opening and closing, and what comes on top for
	// each fault that a repair finds.
	Work        float64 `json:"work_minutes,omitempty"`
	Parts       float64 `json:"parts_minutes,omitempty"`
	Consumables float64 `json:"consumables_minutes,omitempty"`
	Risk        float64 `json:"risk_minutes,omitempty"`
	Found       float64 `json:"found_minutes,omitempty"`

	Tools    []string      `json:"tools,omitempty"`
	Outcomes []OutcomeView `json:"outcomes,omitempty"`
}

// OutcomeView is one result of an offered check and where it would lead.
type OutcomeView struct {
	Title string  `json:"title"`
	P     float64 `json:"p"`
	Then  string  `json:"then"`
}

// Ask is a question that the next line may answer.
type Ask struct {
	Title   string   `json:"title"`
	Steps   []string `json:"steps,omitempty"`
	Choices []string `json:"choices,omitempty"`
	Prompt  string   `json:"prompt"`
}

// WeightView is what one finding says of a suspect.
type WeightView struct {
	Entry    int     `json:"entry"`
	Finding  string  `json:"finding"`
	Decibans float64 `json:"decibans"`
	Words    string  `json:"words"`
}

// TreeLine is one line of the fault tree.
type TreeLine struct {
	Depth int     `json:"depth"`
	Title string  `json:"title"`
	Gate  string  `json:"gate,omitempty"`
	P     float64 `json:"p"`
	Note  string  `json:"note,omitempty"`
}

// PartTable is a table of fitted parts, or an entry of the ledger, as found and as
// left.
type PartTable struct {
	ID    string    `json:"id"`
	Title string    `json:"title"`
	Kind  string    `json:"kind,omitempty"` // of an entry of the ledger: numbers, grades or words
	Rows  []PartRow `json:"rows"`
	Found string    `json:"as_found"`          // judged, in words
	Now   string    `json:"as_left,omitempty"` // judged, where something was left
}

// PartRow is one position of it; what was not read is empty.
type PartRow struct {
	Place string `json:"place"`
	Title string `json:"title"`
	Sheet string `json:"sheet"`
	Found string `json:"found,omitempty"`
	Left  string `json:"left,omitempty"`
	// Judged is what is there, in the ledger, as left or else as found.
	Judged string `json:"judged,omitempty"`
}

// LogLine is one entry of the journal in words.
type LogLine struct {
	Seq    int    `json:"seq"`
	Time   string `json:"time"`
	Text   string `json:"text"`
	Undone bool   `json:"undone,omitempty"`
}

// Change is what an entry did to a suspect.
type Change struct {
	Title  string  `json:"title"`
	Before float64 `json:"before"` // cure probability, or presence without a complaint
	After  float64 `json:"after"`
}
