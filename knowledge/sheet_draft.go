package knowledge

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"narrows/symptoms/measure"
)

// SheetDraft is a sheet in the making: what was answered so far to the questions
// that a pack raises. Every answer is read by the code that reads sheets, at once,
// so that a finished draft is a sound sheet.
type SheetDraft struct {
	lib     *Library
	answers map[string]string // by the question's Key
}

// SheetQuestion is one value that a sheet can give.
type SheetQuestion struct {
	Key   string
	Ask   string   // what is wanted
	Ways  []string // how an answer is written
	Must  bool     // it cannot be left out
	Lacks string   // what becomes of it where the value is left out; empty: nothing
	limit *wantedLimit
}

// The questions about the sheet as a whole.
const (
	askPack   = "pack"
	askSheet  = "sheet"
	askTitle  = "title"
	askSource = "source"
	askPage   = "page"
)

// NewSheetDraft begins a sheet of one of the library's packs.
func NewSheetDraft(lib *Library) *SheetDraft {
	return &SheetDraft{lib, make(map[string]string)}
}

// Said is the answer to a question so far, or "".
func (d *SheetDraft) Said(key string) string { return d.answers[key] }

// ID is the identifier of the sheet, or "" as long as it has none.
func (d *SheetDraft) ID() string { return d.answers[askSheet] }

// Questions are what there is to ask, in order, as far as the answers tell: those
// of limits and parts come once the pack is known.
func (d *SheetDraft) Questions() []SheetQuestion {
	packs := SheetQuestion{Key: askPack, Ask: "Which pack does the engine belong to?", Must: true}
	for _, p := range d.lib.Packs() {
		packs.Ways = append(packs.Ways, p.ID+": "+p.Title)
	}
	out := []SheetQuestion{
		packs,
		{Key: askSheet, Ask: "An identifier for the sheet?", Ways: []string{idRule}, Must: true},
		{Key: askTitle, Ask: "What is the engine called?", Must: true},
		{Key: askSource, Ask: "Where do the figures come from? A manual's title, or measured on a good engine."},
		{Key: askPage, Ask: "On which page? One figure's own page is written behind it: at least 110 psi, page 2-4"},
	}
	p := d.pack()
	if p == nil {
		return out
	}
	for _, w := range p.pack.wantedLimits() {
		out = append(out, w.question())
	}
	for _, it := range p.pack.tabled() {
		set := p.lay.sets[it.At.ID]
		for i, m := range set.Members {
			q := SheetQuestion{Key: fittedKey(it.ID, m), Ask: fmt.Sprintf("The mark of the %s that belongs at %s?", it.Title, p.lay.title(Place{set.ID, m}))}
			if i == 0 {
				q.Lacks = "parts found there are not held against the sheet"
			}
			q.Must = i > 0
			out = append(out, q)
			if d.answers[q.Key] == "" && i == 0 {
				break // the table is left out, or not begun
			}
		}
	}
	return out
}

func limitKey(id string) string            { return "limit " + id }
func fittedKey(item, member string) string { return "fitted " + item + " " + member }

func (d *SheetDraft) pack() *packFile {
	for _, p := range d.lib.packs {
		if p.pack.ID == d.answers[askPack] {
			return p
		}
	}
	return nil
}

// A wantedLimit is a limit that something in the pack reads against.
type wantedLimit struct {
	id       string
	title    string // of the first that names it
	readers  []string
	quantity Ref
	unit     Ref
	siblings bool // it compares the positions
	nominal  bool // a check counts from its nominal value
}

// wantedLimits are the limits that checks and the ledger name, in that order.
func (p *Pack) wantedLimits() []*wantedLimit {
	var out []*wantedLimit
	want := func(r, of, unit Ref, title string) *wantedLimit {
		if r.ID == "" {
			return &wantedLimit{}
		}
		i := slices.IndexFunc(out, func(w *wantedLimit) bool { return w.id == r.ID })
		if i < 0 {
			i = len(out)
			out = append(out, &wantedLimit{id: r.ID, title: title, quantity: of, unit: unit})
		}
		if !slices.Contains(out[i].readers, title) {
			out[i].readers = append(out[i].readers, title)
		}
		return out[i]
	}
	for _, k := range p.Checks {
		for _, s := range k.Steps {
			if s.Take != nil {
				want(s.Take.Limit, s.Take.Quantity, s.Take.Unit, k.Title+", "+s.Text)
			}
		}
		if r := k.Reading; r != nil {
			w := want(r.Limit, r.Quantity, r.Unit, k.Title)
			w.nominal = w.nominal || k.ofNominal()
			want(r.Siblings, r.Quantity, r.Unit, k.Title+", the positions compared").siblings = true
		}
	}
	for _, l := range p.Ledger {
		want(l.Limit, l.Quantity, l.Unit, l.Title)
	}
	return out
}

