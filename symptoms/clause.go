package symptoms

import "slices"

// clause is a piece of a sentence that says one thing at most.
type clause struct {
	join  sense    // what parts it from the one before: a mark, but, and, until ...
	fresh bool     // a sentence starts here
	items []lexeme // what it is made of, filler left out
	core  core
	where where

	only        bool   // there and nowhere else
	except      reach  // but not there
	until       *place // as far as there
	untilSaid   bool   // what comes from there on is said by the next clause
	inherits    bool   // the place was taken over from a neighbour
	rest        bool   // "otherwise"
	past        bool   // speaks of times gone by
	conditional bool   // under a condition that is not understood: "with the hatch open"
	leads       bool   // its place stands before its core
	introduced  bool   // begins with a word such as "when"
}

// coreKind tells what a clause says.
type coreKind uint8

const (
	coreNone    coreKind = iota
	coreTrouble          // a manifestation
	coreGood             // a clean word
	coreBare             // an act and no more: "it starts"
)

// core is what a clause says, without where and when.
type core struct {
	kind    coreKind
	show    int   // of trouble; none: trouble not said how
	act     int   // that was named, none if none
	kinds   kinds // what a clean word clears
	denied  bool  // "no smoke"
	refused bool  // "won't start"
	changes bool  // "cleans up"
}

// split parts the lexemes into clauses at marks and joining words, then where
// a clause says a second thing.
func (l *Lexicon) split(lex []lexeme, tokens []token) []*clause {
	var out []*clause
	c := &clause{join: senseMark, fresh: true}
	flush := func(next sense, fresh bool) {
		out = append(out, l.parts(c)...)
		if len(c.items) == 0 { // nothing between two joints: the stronger word holds
			fresh = fresh || c.fresh
			if next == senseMark {
				next = c.join
			}
		}
		c = &clause{join: next, fresh: fresh}
	}
	for _, x := range lex {
		switch x.sense {
		case senseMark:
			flush(senseMark, tokens[x.first].stop())
		case senseBut, senseThen, senseAnd, senseOr, senseOnce, senseUntil:
			flush(x.sense, false)
			if x.sense == senseOnce {
				c.introduced = true
			}
		case senseFiller, senseLink:
		default:
			c.introduced = c.introduced || len(c.items) == 0 && x.sense == senseIf
			c.items = append(c.items, x)
		}
	}
	flush(senseMark, true)
	for _, c := range out {
		l.read(c)
	}
	return out
}

// parts cuts a clause where it says a second thing without a joining word.
func (l *Lexicon) parts(c *clause) []*clause {
	if len(c.items) == 0 {
		return nil
	}
	cuts := l.cuts(c.items)
	out := []*clause{c}
	for i, at := range cuts {
		end := len(c.items)
		if i+1 < len(cuts) {
			end = cuts[i+1]
		}
		part := &clause{join: senseAnd, items: c.items[at:end]}
		switch part.items[0].sense {
		case senseNot, senseExcept:
			part.join = senseBut
		}
		out = append(out, part)
	}
	if len(cuts) > 0 {
		rest := *c
		rest.items = c.items[:cuts[0]]
		out[0] = &rest
	}
	return out
}

// cuts gives the indexes at which further cores begin.
func (l *Lexicon) cuts(items []lexeme) []int {
	var out []int
	start, core := 0, -1
	for i := range items {
		if core >= 0 && i > core && deniesPlace(items, i) {
			out = append(out, i)
			start, core = i, i
			continue
		}
		if !l.strong(items, i) {
			continue
		}
		if core < 0 || l.sameCore(items, core, i) {
			core = i
			continue
		}
		at := l.cutBefore(items, start, core, i)
		out = append(out, at)
		start, core = at, i
	}
	return out
}

// deniesPlace tells whether a negation at i is one of a place only: stumbles
// at full throttle NOT AT IDLE.
func deniesPlace(items []lexeme, i int) bool {
	if items[i].sense != senseNot {
		return false
	}
	for _, x := range items[i+1:] {
		switch x.sense {
		case senseIf:
		case sensePlace:
			return true
		default:
			return false
		}
	}
	return false
}

// strong tells whether the item can be the core of a clause by itself.
func (l *Lexicon) strong(items []lexeme, i int) bool {
	switch x := items[i]; x.sense {
	case senseShow, senseRelief:
		return true
	case sensePoor:
		return i > 0 && l.ownPoor(items[i-1]) || i+1 < len(items) && l.ownPoor(items[i+1])
	case senseAct:
		a := l.acts[x.at]
		negated := i > 0 && items[i-1].sense == senseNot
		return negated && !a.carries || a.does != none && !(a.ends && i+1 < len(items) && items[i+1].sense == senseShow) && !negated
	default:
		return false
	}
}

// ownPoor tells whether the lexeme is an act that can be done badly in a way
// of its own, running apart.
func (l *Lexicon) ownPoor(x lexeme) bool {
	return x.sense == senseAct && x.at != l.run && l.acts[x.at].poor != none
}

// sameCore tells whether two strong items say one thing: two clean words side
// by side, an act and how it is done, a clean word that only adds weight.
func (l *Lexicon) sameCore(items []lexeme, a, b int) bool {
	first, second := items[a].sense, items[b].sense
	switch {
	case b-a > 1:
		return false
	case first == senseRelief && second == senseRelief:
		return true
	case first == senseAct && (second == senseRelief || second == sensePoor):
		return true
	case first == senseRelief && second == senseShow:
		return true // "strong smell of fuel"
	case first == sensePoor && second == senseShow:
		return true
	default:
		return false
	}
}

// cutBefore gives where the part with core b begins: a place goes with the
// core it follows unless the part began with one ("hot it dies cold it's
// fine"); an act or a negation goes with the core that it stands before, unless
// it is part of an exception ("apart from the rough idle it's fine").
func (l *Lexicon) cutBefore(items []lexeme, start, a, b int) int {
	at := b
	for at > a+1 && l.goesAhead(items[at-1].sense) && items[start].sense != senseExcept {
		at--
	}
	if items[start].sense == sensePlace && start < a {
		for at > a+1 && items[at-1].sense == sensePlace {
			at--
		}
	}
	return at
}

func (l *Lexicon) goesAhead(s sense) bool {
	switch s {
	case senseAct, senseNot, senseOnly, senseElse, senseExcept, sensePoor:
		return true
	default:
		return false
	}
}

// has tells whether the clause holds an item of a sense.
func (c *clause) has(s sense) bool {
	return slices.ContainsFunc(c.items, func(x lexeme) bool { return x.sense == s })
}
