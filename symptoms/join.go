package symptoms

// joiner puts clauses together that belong together: a place said apart from
// what shows there, a place said once for two things.
type joiner struct {
	l  *Lexicon
	in []*clause
}

// run gives the clauses left after joining.
func (j *joiner) run() []*clause {
	j.alternatives()
	j.share()
	j.places()
	j.follow()
	j.weigh()
	j.inherit()
	j.untils()
	return j.in
}

// joins tells whether the clause goes on from the one before in a sentence.
func (c *clause) joins(senses ...sense) bool {
	if c.fresh {
		return false
	}
	for _, s := range senses {
		if c.join == s {
			return true
		}
	}
	return false
}

// alternatives carries a negation over "or": no smoke or stumble, won't start
// or idle.
func (j *joiner) alternatives() {
	for i := 1; i < len(j.in); i++ {
		prev, c := j.in[i-1], j.in[i]
		if !c.joins(senseOr) || c.has(senseNot) {
			continue
		}
		switch {
		case prev.core.denied && c.core.kind == coreTrouble:
			c.core.denied = true
		case prev.core.refused && c.core.kind == coreBare && j.l.acts[c.core.act].refused != none:
			c.core.kind, c.core.refused, c.core.show = coreTrouble, true, j.l.acts[c.core.act].refused
		}
	}
}

// placeOnly tells whether a clause says where or when and nothing else; an act
// that implies a regime and proves nothing ("when idling") says no more.
func (j *joiner) placeOnly(c *clause) bool {
	if c.where.empty() && c.except.touch == 0 {
		return false
	}
	switch c.core.kind {
	case coreNone:
		return true
	case coreBare:
		a := j.l.acts[c.core.act]
		return a.regimes != 0 && len(a.affirms) == 0
	default:
		return false
	}
}

// places gives clauses that are only a place to a neighbour.
func (j *joiner) places() {
	var out []*clause
	for i := 0; i < len(j.in); i++ {
		c := j.in[i]
		if !j.placeOnly(c) {
			out = append(out, c)
			continue
		}
		var prev, next *clause
		if len(out) > 0 {
			prev = out[len(out)-1]
		}
		if i+1 < len(j.in) {
			next = j.in[i+1]
		}
		if n := len(out); n > 1 && c.joins(senseBut) && prev.core.denied && out[n-2].core.kind == coreTrouble && out[n-2].bareOfPlace() {
			out[n-2].absorb(c) // hesitates not at idle but at full throttle
			continue
		}
		if !j.give(c, prev, next) {
			out = append(out, c)
		}
	}
	j.in = out
}

// give hands the place c to a neighbour or makes a clause of its own of it. It
// tells whether c is used up.
func (j *joiner) give(c, prev, next *clause) bool {
	speaks := prev != nil && prev.core.kind != coreNone
	switch {
	case c.join == senseUntil && speaks:
		p := j.l.placeOf(c)
		prev.until = &p
		prev.items = append(prev.items, c.items...)
		prev.conditional = prev.conditional || c.conditional
		return true
	case c.has(senseNot) && c.except.touch == 0 && speaks && !c.has(senseOnly):
		c.core = j.l.opposite(prev.core)
		return false
	case c.joins(senseBut) && speaks && prev.core.kind == coreTrouble && prev.core.denied:
		c.core = j.l.opposite(prev.core) // not at idle but at full throttle
		return false
	case j.forward(c, prev, next):
		next.absorb(c)
		next.leads = true
		next.join, next.fresh = c.join, c.fresh
		return true
	case speaks && j.backward(c, prev):
		prev.absorb(c)
		return true
	case (c.only || c.where.every != 0) && !speaks:
		c.core = core{kind: coreTrouble, show: none, act: none} // "only when hot" and no more
		return false
	default:
		return false
	}
}

// absorb takes over the words and the place of another clause.
func (c *clause) absorb(o *clause) {
	c.items = append(append([]lexeme{}, c.items...), o.items...)
	c.where = c.where.with(o.where)
	c.except = c.except.or(o.except)
	c.only = c.only || o.only
	c.conditional = c.conditional || o.conditional
}

// forward tells whether a place belongs to what comes next: it opens the
// sentence, or the clause before has a place of its own and this one is
// introduced anew.
func (j *joiner) forward(c, prev, next *clause) bool {
	axes := j.l.scale.axesOf(j.l.whole(c.where).touch | c.except.touch)
	if next != nil && !next.fresh && c.negates(senseOnly) && next.core.kind != coreNone {
		return true // not only at idle, also at full throttle
	}
	if next == nil || next.fresh || next.core.kind == coreNone || j.l.whole(next.where).touch&axes != 0 || !j.knows(next, axes) {
		return false
	}
	if prev == nil || c.fresh || prev.core.kind == coreNone {
		return !next.joins(senseAnd, senseOr) || prev == nil || c.fresh
	}
	switch {
	case c.joins(senseAnd, senseOr):
		return false
	case c.joins(senseBut, senseThen):
		return true
	case j.l.whole(prev.where).touch&axes != 0:
		return c.introduced
	default:
		return !j.knows(prev, axes)
	}
}

// backward tells whether a place may belong to the clause before: in the same
// sentence, or where nothing else was said of the place there.
func (j *joiner) backward(c, prev *clause) bool {
	axes := j.l.scale.axesOf(j.l.whole(c.where).touch | c.except.touch)
	return !c.fresh || prev.where.touch&axes == 0
}

// knows tells whether the pack knows what a clause says by the regimes of the
// axes.
func (j *joiner) knows(c *clause, axes set) bool {
	for _, e := range j.l.known {
		if e.regimes&axes != 0 && j.l.speaksOf(c.core, e) {
			return true
		}
	}
	return false
}

// speaksOf tells whether a core may be about a symptom.
func (l *Lexicon) speaksOf(c core, e entry) bool {
	switch {
	case c.kind == coreGood:
		return e.kind&c.kinds != 0
	case c.kind == coreTrouble && c.show == none:
		return l.run != none && e.kind&l.runKinds() != 0
	case c.kind == coreTrouble:
		for _, s := range l.chain(c.show) {
			if s == e.show {
				return true
			}
		}
	case c.kind == coreBare:
		return e.kind&l.acts[c.act].kinds != 0
	}
	return false
}

// opposite gives what is said of another place by "but not there".
func (l *Lexicon) opposite(c core) core {
	switch c.kind {
	case coreTrouble:
		c.denied = !c.denied
	case coreGood:
		c = core{kind: coreTrouble, show: l.poorly(c.act), act: c.act}
	case coreBare:
		c = core{kind: coreTrouble, show: l.acts[c.act].refused, act: c.act, refused: true}
	}
	return c
}

// placeOf gives the first place of a clause as it was said, with what lies
// below and above it.
func (l *Lexicon) placeOf(c *clause) place {
	for _, x := range c.items {
		switch {
		case x.sense == sensePlace:
			return x.place
		case x.sense == senseAct && l.acts[x.at].regimes != 0:
			return l.scale.place(l.acts[x.at].regimes)
		}
	}
	return place{}
}
