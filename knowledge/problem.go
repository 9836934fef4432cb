package knowledge

import (
	"fmt"
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
	"gopkg.in/yaml.v3"
)

// Pos is a place in a file. Line and Col count from 1, Col in letters; Line 0
// means the file as a whole.
type Pos struct {
	File      string
	Line, Col int
}

// String gives file:line:col, or the file alone where no line is known.
func (p Pos) String() string {
	if p.Line == 0 {
		return p.File
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col)
}

// Problem is one fault of a file: where it stands, what is wrong, and what to
// do about it.
type Problem struct {
	File      string
	Line, Col int
	What      string
	Mend      string
	Rule      Rule // "" for what has no code of its own
	Severity  Severity
}

// Error gives "file:line:col: what; mend [code]" on one line.
func (p Problem) Error() string {
	s := Pos{p.File, p.Line, p.Col}.String() + ": " + p.What
	if p.Mend != "" {
		s += "; " + p.Mend
	}
	if p.Rule != "" {
		s += " [" + string(p.Rule) + "]"
	}
	return s
}

// Problems are all the faults found, sorted by file and place.
type Problems []Problem

// Error gives one problem a line.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// Err returns the problems as an error, or nil if there are none.
func (ps Problems) Err() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}

func (ps Problems) sort() {
	sort.SliceStable(ps, func(i, j int) bool {
		a, b := ps[i], ps[j]
		if a.File != b.File {
			return a.File < b.File
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Col < b.Col
	})
}

// maxProblems bounds the report on one file, and with it the work of looking
// for near names in a file that is nonsense from end to end.
const maxProblems = 200

// maxMeant bounds the searches for a near name in one file.
const maxMeant = 50

// faults collects the problems of one file.
type faults struct {
	// met is told of every mapping with known keys that is read, and of the keys that
	// it may have; nil for nobody. It is how the schema is held against the decoder.
	met   func(n *yaml.Node, known []field)
	file  string
	list  Problems
	asked int // searches for a near name
	// nodes are the files of nodes that came from other files.
	nodes map[*yaml.Node]string
}

// add notes a problem. The mend comes before the message so that the message
// can be formatted.
func (f *faults) add(rule Rule, at Pos, mend, format string, args ...any) {
	switch {
	case len(f.list) > maxProblems:
		return
	case len(f.list) == maxProblems:
		f.list = append(f.list, Problem{File: f.file, What: fmt.Sprintf("more than %d faults", maxProblems),
			Mend: "mend those listed and load the file again", Rule: RuleTooManyFaults})
		return
	}
	if at.File == "" {
		at.File = f.file
	}
	f.list = append(f.list, Problem{File: at.File, Line: at.Line, Col: at.Col,
		What: printable(fmt.Sprintf(format, args...)), Mend: printable(mend), Rule: rule})
}

// printable keeps a message on one line and free of control characters,
// whatever stood in the file.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == utf8.RuneError || r == 0x2028 || r == 0x2029 || r >= 0x80 && r < 0xa0 {
			return '?'
		}
		return r
	}, s)
}

// quote shows a word of the file, cut where it is too long for a message.
func quote(s string) string {
	const most = 60
	if utf8.RuneCountInString(s) > most {
		s = string([]rune(s)[:most]) + "..."
	}
	return `"` + s + `"`
}

// nearest returns the known name that word was most likely meant to be, or "".
// At most a third of its letters, and always one, may differ.
func nearest(word string, known []string) string {
	n := utf8.RuneCountInString(word)
	if n == 0 || n > 60 {
		return ""
	}
	best, found := max(1, n/3)+1, ""
	for _, k := range known {
		if l := utf8.RuneCountInString(k); l-n >= best || n-l >= best {
			continue
		}
		if d := slips(word, k); d < best {
			best, found = d, k
		}
	}
	return found
}

// slips is the edit distance, with two neighbouring letters exchanged counted
// as the one slip that it is.
func slips(a, b string) int {
	if x, y := []rune(a), []rune(b); len(x) == len(y) {
		i := 0
		for i < len(x) && x[i] == y[i] {
			i++
		}
		if i+1 < len(x) && x[i] == y[i+1] && x[i+1] == y[i] && string(x[i+2:]) == string(y[i+2:]) {
			return 1
		}
	}
	return levenshtein.ComputeDistance(a, b)
}

// meant advises on an unknown name: the nearest one, else a short list, else
// what the caller says.
func (f *faults) meant(word string, known []string, otherwise string) string {
	if f.asked++; f.asked > maxMeant {
		return otherwise
	}
	if k := nearest(word, known); k != "" {
		return "did you mean " + quote(k) + "?"
	}
	if len(known) > 0 && len(known) <= 12 {
		return "use one of: " + strings.Join(known, ", ")
	}
	return otherwise
}

// cutAdvice parts "what is wrong; what to do" in two.
func cutAdvice(message string) (what, mend string) {
	what, mend, _ = strings.Cut(message, "; ")
	return what, mend
}
