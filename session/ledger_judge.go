package session

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"narrows/knowledge"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// ledgerLimit is the sheet's limit for an entry, or nil.
func (c *Case) ledgerLimit(e *knowledge.LedgerEntry) *measure.Limit {
	if l := c.b.e.Sheet().Limit(e.Limit.ID); l != nil {
		of := l.Of
		return &of
	}
	return nil
}

// noLimit ends what is said of numbers that no sheet limits.
const noLimit = "no limit on the sheet; kept for the file"

// ledgerTable is an entry with what was found and left at each position; of a note,
// those positions alone of which something was noted.
func (c *Case) ledgerTable(e *knowledge.LedgerEntry) PartTable {
	pt := PartTable{ID: e.ID, Title: e.Title, Kind: PartsWords}
	sheet := ""
	switch {
	case e.Counts():
		pt.Kind = PartsNumbers
		if l := c.ledgerLimit(e); l != nil {
			sheet = l.String()
		}
	case len(e.Grades) > 0:
		pt.Kind = PartsGrades
	}
	found, now := make(map[string]written), make(map[string]written)
	places := c.ledgerRows(e)
	for _, p := range places {
		at := ledgerAt{e.ID, placeKey(p)}
		row := PartRow{Place: placeKey(p), Title: c.b.e.PlaceTitle(p), Sheet: sheet}
		if w, ok := c.s.ledger.found[at]; ok {
			row.Found, found[at.place] = w.said, w
		}
		if w, ok := c.s.ledger.left[at]; ok {
			row.Left = w.said
		}
		if w, ok := c.s.ledger.now(at); ok {
			now[at.place] = w
			row.Judged = c.judgedAt(e, w)
		}
		pt.Rows = append(pt.Rows, row)
	}
	pt.Found = c.judgedLedger(e, places, found)
	if slices.ContainsFunc(pt.Rows, func(r PartRow) bool { return r.Left != "" }) {
		pt.Now = c.judgedLeft(e, places, now)
	}
	return pt
}

func (c *Case) ledgerRows(e *knowledge.LedgerEntry) []knowledge.Place {
	if !isNote(e) {
		return c.b.e.Places(e.At.ID)
	}
	all := []knowledge.Place{{}}
	for _, s := range c.b.e.Pack().Sets {
		all = append(all, c.b.e.Places(s.ID)...)
	}
	return slices.DeleteFunc(all, func(p knowledge.Place) bool {
		_, noted := c.s.ledger.now(ledgerAt{e.ID, placeKey(p)})
		return !noted
	})
}

// judgedAt says how one position stands by itself.
func (c *Case) judgedAt(e *knowledge.LedgerEntry, w written) string {
	if l := c.ledgerLimit(e); e.Counts() && l != nil {
		v, err := houseRule().Judge(w.Estimate, *l)
		if err != nil {
			return err.Error()
		}
		return v.State.String()
	}
	if i := gradeRank(e, w.grade); i >= 0 {
		return fmt.Sprintf("grade %d of %d", i+1, len(e.Grades))
	}
	return ""
}

// judgedLedger says what stands at the positions, held against the sheet, or else
// against one another.
func (c *Case) judgedLedger(e *knowledge.LedgerEntry, places []knowledge.Place, at map[string]written) string {
	var parts, unread []string
	for _, p := range places {
		if _, ok := at[placeKey(p)]; !ok {
			unread = append(unread, c.b.e.PlaceTitle(p))
		}
	}
	switch {
	case !e.Counts() && len(e.Grades) == 0:
		return ""
	case len(at) == 0:
		return "nothing to judge"
	case len(e.Grades) > 0:
		parts = append(parts, c.worstFirst(e, places, at))
	case c.ledgerLimit(e) != nil:
		parts = append(parts, c.byLimit(e, places, at))
	default:
		parts = append(parts, c.bySiblings(places, at), noLimit)
	}
	if len(unread) > 0 && len(places) > 1 {
		parts = append(parts, "not read: "+strings.Join(unread, ", "))
	}
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), "; ")
}

// worstFirst groups positions by grade.
func (c *Case) worstFirst(e *knowledge.LedgerEntry, places []knowledge.Place, at map[string]written) string {
	var parts []string
	for i := len(e.Grades) - 1; i >= 0; i-- {
		var titles []string
		for _, p := range places {
			if w, ok := at[placeKey(p)]; ok && w.grade == e.Grades[i].ID {
				titles = append(titles, c.b.e.PlaceTitle(p))
			}
		}
		switch {
		case len(titles) == 0:
		case len(titles) == len(places):
			return c.everywhere(e.Grades[i].Title, places)
		default:
			parts = append(parts, e.Grades[i].Title+": "+strings.Join(titles, ", "))
		}
	}
	return strings.Join(parts, "; ")
}

