package knowledge

import (
	"slices"

	"gopkg.in/yaml.v3"

	"narrows/symptoms/quantity"
)

// LedgerNote is the entry of a ledger that is there always: free words.
const LedgerNote = "note"

// LedgerEntry is something that is written down at each position as found and as
// left: a number, a grade, or free words where it has neither.
type LedgerEntry struct {
	Entry
	At       Ref           // a position set; the zero Ref means engine-wide
	Quantity Ref           // a dimension of package quantity; zero: it is no number
	Unit     Ref           // the unit that it is shown and compared in
	In       quantity.Unit // Unit, found
	Limit    Ref           // the sheet's limit of that name, if it has it; that of Check where left out
	Check    Ref           // the readings of this check stand for it as found; zero: none
	Usual    Amount        // about what is read; only to ask again for one that is far off
	Grades   []Grade       // from good to bad; empty: it has none
}

// Grade is one word of a ledger entry that has grades.
type Grade struct {
	ID, Title string
	Pos       Pos
}

// Counts tells whether the entry is a number.
func (l *LedgerEntry) Counts() bool { return l.Quantity.ID != "" }

// LedgerOf returns the pack's ledger entry of that name, or nil.
func (p *Pack) LedgerOf(id string) *LedgerEntry {
	for _, l := range p.Ledger {
		if l.ID == id {
			return l
		}
	}
	return nil
}

func (d *decoder) ledgerEntry(k, v *yaml.Node) *LedgerEntry {
	l := &LedgerEntry{}
	if k.Value == LedgerNote {
		d.bad(k, RuleReservedName, "take it out, or give it another name", "free notes are in every ledger")
	}
	var grades *yaml.Node
	d.object(k, v, "ledger entry "+k.Value, append(d.entry(&l.Entry, k),
		may("at", d.ref(&l.At)),
		may("quantity", d.ref(&l.Quantity)),
		may("unit", d.ref(&l.Unit)),
		may("limit", d.ref(&l.Limit)),
		may("check", d.ref(&l.Check)),
		may("usual", d.amount(&l.Usual)),
		may("grades", noted(&grades, d.section("grades", func(k, v *yaml.Node) {
			g := Grade{ID: k.Value, Pos: d.pos(k)}
			d.text(&g.Title)(v)
			l.Grades = append(l.Grades, g)
		}))))...)
	if v.Kind != yaml.MappingNode {
		return l
	}
	switch {
	case grades != nil && l.Counts():
		d.bad(grades, RuleQuantityOrGrades, "keep one of the two", "ledger entry %s has both a quantity and grades", k.Value)
	case grades != nil && grades.Kind == yaml.MappingNode && len(l.Grades) < 2:
		d.bad(grades, RuleTooFew, "name two or more, from good to bad", "ledger entry %s has too few grades, %d", k.Value, len(l.Grades))
	case l.Counts() && l.Unit.ID == "":
		d.bad(k, RuleQuantityOrGrades, "add unit", "ledger entry %s has a quantity and no unit", k.Value)
	}
	if !l.Counts() {
		for _, r := range []struct {
			key string
			Ref
		}{{"unit", l.Unit}, {"limit", l.Limit}, {"check", l.Check}, {"usual", Ref{l.Usual.Text, l.Usual.Pos}}} {
			if r.ID != "" {
				d.f.add(RuleQuantityOrGrades, r.Pos, "add quantity, or take it out", "ledger entry %s has %s and is no number", k.Value, r.key)
			}
		}
	}
	return l
}

// ledger follows what the entries of the ledger refer to.
func (c *checker) ledger() {
	titles := make(map[string]*LedgerEntry)
	for _, l := range c.p.Ledger {
		if have := titles[plain(l.Title)]; have != nil && l.Title != "" {
			c.f.add(RuleSameTitle, l.Pos, "give each its own", "ledger entries %s and %s have the same title", have.ID, l.ID)
		}
		titles[plain(l.Title)] = l
		c.set(l.At)
		c.grades(l)
		if !l.Counts() {
			continue
		}
		x := amounts{f: c.f, dim: c.f.dimension(l.Quantity)}
		l.In = c.f.unit(l.Unit, x.dim)
		x.value(&l.Usual)
		if !l.Usual.IsZero() && l.Usual.Base() == 0 {
			c.f.add(RuleOutOfRange, l.Usual.Pos, "give about what is read", "nothing is ten times off from 0")
		}
		c.ledgerCheck(l)
	}
}

