package symptoms

import (
	"strconv"
	"strings"
	"unicode"
)

// token is a word, a number or a mark of the text.
type token struct {
	norm       string // lower case, apostrophes gone; a mark is itself
	stem       string
	start, end int // offsets in runes
	mark       bool
	number     bool
	value      float64 // of a number
	rpm        bool    // the number was followed by a unit of engine speed
	filler     bool    // stands alone as filler
	fixed      bool    // corrected spelling
}

// stops are the marks that end a sentence.
const stops = ".;!?\n"

// stop tells whether the token ends a sentence.
func (t token) stop() bool { return t.mark && strings.Contains(stops, t.norm) }

// tokenise takes a text apart. Hyphens between letters part words without
// leaving a mark; letters and digits part from one another.
func tokenise(runes []rune) []token {
	var out []token
	for i := 0; i < len(runes); {
		r := runes[i]
		switch {
		case unicode.IsLetter(r):
			end := wordEnd(runes, i)
			out = append(out, wordToken(runes, i, end))
			i = end
		case isDigit(r):
			end := numberEnd(runes, i)
			out = append(out, numberToken(runes, i, end))
			i = end
		case fraction(r) != "":
			out = append(out, token{norm: fraction(r), stem: fraction(r), start: i, end: i + 1})
			i++
		default:
			if m := markAt(runes, i); m != "" {
				out = append(out, token{norm: m, start: i, end: i + 1, mark: true})
			}
			i++
		}
	}
	return out
}

// fraction spells out a fraction written as one rune.
func fraction(r rune) string {
	switch r {
	case '¼':
		return "1/4"
	case '½':
		return "1/2"
	case '¾':
		return "3/4"
	default:
		return ""
	}
}

func isDigit(r rune) bool      { return r >= '0' && r <= '9' }
func isApostrophe(r rune) bool { return r == '\'' || r == '’' || r == '‘' || r == '`' || r == '´' }

// wordEnd finds the end of the word that starts at i; an apostrophe belongs to
// it where a letter follows.
func wordEnd(runes []rune, i int) int {
	for i < len(runes) {
		inner := isApostrophe(runes[i]) && i+1 < len(runes) && unicode.IsLetter(runes[i+1])
		if !unicode.IsLetter(runes[i]) && !unicode.IsMark(runes[i]) && !inner {
			break
		}
		i++
	}
	return i
}

// numberEnd finds the end of a number: digits, with point, comma or stroke
// between digits.
func numberEnd(runes []rune, i int) int {
	for i < len(runes) {
		inner := strings.ContainsRune(".,/", runes[i]) && i+1 < len(runes) && isDigit(runes[i+1])
		if !isDigit(runes[i]) && !inner {
			break
		}
		i++
	}
	return i
}

func wordToken(runes []rune, start, end int) token {
	var b strings.Builder
	for _, r := range runes[start:end] {
		if !isApostrophe(r) {
			b.WriteRune(unicode.ToLower(r))
		}
	}
	norm := b.String()
	if w, cut := cutShort(runes[start:end]); cut {
		norm = strings.ToLower(w)
	}
	return token{norm: norm, stem: stem(norm), start: start, end: end}
}

// cutShort cuts off what is short for another word or a genitive: she'll,
// engine's. The n't of a negation stays.
func cutShort(word []rune) (string, bool) {
	for i, r := range word {
		if !isApostrophe(r) || i == 0 {
			continue
		}
		switch strings.ToLower(string(word[i+1:])) {
		case "s", "ll", "ve", "re", "d", "m":
			return string(word[:i]), true
		}
	}
	return "", false
}

// numberToken reads a number; "1/2" stays a word of its own and "3,500" loses
// its comma.
func numberToken(runes []rune, start, end int) token {
	norm := string(runes[start:end])
	t := token{norm: norm, stem: norm, start: start, end: end}
	if strings.Contains(norm, "/") {
		return t
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(norm, ",", ""), 64)
	if err == nil {
		t.number, t.value = true, v
	}
	return t
}

// markAt gives the mark at i that parts clauses, or nothing.
func markAt(runes []rune, i int) string {
	r := runes[i]
	switch {
	case r == '\n' || strings.ContainsRune(".;!?,:()", r):
		return string(r)
	case r == '…':
		return "."
	case r == '&' || r == '+' || r == '/':
		return "&"
	case r == '-':
		joins := i > 0 && i+1 < len(runes) && isWordy(runes[i-1]) && isWordy(runes[i+1])
		if joins {
			return ""
		}
		return ","
	case unicode.IsPunct(r) || unicode.IsSymbol(r):
		if isApostrophe(r) {
			return ""
		}
		return ","
	default:
		return ""
	}
}

func isWordy(r rune) bool { return unicode.IsLetter(r) || isDigit(r) }
