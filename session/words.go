package session

import (
	"slices"
	"strings"
	"unicode"

	"github.com/agnivade/levenshtein"
)

// named is something that can be picked by words.
type named struct {
	id, title string
}

// tokens are the words of a text, in lower case.
func tokens(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
}

// small words that name nothing.
var idle = []string{"the", "a", "an", "of", "on", "at", "in", "is", "to", "it", "was", "and", "with", "no", "not", "number", "nr"}

// choose returns the indices of what the words fit best: an id or title given
// whole, else those in which the most of the words are found. Nothing fits if
// less than half of the words do.
func choose(words string, from []named) []int {
	want := slices.DeleteFunc(tokens(words), func(w string) bool { return slices.Contains(idle, w) })
	if len(want) == 0 {
		return nil
	}
	var best []int
	top := 0.0
	for i, n := range from {
		if strings.EqualFold(words, n.id) || strings.EqualFold(words, n.title) {
			return []int{i}
		}
		score := overlap(want, append(tokens(n.title), tokens(n.id)...))
		switch {
		case score < 0.5 || score < top-1e-9:
		case score > top+1e-9:
			best, top = []int{i}, score
		default:
			best = append(best, i)
		}
	}
	return best
}

// overlap is the share of wanted words found, with a little for how much of
// the name they cover.
func overlap(want, have []string) float64 {
	found, covered := 0.0, map[string]bool{}
	for _, w := range want {
		best := 0.0
		for _, h := range have {
			if s := alike(w, h); s > best {
				best = s
			}
			if alike(w, h) > 0.7 {
				covered[h] = true
			}
		}
		found += best
	}
	return found/float64(len(want)) + 0.1*float64(len(covered))/float64(max(1, len(have)))
}

// alike rates a typed word against a word of a name.
func alike(typed, word string) float64 {
	switch {
	case typed == word:
		return 1
	case len(typed) >= 3 && strings.HasPrefix(word, typed):
		return 0.95
	case len(word) >= 4 && strings.HasPrefix(typed, word):
		return 0.9
	case len(typed) >= 5 && levenshtein.ComputeDistance(typed, word) <= 1+len(typed)/9:
		return 0.8
	}
	return 0
}
