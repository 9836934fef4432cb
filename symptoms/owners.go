package symptoms

import (
	"cmp"
	"slices"
)

// Words belong to one claim each: a clause from which statements were drawn, a
// circumstance, or what was missed. Owners below gives every token its claim;
// filler, links and marks have none and are taken along where they stand
// between words of the same claim.

// ownerNone stands for words without weight, ownerMissed for words not understood,
// ownerFirst is the first claim.
const (
	ownerNone   = 0
	ownerMissed = 1
	ownerFirst  = 2
)

// owners gives the claim of each token, and the claim of each clause and
// circumstance that has one.
func (r *reader) owners() (of []int, clause map[*clause]int, said []int) {
	of = make([]int, len(r.tokens))
	for _, x := range r.lexemes {
		if !x.light() {
			r.own(of, x, ownerMissed)
		}
	}
	next := ownerFirst
	said = make([]int, len(r.heard))
	for n := range r.heard {
		said[n] = next
		next++
	}
	for _, x := range r.lexemes {
		if x.sense == senseSaid {
			r.own(of, x, said[x.at])
		}
	}
	clause = r.clauseOwners(next)
	for _, c := range r.clauses {
		r.ownPast(of, c, said)
		n, ok := clause[c]
		if !ok {
			n, ok = r.pastOwner(c, said)
		}
		if !ok {
			continue
		}
		for _, x := range c.items {
			if x.claimable() {
				r.own(of, x, n)
			}
		}
	}
	r.leadIn(of)
	return of, clause, said
}

// leadIn gives a "since" that leads to words missed to them.
func (r *reader) leadIn(of []int) {
	for i, x := range r.lexemes {
		if x.sense != senseSince || i+1 == len(r.lexemes) {
			continue
		}
		k := i + 1
		for k+1 < len(r.lexemes) && r.lexemes[k].weightless() {
			k++
		}
		if of[r.lexemes[k].first] == ownerMissed {
			r.own(of, x, ownerMissed)
		}
	}
}

// light tells whether a lexeme carries nothing by itself: filler, marks, the
// words that join or lead up to something.
func (x lexeme) light() bool {
	switch x.sense {
	case senseFiller, senseLink, senseMark, senseAnd, senseOr, senseBut, senseThen, senseOnce, senseIf, senseElse, senseUntil:
		return true
	default:
		return false
	}
}

// claimable tells whether a lexeme takes part in what its clause says.
func (x lexeme) claimable() bool {
	switch x.sense {
	case senseUnknown, senseMatter, senseNumber, senseSaid:
		return false
	default:
		return !x.light()
	}
}

func (r *reader) own(of []int, x lexeme, owner int) {
	for i := x.first; i <= x.last; i++ {
		if !r.tokens[i].mark {
			of[i] = owner
		}
	}
}

// clauseOwners numbers the clauses from which something was drawn. A clause
// that says no more than that an act is done and from which nothing could be
// drawn goes with its neighbour: turns over but won't fire.
func (r *reader) clauseOwners(next int) map[*clause]int {
	out := map[*clause]int{}
	for _, s := range r.said {
		if _, ok := out[s.clause]; !ok {
			out[s.clause] = next
			next++
		}
	}
	for i, c := range r.clauses {
		if _, ok := out[c]; ok || c.core.kind != coreBare || r.drops(c) {
			continue
		}
		if i+1 < len(r.clauses) && !r.clauses[i+1].fresh {
			if n, ok := out[r.clauses[i+1]]; ok {
				out[c] = n
				continue
			}
		}
		if i > 0 && !c.fresh {
			if n, ok := out[r.clauses[i-1]]; ok {
				out[c] = n
			}
		}
	}
	return out
}

// pastOwner gives the circumstance that a clause about times gone by leads up
// to: ran fine until the carburettors were done.
func (r *reader) pastOwner(c *clause, said []int) (int, bool) {
	for _, x := range c.items {
		if x.sense == senseSaid && r.heard[x.at].back && r.drops(c) {
			return said[x.at], true
		}
	}
	return 0, false
}

