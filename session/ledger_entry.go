package session

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"narrows/knowledge"
	"narrows/symptoms/quantity"
)

// The ledger beyond the sheet's tables of marks: what the pack wants written down at
// each position as found and as left. Numbers, grades and free words; none of them is
// evidence, which is what checks are for.

// ledgered is what was found, or left, at positions of one entry of the ledger.
type ledgered struct {
	Entry  string        `json:"entry"` // of the pack, or "note"
	Left   bool          `json:"left,omitempty"`
	Values []ledgerValue `json:"values"`
}

// ledgerValue is that of one position: a number with its unit, a grade, or words alone.
type ledgerValue struct {
	Place string  `json:"place,omitempty"` // "carb:3"; empty for the engine
	Typed string  `json:"typed"`           // a number with its unit, as typed
	Value float64 `json:"value,omitempty"` // in Unit
	Unit  string  `json:"unit,omitempty"`  // UCUM code; empty: it is no number
	Grade string  `json:"grade,omitempty"`
}

func (v ledgerValue) quantity() (quantity.Quantity, error) {
	u, err := quantity.ParseUnit(v.Unit)
	return quantity.Quantity{Text: v.Typed, Value: v.Value, Unit: u}, err
}

// ledgerNote stands for the entry that every ledger has.
func ledgerNote() *knowledge.LedgerEntry {
	return &knowledge.LedgerEntry{Entry: knowledge.Entry{ID: knowledge.LedgerNote, Title: "note"}}
}

func isNote(e *knowledge.LedgerEntry) bool { return e.ID == knowledge.LedgerNote }

// ledgerLine is a line about an entry, taken apart: its name, where, and what is said.
type ledgerLine struct {
	entry *knowledge.LedgerEntry
	left  bool
	words string // behind the verb, whole
	said  string // the values
	at    *knowledge.Place
	all   bool // one value for all positions
}

// ledgerLine takes a line apart; the entry is nil where the line names none.
func (c *Case) ledgerLine(words string, left bool) ledgerLine {
	l := ledgerLine{left: left, words: words, said: words}
	if first, rest, _ := strings.Cut(words, " "); strings.EqualFold(strings.TrimSuffix(first, ":"), knowledge.LedgerNote) {
		l.entry, l.said = ledgerNote(), rest
		l.where(c)
		return l
	}
	l.where(c)
	var n int
	if l.entry, n = c.entryBegun(l.said); l.entry == nil {
		if l.entry, n = c.entryLike(l.said); l.entry == nil {
			l.entry, n = c.entryGraded(l.said)
		}
	}
	l.said = strings.TrimSpace(strings.TrimLeft(strings.Join(strings.Fields(l.said)[n:], " "), "=:"))
	return l
}

// where takes the place off the end of what is said.
func (l *ledgerLine) where(c *Case) {
	for _, all := range []string{" on all", " at all"} {
		if n := len(l.said) - len(all); n > 0 && strings.EqualFold(l.said[n:], all) {
			l.said, l.all = l.said[:n], true
			return
		}
	}
	if rest, at, ok := c.cutPlace(l.said); ok {
		l.said, l.at = rest, &at
	}
}

// entryBegun finds the entry whose name the words begin with, and how many of them
// that is; a table of the sheet with a name as long goes before it.
func (c *Case) entryBegun(words string) (*knowledge.LedgerEntry, int) {
	fields := strings.Fields(words)
	for n := len(fields); n > 0; n-- {
		name := strings.TrimRight(strings.Join(fields[:n], " "), ":=")
		is := func(x named) bool {
			return strings.EqualFold(name, x.title) || strings.EqualFold(name, x.id) || strings.EqualFold(name, strings.ReplaceAll(x.id, "_", " "))
		}
		if slices.ContainsFunc(c.tableNames(), is) {
			return nil, 0
		}
		for _, e := range c.b.e.Pack().Ledger {
			if is(named{e.ID, e.Title}) {
				return e, n
			}
		}
	}
	return nil, 0
}