func (c *Case) everywhere(what string, places []knowledge.Place) string {
	if len(places) > 1 {
		return what + " at all"
	}
	return what
}

// byLimit says which positions do not conform, and by how much.
func (c *Case) byLimit(e *knowledge.LedgerEntry, places []knowledge.Place, at map[string]written) string {
	limit := c.ledgerLimit(e)
	var parts, good []string
	for _, p := range places {
		w, ok := at[placeKey(p)]
		if !ok {
			continue
		}
		v, err := houseRule().Judge(w.Estimate, *limit)
		title := c.b.e.PlaceTitle(p)
		switch {
		case err != nil:
			parts = append(parts, title+": "+err.Error())
		case v.State == measure.Conforms:
			good = append(good, title)
		case v.State == measure.DoesNotConform:
			by := quantity.Format(math.Abs(v.Margin), e.In.Difference(), 2)
			parts = append(parts, fmt.Sprintf("%s: %s, %s outside", title, v.State, by))
		default:
			parts = append(parts, title+": "+v.State.String())
		}
	}
	switch {
	case len(good) == len(places):
		parts = append(parts, c.everywhere(measure.Conforms.String(), places))
	case len(good) > 0:
		parts = append(parts, strings.Join(good, ", ")+": "+measure.Conforms.String())
	}
	return strings.Join(parts, "; ")
}

// bySiblings holds the positions against one another.
func (c *Case) bySiblings(places []knowledge.Place, at map[string]written) string {
	var all []measure.Sibling
	for _, p := range places {
		if w, ok := at[placeKey(p)]; ok {
			all = append(all, measure.Sibling{Position: c.b.e.PlaceTitle(p), Reading: measure.Reading{Estimate: w.Estimate}})
		}
	}
	if len(places) < 2 {
		return ""
	}
	apart, err := measure.StandApart(all)
	if err != nil {
		return err.Error()
	}
	return apart.String()
}

// judgedLeft says how the positions were left: against the sheet, and against what
// was found.
func (c *Case) judgedLeft(e *knowledge.LedgerEntry, places []knowledge.Place, now map[string]written) string {
	limit := c.ledgerLimit(e)
	var off, same, left []string
	conform, was, still := 0, 0, true
	for _, p := range places {
		at := ledgerAt{e.ID, placeKey(p)}
		title := c.b.e.PlaceTitle(p)
		w, ok := now[at.place]
		if !ok {
			continue
		}
		if limit != nil && e.Counts() {
			v, err := houseRule().Judge(w.Estimate, *limit)
			switch {
			case err == nil && v.State == measure.Conforms:
				conform++
			case err == nil && v.State == measure.DoesNotConform:
				off = append(off, title)
				_, known := c.s.ledger.found[at]
				still = still && known
			}
		}
		if l, ok := c.s.ledger.left[at]; ok {
			left = append(left, title)
			if f, ok := c.s.ledger.found[at]; ok {
				was++
				if sameWritten(e, f, l) {
					same = append(same, title)
				}
			}
		}
	}
	var parts []string
	switch {
	case len(off) > 0 && still:
		parts = append(parts, "still off at "+strings.Join(off, ", "))
	case len(off) > 0:
		parts = append(parts, "off at "+strings.Join(off, ", "))
	case limit != nil && conform == len(places):
		parts = append(parts, c.everywhere("within the sheet's limit", places))
	default:
		parts = append(parts, c.judgedLedger(e, places, now))
	}
	switch {
	case len(same) == 0:
	case len(same) == len(left) && was == len(places):
		parts = append(parts, "all as it was found")
	default:
		parts = append(parts, "as found at "+strings.Join(same, ", "))
	}
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), "; ")
}

// sameWritten tells whether two values of an entry are the same.
func sameWritten(e *knowledge.LedgerEntry, a, b written) bool {
	switch {
	case e.Counts():
		return math.Abs(a.Value-b.Value) <= float64(1e-9*math.Max(math.Abs(a.Value), math.Abs(b.Value)))
	case len(e.Grades) > 0:
		return a.grade == b.grade
	}
	return strings.EqualFold(a.said, b.said)
}
