package session

import (
	"slices"
	"strings"
	"unicode"

	"narrows/knowledge"
)

// A Suggestion is one way to go on with a line: the text that replaces the
// word before the cursor, and a note about it.
type Suggestion struct{ Text, Note string }

// mostSuggestions bounds the menu; whoever wants another types one letter more.
const mostSuggestions = 40

// Complete suggests how to go on with a line at the cursor, counted in letters
// from its start. It looks only at the line and the case as it stands, and
// changes nothing.
func (c *Case) Complete(line string, cursor int) []Suggestion {
	letters := []rune(line)
	before := string(letters[:max(0, min(cursor, len(letters)))])
	cut := strings.LastIndexByte(before, ' ') + 1
	words, word := strings.Fields(before[:cut]), before[cut:]
	var found []Suggestion
	switch {
	case len(words) > 0:
		if v, ok := findVerb(strings.ToLower(words[0])); ok {
			found = c.completeArgument(v, words[1:], word)
			break
		}
		found = c.completeAnswer(words, word)
	case word != "":
		found = append(c.completeAnswer(nil, word), completeVerb(word)...)
	}
	return found[:min(mostSuggestions, len(found))]
}

func completeVerb(word string) []Suggestion {
	var out []Suggestion
	for _, v := range verbs() {
		if strings.HasPrefix(v.name, strings.ToLower(word)) {
			out = append(out, Suggestion{v.name, v.help})
		}
	}
	return out
}

// completeArgument goes on behind a verb.
func (c *Case) completeArgument(v verb, words []string, word string) []Suggestion {
	pack := c.b.e.Pack()
	var ns []named
	switch v.args0 {
	case aCheck:
		for _, d := range pack.Checks {
			ns = append(ns, named{d.ID, d.Title})
		}
	case aSuspect:
		if v.name == "fixed" {
			for _, d := range pack.Repairs {
				ns = append(ns, named{d.ID, d.Title})
			}
			break
		}
		ns = c.eventNames(knowledge.KindMode)
	case anEvent:
		ns = c.eventNames(knowledge.KindMode, knowledge.KindCause, knowledge.KindCondition)
	case aSymptom:
		ns = c.eventNames(knowledge.KindSymptom)
	case anOpening:
		for _, d := range pack.Openings {
			ns = append(ns, named{d.ID, d.Title})
		}
	case aTable:
		ns = c.tableNames()
	case aTool:
		ns = c.meansNames()
	case aSite:
		ns = c.siteNames()
	case anInstrument:
		ns = append(c.kitNames(c.kitHere()), named{"nothing", "nothing"})
	case aUnit:
		ns = c.unitNames()
	case aVerb:
		return completeVerb(word)
	default:
		return nil
	}
	found := goOn(ns, words, word)
	if v.args0 == aTable {
		found = append(found, c.completeLedger(words, word)...)
	}
	if len(words) > 0 && v.args0 != aSymptom && v.args0 != anOpening && v.args0 != aTool && v.args0 != aSite && v.args0 != anInstrument && v.args0 != aUnit {
		found = append(found, c.completePlace(words, word, nil)...)
	}
	return found
}

func (c *Case) eventNames(kinds ...knowledge.Kind) []named {
	var ns []named
	for _, d := range c.b.e.Snapshot().Events() {
		if slices.Contains(kinds, d.Kind) {
			ns = append(ns, named{d.ID, d.Title})
		}
	}
	return ns
}

// completeAnswer goes on with an answer to the check that is asked: its
// outcomes, its places, and the units of its reading.
func (c *Case) completeAnswer(words []string, word string) []Suggestion {
	if c.asked == nil || word == "" && len(words) == 0 {
		return nil
	}
	var found []Suggestion
	def := c.check(c.asked.action)
	if def.Reading != nil {
		found = completeUnit(def.Reading, words, word)
	} else {
		var ns []named
		for _, o := range def.Outcomes {
			ns = append(ns, named{o.ID, o.Title})
		}
		at := words
		if n := c.placeWords(words); n > 0 {
			at = words[n:]
		}
		found = goOn(ns, at, word)
	}
	if len(c.asked.places) > 1 {
		found = append(found, c.completePlace(words, word, c.asked.places)...)
	}
	return found
}

