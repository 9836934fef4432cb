package session

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	ft "narrows/faulttree"
	"narrows/knowledge"
	"narrows/session/journal"
	"narrows/symptoms/measure"
)

// The ledger of fitted parts: what was found fitted at each position, and what was left
// there, held against the sheet. Marks that are all there but in wrong places were
// exchanged, and that is evidence.

// part is what was found, or left, at positions of one table of the sheet.
type part struct {
	Table string            `json:"table"`
	Left  bool              `json:"left,omitempty"` // else found
	Marks map[string]string `json:"marks"`          // by member of the table's set
}

// fittedAt is one position of a table.
type fittedAt struct{ table, member string }

// noMark stands for a position that was not looked at.
const noMark = "-"

func (c *Case) doFound(ctx context.Context, words string) (View, error) {
	return c.enterPart(ctx, words, false)
}

func (c *Case) doLeft(ctx context.Context, words string) (View, error) {
	return c.enterPart(ctx, words, true)
}

// enterPart records marks: of one position, or of all in their order.
func (c *Case) enterPart(ctx context.Context, words string, left bool) (View, error) {
	if words != "" {
		if l := c.ledgerLine(words, left); l.entry != nil {
			return c.enterLedger(ctx, l)
		}
	}
	if words == "" || len(c.tableNames()) == 0 {
		return c.noTable("Found what?"), nil
	}
	name, at, hasPlace := c.cutPlace(words)
	name, marks := cutMarks(name)
	t, v := c.table(name)
	if t == nil {
		return v, nil
	}
	if i := slices.IndexFunc(marks, func(w string) bool { return w == "on" || w == "at" }); i >= 0 && !hasPlace {
		return c.wrong("There is no position %q; %s stands at %s.", strings.Join(marks[i+1:], " "), t.Title, members(t)), nil
	}
	p := part{Table: t.ID, Left: left, Marks: make(map[string]string)}
	switch {
	case hasPlace:
		member, ok := c.memberOf(t, at)
		if !ok {
			return c.wrong("%s is told by %s, and %s is none.", capital(t.Title), t.At.ID, c.b.e.PlaceTitle(at)), nil
		}
		if len(marks) == 0 {
			return c.wrong("Which mark? For instance: found %s 118 on %s %s.", t.Title, t.At.ID, member), nil
		}
		p.Marks[member] = strings.Join(marks, " ")
	case len(marks) != len(t.Values):
		return c.wrong("%s stands at %d positions, and %d marks were given; give all in their order, %s for one that was not read, or one with its place.", capital(t.Title), len(t.Values), len(marks), noMark), nil
	default:
		for i, x := range t.Values {
			if marks[i] != noMark {
				p.Marks[x.Member] = marks[i]
			}
		}
	}
	if len(p.Marks) == 0 {
		return c.wrong("No mark was given."), nil
	}
	before, err := c.suspects()
	if err != nil {
		return View{}, err
	}
	if err := c.record(ctx, kindPart, p); err != nil {
		return View{}, err
	}
	v, err = c.after(ctx, before)
	v.Text = append(c.tableWords(t), v.Text...)
	return v, err
}

func members(t *knowledge.Fitted) string {
	var all []string
	for _, x := range t.Values {
		all = append(all, x.Member)
	}
	return t.At.ID + " " + strings.Join(all, ", ")
}

// cutMarks parts a table's name from the marks behind it: they begin at "=", or with
// the first word that has a digit in it or says that there is none.
func cutMarks(words string) (name string, marks []string) {
	if before, after, ok := strings.Cut(words, "="); ok {
		return strings.TrimSpace(before), strings.Fields(after)
	}
	fields := strings.Fields(words)
	i := slices.IndexFunc(fields, func(w string) bool {
		return w == noMark || strings.EqualFold(w, "none") || strings.ContainsAny(w, "0123456789")
	})
	if i < 0 {
		return words, nil
	}
	return strings.Join(fields[:i], " "), fields[i:]
}