// entryLike finds the one entry that the words before the first number fit, if no
// table of the sheet fits them as well.
func (c *Case) entryLike(words string) (*knowledge.LedgerEntry, int) {
	name, marks := cutMarks(words)
	if len(marks) == 0 || strings.Contains(words, "=") {
		return nil, 0
	}
	ns := c.tableNames()
	tables := len(ns)
	found := choose(name, append(ns, c.entryNames()...))
	if len(found) != 1 || found[0] < tables {
		return nil, 0
	}
	return c.b.e.Pack().Ledger[found[0]-tables], len(strings.Fields(name))
}

// entryGraded finds the entry with grades of which the words name one.
func (c *Case) entryGraded(words string) (*knowledge.LedgerEntry, int) {
	fields := strings.Fields(words)
	var ns []named
	var entries []*knowledge.LedgerEntry
	for _, e := range c.b.e.Pack().Ledger {
		if len(e.Grades) > 0 {
			ns, entries = append(ns, named{e.ID, e.Title}), append(entries, e)
		}
	}
	for n := len(fields) - 1; n > 0; n-- {
		found := choose(strings.Join(fields[:n], " "), ns)
		if len(found) != 1 {
			continue
		}
		if _, ok := gradeOf(entries[found[0]], strings.Join(fields[n:], " ")); ok {
			return entries[found[0]], n
		}
	}
	return nil, 0
}

func gradeOf(e *knowledge.LedgerEntry, words string) (string, bool) {
	var ns []named
	for _, g := range e.Grades {
		ns = append(ns, named{g.ID, g.Title})
	}
	found := choose(strings.Trim(words, ",;"), ns)
	if len(found) != 1 {
		return "", false
	}
	return e.Grades[found[0]].ID, true
}

func gradeTitle(e *knowledge.LedgerEntry, id string) string {
	if i := gradeRank(e, id); i >= 0 {
		return e.Grades[i].Title
	}
	return id
}

func gradeRank(e *knowledge.LedgerEntry, id string) int {
	return slices.IndexFunc(e.Grades, func(g knowledge.Grade) bool { return g.ID == id })
}

func (c *Case) entryNames() []named {
	var ns []named
	for _, e := range c.b.e.Pack().Ledger {
		ns = append(ns, named{e.ID, e.Title})
	}
	return ns
}

// ledgerOf finds an entry by its name in a record.
func (b *bench) ledgerOf(id string) (*knowledge.LedgerEntry, error) {
	if id == knowledge.LedgerNote {
		return ledgerNote(), nil
	}
	if e := b.e.Pack().LedgerOf(id); e != nil {
		return e, nil
	}
	return nil, fmt.Errorf("the pack's ledger has no entry %q", id)
}

// enterLedger records what is said of an entry, unless it has to be asked for again.
func (c *Case) enterLedger(ctx context.Context, l ledgerLine) (View, error) {
	p, wrong := c.ledgerValues(l)
	if wrong.Error != "" {
		return wrong, nil
	}
	if v, ask := c.doubtLedger(l, p); ask {
		return v, nil
	}
	return c.recordLedger(ctx, p)
}

func (c *Case) recordLedger(ctx context.Context, p ledgered) (View, error) {
	if err := c.record(ctx, kindLedger, p); err != nil {
		return View{}, err
	}
	e, err := c.b.ledgerOf(p.Entry)
	if err != nil {
		return View{}, err
	}
	pt := c.ledgerTable(e)
	v := View{Kind: "parts", Text: c.ledgerWords(e, pt), Parts: []PartTable{pt}, Hint: "Enter goes on; undo takes it back; parts shows the ledger"}
	if e.Check.ID != "" && !p.Left {
		v.Hint = "it is for the file; as evidence it counts once it is read by: check " + c.workTitle(e.Check.ID, p.Values[0].Place)
	}
	return v, nil
}

// ledgerValues makes a payload of a line, or says what is wrong with it.
func (c *Case) ledgerValues(l ledgerLine) (ledgered, View) {
	p := ledgered{Entry: l.entry.ID, Left: l.left}
	places, wrong := c.ledgerPlaces(l)
	switch {
	case wrong.Error != "":
		return p, wrong
	case l.said == "":
		return p, c.ledgerWrong(l.entry, "What was seen of it? %s", c.ledgerExample(l.entry))
	}
	one := l.all || len(places) == 1
	var values []ledgerValue
	switch e := l.entry; {
	case e.Counts():
		values, wrong = c.numbers(e, l.said, len(places), one)
	case len(e.Grades) > 0:
		values, wrong = c.gradesSaid(e, l.said, len(places), one)
	case !one:
		return p, c.ledgerWrong(e, "At which position? Say it behind the words, as %s, or on all.", "on "+places[0].Set+" "+places[0].Member)
	default:
		values = []ledgerValue{{Typed: l.said}}
	}
	if wrong.Error != "" {
		return p, wrong
	}
	for i, at := range places {
		v := values[0]
		if !one {
			v = values[i]
		}
		if v.Typed != noMark {
			v.Place = placeKey(at)
			p.Values = append(p.Values, v)
		}
	}
	if len(p.Values) == 0 {
		return p, c.ledgerWrong(l.entry, "Nothing was given.")
	}
	return p, View{}
}

