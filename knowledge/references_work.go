package knowledge

import "slices"

// openings follows what openings need and reports cycles.
func (c *checker) openings() {
	out := make(map[string][]edge)
	for _, o := range c.p.Openings {
		for _, r := range o.Needs {
			if c.named(r, "opening", &c.open) {
				out[o.ID] = append(out[o.ID], edge{r.ID, r.Pos})
			}
		}
	}
	c.noCycle(c.open.list, out, "needs itself open first", "take one of these needs out")
}

// placesToStand checks that what the mechanic may call a place names no other,
// and that the complaint is tried again at places of the pack.
func (c *checker) placesToStand() {
	first := make(map[string]*Site)
	for _, s := range c.p.Sites {
		first[plain(s.Title)] = s
	}
	for _, s := range c.p.Sites {
		for _, r := range s.Phrases {
			words := plain(r.ID)
			if have := first[words]; have != nil && have != s {
				c.f.add(RulePhraseTaken, r.Pos, "take it out of one of them", "%s names place %s already", quote(r.ID), have.ID)
				continue
			}
			first[words] = s
		}
	}
	for _, r := range c.p.Recheck.Sites {
		c.named(r, "place", &c.sites)
	}
}

// works follows what checks and repairs refer to.
func (c *checker) works() {
	for _, k := range c.p.Checks {
		c.work(&k.Work)
		for _, r := range k.Rows {
			c.event(r.Event, k.At, anyKind, "event")
		}
		for _, r := range k.Fitted {
			c.fittedItem(r, k.At)
		}
		c.fittedShows(k)
		c.procedure(k)
	}
	for _, r := range c.p.Repairs {
		c.work(&r.Work)
		c.onlyTexts(&r.Work)
		for _, m := range r.Fixes {
			c.event(m, r.At, faultKind, "mode fixed")
		}
		for _, m := range r.Introduces {
			c.event(m.Mode, r.At, faultKind, "mode introduced")
		}
	}
}

func (c *checker) fittedItem(r, at Ref) {
	it := c.items[r.ID]
	if it == nil {
		c.f.add(RuleUnknownName, r.Pos, c.f.meant(r.ID, itemIDs(c.p), "name an item of this pack"), "unknown item %s", quote(r.ID))
		return
	}
	if c.lay.sets[at.ID] != nil && !c.lay.joined(at.ID, it.At.ID) {
		c.f.add(RuleNotRelated, r.Pos, "say under serves how they belong together", "item %s stands at %s, and %s has no relation with it", quote(r.ID), it.At.ID, at.ID)
	}
}

// fittedShows checks that what fitted parts show are outcomes of the check.
func (c *checker) fittedShows(k *Check) {
	var ids []string
	for _, o := range k.Outcomes {
		ids = append(ids, o.ID)
	}
	for _, name := range []string{FittedRight, FittedExchanged, FittedForeign} {
		r, ok := k.FittedShows[name]
		switch {
		case !ok:
		case len(k.Fitted) == 0:
			c.f.add(RuleFittedShows, r.Pos, "add fitted, or take it out", "check %s says what fitted parts show and fills in none", k.ID)
		case !slices.Contains(ids, r.ID):
			c.f.add(RuleFittedShows, r.Pos, c.f.meant(r.ID, ids, "name an outcome of the check"), "check %s has no outcome %s", k.ID, quote(r.ID))
		}
	}
}

func itemIDs(p *Pack) []string {
	out := make([]string, len(p.Items))
	for i, it := range p.Items {
		out[i] = it.ID
	}
	return out
}

// work checks positions, places, openings, tools and cautions, and that what must be open
// and what must be shut can both be had.
func (c *checker) work(w *Work) {
	c.set(w.At)
	for _, r := range w.Sites {
		c.named(r, "place", &c.sites)
	}
	for _, r := range w.Tools {
		c.named(r, "tool", &c.tools)
	}
	for _, r := range w.Cautions {
		c.named(r, "caution", &c.warn)
	}
	shut := make(map[string]bool)
	for _, r := range w.Shut {
		if c.named(r, "opening", &c.open) {
			shut[r.ID] = true
		}
	}
	for _, r := range w.Opens {
		if c.named(r, "opening", &c.open) {
			c.opened(w, r, shut)
		}
	}
}

// opened checks one opening that w needs, with all that it needs in turn.
func (c *checker) opened(w *Work, r Ref, shut map[string]bool) {
	for _, id := range needed(r.ID, c.byOpen) {
		via := ""
		if id != r.ID {
			via = ", which " + r.ID + " needs,"
		}
		if shut[id] {
			c.f.add(RuleOpenAndShut, r.Pos, "take it out of opens or of shut", "%s needs %s%s both open and shut", w.ID, id, via)
		}
		if w.Engine == Running && c.byOpen[id].ShutToRun {
			c.f.add(RuleRunsOpen, r.Pos, "take it out of opens, or let the engine be off", "%s runs the engine with %s%s open, which says shut_to_run", w.ID, id, via)
		}
	}
}

// needed returns an opening and all that must be open before it, once each.
func needed(id string, byID map[string]*Opening) []string {
	out, seen := []string{id}, map[string]bool{id: true}
	for i := 0; i < len(out); i++ {
		o := byID[out[i]]
		if o == nil {
			continue
		}
		for _, r := range o.Needs {
			if !seen[r.ID] && byID[r.ID] != nil {
				seen[r.ID] = true
				out = append(out, r.ID)
			}
		}
	}
	return out
}