func (c *Case) tableNames() []named {
	var ns []named
	for _, t := range c.b.e.Sheet().Fitted {
		ns = append(ns, named{t.ID, t.Title})
	}
	return ns
}

// table finds a table of the sheet by words.
func (c *Case) table(words string) (*knowledge.Fitted, View) {
	found := choose(words, c.tableNames())
	if len(found) == 1 {
		return c.b.e.Sheet().Fitted[found[0]], View{}
	}
	return nil, c.noTable(fmt.Sprintf("No one table of parts or entry of the ledger fits %q.", words))
}

func (c *Case) noTable(why string) View {
	v := c.wrong("%s", why)
	for _, n := range append(c.tableNames(), c.entryNames()...) {
		v.Text = append(v.Text, n.title)
	}
	v.Text = append(v.Text, "note, at any position")
	switch tables, entries := c.b.e.Sheet().Fitted, c.b.e.Pack().Ledger; {
	case len(tables) > 0:
		t := tables[0]
		v.Hint = fmt.Sprintf("for instance: found %s %s on %s %s", t.Title, t.Values[0].Value, t.At.ID, t.Values[0].Member)
	case len(entries) > 0:
		v.Hint = "for instance: found " + c.ledgerExample(entries[0])
	default:
		v.Hint = "for instance: found " + c.ledgerExample(ledgerNote())
	}
	return v
}

// memberOf is the position of a table that a place means.
func (c *Case) memberOf(t *knowledge.Fitted, at knowledge.Place) (string, bool) {
	for _, x := range t.Values {
		if x.Member == at.Member && (at.Set == t.At.ID || slices.Contains(c.b.e.Related(at, t.At.ID), knowledge.Place{Set: t.At.ID, Member: x.Member})) {
			return x.Member, true
		}
	}
	return "", false
}

// doParts shows the ledger, whole or one table or entry of it.
func (c *Case) doParts(_ context.Context, words string) (View, error) {
	v := View{Kind: "parts", Hint: "found and left enter them: found main jet 118 on carb 1, found note WORDS on carb 2"}
	if words != "" {
		if e, n := c.entryBegun(words); e != nil && n == len(strings.Fields(words)) {
			return c.showEntry(e), nil
		}
		if strings.EqualFold(words, knowledge.LedgerNote) || strings.EqualFold(words, "notes") {
			return c.showEntry(ledgerNote()), nil
		}
		if found := choose(words, append(c.tableNames(), c.entryNames()...)); len(found) == 1 && found[0] >= len(c.tableNames()) {
			return c.showEntry(c.b.e.Pack().Ledger[found[0]-len(c.tableNames())]), nil
		}
		t, wrong := c.table(words)
		if t == nil {
			return wrong, nil
		}
		v.Text = c.tableWords(t)
		v.Parts = append(v.Parts, c.partTable(t))
		return v, nil
	}
	for _, t := range c.b.e.Sheet().Fitted {
		v.Text = append(v.Text, c.tableWords(t)...)
		v.Parts = append(v.Parts, c.partTable(t))
	}
	var bare []string
	for _, e := range append(slices.Clone(c.b.e.Pack().Ledger), ledgerNote()) {
		pt := c.ledgerTable(e)
		if !pt.entered() {
			bare = append(bare, e.Title)
			continue
		}
		v.Text = append(v.Text, c.ledgerWords(e, pt)...)
		v.Parts = append(v.Parts, pt)
	}
	if len(bare) > 0 {
		v.Text = append(v.Text, "Nothing entered yet: "+strings.Join(bare, ", ")+".")
	}
	return v, nil
}