func (w *wantedLimit) question() SheetQuestion {
	q := SheetQuestion{Key: limitKey(w.id), Ask: fmt.Sprintf("Limit %s: %s?", w.id, strings.Join(w.readers, "; ")), limit: w}
	u := w.unit.ID
	both := fmt.Sprintf("NOMINAL %s +- TOLERANCE %s (or +- N %%)", u, u)
	bounds := []string{"at least N " + u, "at most N " + u, fmt.Sprintf("LOWEST %s to HIGHEST %s", u, u)}
	q.Lacks = "readings are written down and judged by nothing but what is usual in the pack"
	switch {
	case w.siblings:
		q.Ways = []string{string(measure.LowestOverHighest) + " at least 75 %", string(measure.HighestLessLowest) + " at most N " + u, string(measure.BelowMean) + " at most 10 %"}
		q.Lacks = "the positions are not compared by a limit"
	case w.nominal:
		q.Ways = []string{both}
		q.Lacks = "readings are written down and tell nothing of faults, since the check counts from the nominal value"
	default:
		q.Ways = append(bounds, both)
	}
	return q
}

// tabled are the items whose tables some check fills in.
func (p *Pack) tabled() []*Item {
	var out []*Item
	for _, it := range p.Items {
		named := func(k *Check) bool {
			return slices.ContainsFunc(k.Fitted, func(r Ref) bool { return r.ID == it.ID })
		}
		if it.At.ID != "" && slices.ContainsFunc(p.Checks, named) {
			out = append(out, it)
		}
	}
	return out
}

// Answer takes the answer to a question; "" leaves the value out. An answer that
// the loader would refuse changes nothing, and the error says why.
func (d *SheetDraft) Answer(q SheetQuestion, text string) error {
	text = strings.TrimSpace(text)
	if text == "" && q.Must {
		return fmt.Errorf("a sheet cannot do without it; %s", q.mustMend())
	}
	was := maps.Clone(d.answers)
	d.answers[q.Key] = text
	if err := d.wrong(q, text); err != nil {
		d.answers = was
		return err
	}
	return nil
}

func (q SheetQuestion) mustMend() string {
	if strings.HasPrefix(q.Key, "fitted ") {
		return "type it, or go back to the first position and leave the whole table out"
	}
	return "type it"
}

// wrong says what the loader would say of the draft as it now stands.
func (d *SheetDraft) wrong(q SheetQuestion, text string) error {
	switch {
	case q.Key == askPack && d.pack() == nil:
		var ids []string
		for _, p := range d.lib.Packs() {
			ids = append(ids, p.ID)
		}
		return fmt.Errorf("unknown pack %s; %s", quote(text), (&faults{}).meant(text, ids, "name one of: "+strings.Join(ids, ", ")))
	case q.Key == askSheet && d.lib.sheet(text) != nil:
		return fmt.Errorf("sheet %s: the identifier is in use; give it another", quote(text))
	case q.limit != nil && text != "":
		if _, err := parseLimit(text); err != nil {
			return fmt.Errorf("%w; write %s", err, strings.Join(q.Ways, ", or "))
		}
	}
	f := &faults{file: "the sheet"}
	root := parse(Source{f.file, d.text(true)}, f)
	if root != nil {
		s := &sheetFile{f: f, sheet: (&decoder{f}).sheet(root), pack: d.pack()}
		checkSheet(s)
	}
	if len(f.list) == 0 {
		return nil
	}
	first := f.list[0]
	if first.Mend == "" {
		return fmt.Errorf("%s", first.What)
	}
	return fmt.Errorf("%s; %s", first.What, first.Mend)
}

// Open are the questions that have no answer and can do without.
func (d *SheetDraft) Open() []SheetQuestion {
	return slices.DeleteFunc(d.Questions(), func(q SheetQuestion) bool { return d.answers[q.Key] != "" })
}

// Lacking is the first question that must be answered and is not.
func (d *SheetDraft) Lacking() (SheetQuestion, bool) {
	for _, q := range d.Questions() {
		if q.Must && d.answers[q.Key] == "" {
			return q, true
		}
	}
	return SheetQuestion{}, false
}

// YAML is the sheet as far as it goes. What was left out stands in comments.
func (d *SheetDraft) YAML() []byte {
	out := d.text(false)
	for _, q := range d.Open() {
		if q.Lacks != "" {
			out = fmt.Appendf(out, "# left out: %s; %s\n", q.Key, q.Lacks)
		}
	}
	return out
}