// grades checks that the words of an entry tell its grades apart.
func (c *checker) grades(l *LedgerEntry) {
	first := make(map[string]bool)
	for _, g := range l.Grades {
		if first[plain(g.Title)] && g.Title != "" {
			c.f.add(RuleSameTitle, g.Pos, "give each its own", "ledger entry %s has two grades called %s", l.ID, quote(g.Title))
		}
		first[plain(g.Title)] = true
	}
}

// ledgerCheck checks the check whose readings are an entry's, and takes its limit.
func (c *checker) ledgerCheck(l *LedgerEntry) {
	if l.Check.ID == "" {
		return
	}
	var ids []string
	var def *Check
	for _, k := range c.p.Checks {
		if k.ID == l.Check.ID {
			def = k
		}
		if k.Reading != nil {
			ids = append(ids, k.ID)
		}
	}
	switch {
	case def == nil:
		c.f.add(RuleUnknownName, l.Check.Pos, c.f.meant(l.Check.ID, ids, "name a check of this pack that reads a number"), "unknown check %s", quote(l.Check.ID))
		return
	case def.Reading == nil:
		c.f.add(RuleLedgerCheck, l.Check.Pos, "name a check that reads a number, or take it out", "check %s of ledger entry %s reads no number", def.ID, l.ID)
		return
	case def.At.ID != l.At.ID:
		c.f.add(RuleLedgerCheck, l.Check.Pos, "let both stand at the same set", "check %s stands at %s, and ledger entry %s at %s", def.ID, orEngine(def.At.ID), l.ID, orEngine(l.At.ID))
		return
	case !sameDimension(def.Reading.Quantity.ID, l.Quantity.ID):
		c.f.add(RuleLedgerCheck, l.Check.Pos, "name a check of that quantity", "check %s reads %s, and ledger entry %s is of %s", def.ID, def.Reading.Quantity.ID, l.ID, l.Quantity.ID)
		return
	}
	switch limit := def.Reading.Limit; {
	case l.Limit.ID == "":
		l.Limit = limit
	case limit.ID != "" && limit.ID != l.Limit.ID:
		c.f.add(RuleLedgerCheck, l.Limit.Pos, "judge both by one limit", "ledger entry %s is judged by limit %s, and its check %s by %s", l.ID, l.Limit.ID, def.ID, limit.ID)
	}
}

func orEngine(set string) string {
	if set == "" {
		return "the engine as a whole"
	}
	return set
}

// ledger checks the limits that the entries of the ledger are judged by. A sheet need
// not give them: what is set by ear has none.
func (s *sheetFile) ledger(known *names) {
	for _, e := range s.pack.pack.Ledger {
		if e.Limit.ID == "" {
			continue
		}
		known.add(e.Limit.ID)
		l := s.sheet.Limit(e.Limit.ID)
		if l == nil {
			continue
		}
		if slices.ContainsFunc(s.pack.pack.Checks, func(k *Check) bool {
			return k.ID == e.Check.ID && k.Reading != nil && k.Reading.Limit.ID == l.ID
		}) {
			continue // that of a check is checked there
		}
		if l.Siblings.ID != "" {
			s.f.add(RuleSiblings, l.Siblings.Pos, "take siblings out, or take limit out of the entry", "ledger entry %s is judged at each position by limit %s, which compares siblings", e.ID, l.ID)
		}
		if l.Quantity.ID != "" && !sameDimension(l.Quantity.ID, e.Quantity.ID) {
			s.f.add(RuleWrongDimension, l.Quantity.Pos, "give the limit in that quantity", "limit %s is of %s, and ledger entry %s is of %s", l.ID, l.Quantity.ID, e.ID, e.Quantity.ID)
		}
	}
}
