package quantity

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
)

// ErrorKind tells a caller what went wrong, so that it can ask again for the
// part that is missing.
type ErrorKind string

// What can be wrong with a typed quantity.
const (
	NoNumber         ErrorKind = "no number"
	BadNumber        ErrorKind = "malformed number"
	AmbiguousNumber  ErrorKind = "ambiguous number"
	OutOfRange       ErrorKind = "number out of range"
	NoUnit           ErrorKind = "no unit"
	UnknownUnit      ErrorKind = "unknown unit"
	AmbiguousUnit    ErrorKind = "ambiguous unit"
	WrongDimension   ErrorKind = "wrong dimension"
	UnknownDimension ErrorKind = "unknown dimension"
)

// Error is the error of every function of this package. Its text is a line
// for people: what is wrong, a semicolon, what to do next.
type Error struct {
	Kind    ErrorKind
	Text    string // what was typed
	Problem string // what is wrong
	Advice  string // what to do next; may be empty
}

func (e *Error) Error() string {
	if e.Advice == "" {
		return e.Problem
	}
	return e.Problem + "; " + e.Advice
}

// shown is typed text as it stands in a sentence: quoted when it is empty or
// holds what cannot be printed, cut when it is long.
func shown(s string) string {
	s = strings.TrimSpace(s)
	if len(s) > maxText {
		cut := maxText
		for cut > 0 && !utf8.RuneStart(s[cut]) {
			cut--
		}
		s = s[:cut] + "..."
	}
	odd := func(r rune) bool { return r == utf8.RuneError || !unicode.IsPrint(r) }
	if s == "" || strings.ContainsFunc(s, odd) {
		return strconv.Quote(s)
	}
	return s
}

// quoted is a name as it stands in a sentence.
func quoted(s string) string {
	if t := shown(s); !strings.HasPrefix(t, `"`) {
		return `"` + t + `"`
	}
	return strconv.Quote(strings.TrimSpace(s))
}

// nearest is the name of least edit distance to s, the first of equals; empty
// when every name differs in more than 2 letters, or in more than a third.
func nearest(s string, names []string) string {
	best, least := "", 3
	for _, n := range names {
		d := levenshtein.ComputeDistance(s, n)
		if d < least && 3*d <= max(utf8.RuneCountInString(n), utf8.RuneCountInString(s)) {
			best, least = n, d
		}
	}
	return best
}
