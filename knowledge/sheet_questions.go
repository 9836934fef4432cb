package knowledge

import (
	"fmt"
	"slices"
	"strings"

	"narrows/symptoms/measure"
)

// SheetQuestion is one value that a sheet can give.
type SheetQuestion struct {
	Key   string
	Name  string   // what the value is called where it is left out
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
				q.Name, q.Lacks = "fitted "+it.ID, "parts found there are not held against the sheet"
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
	q := SheetQuestion{Key: limitKey(w.id), Name: "limit " + w.id, Ask: fmt.Sprintf("Limit %s: %s?", w.id, strings.Join(w.readers, "; ")), limit: w}
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
