package symptoms

// Span is a stretch of the owner's own words. Start and End are offsets in
// runes, End exclusive, so that Text is []rune(text)[Start:End].
type Span struct {
	Text       string
	Start, End int
}

// Statement is one symptom said to be present or absent.
//
// Words is the piece of text that names the manifestation. Where other words
// stand between it and the rest of the saying ("stumbles SINCE LAY-UP at
// idle"), More holds the further pieces. Pieces of two statements are the
// same or lie apart; they never overlap a Said or a Missed span.
type Statement struct {
	Symptom string
	State   State
	Words   Span
	More    []Span

	// Assumed: the words left the regime open and the statement is made for
	// the most general reading; it wants confirming.
	Assumed bool
	// Overruled: another statement on the same symptom says otherwise and is
	// more specific, or as specific and later.
	Overruled bool

	rank int // how specific: see package comment
}

// Said is a circumstance found in the text.
type Said struct {
	Circumstance string
	Words        Span
	More         []Span // further pieces, where other words stand between
	Denied       bool   // "not since lay-up"
}

// Complaint is a text understood as far as it could be.
type Complaint struct {
	Text       string
	Statements []Statement // in the order of the text, then of the lexicon
	History    []Said
	Missed     []Span // words not understood, in the order of the text
}

// Standing gives the statements that count: one for each symptom spoken of,
// the one that overrules the others, in the order in which they were said.
// A statement of state Unknown stands only where nothing else was said.
func (c Complaint) Standing() []Statement {
	best := map[string]int{}
	for i, s := range c.Statements {
		if s.Overruled {
			continue
		}
		if k, ok := best[s.Symptom]; !ok || outranks(s, c.Statements[k]) {
			best[s.Symptom] = i
		}
	}
	var out []Statement
	for i, s := range c.Statements {
		if k, ok := best[s.Symptom]; ok && k == i {
			out = append(out, s)
		}
	}
	return out
}

// outranks tells whether the later statement carries at least as much as the
// earlier one.
func outranks(later, earlier Statement) bool {
	if (later.State == Unknown) != (earlier.State == Unknown) {
		return earlier.State == Unknown
	}
	return later.rank >= earlier.rank
}

// overrule marks, symptom by symptom, what a more specific or equally specific
// later statement contradicts.
func overrule(all []Statement) {
	best := map[string]int{}
	for i, s := range all {
		if k, ok := best[s.Symptom]; !ok || outranks(s, all[k]) {
			best[s.Symptom] = i
		}
	}
	for i := range all {
		all[i].Overruled = all[i].State != all[best[all[i].Symptom]].State
	}
}
