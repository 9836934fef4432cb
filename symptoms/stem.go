package symptoms

import "strings"

// stem cuts the inflections off an English word: stumbles, stumbled and
// stumbling share a stem. It need not be a word, only the same for all forms;
// words of three letters or fewer are left alone.
func stem(w string) string {
	if len(w) <= 3 || strings.ContainsAny(w, "0123456789") {
		return w
	}
	w = cutPlural(w)
	w = cutEnding(w)
	w = strings.TrimSuffix(w, "e")
	if n := len(w); n > 2 && w[n-1] == w[n-2] {
		w = w[:n-1]
	}
	if strings.HasSuffix(w, "y") {
		w = w[:len(w)-1] + "i"
	}
	return w
}

// cutPlural takes off the s of a plural or a third person.
func cutPlural(w string) string {
	switch {
	case len(w) > 4 && strings.HasSuffix(w, "ies"):
		return w[:len(w)-3] + "y"
	case strings.HasSuffix(w, "ss"), strings.HasSuffix(w, "us"), strings.HasSuffix(w, "is"):
		return w
	default:
		return strings.TrimSuffix(w, "s")
	}
}

// cutEnding takes off -ing, -ed or -ly where a stem with a vowel is left.
func cutEnding(w string) string {
	switch {
	case strings.HasSuffix(w, "ing") && hasVowel(w[:len(w)-3]):
		return w[:len(w)-3]
	case strings.HasSuffix(w, "ed") && len(w) > 3:
		return w[:len(w)-1]
	case strings.HasSuffix(w, "ly") && len(w) > 4 && hasVowel(w[:len(w)-2]):
		return w[:len(w)-2]
	default:
		return w
	}
}

func hasVowel(w string) bool { return len(w) >= 2 && strings.ContainsAny(w, "aeiouy") }