// ledgerPlaces are the positions that a line is about.
func (c *Case) ledgerPlaces(l ledgerLine) ([]knowledge.Place, View) {
	if isNote(l.entry) {
		return c.notePlace(l)
	}
	all := c.b.e.Places(l.entry.At.ID)
	if l.at == nil {
		fields := strings.Fields(l.said)
		for i, w := range fields {
			if (w == "on" || w == "at") && i > 0 && (l.entry.Counts() || len(l.entry.Grades) > 0) {
				return nil, c.ledgerWrong(l.entry, "There is no position %q; %s stands at %s.", strings.Join(fields[i+1:], " "), l.entry.Title, c.positions(all))
			}
		}
		return all, View{}
	}
	if l.entry.At.ID == "" {
		return nil, c.ledgerWrong(l.entry, "%s is told for the engine as a whole; leave the place out.", capital(l.entry.Title))
	}
	near := []knowledge.Place{*l.at}
	if l.at.Set != l.entry.At.ID {
		near = c.b.e.Related(*l.at, l.entry.At.ID)
	}
	if len(near) != 1 {
		return nil, c.ledgerWrong(l.entry, "%s is told by %s: %s.", capital(l.entry.Title), l.entry.At.ID, c.positions(all))
	}
	return near, View{}
}

// notePlace is where a note is about: a set must be named, since any has a 2.
func (c *Case) notePlace(l ledgerLine) ([]knowledge.Place, View) {
	switch {
	case l.all:
		return nil, c.ledgerWrong(l.entry, "A note is about one position, or about the engine: leave the place out.")
	case l.at == nil:
		return []knowledge.Place{{}}, View{}
	}
	tail := strings.Fields(l.words)[1+len(strings.Fields(l.said)):]
	if strings.EqualFold(tail[len(tail)-1], l.at.Member) && (len(tail) == 1 || slices.Contains([]string{"on", "at", "of"}, tail[len(tail)-2])) {
		return nil, c.ledgerWrong(l.entry, "Which %s is meant? Say for instance %s %s.", l.at.Member, l.at.Set, l.at.Member)
	}
	return []knowledge.Place{*l.at}, View{}
}

// positions lists places of one set: "carb 1, 2, 3, 4".
func (c *Case) positions(all []knowledge.Place) string {
	var members []string
	for _, p := range all {
		if p == (knowledge.Place{}) {
			return c.b.e.PlaceTitle(p)
		}
		members = append(members, p.Member)
	}
	return all[0].Set + " " + strings.Join(members, ", ")
}

// ledgerWrong is a line about an entry that cannot be taken.
func (c *Case) ledgerWrong(e *knowledge.LedgerEntry, format string, args ...any) View {
	v := c.wrong(format, args...)
	v.Hint = "for instance: found " + c.ledgerExample(e)
	return v
}

// ledgerExample is a line that would do, without its verb.
func (c *Case) ledgerExample(e *knowledge.LedgerEntry) string {
	on := ""
	if all := c.b.e.Places(e.At.ID); e.At.ID != "" {
		on = " on " + all[0].Set + " " + all[0].Member
	}
	switch {
	case isNote(e):
		return "note white powder in the bowl"
	case e.Counts():
		q := e.Usual.Text
		if l := c.ledgerLimit(e); l != nil && l.Nominal != nil {
			q = l.Nominal.String()
		}
		if q == "" {
			q = e.In.Dimension().Example()
		}
		return e.Title + " " + q + on
	case len(e.Grades) > 0:
		return e.Title + " " + e.Grades[0].Title + on
	}
	return e.Title + " WORDS" + on
}
