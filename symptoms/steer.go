package symptoms

// view is what is said of a place: a manifestation or, with show none, the
// trouble of some kinds, in a state.
type view struct {
	show  int
	vague bool
	kinds kinds
	state State
}

// steer draws what a clause says of its place and, as "until", "except" and
// "only" ask for it, the opposite of other places.
func (r *reader) steer(c *clause, here, there view) {
	at := r.l.whole(c.where)
	rank := 0
	if c.where.named() && !c.inherits || c.where.named() && c.inherits && r.known(here, at) {
		rank = rankRegime
	}
	switch {
	case c.until != nil:
		r.until(c, here, there)
	case c.except.touch != 0:
		rest := r.l.scale.ordered(c.except.touch) &^ c.except.touch
		r.draw(c, here, moved(r.l, at, exactly(rest)), 0)
		r.draw(c, there, moved(r.l, at, c.except), rankRegime)
	case c.only:
		r.draw(c, here, at, rank)
		r.elsewhere(c, there, r.l.specific(c.where))
	case c.inherits && !r.known(here, at) && !r.vagueAlone(here):
		r.draw(c, here, exactly(0), 0)
	default:
		r.draw(c, here, at, rank)
	}
}

// until draws what holds up to a place, and the opposite from there on unless
// the next clause says what comes.
func (r *reader) until(c *clause, here, there view) {
	at := r.l.whole(c.where)
	if c.until.below.touch != 0 {
		r.draw(c, here, moved(r.l, at, c.until.below), rankRegime)
	}
	if !c.untilSaid {
		r.draw(c, there, moved(r.l, at, c.until.from()), rankRegime)
	}
}

// elsewhere draws the opposite of "only there", axis by axis.
func (r *reader) elsewhere(c *clause, there view, only reach) {
	for _, axis := range r.l.scale.axes {
		named := only.touch & axis
		if named == 0 {
			continue
		}
		others := r.l.scale.others(named)
		if there.state == Present {
			others &= r.l.scale.ordered(named)
		}
		rest := moved(r.l, only, exactly(others))
		if others != 0 {
			r.draw(c, there, rest, 0)
		}
	}
}

// moved gives a place with its regimes on the axes of another replaced by it.
func moved(l *Lexicon, at, to reach) reach {
	other := l.scale.axesOf(to.touch)
	return reach{at.touch&^other | to.touch, at.cover&^other | to.cover}
}

// known tells whether the pack knows what is said in a place taken over from a
// neighbour, under the very manifestation.
func (r *reader) known(v view, at reach) bool {
	if v.show == none {
		return len(r.l.cleared(v.kinds, at.cover)) > 0
	}
	for _, e := range r.l.known {
		if e.show == v.show && e.regimes&at.touch != 0 && r.l.agrees(e, at.touch) {
			return true
		}
	}
	return false
}

// vagueAlone tells whether a manifestation said without a place would leave
// open where, so that even a place taken over says more.
func (r *reader) vagueAlone(v view) bool {
	if v.show == none {
		return false
	}
	for _, h := range r.l.general(v.show, 0) {
		if h.assumed {
			return true
		}
	}
	return false
}

// draw makes the statements of one view of one place; rank tells whether the
// place was named.
func (r *reader) draw(c *clause, v view, at reach, rank int) {
	if v.show != none {
		rank += rankShow
	}
	for _, h := range r.hits(c, v, at) {
		state := v.state
		if v.state == Absent && c.conditional {
			continue // absent under a condition nobody can judge
		}
		if h.open {
			state = Unknown
		}
		r.said = append(r.said, drawn{c, h.symptom, state, h.assumed && state == Present, rank})
	}
}

// aim is a hit that may be left open between several manifestations.
type aim struct {
	hit
	open bool
}

// hits gives the symptoms of a view of a place.
func (r *reader) hits(c *clause, v view, at reach) []aim {
	switch {
	case v.show == none:
		return aims(r.l.cleared(v.kinds, at.cover), false)
	case len(r.l.shows[v.show].covers) > 0:
		return r.covered(v, at)
	}
	return aims(r.oneShow(c, v, at), false)
}

// oneShow gives the symptoms of a manifestation that is not a general word for
// several.
func (r *reader) oneShow(c *clause, v view, at reach) []hit {
	place := at.touch
	if v.state == Absent {
		place = at.cover
	}
	everywhere := c.where.every != 0 && place&^r.l.specific(c.where).touch != 0
	if everywhere && !r.known(v, at) {
		return r.l.everyOf(v.show)
	}
	if v.state == Absent && place == 0 && at.touch == 0 {
		return r.l.everyOf(v.show)
	}
	hits := r.l.meant(v.show, place)
	var out []hit
	for _, h := range hits {
		e := r.l.known[h.symptom]
		if v.state == Absent && !r.l.covers(e, place) && e.regimes != 0 {
			continue
		}
		if v.state == Absent && e.regimes == 0 && place != 0 {
			continue
		}
		h.assumed = h.assumed || v.vague && e.show != v.show
		out = append(out, h)
	}
	return out
}

// covered gives the symptoms that a general word may mean: those of its one
// manifestation the pack knows there; of several all, left open, unless all
// are denied.
func (r *reader) covered(v view, at reach) []aim {
	var out []aim
	shows := 0
	for _, s := range append([]int{v.show}, r.l.shows[v.show].covers...) {
		hits := r.ofShow(s, at.touch, v.state)
		if len(hits) > 0 {
			shows++
			for _, h := range hits {
				h.assumed = h.assumed || s != v.show // which of them was not said
				out = append(out, aim{h, false})
			}
		}
	}
	if shows > 1 && v.state == Present {
		for i := range out {
			out[i].open = true
		}
	}
	return out
}

// ofShow gives the symptoms of one manifestation alone that a place does not
// exclude; absent, only those that the place is about.
func (r *reader) ofShow(show int, at set, state State) []hit {
	var hits []hit
	for i, e := range r.l.known {
		if e.show != show || !r.l.agrees(e, at) || state == Absent && !r.l.covers(e, at) {
			continue
		}
		hits = append(hits, hit{symptom: i, assumed: e.regimes&^at != 0})
	}
	return hits
}

func aims(hits []hit, open bool) []aim {
	out := make([]aim, len(hits))
	for i, h := range hits {
		out[i] = aim{h, open}
	}
	return out
}

// wide draws from a clean word that names no place. Where trouble of its kinds
// was told of, it clears what is known in other regimes of the same axes; where
// none was, all of its kinds.
func (r *reader) wide(c *clause) {
	if c.conditional {
		return
	}
	var bad, axes set
	told := false
	for _, s := range r.said {
		e := r.l.known[s.symptom]
		if s.state == Present && e.kind&c.core.kinds != 0 {
			told = true
			bad |= e.regimes
		}
	}
	axes = r.l.scale.axesOf(bad)
	for i, e := range r.l.known {
		if e.kind&c.core.kinds == 0 || told && (e.regimes&axes == 0 || e.regimes&axes&bad != 0) {
			continue
		}
		r.said = append(r.said, drawn{c, i, Absent, false, 0})
	}
}
