package symptoms

// follow joins an act and what came of it: starts, then dies.
func (j *joiner) follow() {
	var out []*clause
	for i, c := range j.in {
		if i > 0 && c.joins(senseThen, senseAnd, senseBut, senseMark) && c.core.kind == coreTrouble && !c.core.denied && !c.where.named() {
			prev := j.in[i-1]
			if prev.core.kind == coreBare && !prev.where.named() {
				if means, ok := j.l.acts[prev.core.act].follow[c.core.show]; ok {
					c.core.show = means
					c.items = append(append([]lexeme{}, prev.items...), c.items...)
					c.join, c.fresh = prev.join, prev.fresh
					out = out[:len(out)-1]
				}
			}
		}
		out = append(out, c)
	}
	j.in = out
}

// share gives a clean word to the acts named before it: starts and runs fine.
func (j *joiner) share() {
	for i := len(j.in) - 1; i > 0; i-- {
		prev, c := j.in[i-1], j.in[i]
		if !c.joins(senseAnd, senseOr, senseMark) || c.core.kind != coreGood || c.core.act == none || c.core.changes {
			continue
		}
		if prev.core.kind != coreBare || prev.introduced {
			continue
		}
		prev.core.kind, prev.core.kinds = coreGood, c.core.kinds
		if own := j.l.acts[prev.core.act].kinds; own != 0 {
			prev.core.kinds = own
		}
	}
}

// weigh gives a word that only adds weight to the trouble before it: stumbles
// at idle, badly.
func (j *joiner) weigh() {
	var out []*clause
	for _, c := range j.in {
		n := len(out)
		vague := c.core.kind == coreTrouble && c.core.show == none && c.core.act == none && c.bareOfPlace()
		if vague && n > 0 && !c.fresh && !c.has(senseNot) && out[n-1].core.kind == coreTrouble {
			out[n-1].absorb(c)
			continue
		}
		out = append(out, c)
	}
	j.in = out
}

// inherit carries a place from one clause to the next that has none, where
// "and" joins them or the place was said ahead of both; and back from the
// second to the first: coughs and stumbles at idle.
func (j *joiner) inherit() {
	for i := 1; i < len(j.in); i++ {
		prev, c := j.in[i-1], j.in[i]
		if c.fresh || !alike(prev.core, c.core) {
			continue
		}
		and := c.joins(senseAnd, senseOr)
		ahead := prev.leads && c.joins(senseAnd, senseOr, senseMark, senseThen)
		switch {
		case c.bareOfPlace() && prev.where.touch != 0 && (and || ahead):
			c.where, c.leads, c.inherits = prev.where, prev.leads, true
		case prev.bareOfPlace() && c.where.touch != 0 && and:
			prev.where, prev.inherits = c.where, true
		}
	}
}

// bareOfPlace tells whether a clause says nothing of where or when.
func (c *clause) bareOfPlace() bool {
	return c.where.empty() && c.except.touch == 0 && c.until == nil && !c.rest && !c.core.changes
}

// alike tells whether two cores say the same sort of thing.
func alike(a, b core) bool {
	return a.kind == b.kind && a.denied == b.denied && (a.kind == coreTrouble || a.kind == coreGood)
}

// untils gives the trouble that ends "fine until there" its place.
func (j *joiner) untils() {
	for i := 1; i < len(j.in); i++ {
		prev, c := j.in[i-1], j.in[i]
		if prev.until == nil || prev.core.kind != coreGood || c.fresh || c.core.kind != coreTrouble || c.core.denied {
			continue
		}
		prev.untilSaid = true
		if c.bareOfPlace() {
			c.where.reach = prev.until.from()
		}
	}
}
