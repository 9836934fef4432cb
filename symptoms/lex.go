package symptoms

// prepare takes a text apart, mends the spelling if asked, joins numbers with
// their units and marks filler.
func (l *Lexicon) prepare(runes []rune, mend bool) []token {
	tokens := tokenise(runes)
	for i, t := range tokens {
		if t.mark || !mend {
			continue
		}
		tokens[i], _ = l.book.correct(t)
	}
	tokens = l.joinNumbers(tokens)
	for i, t := range tokens {
		tokens[i].filler = !t.mark && (l.book.filler[t.stem] || l.book.filler["="+t.norm])
	}
	return tokens
}

// joinNumbers makes one token of a number, what multiplies it and its unit:
// 4k rpm, twenty five hundred revs.
func (l *Lexicon) joinNumbers(tokens []token) []token {
	out := make([]token, 0, len(tokens))
	for i := 0; i < len(tokens); i++ {
		t := tokens[i]
		value, spelt := l.book.numbers[t.norm]
		if spelt && !t.number {
			t.value = value
		}
		if !spelt && !t.number {
			out = append(out, t)
			continue
		}
		if unit, ok := l.units(tokens, i); ok && !t.number {
			t.value, t.number, t.end = t.value+unit, true, tokens[i+1].end
			i++
		}
		if next := i + 1; next < len(tokens) && l.book.factors[tokens[next].norm] > 0 {
			t.value, t.number, t.end = t.value*l.book.factors[tokens[next].norm], true, tokens[next].end
			i++
		}
		if next := i + 1; next < len(tokens) && l.book.rpm[tokens[next].norm] {
			t.number, t.rpm, t.end = true, true, tokens[next].end
			i++
		}
		out = append(out, t)
	}
	return out
}

// units gives the units that follow spelt tens: the five of twenty five.
func (l *Lexicon) units(tokens []token, i int) (float64, bool) {
	tens := l.book.numbers[tokens[i].norm]
	if tens < 20 || i+1 >= len(tokens) {
		return 0, false
	}
	unit := l.book.numbers[tokens[i+1].norm]
	return unit, unit >= 1 && unit < 10
}

// lex finds the sayings of a text: of all ways to part it into sayings and
// words not known the heaviest, of equals that with the longer saying first.
func (l *Lexicon) lex(tokens []token) []lexeme {
	type choice struct {
		lexeme
		weight int // of the text from here on
	}
	best := make([]choice, len(tokens)+1)
	for i := len(tokens) - 1; i >= 0; i-- {
		best[i] = choice{lexeme{first: i, last: i, meaning: lone(tokens[i])}, best[i+1].weight}
		if tokens[i].mark {
			continue
		}
		for _, m := range l.book.matches(tokens, i) {
			weight := m.weight() + best[m.last+1].weight
			longer := weight == best[i].weight && m.last > best[i].last
			if weight > best[i].weight || longer {
				best[i] = choice{lexeme{first: i, last: m.last, meaning: m.what}, weight}
			}
		}
	}
	out := make([]lexeme, 0, len(tokens))
	for i := 0; i < len(tokens); i = out[len(out)-1].last + 1 {
		out = append(out, best[i].lexeme)
	}
	return out
}

// lone gives what a token is that belongs to no saying.
func lone(t token) meaning {
	switch {
	case t.mark && t.norm == "&":
		return meaning{sense: senseAnd}
	case t.mark:
		return meaning{sense: senseMark}
	case t.number:
		return meaning{sense: senseNumber}
	default:
		return meaning{sense: senseUnknown}
	}
}

// takeApart reads a phrase of a circumstance.
func (l *Lexicon) takeApart(phrase string) saying {
	var out saying
	for _, x := range l.lex(l.prepare([]rune(phrase), false)) {
		switch x.sense {
		case senseSince, senseUntil:
			out.marked = true
		case senseMatter, senseShow, senseRegime, senseRange, senseAct, senseRelief, sensePoor:
			out.keys = append(out.keys, x.meaning)
		}
	}
	return out
}