// text writes the draft. To try an answer, what must stand has a stand-in, and a
// table that is not complete is filled with its last mark.
func (d *SheetDraft) text(try bool) []byte {
	head := func(key, standIn string) string {
		if s := d.answers[key]; s != "" || !try {
			return s
		}
		return standIn
	}
	pairs := []*yaml.Node{}
	put := func(key string, v *yaml.Node) { pairs = append(pairs, plainNode(key), v) }
	put("sheet", plainNode(head(askSheet, "draft")))
	put("format", &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!int", Value: "1"})
	put("title", quotedNode(head(askTitle, "draft")))
	put("pack", plainNode(head(askPack, "draft")))
	if s := d.answers[askSource]; s != "" {
		put("source", quotedNode(s))
	}
	if p := d.pack(); p != nil {
		if limits := d.limitNodes(p.pack); len(limits) > 0 {
			put("limits", mappingNode(0, limits...))
		}
		if tables := d.fittedNodes(p, try); len(tables) > 0 {
			put("fitted", mappingNode(0, tables...))
		}
	}
	var b bytes.Buffer
	e := yaml.NewEncoder(&b)
	e.SetIndent(2)
	if err := errors.Join(e.Encode(mappingNode(0, pairs...)), e.Close()); err != nil {
		return nil // nodes of texts can always be written; the loader would refuse an empty file
	}
	return b.Bytes()
}

func (d *SheetDraft) limitNodes(p *Pack) []*yaml.Node {
	var out []*yaml.Node
	for _, w := range p.wantedLimits() {
		said := d.answers[limitKey(w.id)]
		if said == "" {
			continue
		}
		l, err := parseLimit(said)
		if err != nil {
			continue // it was refused when it was answered
		}
		fields := append([]*yaml.Node{plainNode("quantity"), plainNode(w.quantity.ID), plainNode("title"), quotedNode(w.title)}, l.nodes...)
		for _, more := range [][2]string{{"source", d.answers[askSource]}, {"page", l.page}} {
			if more[0] == "page" && more[1] == "" {
				more[1] = d.answers[askPage]
			}
			if more[1] != "" {
				fields = append(fields, plainNode(more[0]), quotedNode(more[1]))
			}
		}
		out = append(out, plainNode(w.id), mappingNode(yaml.FlowStyle, fields...))
	}
	return out
}

func (d *SheetDraft) fittedNodes(p *packFile, try bool) []*yaml.Node {
	var out []*yaml.Node
	for _, it := range p.pack.tabled() {
		var values []*yaml.Node
		last := ""
		for _, m := range p.lay.sets[it.At.ID].Members {
			mark := d.answers[fittedKey(it.ID, m)]
			switch {
			case mark != "":
				last = mark
			case last == "" || !try:
				continue
			}
			values = append(values, quotedNode(m), quotedNode(last))
		}
		if len(values) == 0 {
			continue
		}
		fields := []*yaml.Node{plainNode("at"), plainNode(it.At.ID), plainNode("title"), quotedNode(it.Title + " mark"), plainNode("values"), mappingNode(yaml.FlowStyle, values...)}
		if s := d.answers[askSource]; s != "" {
			fields = append(fields, plainNode("source"), quotedNode(s))
		}
		out = append(out, plainNode(it.ID), mappingNode(yaml.FlowStyle, fields...))
	}
	return out
}

// aLimit is a limit as it was typed, in the keys of a sheet.
type aLimit struct {
	nodes []*yaml.Node
	page  string
}

var (
	pageAtEnd  = regexp.MustCompile(`^(.*?)[ ,;]+page +(\S+)$`)
	between    = regexp.MustCompile(`^(.+?) +to +(.+)$`)
	aboutValue = regexp.MustCompile(`^(.+?) *(?:\+-|\+/-|±) *(.+)$`)
)

// parseLimit reads a limit in the words in which limits are shown: "at least 110
// psi", "9.6 V to 14 V", "0.80 ohm +- 0.10 ohm", "lowest over highest at least 75
// %"; the page of the source may stand behind it. Quantities are left to the
// loader.
func parseLimit(text string) (aLimit, error) {
	var l aLimit
	put := func(key string, v *yaml.Node) { l.nodes = append(l.nodes, plainNode(key), v) }
	if m := pageAtEnd.FindStringSubmatch(text); m != nil {
		text, l.page = m[1], m[2]
	}
	for _, rule := range siblingRules {
		if rest, ok := strings.CutPrefix(text, rule); ok {
			put("siblings", plainNode(rule))
			text = strings.TrimSpace(rest)
		}
	}
	lowest, least := strings.CutPrefix(text, "at least ")
	highest, most := strings.CutPrefix(text, "at most ")
	switch m, n := aboutValue.FindStringSubmatch(text), between.FindStringSubmatch(text); {
	case least:
		put("min", quotedNode(lowest))
	case most:
		put("max", quotedNode(highest))
	case m != nil:
		put("nominal", quotedNode(m[1]))
		put("tolerance", quotedNode(m[2]))
	case n != nil:
		put("range", &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle, Content: []*yaml.Node{quotedNode(n[1]), quotedNode(n[2])}})
	default:
		return aLimit{}, fmt.Errorf("%s is no limit", quote(text))
	}
	return l, nil
}

// plainNode is a text that is quoted only where YAML needs it; quotedNode is one
// that always is, as sheets have quantities and marks.
func plainNode(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s} }
func quotedNode(s string) *yaml.Node {
	n := plainNode(s)
	n.Style = yaml.DoubleQuotedStyle
	return n
}
func mappingNode(style yaml.Style, pairs ...*yaml.Node) *yaml.Node {
	return &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Style: style, Content: pairs}
}