// partTable is a table with what was found and left.
func (c *Case) partTable(t *knowledge.Fitted) PartTable {
	out := PartTable{ID: t.ID, Title: t.Title}
	for _, x := range t.Values {
		at := fittedAt{t.ID, x.Member}
		out.Rows = append(out.Rows, PartRow{
			Place: placeKey(knowledge.Place{Set: t.At.ID, Member: x.Member}), Title: c.b.e.PlaceTitle(knowledge.Place{Set: t.At.ID, Member: x.Member}),
			Sheet: x.Value, Found: c.s.found[at], Left: c.s.left[at],
		})
	}
	out.Found = judgedParts(t, c.s.found)
	if slices.ContainsFunc(out.Rows, func(r PartRow) bool { return r.Left != "" }) {
		now := make(map[fittedAt]string)
		for _, x := range t.Values {
			at := fittedAt{t.ID, x.Member}
			if now[at] = c.s.left[at]; now[at] == "" {
				now[at] = c.s.found[at]
			}
		}
		out.Now = judgedParts(t, now)
	}
	return out
}

func judgedParts(t *knowledge.Fitted, marks map[fittedAt]string) string {
	judged, err := measure.CheckFitted(fittedRows(t, marks))
	if err != nil {
		return err.Error()
	}
	parts := strings.TrimSuffix(t.Title, " mark") + "s"
	return strings.Replace(judged.String(), "the parts ", "the "+parts+" ", 1)
}

func fittedRows(t *knowledge.Fitted, marks map[fittedAt]string) []measure.Fitted {
	var rows []measure.Fitted
	for _, x := range t.Values {
		rows = append(rows, measure.Fitted{Position: x.Member, Expected: x.Value, Found: marks[fittedAt{t.ID, x.Member}]})
	}
	return rows
}

// tableWords writes a table down.
func (c *Case) tableWords(t *knowledge.Fitted) []string {
	pt := c.partTable(t)
	out := []string{capital(t.Title) + " by " + t.At.ID + ":"}
	for _, r := range pt.Rows {
		s := fmt.Sprintf("%s: sheet %s, found %s", r.Title, r.Sheet, orDash(r.Found))
		if r.Left != "" {
			s += ", left " + r.Left
		}
		out = append(out, "  "+s)
	}
	out = append(out, "As found: "+pt.Found+".")
	if pt.Now != "" {
		out = append(out, "As left: "+pt.Now+".")
	}
	return out
}

func orDash(s string) string {
	if s == "" {
		return noMark
	}
	return s
}

// onPart takes marks into the ledger, and what was found as evidence.
func (f *folder) onPart(e journal.Entry) error {
	var p part
	if err := json.Unmarshal(e.Payload, &p); err != nil {
		return err
	}
	t := f.b.e.Sheet().Fit(p.Table)
	if t == nil {
		return fmt.Errorf("the sheet has no table %q", p.Table)
	}
	enterMarks(f.s.found, f.s.left, p)
	if p.Left {
		return nil
	}
	stage := f.s.belief.Stage()
	for _, a := range f.b.partAnswers(t, f.s.found) {
		at := checkAt{a.check.Def.ID, placeKey(a.check.Place)}
		if f.last[stageKey(stage, at.check, at.place)] != e.Seq {
			continue
		}
		if a.outcome == "" { // read anew, it has become right
			delete(f.s.done, at)
			continue
		}
		f.s.done[at] = e.Seq
		x, err := f.b.partFinding(a)
		if err != nil {
			return err
		}
		if err := f.find(e, x); err != nil {
			return err
		}
	}
	return nil
}

// gatherPart notes where a table is the last answer of a check: where it says
// something else than it did before.
func (f *folder) gatherPart(e journal.Entry, stage int, found map[fittedAt]string, shown map[string]string) error {
	var p part
	if err := json.Unmarshal(e.Payload, &p); err != nil {
		return err
	}
	t := f.b.e.Sheet().Fit(p.Table)
	if t == nil || p.Left {
		return nil
	}
	enterMarks(found, nil, p)
	for _, a := range f.b.partAnswers(t, found) {
		key := stageKey(stage, a.check.Def.ID, placeKey(a.check.Place))
		if shown[key] != a.key() {
			shown[key], f.last[key] = a.key(), e.Seq
		}
	}
	return nil
}