// placeWords is how many words at the front of an answer name a place.
func (c *Case) placeWords(words []string) int {
	if len(words) > 0 && (strings.EqualFold(words[0], "all") || strings.EqualFold(words[0], "others")) {
		return 1
	}
	for n := min(2, len(words)); n > 0; n-- {
		if _, ok := c.placeIn(strings.Join(words[:n], " "), c.b.about[c.asked.action].places); ok {
			return n
		}
	}
	return 0
}

// completeUnit suggests the units of a reading behind its number.
func completeUnit(r *knowledge.Reading, words []string, word string) []Suggestion {
	if len(words) == 0 || !strings.ContainsFunc(words[len(words)-1], unicode.IsDigit) {
		return nil
	}
	var out []Suggestion
	for _, u := range r.In.Dimension().Units() {
		if s := u.Symbol(); strings.HasPrefix(strings.ToLower(s), strings.ToLower(word)) {
			note := string(u.Dimension())
			if u == r.In {
				note += ", as on the sheet"
			}
			out = append(out, Suggestion{s, note})
		}
	}
	return out
}

// completePlace suggests places; nil stands for all places of the engine.
func (c *Case) completePlace(words []string, word string, among []knowledge.Place) []Suggestion {
	if among == nil {
		for _, s := range c.b.e.Pack().Sets {
			among = append(among, c.b.e.Places(s.ID)...)
		}
	}
	var ns []named
	for _, p := range among {
		ns = append(ns, named{p.Set + " " + p.Member, c.b.e.PlaceTitle(p)})
	}
	var out []Suggestion
	for _, n := range ns {
		if rest, ok := follows(n.id, trailing(words, n.id), word); ok {
			out = append(out, Suggestion{rest, n.title})
		}
	}
	return out
}

// trailing are the last typed words as far as they begin a name.
func trailing(words []string, name string) []string {
	parts := strings.Fields(name)
	for n := min(len(parts)-1, len(words)); n > 0; n-- {
		if strings.EqualFold(strings.Join(words[len(words)-n:], " "), strings.Join(parts[:n], " ")) {
			return words[len(words)-n:]
		}
	}
	return nil
}

// goOn finds the names that typed words begin, by title or by identifier, and
// gives what is left of them. Where nothing begins so, a name with a word that
// begins so is meant.
func goOn(ns []named, words []string, word string) []Suggestion {
	var out, within []Suggestion
	for _, n := range ns {
		switch rest, ok := follows(n.title, words, word); {
		case ok:
			out = append(out, Suggestion{rest, n.id})
		case len(words) == 0 && strings.HasPrefix(n.id, strings.ToLower(word)):
			out = append(out, Suggestion{n.id, n.title})
		case len(words) == 0 && anyWord(n.title, word):
			within = append(within, Suggestion{n.title, n.id})
		}
	}
	return append(out, within...)
}

// follows gives the rest of a name, from the word that is being typed on.
func follows(name string, words []string, word string) (string, bool) {
	parts := strings.Fields(name)
	if len(words) >= len(parts) {
		return "", false
	}
	for i, w := range words {
		if !strings.EqualFold(w, parts[i]) {
			return "", false
		}
	}
	rest := strings.Join(parts[len(words):], " ")
	return rest, strings.HasPrefix(strings.ToLower(rest), strings.ToLower(word))
}

func anyWord(name, word string) bool {
	for _, p := range strings.Fields(strings.ToLower(name)) {
		if word != "" && strings.HasPrefix(p, strings.ToLower(word)) {
			return true
		}
	}
	return false
}
