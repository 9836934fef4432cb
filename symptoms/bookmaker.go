package symptoms

import (
	"fmt"
	"slices"
	"strings"
)

// bookmaker enters the sayings of the data into a phrasebook and notes those
// that are empty or collide.
type bookmaker struct {
	v     Vocabulary
	book  phrasebook
	found Problems
}

func newBookmaker(v Vocabulary) *bookmaker {
	b := &bookmaker{v: v}
	b.book = phrasebook{
		articles: map[string]bool{}, filler: map[string]bool{}, nots: map[string]bool{},
		kept: map[string]bool{}, rpm: map[string]bool{}, factors: map[string]float64{},
		numbers: map[string]float64{}, known: map[string]bool{},
	}
	return b
}

// all enters the whole vocabulary: first the words that change how sayings are
// read, then the sayings.
func (b *bookmaker) all() {
	b.smallWords()
	for i, w := range b.v.Shows {
		b.enter(w.Words, meaning{senseShow, i}, false, "shows", w.ID, "words")
	}
	for i, r := range b.v.Regimes {
		b.enter(r.Phrases, meaning{senseRegime, i}, false, "regimes", r.ID, "phrases")
	}
	for i, r := range b.v.Ranges {
		b.enter(r.Phrases, meaning{senseRange, i}, false, "ranges", r.ID, "phrases")
	}
	for i, a := range b.v.Acts {
		b.enter(a.Words, meaning{senseAct, i}, false, "acts", a.ID, "words")
	}
	for i, r := range b.v.Reliefs {
		b.enter(r.Words, meaning{senseRelief, i}, false, "reliefs", r.ID, "words")
	}
	b.enter(b.v.Poor, meaning{sense: sensePoor}, false, "poor")
	for i, m := range b.v.Matters {
		b.enter(m.Words, meaning{senseMatter, i}, false, "matters", m.ID)
	}
	senses := signSenses()
	for _, s := range b.v.Signs {
		if what := senses[s.ID]; what != senseUnknown {
			b.enter(s.Words, meaning{sense: what}, true, "signs", s.ID)
		}
	}
	b.enter(b.v.Articles, meaning{sense: senseFiller}, true, "articles")
	b.enter(b.v.Filler, meaning{sense: senseFiller}, true, "filler")
	b.enter(b.v.Links, meaning{sense: senseLink}, true, "links")
}

// smallWords enters articles, filler, negations, numbers and units.
func (b *bookmaker) smallWords() {
	for _, w := range b.v.Articles {
		b.book.articles[plain(w).norm] = true
	}
	for _, w := range slices.Concat(b.v.Articles, b.v.Filler) {
		if k := b.book.keys(w, true); len(k) == 1 {
			b.book.filler[k[0]] = true
		}
	}
	for _, s := range b.v.Signs {
		for _, w := range s.Words {
			b.smallSign(s.ID, w)
		}
	}
	for _, n := range b.v.Numbers {
		t := plain(n.Word)
		b.book.numbers[t.norm] = n.Value
		b.book.learn(t)
	}
	for _, w := range b.v.Kept {
		b.book.kept[plain(w).stem] = true
	}
}

func (b *bookmaker) smallSign(id, word string) {
	if strings.ContainsAny(word, " -") {
		return
	}
	t := plain(word)
	switch id {
	case "not":
		b.book.nots[t.stem] = true
	case "rpm":
		b.book.rpm[t.norm] = true
		b.book.learn(t)
	case "thousand":
		b.book.factors[t.norm] = 1000
	case "hundred":
		b.book.factors[t.norm] = 100
	}
}

// enter adds the sayings of one entry.
func (b *bookmaker) enter(sayings []string, what meaning, keepAll bool, path ...string) {
	for _, s := range sayings {
		keys := b.book.keys(s, keepAll)
		here := append(slices.Clone(path), s)
		if len(keys) == 0 || slices.Equal(keys, []string{keyNot}) {
			b.fault("nothing is left of this saying without its articles; add a word that carries sense", here)
			continue
		}
		if holder := b.book.add(keys, what, strings.Join(path, ".")); holder != "" {
			b.fault(fmt.Sprintf("collides with a saying of %s; take it out of one of them", holder), here)
		}
	}
}

func (b *bookmaker) fault(message string, path []string) {
	b.found = append(b.found, Problem{Path: path, Message: message})
}

// saying is a phrase of a circumstance taken apart: what it speaks of and
// whether it opens with a word such as "since".
type saying struct {
	keys   []meaning
	marked bool
}

// circumstances takes the phrases of a pack apart. Words that the vocabulary
// does not know become matters of their own.
func (b *bookmaker) circumstances(l *Lexicon, all []Circumstance) [][]saying {
	own := len(b.v.Matters)
	for _, c := range all {
		for _, p := range c.Phrases {
			own = b.newWords(l, p, own)
		}
	}
	l.book = b.book
	out := make([][]saying, len(all))
	for i, c := range all {
		for _, p := range c.Phrases {
			s := l.takeApart(p)
			if len(s.keys) == 0 {
				b.fault("says nothing that the vocabulary could tell from filler; add a word that carries sense", []string{"history", c.ID, "phrases", p})
				continue
			}
			b.sameAs(out[:i], all, s, []string{"history", c.ID, "phrases", p})
			out[i] = append(out[i], s)
		}
	}
	return out
}

// newWords enters the words of a phrase that are not in the vocabulary.
func (b *bookmaker) newWords(l *Lexicon, phrase string, own int) int {
	l.book = b.book
	tokens := l.prepare([]rune(phrase), false)
	for _, x := range l.lex(tokens) {
		if x.sense != senseUnknown {
			continue
		}
		t := tokens[x.first]
		b.book.learn(t)
		b.book.add([]string{t.stem}, meaning{senseMatter, own}, "history")
		own++
	}
	return own
}

// sameAs reports a phrase that says what one of another circumstance says.
func (b *bookmaker) sameAs(before [][]saying, all []Circumstance, s saying, path []string) {
	for i, others := range before {
		for _, o := range others {
			if o.marked == s.marked && slices.Equal(o.keys, s.keys) {
				b.fault(fmt.Sprintf("says the same as a phrase of %s; take it out of one of them", describe("history", all[i].ID)), path)
				return
			}
		}
	}
}