func enterMarks(found, left map[fittedAt]string, p part) {
	to := found
	if p.Left {
		to = left
	}
	for member, mark := range p.Marks {
		to[fittedAt{p.Table, member}] = mark
	}
}

// partAnswer is what a table of parts amounts to as the answer of a check.
type partAnswer struct {
	check   knowledge.CheckUse
	outcome string   // "" where what was read says nothing
	of      []string // the items whose tables say so
}

// key tells answers apart.
func (a partAnswer) key() string { return a.outcome + " " + strings.Join(a.of, " ") }

// partAnswers are the answers that the tables which a check fills in give, where
// one of them is the table given: at every position the worst of what they say, a
// part that belongs nowhere being the worst.
func (b *bench) partAnswers(t *knowledge.Fitted, found map[fittedAt]string) []partAnswer {
	var out []partAnswer
	for _, u := range b.e.Checks() {
		if len(u.Def.FittedShows) == 0 || !slices.ContainsFunc(u.Def.Fitted, func(r knowledge.Ref) bool { return r.ID == t.ID }) {
			continue
		}
		worst := ""
		var of []string
		for _, r := range u.Def.Fitted {
			table := b.e.Sheet().Fit(r.ID)
			if table == nil || table.At.ID != u.Place.Set {
				continue
			}
			said := saidOf(table, found, u.Place.Member)
			if said != "" && worse(worst, said) != worst {
				worst, of = said, nil
			}
			if said == worst {
				of = append(of, r.ID)
			}
		}
		if worst != "" {
			out = append(out, partAnswer{u, u.Def.FittedShows[worst].ID, of})
		}
	}
	return out
}

// partFinding is the evidence of an answer: that of the check's outcome, but for the
// faults of items whose tables do not say so. A pilot jet that was exchanged puts no
// wrong mark into the table of the main jets.
func (b *bench) partFinding(a partAnswer) (ft.Finding, error) {
	x, err := b.outcome(a.check, answer{Outcome: a.outcome})
	if err != nil {
		return x, err
	}
	rows := b.e.Model().Checks()[a.check.ID].Rows
	said := slices.Clone(x.Weight)
	for i, row := range rows {
		item, _, mode := strings.Cut(b.e.Describe(row.Event).ID, ".")
		fills := slices.ContainsFunc(a.check.Def.Fitted, func(r knowledge.Ref) bool { return r.ID == item })
		if mode && fills && !slices.Contains(a.of, item) {
			said[i] = said[len(rows)]
		}
	}
	return ft.Reading(a.check.ID, said), nil
}

// saidOf is what a table says of one position; "" where nothing was read.
func saidOf(t *knowledge.Fitted, found map[fittedAt]string, member string) string {
	if found[fittedAt{t.ID, member}] == "" {
		return ""
	}
	judged, err := measure.CheckFitted(fittedRows(t, found))
	switch {
	case err != nil:
		return ""
	case slices.Contains(judged.Foreign, member):
		return knowledge.FittedForeign
	case slices.Contains(judged.Wrong, member):
		return knowledge.FittedExchanged
	}
	return knowledge.FittedRight
}

func worse(a, b string) string {
	rank := []string{"", knowledge.FittedRight, knowledge.FittedExchanged, knowledge.FittedForeign}
	if slices.Index(rank, b) > slices.Index(rank, a) {
		return b
	}
	return a
}

// partWords says an entry of that kind.
func (c *Case) partWords(p part) string {
	title, set := p.Table, ""
	var marks []string
	if t := c.b.e.Sheet().Fit(p.Table); t != nil {
		title, set = t.Title, t.At.ID+" "
		for _, x := range t.Values {
			if m, ok := p.Marks[x.Member]; ok {
				marks = append(marks, set+x.Member+" "+m)
			}
		}
	}
	how := "found"
	if p.Left {
		how = "left"
	}
	return how + ": " + title + ": " + strings.Join(marks, ", ")
}
