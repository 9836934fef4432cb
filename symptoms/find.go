package symptoms

import (
	"slices"
	"strings"
)

// Find gives the symptoms that a few words name, the best first: those the
// words state to be present, then those whose identifier and title share most
// with the words. An identifier given whole names its symptom alone. Without
// any likeness there is no result.
func (l *Lexicon) Find(words string) []Symptom {
	name := strings.Join(strings.Fields(strings.ToLower(words)), "_")
	for _, s := range l.symptoms {
		if s.ID == name {
			return []Symptom{s}
		}
	}
	var order []int
	for _, s := range l.Read(words).Standing() {
		if s.State != Absent {
			order = append(order, slices.IndexFunc(l.symptoms, func(o Symptom) bool { return o.ID == s.Symptom }))
		}
	}
	for _, i := range l.alike(words) {
		if !slices.Contains(order, i) {
			order = append(order, i)
		}
	}
	out := make([]Symptom, len(order))
	for k, i := range order {
		out[k] = l.symptoms[i]
	}
	return out
}

// likeEnough is the share of the best likeness that others must reach.
const likeEnough = 0.6

// alike gives the symptoms by falling likeness of their names to the words.
func (l *Lexicon) alike(words string) []int {
	asked := l.content(words)
	likeness := make([]float64, len(l.symptoms))
	best := 0.0
	var order []int
	for i, s := range l.symptoms {
		likeness[i] = share(asked, l.content(strings.ReplaceAll(s.ID, "_", " ")+" "+s.Title))
		best = max(best, likeness[i])
		order = append(order, i)
	}
	order = slices.DeleteFunc(order, func(i int) bool { return likeness[i] == 0 || likeness[i] < likeEnough*best })
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case likeness[a] > likeness[b]:
			return -1
		case likeness[a] < likeness[b]:
			return 1
		default:
			return 0
		}
	})
	return order
}

// content gives the stems of the words that carry sense, each once.
func (l *Lexicon) content(words string) []string {
	var out []string
	for _, t := range l.prepare([]rune(words), true) {
		light := t.mark || t.filler || l.book.articles[t.norm]
		for _, m := range l.book.matches([]token{t}, 0) {
			light = light || (lexeme{meaning: m.what}).light()
		}
		if !light && !slices.Contains(out, t.stem) {
			out = append(out, t.stem)
		}
	}
	return out
}

// share measures how much two lists of words have in common, from 0 to 1: twice
// the common words over all words (Dice's coefficient).
func share(a, b []string) float64 {
	if len(a)+len(b) == 0 {
		return 0
	}
	common := 0
	for _, w := range a {
		if slices.Contains(b, w) {
			common++
		}
	}
	return 2 * float64(common) / float64(len(a)+len(b))
}
