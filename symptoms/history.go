package symptoms

import "slices"

// historian finds circumstances among the lexemes of a text and takes their
// words out of the sentence.
type historian struct {
	l     *Lexicon
	lex   []lexeme
	found []heard
}

// heard is a circumstance found.
type heard struct {
	circumstance int
	denied       bool
	back         bool // said as "fine until ...": what stands before is past
}

// run looks behind every "since" first, then at whole clauses.
func (h *historian) run() {
	for i, x := range h.lex {
		switch x.sense {
		case senseSince, senseUntil, senseBelow:
			h.marked(i)
		}
	}
	for from := 0; from < len(h.lex); {
		to := h.end(from)
		h.unmarked(from, to)
		from = to + 1
	}
}

// end gives the index of the boundary at or after i.
func (h *historian) end(i int) int {
	for i < len(h.lex) {
		switch h.lex[i].sense {
		case senseMark, senseBut, senseThen:
			return i
		}
		i++
	}
	return i
}

// marked reads the stretch behind a marker: "since the carbs were done".
func (h *historian) marked(i int) {
	end := h.end(i + 1)
	for k := i + 1; k < end; k++ {
		if s := h.lex[k].sense; s == senseSince || s == senseUntil {
			end = k
		}
	}
	back := h.lex[i].sense != senseSince
	for first := true; ; first = false {
		c, used := h.best(i+1, end, func(saying) bool { return true })
		if len(used) == 0 {
			return
		}
		n := len(h.found)
		h.found = append(h.found, heard{circumstance: c, back: back, denied: h.denies(i - 1)})
		if first {
			used = append(used, i)
		}
		if h.found[n].denied {
			h.eatNot(i-1, n)
		}
		h.take(h.more(i+1, end, used), n)
	}
}

// more adds to the lexemes used the others that speak of the same: since it
// SAT all WINTER.
func (h *historian) more(from, to int, used []int) []int {
	out := slices.Clone(used)
	for _, k := range used {
		for i := from; i < to; i++ {
			same := h.lex[i].sense == senseMatter && h.lex[i].meaning == h.lex[k].meaning
			if same && !slices.Contains(out, i) {
				out = append(out, i)
			}
		}
	}
	return out
}

// unmarked reads a whole clause: sayings that need no marker, and any saying
// where the clause says nothing of the running.
func (h *historian) unmarked(from, to int) {
	speaks := slices.ContainsFunc(h.lex[from:to], func(x lexeme) bool {
		return x.sense == senseShow || x.sense == senseRelief || x.sense == sensePoor
	})
	for {
		c, used := h.best(from, to, func(s saying) bool { return !s.marked || !speaks })
		if len(used) == 0 {
			return
		}
		n := len(h.found)
		denied := false
		if not := h.notBefore(from, used, speaks); not >= 0 {
			denied = true
			used = append(used, not)
		}
		if only := h.onlyAt(slices.Min(used) - 1); only >= from {
			used = append(used, only)
		}
		h.found = append(h.found, heard{circumstance: c, denied: denied})
		h.take(h.more(from, to, used), n)
	}
}

// notBefore gives the index of a negation that denies what was found, or -1:
// any in a clause that says nothing of the running, else one right before it.
func (h *historian) notBefore(from int, used []int, speaks bool) int {
	first := slices.Min(used)
	last := slices.Max(used)
	if speaks {
		if h.denies(first - 1) {
			return h.notAt(first - 1)
		}
		return -1
	}
	for i := from; i <= last; i++ {
		if h.lex[i].sense == senseNot {
			return i
		}
	}
	return -1
}

// notAt gives the index of a negation at i, filler passed over, or -1.
func (h *historian) notAt(i int) int {
	for i >= 0 && h.lex[i].weightless() {
		i--
	}
	if i >= 0 && h.lex[i].sense == senseNot {
		return i
	}
	return -1
}

// onlyAt gives the index of an "only" that belongs to the circumstance behind it, which
// narrows no regime: "only with the big tank". It is -1 if there is none.
func (h *historian) onlyAt(i int) int {
	for i >= 0 && (h.lex[i].weightless() || h.lex[i].sense == senseIf) {
		i--
	}
	if i >= 0 && h.lex[i].sense == senseOnly {
		return i
	}
	return -1
}

func (h *historian) denies(i int) bool { return h.notAt(i) >= 0 }

func (h *historian) eatNot(i, n int) { h.take([]int{h.notAt(i)}, n) }

// take marks lexemes as belonging to circumstance n of those found.
func (h *historian) take(used []int, n int) {
	for _, i := range used {
		h.lex[i].meaning = meaning{senseSaid, n}
	}
}

// best finds the circumstance with the most words among the lexemes from..to,
// of equals the first, and the lexemes it uses.
func (h *historian) best(from, to int, fits func(saying) bool) (int, []int) {
	at := none
	var best []int
	for c, sayings := range h.l.heard {
		for _, s := range sayings {
			if !fits(s) {
				continue
			}
			if used := h.uses(from, to, s.keys); len(used) > len(best) {
				at, best = c, used
			}
		}
	}
	return at, best
}

// uses gives the lexemes that say the keys, nothing if one of them is missing.
func (h *historian) uses(from, to int, keys []meaning) []int {
	var out []int
	for _, k := range keys {
		at := -1
		for i := from; i < to && at < 0; i++ {
			if h.lex[i].meaning == k && !slices.Contains(out, i) {
				at = i
			}
		}
		if at < 0 {
			return nil
		}
		out = append(out, at)
	}
	return out
}
