package symptoms

// Read understands a complaint. It never fails: what is not understood is
// given back as missed. The same text gives the same result.
func (l *Lexicon) Read(text string) Complaint {
	r := &reader{l: l, runes: []rune(text)}
	r.tokens = l.prepare(r.runes, true)
	h := historian{l: l, lex: l.lex(r.tokens)}
	h.run()
	r.heard = h.found
	r.lexemes = placer{l: l, tokens: r.tokens, in: h.lex}.run()
	j := joiner{l: l, in: l.split(r.lexemes, r.tokens)}
	r.clauses = j.run()
	r.say()
	return r.complaint(text)
}
