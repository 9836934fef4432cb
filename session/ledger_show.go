package session

import (
	"fmt"
	"slices"
	"strings"

	"narrows/knowledge"
	"narrows/session/picture"
	"narrows/symptoms/quantity"
)

// What a table of the ledger holds.
const (
	PartsNumbers = "numbers"
	PartsGrades  = "grades"
	PartsWords   = "words"
)

// entered tells whether anything was written into a table.
func (pt PartTable) entered() bool {
	return slices.ContainsFunc(pt.Rows, func(r PartRow) bool { return r.Found+r.Left != "" })
}

// ledgerTables are the entries in which something was written, notes last.
func (c *Case) ledgerTables() []PartTable {
	var out []PartTable
	for _, e := range append(slices.Clone(c.b.e.Pack().Ledger), ledgerNote()) {
		if pt := c.ledgerTable(e); pt.entered() {
			out = append(out, pt)
		}
	}
	return out
}

// ledgerWords writes an entry down.
func (c *Case) ledgerWords(e *knowledge.LedgerEntry, pt PartTable) []string {
	head := capital(pt.Title)
	if e.At.ID != "" {
		head += " by " + e.At.ID
	}
	if l := c.ledgerLimit(e); e.Counts() && l != nil {
		head += ", sheet " + l.String()
	}
	out := []string{head + ":"}
	for _, r := range pt.Rows {
		s := fmt.Sprintf("%s: found %s", r.Title, orDash(r.Found))
		if r.Left != "" {
			s += ", left " + r.Left
		}
		if r.Judged != "" && pt.Kind == PartsNumbers {
			s += ": " + r.Judged
		}
		out = append(out, "  "+s)
	}
	if len(pt.Rows) == 0 {
		out = append(out, "  nothing yet")
	}
	if pt.Found != "" {
		out = append(out, "As found: "+pt.Found+".")
	}
	if pt.Now != "" {
		out = append(out, "As left: "+pt.Now+".")
	}
	return out
}

// showEntry is an entry by itself, its numbers drawn side by side.
func (c *Case) showEntry(e *knowledge.LedgerEntry) View {
	pt := c.ledgerTable(e)
	return View{Kind: "parts", Text: c.ledgerWords(e, pt), Parts: []PartTable{pt}, Pictures: c.ledgerPictures(e), Hint: "found and left enter it: found " + c.ledgerExample(e)}
}

// ledgerPictures draws the numbers of an entry, as found and, where anything was left,
// as left, from two positions on.
func (c *Case) ledgerPictures(e *knowledge.LedgerEntry) []PictureView {
	if !e.Counts() {
		return nil
	}
	var out []PictureView
	draw := func(how, verdict string, of func(ledgerAt) (written, bool)) {
		p := PictureView{Title: e.Title + ", " + how, Unit: e.In.Symbol(), Verdict: verdict}
		if l := c.ledgerLimit(e); l != nil {
			if lowest, highest, err := l.Bounds(e.In); err == nil {
				b := picture.Between(lowest, highest)
				p.Lowest, p.Highest = b.Lowest, b.Highest
			}
		}
		for _, at := range c.b.e.Places(e.At.ID) {
			if w, ok := of(ledgerAt{e.ID, placeKey(at)}); ok {
				p.Points = append(p.Points, PointView{Name: c.b.e.PlaceTitle(at), Place: placeKey(at), Value: w.Value, U: w.U, Label: quantity.Format(w.Value, e.In, 4)})
			}
		}
		if len(p.Points) > 1 {
			out = append(out, p)
		}
	}
	pt := c.ledgerTable(e)
	draw("as found", pt.Found, func(at ledgerAt) (written, bool) { w, ok := c.s.ledger.found[at]; return w, ok })
	if pt.Now != "" {
		draw("as left", pt.Now, c.s.ledger.now)
	}
	return out
}

// Drawings are the pictures of a report: of what checks have read, and of what was
// written down besides.
func (c *Case) Drawings() []PictureView { return append(c.Pictures(), c.pastPictures()...) }

// pastPictures are the drawings of all entries that no check has drawn already.
func (c *Case) pastPictures() []PictureView {
	var out []PictureView
	for _, e := range c.b.e.Pack().Ledger {
		if e.Check.ID == "" {
			out = append(out, c.ledgerPictures(e)...)
		}
	}
	return out
}

// ledgeredWords says an entry of the journal of that kind.
func (c *Case) ledgeredWords(p ledgered) string {
	how, title := "found", p.Entry
	if p.Left {
		how = "left"
	}
	e, err := c.b.ledgerOf(p.Entry)
	if err == nil {
		title = e.Title
	}
	var parts []string
	for _, v := range p.Values {
		s := v.Typed
		if v.Grade != "" && err == nil {
			s = gradeTitle(e, v.Grade)
		}
		if v.Place != "" {
			s = c.b.e.PlaceTitle(placeOf(v.Place)) + " " + s
		}
		parts = append(parts, s)
	}
	return how + ": " + title + ": " + strings.Join(parts, ", ")
}

// completeLedger goes on with the name of an entry, its grades or its units.
func (c *Case) completeLedger(words []string, word string) []Suggestion {
	out := goOn(append(c.entryNames(), named{knowledge.LedgerNote, "note"}), words, word)
	e, n := c.entryBegun(strings.Join(words, " "))
	if e == nil {
		return out
	}
	if e.Counts() {
		return append(out, completeUnit(&knowledge.Reading{In: e.In}, words[n:], word)...)
	}
	var ns []named
	for _, g := range e.Grades {
		ns = append(ns, named{g.ID, g.Title})
	}
	rest := words[n:]
	for len(rest) > 0 && !slices.ContainsFunc(ns, func(x named) bool { _, ok := follows(x.title, rest, word); return ok }) {
		rest = rest[1:]
	}
	return append(out, gradesOn(ns, rest, word)...)
}

// gradesOn is goOn, and all of them where nothing is typed yet.
func gradesOn(ns []named, words []string, word string) []Suggestion {
	if word != "" || len(words) > 0 {
		return goOn(ns, words, word)
	}
	var out []Suggestion
	for _, n := range ns {
		out = append(out, Suggestion{n.title, n.id})
	}
	return out
}
