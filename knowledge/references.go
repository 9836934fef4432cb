package knowledge

import (
	"fmt"
	"strings"
)

// checker holds what a pack defines while its references are followed. It goes
// on after a fault; a name that is defined, if only badly, counts as defined.
type checker struct {
	p      *Pack
	f      *faults
	lay    *layout
	events []*EventDef
	byID   map[string]*EventDef
	items  map[string]*Item
	setIDs []string
	ids    []string // of the events
	byOpen map[string]*Opening
	open   names
	sites  names
	tools  names
	warn   names
	pr     *presence
}

// names is a set of identifiers in the order of the file.
type names struct {
	list []string
	has  map[string]bool
}

func (n *names) add(id string) {
	if n.has == nil {
		n.has = make(map[string]bool)
	}
	n.has[id] = true
	n.list = append(n.list, id)
}

// checkPack follows every reference of a pack and checks what only the whole
// shows. The returned checker holds the layout and the events.
func checkPack(p *Pack, f *faults) *checker {
	c := &checker{p: p, f: f, lay: newLayout(p), items: make(map[string]*Item), byOpen: make(map[string]*Opening)}
	c.events, c.byID = p.events()
	for _, e := range c.events {
		c.ids = append(c.ids, e.ID)
	}
	for _, s := range c.lay.order {
		c.setIDs = append(c.setIDs, s.ID)
	}
	for _, o := range p.Openings {
		c.open.add(o.ID)
		c.byOpen[o.ID] = o
	}
	for _, s := range p.Sites {
		c.sites.add(s.ID)
	}
	for _, t := range p.Tools {
		c.tools.add(t.ID)
	}
	for _, w := range p.Cautions {
		c.warn.add(w.ID)
	}
	c.uniqueIDs()
	c.relations()
	c.eventRefs()
	c.historyRefs()
	c.placesToStand()
	c.openings()
	c.works()
	c.readings()
	c.ledger()
	if c.acyclic() && len(f.list) == 0 {
		c.presence()
	}
	return c
}

// uniqueIDs reports identifiers used twice across causes, items, conditions
// and symptoms.
func (c *checker) uniqueIDs() {
	first := make(map[string]Pos)
	see := func(what string, e Entry) {
		if at, twice := first[e.ID]; twice {
			where := fmt.Sprintf("on line %d", at.Line)
			if at.File != e.Pos.File {
				where = "in " + at.String()
			}
			c.f.add(RuleTakenIdentifier, e.Pos, "give each its own", "%s %s: the identifier is in use, %s", what, quote(e.ID), where)
			return
		}
		first[e.ID] = e.Pos
	}
	for _, x := range c.p.Causes {
		see("cause", x.Entry)
	}
	for _, x := range c.p.Items {
		see("item", x.Entry)
		c.items[x.ID] = x
	}
	for _, x := range c.p.Conditions {
		see("condition", x.Entry)
	}
	for _, x := range c.p.Symptoms {
		see("symptom", x.Entry)
	}
}

// relations checks serves and enters it into the layout.
func (c *checker) relations() {
	for _, r := range c.p.Serves {
		okFrom, okTo := c.set(r.From), c.set(r.To)
		if !okFrom || !okTo {
			continue
		}
		from, to := r.From.ID, r.To.ID
		switch {
		case from == to:
			c.f.add(RuleBadRelation, r.To.Pos, "take it out; a place always stands for itself", "set %s serves itself", from)
			continue
		case c.lay.joined(from, to):
			c.f.add(RuleBadRelation, r.To.Pos, "keep one of the two; a relation holds both ways", "%s and %s are related already", from, to)
			continue
		}
		if r.Same {
			for _, m := range c.lay.sets[from].Members {
				if _, ok := c.lay.at[Place{to, m}]; ok {
					r.Pairs = append(r.Pairs, Pair{m, m})
				}
			}
		}
		for _, p := range r.Pairs {
			c.member(r.From.Pos, from, p.From)
			c.member(r.To.Pos, to, p.To)
		}
		if len(r.Pairs) == 0 {
			c.f.add(RuleBadRelation, r.To.Pos, "name the pairs: {A: [\"1\"]}", "no place of %s acts on one of %s", from, to)
		}
		c.lay.relate(r)
	}
}

// set reports whether a set is defined; the zero Ref is the engine as a whole.
func (c *checker) set(r Ref) bool {
	if r.ID == "" || c.lay.sets[r.ID] != nil {
		return true
	}
	c.f.add(RuleUnknownName, r.Pos, c.f.meant(r.ID, c.setIDs, "define it under positions"), "unknown position set %s", quote(r.ID))
	return false
}

func (c *checker) member(at Pos, set, name string) bool {
	s := c.lay.sets[set]
	if _, ok := c.lay.at[Place{set, name}]; ok {
		return true
	}
	c.f.add(RuleUnknownMember, at, c.f.meant(name, s.Members, "name a member of the set"), "position set %s has no member %s", set, quote(name))
	return false
}

// named checks a reference to an opening, a place, a tool or a caution.
func (c *checker) named(r Ref, what string, n *names) bool {
	if n.has[r.ID] {
		return true
	}
	c.f.add(RuleUnknownName, r.Pos, c.f.meant(r.ID, n.list, "define it under "+what+"s"), "unknown %s %s", what, quote(r.ID))
	return false
}

// kinds is a set of kinds of events.
type kinds uint8

func (k kinds) has(x Kind) bool { return k&(1<<x) != 0 }

const (
	anyKind   kinds = 1<<KindCause | 1<<KindMode | 1<<KindCondition | 1<<KindSymptom
	faultKind kinds = 1<<KindCause | 1<<KindMode
)

// event checks that r names an event of an allowed kind that can be joined
// with a thing at the given set. what says what the event is wanted for.
func (c *checker) event(r Ref, at Ref, allow kinds, what string) *EventDef {
	e := c.byID[r.ID]
	switch {
	case e == nil:
		c.unknownEvent(r, what)
		return nil
	case !allow.has(e.Kind):
		c.f.add(RuleWrongKind, r.Pos, "name a failure mode (item.mode) or a cause", "%s %s is a %s", what, quote(r.ID), e.Kind)
		return nil
	}
	known := (at.ID == "" || c.lay.sets[at.ID] != nil) && (e.At == "" || c.lay.sets[e.At] != nil)
	if known && !c.lay.joined(at.ID, e.At) {
		c.f.add(RuleNotRelated, r.Pos, fmt.Sprintf("say under serves how %s and %s belong together", at.ID, e.At),
			"%s %s stands at %s, and %s has no relation with it", what, quote(r.ID), e.At, at.ID)
		return nil
	}
	return e
}

func (c *checker) unknownEvent(r Ref, what string) {
	if it := c.items[r.ID]; it != nil {
		var modes []string
		for _, m := range it.Modes {
			modes = append(modes, m.EventID())
		}
		c.f.add(RuleWrongKind, r.Pos, "name one of its modes: "+strings.Join(modes, ", "), "%s %s is an item, not an event", what, quote(r.ID))
		return
	}
	c.f.add(RuleUnknownEvent, r.Pos, c.f.meant(r.ID, c.ids, "define it, or name an item's mode, a cause, a condition or a symptom of this pack"),
		"unknown %s %s", what, quote(r.ID))
}
