package symptoms

import "strings"

// sense is what a saying does in a sentence.
type sense uint8

const (
	senseUnknown sense = iota
	senseMark          // punctuation
	senseFiller
	senseLink
	senseShow   // at: index of the manifestation
	senseRegime // at: index of the regime
	senseRange
	senseAct
	senseRelief
	sensePoor
	senseMatter
	senseNumber
	senseSaid // a circumstance already understood
	sensePlace
	senseNot
	senseOnly
	senseExcept
	senseElse
	senseUntil
	senseSince
	sensePast
	senseAbove
	senseBelow
	senseUpTo
	senseBetween
	senseTo
	senseUpward
	senseDownward
	senseAnd
	senseOr
	senseBut
	senseThen
	senseOnce
	senseIf
)

// signSenses pairs the fixed identifiers of signs with their senses. Units of
// speed and thousands are dealt with before sayings are looked for and have none.
func signSenses() map[string]sense {
	return map[string]sense{
		"not": senseNot, "only": senseOnly, "except": senseExcept, "else": senseElse,
		"until": senseUntil, "since": senseSince, "past": sensePast,
		"above": senseAbove, "below": senseBelow, "up_to": senseUpTo, "between": senseBetween,
		"to": senseTo, "upward": senseUpward, "downward": senseDownward,
		"and": senseAnd, "or": senseOr, "but": senseBut, "then": senseThen,
		"once": senseOnce, "if": senseIf,
		"rpm": senseUnknown, "thousand": senseUnknown, "hundred": senseUnknown,
	}
}

// meaning is what a saying stands for: a sense and, for those that have one,
// the index of the entry.
type meaning struct {
	sense sense
	at    int
}

// node is a node of the tree of sayings, one word a step.
type node struct {
	next  map[string]*node
	what  meaning
	where string // entry that the saying belongs to, for messages; empty: no saying ends here
}

const (
	keyNumber = "#"
	keyNot    = "~not"
)

// step finds the child for a key, making it if asked.
func (n *node) step(key string, add bool) *node {
	if c, ok := n.next[key]; ok || !add {
		return c
	}
	if n.next == nil {
		n.next = map[string]*node{}
	}
	c := &node{}
	n.next[key] = c
	return c
}

// phrasebook holds all sayings and the words they are made of.
type phrasebook struct {
	root     node
	articles map[string]bool    // by spelling
	filler   map[string]bool    // single words, by key
	nots     map[string]bool    // single words of the sign not, by stem
	kept     map[string]bool    // by stem
	rpm      map[string]bool    // units of engine speed, by spelling
	factors  map[string]float64 // thousand, hundred, by spelling
	numbers  map[string]float64
	forms    []form // correctly spelt words, in the order of the data
	known    map[string]bool
}

// keys turns a saying into steps of the tree. With keepAll articles are kept.
func (b *phrasebook) keys(saying string, keepAll bool) []string {
	var out []string
	for _, word := range strings.Fields(strings.ReplaceAll(saying, "-", " ")) {
		exact := strings.HasPrefix(word, "=")
		t := plain(strings.TrimPrefix(word, "="))
		switch {
		case word == keyNumber:
			out = append(out, keyNumber)
			continue
		case !keepAll && !exact && b.articles[t.norm]:
			continue
		case b.rpm[t.norm] && len(out) > 0 && out[len(out)-1] == keyNumber:
			continue // belongs to the number
		case !keepAll && !exact && b.nots[t.stem]:
			out = append(out, keyNot)
			continue
		}
		b.learn(t)
		if exact {
			out = append(out, "="+t.norm)
		} else {
			out = append(out, t.stem)
		}
	}
	return out
}

// plain makes a token of a word of the data.
func plain(word string) token {
	runes := []rune(word)
	return wordToken(runes, 0, len(runes))
}

// add enters a saying. It gives the entry that already holds the same saying
// with another meaning, if there is one.
func (b *phrasebook) add(keys []string, what meaning, where string) (holder string) {
	n := &b.root
	for _, k := range keys {
		n = n.step(k, true)
	}
	if n.where != "" && n.what != what {
		return n.where
	}
	n.what, n.where = what, where
	return ""
}

// match is a saying found in the text.
type match struct {
	what  meaning
	last  int // index of its last token
	words int // tokens it is made of, those passed over not counted
	exact int // of these, how many in the very form asked for
}

// weight ranks readings of a text: long sayings before short ones, exact
// forms before inflections, anything before a lone filler word.
func (m match) weight() int {
	if m.words == 1 && (m.what.sense == senseFiller || m.what.sense == senseLink) {
		return 1
	}
	return 4*m.words*m.words + m.exact
}

// maxSkip is how many filler words in a row a saying passes over.
const maxSkip = 3

// matches finds all sayings that start at token i, one for each last token:
// the heaviest.
func (b *phrasebook) matches(tokens []token, i int) []match {
	var out []match
	b.walk(&b.root, tokens, i, 0, match{}, &out)
	return out
}

func (b *phrasebook) walk(n *node, tokens []token, i, skipped int, sofar match, out *[]match) {
	if n.where != "" && sofar.words > 0 && sofar.last == i-1 {
		sofar.what = n.what
		keep(out, sofar)
	}
	if i >= len(tokens) || tokens[i].mark {
		return
	}
	t := tokens[i]
	for k, key := range b.stepsFor(t) {
		if key == "" {
			continue
		}
		if c := n.step(key, false); c != nil {
			on := match{last: i, words: sofar.words + 1, exact: sofar.exact}
			if k == 0 {
				on.exact++
			}
			b.walk(c, tokens, i+1, 0, on, out)
		}
	}
	if t.filler && sofar.words > 0 && skipped < maxSkip {
		b.walk(n, tokens, i+1, skipped+1, sofar, out)
	}
}

// keep enters a match unless one as heavy with the same end is there.
func keep(out *[]match, m match) {
	for i, o := range *out {
		if o.last == m.last {
			if m.weight() > o.weight() {
				(*out)[i] = m
			}
			return
		}
	}
	*out = append(*out, m)
}

// stepsFor gives the keys under which a token may be found: its very form, its
// stem, any number, any negation. Empty ones do not apply.
func (b *phrasebook) stepsFor(t token) [4]string {
	keys := [4]string{"=" + t.norm, t.stem, "", ""}
	if _, spelt := b.numbers[t.norm]; t.number || spelt {
		keys[2] = keyNumber
	}
	if b.nots[t.stem] {
		keys[3] = keyNot
	}
	return keys
}
