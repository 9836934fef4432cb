package symptoms

// lexeme is a saying found in a text, or a word not known.
type lexeme struct {
	meaning
	first, last int   // tokens, last inclusive
	place       place // of sensePlace
}

// weightless tells whether the lexeme may be passed over.
func (x lexeme) weightless() bool { return x.sense == senseFiller || x.sense == senseLink }

// placer joins regimes, comparing words and engine speeds into places.
type placer struct {
	l      *Lexicon
	tokens []token
	in     []lexeme
}

// run gives the lexemes with every place as one lexeme.
func (p placer) run() []lexeme {
	out := make([]lexeme, 0, len(p.in))
	for i := 0; i < len(p.in); {
		where, next := p.placeAt(i)
		if next == i {
			out = append(out, p.in[i])
			i++
			continue
		}
		x := lexeme{meaning: meaning{sense: sensePlace}, first: p.in[i].first, last: p.in[next-1].last, place: where}
		out = append(out, x)
		i = next
	}
	return out
}

// placeAt reads a place that starts at lexeme i and gives the index after it;
// that is i itself where there is none.
func (p placer) placeAt(i int) (place, int) {
	compare := p.in[i].sense
	first, next := p.compared(i)
	if next == i {
		compare = senseUnknown
		if first, next = p.operand(i, false); next == i {
			return place{}, i
		}
	}
	if second, end := p.second(next, compare); end > next {
		return p.stretch(first, second), end
	}
	where := first.place
	switch {
	case next < len(p.in) && p.in[next].sense == senseUpward:
		return place{at: where.from(), below: where.below}, next + 1
	case next < len(p.in) && p.in[next].sense == senseDownward:
		return place{at: where.at.or(where.below), above: where.above}, next + 1
	default:
		return compareWith(compare, where), next
	}
}

// compared reads a comparing word and what it compares with.
func (p placer) compared(i int) (operand, int) {
	switch p.in[i].sense {
	case senseAbove, senseBelow, senseUpTo, senseBetween:
	default:
		return operand{}, i
	}
	k := i + 1
	for k < len(p.in) && p.in[k].weightless() {
		k++
	}
	x, next := p.operand(k, true)
	if next == k {
		return operand{}, i
	}
	return x, next
}

// second reads the far end of a stretch: "to full", "and 3000" after between.
// Two numbers joined by a hyphen need no word.
func (p placer) second(i int, compare sense) (operand, int) {
	if i >= len(p.in) {
		return operand{}, i
	}
	joined := p.in[i].sense == senseTo || compare == senseBetween && p.in[i].sense == senseAnd
	switch {
	case joined:
		if x, next := p.operand(i+1, true); next > i+1 {
			return x, next
		}
	case p.in[i].sense == senseNumber && p.in[i-1].sense == senseNumber:
		if x, next := p.operand(i, true); next > i {
			return x, next
		}
	}
	return operand{}, i
}

// operand is a place to compare with; speed is set where it is a number.
type operand struct {
	place place
	speed float64
}

// operand reads a regime, a number that can be an engine speed or, where a
// comparison asks for it, an act that implies a regime ("above idling").
func (p placer) operand(i int, acts bool) (operand, int) {
	if i >= len(p.in) {
		return operand{}, i
	}
	switch x := p.in[i]; {
	case x.sense == senseRegime:
		return operand{place: p.l.scale.place(1 << x.at)}, i + 1
	case x.sense == senseRange:
		where := p.l.scale.place(p.l.ranges[x.at])
		where.everywhere = p.l.voc.Ranges[x.at].Everywhere
		return operand{place: where}, i + 1
	case x.sense == senseAct && acts && p.l.acts[x.at].regimes != 0:
		return operand{place: p.l.scale.place(p.l.acts[x.at].regimes)}, i + 1
	case x.sense == senseNumber && p.isSpeed(i):
		v := p.tokens[x.first].value
		return operand{place: p.l.scale.speed(v), speed: v}, i + 1
	default:
		return operand{}, i
	}
}

// isSpeed tells whether a number can be an engine speed: said to be one, or
// of that size and not the year of "since 2019".
func (p placer) isSpeed(i int) bool {
	t := p.tokens[p.in[i].first]
	if t.rpm {
		return true
	}
	year := t.value >= 1950 && t.value < 2100 && i > 0 && p.in[i-1].sense == senseSince
	return t.value >= leastSpeed && t.value <= mostSpeed && !year
}

// stretch gives the place from one operand to another.
func (p placer) stretch(a, b operand) place {
	if a.speed > 0 && b.speed > 0 {
		return p.l.scale.speeds(a.speed, b.speed)
	}
	return p.l.scale.between(a.place.at.touch, b.place.at.touch)
}

// compareWith moves a place as the comparing word says. Regimes without an
// order have nothing above or below; for them the word changes nothing.
func compareWith(compare sense, p place) place {
	switch {
	case compare == senseAbove && p.above.touch != 0:
		return place{at: p.above, below: p.at.or(p.below)}
	case compare == senseBelow && p.below.touch != 0:
		return place{at: p.below, above: p.from()}
	case compare == senseUpTo:
		return place{at: p.at.or(p.below), above: p.above}
	case compare == senseBetween:
		return place{at: p.from(), below: p.below}
	default:
		return p
	}
}
