package symptoms

// read finds out what a clause says, and where.
func (l *Lexicon) read(c *clause) {
	c.rest = c.has(senseElse)
	l.readCore(c)
	l.readPlaces(c)
	c.only = c.has(senseOnly) && c.where.named() && !c.negates(senseOnly)
	c.conditional = conditional(c.items)
}

// negates tells whether a negation stands right before an item of the sense.
func (c *clause) negates(s sense) bool {
	for i := 1; i < len(c.items); i++ {
		if c.items[i].sense == s && c.items[i-1].sense == senseNot {
			return true
		}
	}
	return false
}

// conditional tells whether a word such as "with" leads to words that are not
// known: the clause then holds under a condition that nobody can judge.
func conditional(items []lexeme) bool {
	for i := 1; i < len(items); i++ {
		switch items[i-1].sense {
		case senseIf, senseSince, senseUntil, senseBelow:
		default:
			continue
		}
		switch items[i].sense {
		case senseUnknown, senseNumber, senseMatter:
			return true
		}
	}
	return false
}

// readCore finds the core: a manifestation before a clean word, a clean word
// before trouble not said how, and that before a mere act.
func (l *Lexicon) readCore(c *clause) {
	shows, reliefs, poors, acts := index(c.items, senseShow), index(c.items, senseRelief), index(c.items, sensePoor), index(c.items, senseAct)
	c.core = core{show: none, act: none}
	if acts >= 0 {
		c.core.act = c.items[acts].at
	}
	switch {
	case shows >= 0:
		c.core.kind, c.core.show = coreTrouble, c.items[shows].at
		c.core.denied = l.deniedAt(c.items, shows)
	case reliefs >= 0:
		l.clean(c, c.items[reliefs].at, l.deniedAt(c.items, reliefs))
	case poors >= 0:
		if l.deniedAt(c.items, poors) && len(l.clears) > 0 { // "no trouble": the first clean words
			l.clean(c, 0, false)
		} else {
			c.core.kind, c.core.show = coreTrouble, l.poorly(c.core.act)
		}
	case acts >= 0:
		l.bare(c, acts)
	}
}

// index gives the first item of a sense, -1 if there is none.
func index(items []lexeme, s sense) int {
	for i, x := range items {
		if x.sense == s {
			return i
		}
	}
	return -1
}

// deniedAt tells whether the core at i is denied: an odd number of negations
// before it, or an act that ends what follows ("stops smoking"). A negation of
// "only" denies nothing else.
func (l *Lexicon) deniedAt(items []lexeme, i int) bool {
	denied := false
	for k := range i {
		switch x := items[k]; {
		case x.sense == senseNot && items[k+1].sense != senseOnly:
			denied = !denied
		case x.sense == senseAct && l.acts[x.at].ends && k+1 == i && items[i].sense == senseShow:
			denied = !denied
		}
	}
	return denied
}

// poorly gives the manifestation of an act done badly; none where it is no
// more than running badly.
func (l *Lexicon) poorly(act int) int {
	if act == none || act == l.run {
		return none
	}
	return l.acts[act].poor
}

// clean makes a clean word the core, or its denial trouble not said how.
func (l *Lexicon) clean(c *clause, relief int, denied bool) {
	changes := l.voc.Reliefs[relief].Changes
	if denied {
		c.core.kind, c.core.show, c.core.changes = coreTrouble, l.poorly(c.core.act), changes
		return
	}
	c.core.kind, c.core.changes, c.core.kinds = coreGood, changes, l.clears[relief]
	if c.core.act != none && l.acts[c.core.act].kinds != 0 {
		c.core.kinds = l.acts[c.core.act].kinds
	}
}

// bare makes an act the core: refused, trouble by itself, done only somewhere,
// or no more than done.
func (l *Lexicon) bare(c *clause, i int) {
	a := l.acts[c.items[i].at]
	denied := l.deniedAt(c.items, i)
	switch {
	case denied && a.refused != none:
		c.core.kind, c.core.show, c.core.refused = coreTrouble, a.refused, true
		if c.core.act == l.run {
			c.core.show = none
		}
	case denied:
	case a.does != none:
		c.core.kind, c.core.show = coreTrouble, a.does
	default:
		c.core.kind = coreBare
	}
}

// where is the place of a clause. What a regime word names outweighs what an act
// implies ("idles"), and that outweighs "everywhere", axis by axis.
type where struct {
	reach       // named
	implied set // by an act
	every   set // by "everywhere"
}

// readPlaces gathers the places of a clause. What follows "except" is kept
// apart.
func (l *Lexicon) readPlaces(c *clause) {
	apart := false
	for i, x := range c.items {
		switch {
		case x.sense == senseExcept:
			apart = true
		case x.sense == senseShow || x.sense == senseRelief || x.sense == sensePoor:
			apart = false // "apart from the rough idle": the place is that of the core
		case x.sense == sensePlace && apart:
			c.except = c.except.or(x.place.at)
		case x.sense == sensePlace && x.place.everywhere:
			c.where.every |= x.place.at.touch
		case x.sense == sensePlace:
			c.where.reach = c.where.or(x.place.at)
			c.leads = c.leads || !coreBefore(c.items[:i])
		case x.sense == senseAct && apart:
			c.except = c.except.or(exactly(l.acts[x.at].regimes))
		case x.sense == senseAct:
			c.where.implied |= l.acts[x.at].regimes
		}
	}
}

func coreBefore(items []lexeme) bool {
	for _, x := range items {
		switch x.sense {
		case senseShow, senseRelief, sensePoor, senseAct:
			return true
		}
	}
	return false
}

func (w where) empty() bool { return w.touch|w.implied|w.every == 0 }

// named tells whether the words name a regime, not just everywhere.
func (w where) named() bool { return w.touch|w.implied != 0 }

// with joins two places.
func (w where) with(o where) where {
	return where{w.or(o.reach), w.implied | o.implied, w.every | o.every}
}

// specific gives the place that regime words and acts name.
func (l *Lexicon) specific(w where) reach {
	return w.or(exactly(w.implied &^ l.scale.axesOf(w.touch)))
}

// whole gives the place, "everywhere" included.
func (l *Lexicon) whole(w where) reach {
	named := l.specific(w)
	return named.or(exactly(w.every &^ l.scale.axesOf(named.touch)))
}
