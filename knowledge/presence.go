package knowledge

import "narrows/faulttree"

// presence finds out at which places each gate can be present at all, in an
// order in which inputs come first, and reports gates that never can.
func (c *checker) presence() {
	pr := newPresence(c.lay, c.events, c.byID)
	c.pr = pr
	for _, e := range c.events {
		g := e.gate()
		if g == nil || pr.anywhere(e) {
			continue
		}
		if g.Kind == faulttree.Voting {
			most := 0
			for i := 0; i < c.lay.size(e.At); i++ {
				most = max(most, pr.count(e, i))
			}
			c.f.add(RuleTooManyWanted, g.Pos, "ask for fewer, or add inputs", "%s wants at least %d of %d inputs", e.ID, g.AtLeast, most)
			continue
		}
		c.f.add(RuleNeverPresent, g.Pos, "see under positions and serves where its inputs stand", "%s can be present at no place", e.ID)
	}
}

// presence says at which places an event exists. A mode exists at every place
// of its item. A gate exists where its inputs can make it present: an or gate
// where one does, a voting gate where enough do, an and gate where each input
// does at every place meant.
type presence struct {
	lay  *layout
	byID map[string]*EventDef
	at   map[string][]bool
}

func newPresence(lay *layout, events []*EventDef, byID map[string]*EventDef) *presence {
	pr := &presence{lay, byID, make(map[string][]bool, len(events))}
	for _, e := range events {
		pr.of(e)
	}
	return pr
}

// of returns where an event exists. The gates hold no cycle.
func (pr *presence) of(e *EventDef) []bool {
	if at, ok := pr.at[e.ID]; ok {
		return at
	}
	at := make([]bool, pr.lay.size(e.At))
	g := e.gate()
	for i := range at {
		at[i] = g == nil || pr.possible(e, g, i)
	}
	pr.at[e.ID] = at
	return at
}

func (pr *presence) possible(e *EventDef, g *GateDef, i int) bool {
	switch g.Kind {
	case faulttree.And:
		for _, in := range g.From {
			src := pr.byID[in.Event.ID]
			places := pr.lay.related(e.At, i, src.At)
			for _, j := range places {
				if !pr.of(src)[j] {
					return false
				}
			}
			if len(places) == 0 {
				return false
			}
		}
		return true
	case faulttree.Voting:
		return pr.count(e, i) >= g.AtLeast
	}
	return pr.count(e, i) > 0
}

// count returns how many inputs the gate of e has at its i-th place.
func (pr *presence) count(e *EventDef, i int) int {
	n := 0
	for _, in := range e.gate().From {
		n += len(pr.inputs(e.At, i, in.Event))
	}
	return n
}

// inputs returns the places, as indices, at which the event that r names
// exists and stands in relation with the i-th place of set at.
func (pr *presence) inputs(at string, i int, r Ref) []int {
	src := pr.byID[r.ID]
	var out []int
	exists := pr.of(src)
	for _, j := range pr.lay.related(at, i, src.At) {
		if exists[j] {
			out = append(out, j)
		}
	}
	return out
}

func (pr *presence) anywhere(e *EventDef) bool {
	for _, yes := range pr.of(e) {
		if yes {
			return true
		}
	}
	return false
}
