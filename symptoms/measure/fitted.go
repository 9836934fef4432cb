package measure

import (
	"fmt"
	"strings"
)

// MostFitted is the number of positions that CheckFitted takes.
const MostFitted = 8

// Fitted is the mark of the part at one position.
type Fitted struct {
	Position string `json:"position"`
	Expected string `json:"expected"` // by the sheet; empty: the sheet says nothing
	Found    string `json:"found"`    // as read; empty: not read; "none" for no part
}

// FittedState is a judgement of a table of fitted parts.
type FittedState string

// The judgements of a table.
const (
	FittedRight     FittedState = "as it should be"          // nothing wrong was read; see Unread
	FittedExchanged FittedState = "explained by an exchange" // every wrong position is
	FittedWrong     FittedState = "wrong parts"              // at least one is not
)

func (s FittedState) String() string { return string(s) }

// Exchange is a set of positions that hold each other's parts, in a round: the
// first holds the part of the second, the second that of the third, the last
// that of the first. It takes one exchange of two parts less than it has
// positions to put right.
type Exchange struct {
	Positions []string `json:"positions"`
	// Unread is the positions among them whose part was not read: the exchange
	// explains the others if each of these holds the part named.
	Unread []string `json:"unread,omitempty"`
}

// FittedTable is what can be said of a table of fitted parts.
type FittedTable struct {
	State FittedState `json:"state"`
	Rows  []Fitted    `json:"rows"` // as given
	// Wrong is the positions whose part is another than expected, in order.
	Wrong []string `json:"wrong,omitempty"`
	// Exchanges explains as many of the wrong positions as can be explained, with
	// the fewest exchanges of two parts, in the order of their first positions.
	Exchanges []Exchange `json:"exchanges,omitempty"`
	// Foreign is the wrong positions that no exchange explains: the part there
	// belongs elsewhere or nowhere.
	Foreign []string `json:"foreign,omitempty"`
	Unread  []string `json:"unread,omitempty"` // positions not read
	// Ways is in how many ways as few exchanges explain as much; more than 1
	// where like parts are fitted at several positions.
	Ways int `json:"ways"`
}

// CheckFitted compares the marks found with those expected, position by
// position. Letter case and spaces do not matter. Where parts are at the wrong
// positions it looks for the least set of exchanges that explains the table:
// the most wrong positions explained, then the fewest exchanges of two parts,
// then the fewest positions not read involved. Positions without an expected
// mark are left out. More than MostFitted positions, or a position named twice,
// is an error.
func CheckFitted(rows []Fitted) (FittedTable, error) {
	if len(rows) > MostFitted {
		return FittedTable{}, fmt.Errorf("a table of %d fitted parts; check up to %d positions at a time", len(rows), MostFitted)
	}
	t := FittedTable{State: FittedRight, Rows: append([]Fitted(nil), rows...), Ways: 1}
	seen := map[string]bool{} // looked up only
	var open []Fitted         // wrong or not read
	for _, r := range rows {
		if seen[r.Position] {
			return FittedTable{}, fmt.Errorf("position %q stands twice in the table of fitted parts; name each once", r.Position)
		}
		seen[r.Position] = true
		switch {
		case mark(r.Expected) == "" || mark(r.Expected) == mark(r.Found):
			continue
		case mark(r.Found) == "":
			t.Unread = append(t.Unread, r.Position)
		default:
			t.Wrong = append(t.Wrong, r.Position)
		}
		open = append(open, r)
	}
	if len(t.Wrong) == 0 {
		return t, nil
	}
	t.explain(open)
	return t, nil
}

// explain fills in exchanges, foreign parts, ways and the state.
func (t *FittedTable) explain(open []Fitted) {
	best, sets := leastExchanges(open)
	t.Ways = best.ways
	explained := 0
	for _, set := range sets {
		if e := round(open, set); len(e.Positions) > 1 {
			t.Exchanges = append(t.Exchanges, e)
			explained |= set
		}
	}
	for i, r := range open {
		if explained&(1<<i) == 0 && mark(r.Found) != "" {
			t.Foreign = append(t.Foreign, r.Position)
		}
	}
	t.State = FittedExchanged
	if len(t.Foreign) > 0 {
		t.State = FittedWrong
	}
}

// mark is a mark without what does not tell parts apart.
func mark(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), "")) }

// String is the table's judgement in words.
func (t FittedTable) String() string {
	var parts []string
	for _, e := range t.Exchanges {
		parts = append(parts, e.String())
	}
	if t.Ways > 1 {
		parts = append(parts, "other exchanges would explain it as well")
	}
	for _, r := range t.Rows {
		for _, p := range t.Foreign {
			if p == r.Position {
				parts = append(parts, fmt.Sprintf("%s holds %s in place of %s", p, strings.TrimSpace(r.Found), strings.TrimSpace(r.Expected)))
			}
		}
	}
	if len(parts) == 0 {
		parts = append(parts, t.rightWords())
	}
	if len(t.Unread) > 0 {
		parts = append(parts, "not read: "+strings.Join(t.Unread, ", "))
	}
	return strings.Join(parts, "; ")
}

// rightWords says of a table without a wrong part no more than was read.
func (t FittedTable) rightWords() string {
	expected := 0
	for _, r := range t.Rows {
		if mark(r.Expected) != "" {
			expected++
		}
	}
	switch {
	case expected == 0:
		return "the sheet names no part"
	case len(t.Unread) == expected:
		return "nothing to judge"
	case len(t.Unread) > 0:
		return t.State.String() + " where read"
	}
	return t.State.String()
}

// String is the exchange in words: "the parts of 1 and 4 are exchanged".
func (e Exchange) String() string {
	p := e.Positions
	var s string
	switch len(p) {
	case 0, 1:
		return "no parts are exchanged"
	case 2:
		s = "the parts of " + p[0] + " and " + p[1] + " are exchanged"
	default:
		s = "the parts have gone round: " + p[0] + " holds the part of " + p[1]
		for i := 1; i < len(p); i++ {
			s += ", " + p[i] + " that of " + p[(i+1)%len(p)]
		}
	}
	if len(e.Unread) > 0 {
		s += ", if " + strings.Join(e.Unread, " and ") + " holds that part (not read)"
	}
	return s
}
