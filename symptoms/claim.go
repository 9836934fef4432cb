package symptoms

// Ranks: a statement that names a regime outweighs one that does not; of equal
// ones that which names the manifestation.
const (
	rankShow   = 1
	rankRegime = 2
)

// reader understands one text.
type reader struct {
	l       *Lexicon
	runes   []rune
	tokens  []token
	lexemes []lexeme
	heard   []heard
	clauses []*clause
	said    []drawn // statements as symptoms by index
	last    *clause // last clause that told of trouble said how
}

// drawn is a statement drawn from a clause.
type drawn struct {
	clause  *clause
	symptom int
	state   State
	assumed bool
	rank    int
}

// say draws the statements from all clauses; clean words without a place come
// last, since what else was said tells how far they reach.
func (r *reader) say() {
	var wide []*clause
	for _, c := range r.clauses {
		r.relate(c)
		switch {
		case r.drops(c):
		case c.core.kind == coreTrouble:
			r.trouble(c)
		case c.core.kind == coreGood && r.reachless(c):
			wide = append(wide, c)
		case c.core.kind == coreGood:
			r.good(c)
		case c.core.kind == coreBare:
			r.bare(c)
		}
	}
	for _, c := range wide {
		r.wide(c)
	}
}

// relate gives a clause that says "past it" or "below that" its place from the
// trouble told of before; without such trouble the clause holds under a
// condition nobody can judge.
func (r *reader) relate(c *clause) {
	if c.core.kind == coreNone || c.where.named() || c.except.touch != 0 || c.until != nil {
		return
	}
	above, below := c.has(senseAbove), c.has(senseBelow)
	if !above && !below {
		return
	}
	var from place
	if r.last != nil {
		from = r.l.scale.place(r.l.whole(r.last.where).touch)
	}
	if above {
		c.where.reach = from.above
	} else {
		c.where.reach = from.below
	}
	c.conditional = c.conditional || c.where.touch == 0
}

// drops tells whether nothing is drawn from a clause: it speaks of times gone
// by, or the clean word is about something else ("the battery is fine").
func (r *reader) drops(c *clause) bool {
	for _, x := range c.items {
		if x.sense == sensePast || x.sense == senseSaid && r.heard[x.at].back {
			return c.core.kind == coreGood || c.core.kind == coreBare
		}
	}
	return c.core.kind == coreGood && otherSubject(c.items)
}

// otherSubject tells whether a word not known stands before a clean word with
// no act between them, so that the engine is not what is clean.
func otherSubject(items []lexeme) bool {
	unknown := false
	for _, x := range items {
		switch x.sense {
		case senseUnknown, senseMatter:
			unknown = true
		case senseAct:
			unknown = false
		case senseRelief, sensePoor:
			return unknown
		}
	}
	return false
}

// reachless tells whether a clean word names no place, so that its reach
// depends on the rest; "cleans up" and "then it's fine" take their place from
// the trouble before it.
func (r *reader) reachless(c *clause) bool {
	if c.where.named() || c.except.touch != 0 || c.until != nil {
		return false
	}
	later := c.core.changes || c.joins(senseThen) && c.core.act == none
	if later && r.last != nil {
		then := r.l.scale.after(r.l.whole(r.last.where).touch)
		c.where.reach = exactly(then)
		return then == 0
	}
	return true
}

// trouble draws from a clause that tells of trouble.
func (r *reader) trouble(c *clause) {
	show, vague := c.core.show, c.core.show == none
	if vague {
		show = r.vague()
	}
	if show == none || vague && c.conditional && !c.where.named() {
		return
	}
	if c.core.changes && r.last != nil { // "never cleans up"
		c.where.reach = exactly(r.l.scale.after(r.l.whole(r.last.where).touch))
	}
	if !vague && !c.core.denied {
		r.last = c
	}
	here := view{show: show, vague: vague, state: Present}
	if c.core.denied {
		here.state = Absent
	}
	r.steer(c, here, view{show: show, vague: vague, state: opposite(here.state)})
}

// good draws from a clause with a clean word and a place. What cleans up there
// is clean above there too.
func (r *reader) good(c *clause) {
	if c.core.changes && c.until == nil && c.except.touch == 0 && !c.only {
		named := r.l.specific(c.where)
		c.where.reach = named.or(r.l.scale.place(named.touch).above)
	}
	bad := view{show: r.l.poorly(c.core.act), state: Present}
	if bad.show == none {
		bad.show, bad.vague = r.vague(), true
	}
	r.steer(c, view{show: none, kinds: c.core.kinds, state: Absent}, bad)
}

// bare draws from a clause that says no more than that an act is done: what it
// disproves; done only somewhere, it is refused elsewhere.
func (r *reader) bare(c *clause) {
	a := r.l.acts[c.core.act]
	if c.only && a.refused != none {
		r.steer(c, view{show: none, kinds: a.kinds, state: Absent}, view{show: a.refused, state: Present})
		return
	}
	for _, show := range a.affirms {
		r.draw(c, view{show: show, state: Absent}, exactly(0), 0)
	}
}

// vague gives the manifestation of trouble not said how: the one spoken of
// before if it is of the running, else running badly.
func (r *reader) vague() int {
	if r.last != nil && r.l.shows[r.last.core.show].kind == r.l.runKinds() {
		return r.last.core.show
	}
	return r.l.vague()
}

// runKinds gives the kind of running badly.
func (l *Lexicon) runKinds() kinds {
	if l.vague() == none {
		return 0
	}
	return l.shows[l.vague()].kind
}

func opposite(s State) State {
	if s == Present {
		return Absent
	}
	return Present
}
