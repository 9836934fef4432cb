package symptoms

// State tells what was said of a symptom. The zero value is Unknown.
type State uint8

// The states of a symptom in a statement.
const (
	// Unknown: spoken of, but the words leave open which of several it is.
	Unknown State = iota
	// Present: said to show.
	Present
	// Absent: said not to show.
	Absent
)

// String gives the state as one lower case word.
func (s State) String() string {
	switch s {
	case Present:
		return "present"
	case Absent:
		return "absent"
	default:
		return "unknown"
	}
}

// Regime is the identifier of a running regime of the vocabulary: when a
// symptom shows (idle, full, cold, opening ...).
type Regime string

// Symptom is a top event that a pack offers to be named.
type Symptom struct {
	ID      string   // identifier in the pack
	Title   string   // words for people
	Shows   string   // what is seen: a manifestation of the vocabulary
	Regimes []Regime // when: all of them hold; none: whenever it runs
}

// Circumstance is something said beside the complaint that bears on it: since
// lay-up, after work on the carburettors.
type Circumstance struct {
	ID      string
	Title   string
	Phrases []string // sayings; their words may come in any order and synonym
}
