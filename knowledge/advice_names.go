package knowledge

// used counts the names that something refers to.
type used map[string]bool

func (u used) refs(refs ...Ref) {
	for _, r := range refs {
		u[r.ID] = true
	}
}

// unusedNames tells what is defined and never named.
func (a *adviser) unusedNames() {
	p := a.p.pack
	tools, cautions, sites, sets, events := used{}, used{}, used{}, used{}, used{}
	sites.refs(p.Recheck.Sites...)
	for _, w := range p.works() {
		tools.refs(w.Tools...)
		cautions.refs(w.Cautions...)
		sites.refs(w.Sites...)
		sets.refs(w.At)
	}
	for _, k := range p.Checks {
		if k.Reading != nil && k.Reading.Finer != nil {
			tools.refs(k.Reading.Finer.Tool)
		}
		for _, r := range k.Rows {
			events.refs(r.Event)
		}
	}
	for _, h := range p.History {
		for _, s := range h.Said {
			events.refs(s.Event)
		}
	}
	for _, it := range p.Items {
		sets.refs(it.At)
	}
	for _, c := range p.Conditions {
		sets.refs(c.At)
	}
	for _, l := range p.Ledger {
		sets.refs(l.At)
	}
	for _, t := range p.Tools {
		a.unused("tool", &t.Entry, tools[t.ID])
	}
	for _, c := range p.Cautions {
		a.unused("caution", &c.Entry, cautions[c.ID])
	}
	for _, s := range p.Sites {
		// Where some work is bound to places, one that none names still tells
		// where the engine stands when that work cannot be done.
		a.unused("place", &s.Entry, len(sites) > 0)
	}
	for _, s := range p.Sets {
		a.unused("position set", &s.Entry, sets[s.ID])
	}
	for _, c := range p.Conditions {
		a.unused("condition", &c.Entry, events[c.ID] || len(a.out[c.ID]) > 0)
	}
}

func (a *adviser) unused(what string, e *Entry, is bool) {
	if !is {
		a.note(RuleUnusedName, e.Pos, "use it, or take it out", "%s %s is never used", what, e.ID)
	}
}

// unneededOpenings tells openings that no work needs open.
func (a *adviser) unneededOpenings() {
	byID := make(map[string]*Opening)
	for _, o := range a.p.pack.Openings {
		byID[o.ID] = o
	}
	need := used{}
	for _, w := range a.p.pack.works() {
		for _, r := range w.Opens {
			for _, id := range needed(r.ID, byID) {
				need[id] = true
			}
		}
	}
	for _, o := range a.p.pack.Openings {
		if !need[o.ID] {
			a.note(RuleUnneededOpening, o.Pos, "name it under opens, or take it out", "no check or repair needs opening %s open", o.ID)
		}
	}
}

// phrases tells what names a place and says something of the history too. That
// phrases of one kind collide is an error.
func (a *adviser) phrases() {
	said := make(map[string]string)
	for _, h := range a.p.pack.History {
		for _, words := range h.Phrases {
			said[plain(words)] = h.ID
		}
		a.hidden(h)
	}
	for _, s := range a.p.pack.Sites {
		for _, r := range s.Phrases {
			if h := said[plain(r.ID)]; h != "" {
				a.note(RulePhraseShared, r.Pos, "take it out of one of them", "%s names place %s and says history entry %s", quote(r.ID), s.ID, h)
			}
		}
	}
}

// hidden tells phrases of a history entry that are also words for what the engine does:
// said, they would be taken for the entry, and the trouble be missed.
func (a *adviser) hidden(h *Circumstance) {
	offered := make(map[string]string) // symptom by what it shows
	for _, s := range a.p.pack.Symptoms {
		offered[s.Shows.ID] = s.ID
	}
	for _, w := range a.lib.words.vocab.Shows {
		for _, words := range w.Words {
			for _, phrase := range h.Phrases {
				if s := offered[w.ID]; s != "" && plain(words) == plain(phrase) {
					a.note(RulePhraseHides, h.Pos, "take it out; the symptom says it", "%s says history entry %s and hides symptom %s", quote(phrase), h.ID, s)
				}
			}
		}
	}
}