// ownPast gives the words of times gone by to the circumstance they date: the
// carburettors were cleaned LAST MONTH.
func (r *reader) ownPast(of []int, c *clause, said []int) {
	i := index(c.items, senseSaid)
	if i < 0 {
		return
	}
	for _, x := range c.items {
		if x.sense == sensePast {
			r.own(of, x, said[c.items[i].at])
		}
	}
}

// pieces gives the stretches of text that each claim owns, by claim. Filler,
// links and, for what was understood, marks are passed over within a stretch.
func (r *reader) pieces(of []int) map[int][]Span {
	out := map[int][]Span{}
	for i := 0; i < len(of); {
		owner := of[i]
		if owner == ownerNone {
			i++
			continue
		}
		last := i
		for k := i + 1; k < len(of) && (of[k] == owner || of[k] == ownerNone); k++ {
			if owner == ownerMissed && r.tokens[k].mark {
				break
			}
			if of[k] == owner {
				last = k
			}
		}
		out[owner] = append(out[owner], r.span(i, last))
		i = last + 1
	}
	return out
}

// span gives the text from one token to another.
func (r *reader) span(first, last int) Span {
	a, b := r.tokens[first].start, r.tokens[last].end
	return Span{Text: string(r.runes[a:b]), Start: a, End: b}
}

// complaint puts the result together.
func (r *reader) complaint(text string) Complaint {
	of, clauses, said := r.owners()
	spans := r.pieces(of)
	out := Complaint{Text: text, Missed: spans[ownerMissed]}
	for _, s := range r.said {
		main, more := r.mainPiece(s.clause, spans[clauses[s.clause]])
		out.Statements = append(out.Statements, Statement{
			Symptom: r.l.symptoms[s.symptom].ID, State: s.state, Words: main, More: more,
			Assumed: s.assumed, rank: s.rank,
		})
	}
	order := func(i int) int { return r.said[i].symptom }
	out.Statements = inOrder(out.Statements, order)
	overrule(out.Statements)
	for n, h := range r.heard {
		pieces := spans[said[n]]
		if len(pieces) == 0 {
			continue
		}
		said := Said{Circumstance: r.l.history[h.circumstance].ID, Denied: h.denied}
		said.Words, said.More = longest(pieces)
		out.History = append(out.History, said)
	}
	return out
}

// longest parts the longest piece, of equals the first, from the others.
func longest(pieces []Span) (Span, []Span) {
	at := 0
	for i, p := range pieces {
		if p.End-p.Start > pieces[at].End-pieces[at].Start {
			at = i
		}
	}
	return apart(pieces, at)
}

// apart takes the piece at an index from the others.
func apart(pieces []Span, at int) (Span, []Span) {
	if len(pieces) == 1 {
		return pieces[0], nil
	}
	return pieces[at], slices.Delete(slices.Clone(pieces), at, at+1)
}

// inOrder sorts statements by where they were said, then by symptom, and
// drops repetitions.
func inOrder(all []Statement, symptom func(int) int) []Statement {
	type ranked struct {
		Statement
		symptom int
	}
	list := make([]ranked, len(all))
	for i, s := range all {
		list[i] = ranked{s, symptom(i)}
	}
	slices.SortStableFunc(list, func(a, b ranked) int {
		return cmp.Or(cmp.Compare(a.Words.Start, b.Words.Start), cmp.Compare(a.symptom, b.symptom), cmp.Compare(b.rank, a.rank))
	})
	var out []Statement
	for _, s := range list {
		if n := len(out); n > 0 && out[n-1].Symptom == s.Symptom && out[n-1].State == s.State && out[n-1].Words == s.Words {
			continue
		}
		out = append(out, s.Statement)
	}
	return out
}

// mainPiece picks the piece of a claim that holds the core of a clause.
func (r *reader) mainPiece(c *clause, pieces []Span) (Span, []Span) {
	at := 0
	for _, x := range c.items {
		if x.sense != senseShow && x.sense != senseRelief && x.sense != sensePoor && x.sense != senseAct {
			continue
		}
		start := r.tokens[x.first].start
		if i := slices.IndexFunc(pieces, func(s Span) bool { return s.Start <= start && start < s.End }); i >= 0 {
			at = i
		}
		break
	}
	if len(pieces) == 0 {
		return Span{}, nil
	}
	return apart(pieces, at)
}
