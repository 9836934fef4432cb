package symptoms

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// checker looks for names that are not there and values that make no sense.
type checker struct {
	v     Vocabulary
	found Problems
}

func (c *checker) fault(message string, path ...string) {
	c.found = append(c.found, Problem{Path: path, Message: message})
}

// vocabulary checks the lists of the vocabulary against one another.
func (c *checker) vocabulary() {
	if n := len(c.v.Kinds); n > maxRegimes {
		c.fault(fmt.Sprintf("%d kinds; there may be at most %d", n, maxRegimes), "kinds")
	}
	if n := len(c.v.Regimes); n > maxRegimes {
		c.fault(fmt.Sprintf("%d regimes; there may be at most %d", n, maxRegimes), "regimes")
	}
	c.shows()
	c.regimes()
	c.acts()
	for _, r := range c.v.Ranges {
		c.names(c.regimeIDs(), r.Regimes, "regime", "ranges", r.ID, "regimes")
	}
	for _, r := range c.v.Reliefs {
		c.names(c.kindIDs(), r.Kinds, "kind", "reliefs", r.ID, "kinds")
		if len(r.Kinds) == 0 {
			c.fault("clears nothing; name the kinds it clears", "reliefs", r.ID)
		}
	}
	for _, s := range c.v.Signs {
		if _, ok := signSenses()[s.ID]; !ok {
			c.fault(fmt.Sprintf("no such sign %q; the signs are fixed", s.ID), "signs", s.ID)
		}
	}
	c.twice()
}

func (c *checker) shows() {
	ids := c.showIDs()
	for _, w := range c.v.Shows {
		c.names(c.kindIDs(), []string{w.Kind}, "kind", "shows", w.ID, "kind")
		c.names(ids, w.Near, "manifestation", "shows", w.ID, "near")
		c.names(ids, w.Covers, "manifestation", "shows", w.ID, "covers")
	}
}

func (c *checker) regimes() {
	ids := c.regimeIDs()
	for _, r := range c.v.Regimes {
		if r.Axis == "" {
			c.fault("has no axis; say which regimes it excludes by a common axis", "regimes", r.ID, "axis")
		}
		if r.RPM[1] < r.RPM[0] || r.RPM[0] < 0 {
			c.fault("band of engine speed must rise from 0 or more", "regimes", r.ID, "rpm")
		}
		if r.RPM[1] > 0 && !r.Steady {
			c.fault("has a band of engine speed but is no steady speed; add steady: true or take the band out", "regimes", r.ID, "rpm")
		}
		c.names(ids, r.Near, "regime", "regimes", r.ID, "near")
		c.names(ids, r.Then, "regime", "regimes", r.ID, "then")
	}
}

func (c *checker) acts() {
	ids := c.showIDs()
	for _, a := range c.v.Acts {
		c.names(c.regimeIDs(), a.Regimes, "regime", "acts", a.ID, "regimes")
		c.names(c.kindIDs(), a.Kinds, "kind", "acts", a.ID, "kinds")
		c.names(ids, some(a.Refused), "manifestation", "acts", a.ID, "refused")
		c.names(ids, some(a.Poor), "manifestation", "acts", a.ID, "poor")
		c.names(ids, some(a.Does), "manifestation", "acts", a.ID, "does")
		c.names(ids, a.Affirms, "manifestation", "acts", a.ID, "affirms")
		for _, f := range a.Follow {
			c.names(ids, []string{f.Show, f.Means}, "manifestation", "acts", a.ID, "follow")
		}
	}
}

// some gives a list of the one name, or of none.
func some(id string) []string {
	if id == "" {
		return nil
	}
	return []string{id}
}

// symptoms checks what the pack offers.
func (c *checker) symptoms(all []Symptom) {
	seen := map[string]bool{}
	for _, s := range all {
		if s.ID == "" || seen[s.ID] {
			c.fault(fmt.Sprintf("identifier %q is empty or used before", s.ID), "symptoms", s.ID)
		}
		seen[s.ID] = true
		c.names(c.showIDs(), []string{s.Shows}, "manifestation", "symptoms", s.ID, "shows")
		var regimes []string
		for _, r := range s.Regimes {
			regimes = append(regimes, string(r))
		}
		c.names(c.regimeIDs(), regimes, "regime", "symptoms", s.ID, "regime")
	}
}

// history checks the circumstances; their sayings are checked as they are
// entered.
func (c *checker) history(all []Circumstance) {
	seen := map[string]bool{}
	for _, h := range all {
		if h.ID == "" || seen[h.ID] {
			c.fault(fmt.Sprintf("identifier %q is empty or used before", h.ID), "history", h.ID)
		}
		seen[h.ID] = true
		if len(h.Phrases) == 0 {
			c.fault("has no phrases; give at least one saying", "history", h.ID, "phrases")
		}
	}
}

// names reports those of ids that are not among the known.
func (c *checker) names(known, ids []string, what string, path ...string) {
	for _, id := range ids {
		if !slices.Contains(known, id) {
			c.fault(fmt.Sprintf("no such %s %q; the vocabulary knows %s", what, id, strings.Join(known, ", ")), append(slices.Clone(path), id)...)
		}
	}
}

// twice reports identifiers used more than once in a list.
func (c *checker) twice() {
	lists := []struct {
		name string
		ids  []string
	}{
		{"kinds", c.kindIDs()}, {"shows", c.showIDs()}, {"regimes", c.regimeIDs()},
		{"ranges", idsOf(c.v.Ranges, func(r RangeWord) string { return r.ID })},
		{"acts", idsOf(c.v.Acts, func(a Act) string { return a.ID })},
		{"reliefs", idsOf(c.v.Reliefs, func(r Relief) string { return r.ID })},
		{"signs", idsOf(c.v.Signs, func(s Sign) string { return s.ID })},
		{"matters", idsOf(c.v.Matters, func(m Matter) string { return m.ID })},
	}
	for _, list := range lists {
		for i, id := range list.ids {
			if id == "" || slices.Contains(list.ids[:i], id) {
				c.fault(fmt.Sprintf("identifier %q of entry %s is empty or used before", id, strconv.Itoa(i+1)), list.name, id)
			}
		}
	}
}

func (c *checker) showIDs() []string { return idsOf(c.v.Shows, func(w Word) string { return w.ID }) }
func (c *checker) kindIDs() []string { return idsOf(c.v.Kinds, func(k Kind) string { return k.ID }) }
func (c *checker) regimeIDs() []string {
	return idsOf(c.v.Regimes, func(r RegimeWord) string { return r.ID })
}

func idsOf[T any](list []T, id func(T) string) []string {
	out := make([]string, len(list))
	for i, x := range list {
		out[i] = id(x)
	}
	return out
}
