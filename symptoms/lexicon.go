package symptoms

import (
	"fmt"
	"slices"
)

// Lexicon understands complaints in the words of one vocabulary about the
// symptoms and circumstances of one pack. It is not changed after NewLexicon
// and may be shared between goroutines.
type Lexicon struct {
	voc      Vocabulary
	symptoms []Symptom
	history  []Circumstance

	book   phrasebook
	scale  scale
	ranges []set
	shows  []showEntry
	acts   []actEntry
	clears []kinds // by relief
	run    int     // index of the act taken where none is named, -1: none
	known  []entry // by symptom
	heard  [][]saying
}

// kinds is a set of kinds of trouble, by their index in the vocabulary.
type kinds uint64

// none stands for "no entry" where an index is kept.
const none = -1

// entry is a symptom by index.
type entry struct {
	show    int
	kind    kinds
	regimes set
}

// showEntry is a manifestation by index.
type showEntry struct {
	kind   kinds
	near   []int
	covers []int
}

// actEntry is an act by index; manifestations it does not have are none.
type actEntry struct {
	regimes             set
	kinds               kinds
	refused, poor, does int
	affirms             []int
	carries, ends       bool
	follow              map[int]int
}

// runAct is the identifier of the act that is meant where none is named.
const runAct = "run"

// NewLexicon makes a lexicon. Every fault of the data is found at once; the
// error is then a Problems.
func NewLexicon(v Vocabulary, symptoms []Symptom, history []Circumstance) (*Lexicon, error) {
	l := &Lexicon{voc: v, symptoms: slices.Clone(symptoms), history: slices.Clone(history)}
	c := checker{v: v}
	c.vocabulary()
	c.symptoms(symptoms)
	c.history(history)
	if len(v.Regimes) <= maxRegimes && len(v.Kinds) <= maxRegimes {
		l.index()
		b := newBookmaker(v)
		b.all()
		l.book = b.book
		l.heard = b.circumstances(l, history)
		c.found = append(c.found, b.found...)
	}
	if len(c.found) > 0 {
		return nil, c.found
	}
	return l, nil
}

// Symptoms gives the symptoms of the pack in their order.
func (l *Lexicon) Symptoms() []Symptom { return slices.Clone(l.symptoms) }

// Symptom looks up a symptom by its identifier.
func (l *Lexicon) Symptom(id string) (Symptom, bool) {
	i := slices.IndexFunc(l.symptoms, func(s Symptom) bool { return s.ID == id })
	if i < 0 {
		return Symptom{}, false
	}
	return l.symptoms[i], true
}

// Circumstance looks up a circumstance by its identifier.
func (l *Lexicon) Circumstance(id string) (Circumstance, bool) {
	i := slices.IndexFunc(l.history, func(c Circumstance) bool { return c.ID == id })
	if i < 0 {
		return Circumstance{}, false
	}
	return l.history[i], true
}

// RegimeTitle gives the words for a regime ("at idle"); the identifier itself
// for one the vocabulary does not know.
func (l *Lexicon) RegimeTitle(r Regime) string {
	for _, w := range l.voc.Regimes {
		if w.ID == string(r) {
			return w.Title
		}
	}
	return string(r)
}

// index turns identifiers into indexes. Names not known are left out, since
// the checks report them.
func (l *Lexicon) index() {
	l.scale = newScale(l.voc.Regimes)
	for _, r := range l.voc.Ranges {
		l.ranges = append(l.ranges, l.scale.named(r.Regimes))
	}
	for _, w := range l.voc.Shows {
		l.shows = append(l.shows, showEntry{
			kind: l.kindsOf([]string{w.Kind}), near: l.showsOf(w.Near), covers: l.showsOf(w.Covers),
		})
	}
	l.run = none
	for i, a := range l.voc.Acts {
		l.acts = append(l.acts, l.actEntry(a))
		if a.ID == runAct {
			l.run = i
		}
	}
	for _, r := range l.voc.Reliefs {
		l.clears = append(l.clears, l.kindsOf(r.Kinds))
	}
	for _, s := range l.symptoms {
		e := entry{show: l.showOf(s.Shows)}
		if e.show != none {
			e.kind = l.shows[e.show].kind
		}
		for _, r := range s.Regimes {
			e.regimes |= l.scale.named([]string{string(r)})
		}
		l.known = append(l.known, e)
	}
}

func (l *Lexicon) actEntry(a Act) actEntry {
	e := actEntry{
		regimes: l.scale.named(a.Regimes), kinds: l.kindsOf(a.Kinds),
		refused: l.showOf(a.Refused), poor: l.showOf(a.Poor), does: l.showOf(a.Does),
		affirms: l.showsOf(a.Affirms), carries: a.Carries, ends: a.Ends,
		follow: map[int]int{},
	}
	for _, f := range a.Follow {
		e.follow[l.showOf(f.Show)] = l.showOf(f.Means)
	}
	return e
}

// showOf gives the index of a manifestation, none if there is no such.
func (l *Lexicon) showOf(id string) int {
	return slices.IndexFunc(l.voc.Shows, func(w Word) bool { return w.ID == id })
}

func (l *Lexicon) showsOf(ids []string) []int {
	var out []int
	for _, id := range ids {
		if i := l.showOf(id); i != none {
			out = append(out, i)
		}
	}
	return out
}

func (l *Lexicon) kindsOf(ids []string) kinds {
	var out kinds
	for _, id := range ids {
		if i := slices.IndexFunc(l.voc.Kinds, func(k Kind) bool { return k.ID == id }); i >= 0 {
			out |= 1 << i
		}
	}
	return out
}

// describe names an entry for messages: shows.rough.
func describe(list, id string) string { return fmt.Sprintf("%s.%s", list, id) }
