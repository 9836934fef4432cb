package study

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"narrows/knowledge"
)

// reader reads strictly, and goes on after a fault so that all are found.
type reader struct {
	file   string
	faults knowledge.Problems
}

var (
	identifier = regexp.MustCompile(`^[a-z][a-z0-9_]{0,63}$`)
	decimal    = regexp.MustCompile(`^(0|[1-9][0-9]*)(\.[0-9]+)?$`)
	yamlLine   = regexp.MustCompile(`line (\d+): `)
)

func (r *reader) bad(n *yaml.Node, mend, format string, args ...any) {
	p := knowledge.Problem{File: r.file, What: fmt.Sprintf(format, args...), Mend: mend}
	if n != nil {
		p.Line, p.Col = n.Line, n.Column
	}
	r.faults = append(r.faults, p)
}

// err gives the faults in the order of the file.
func (r *reader) err() error {
	slices.SortStableFunc(r.faults, func(a, b knowledge.Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	return r.faults.Err()
}

// root parses the one document of a file.
func (r *reader) root(data []byte) (root *yaml.Node) {
	defer func() {
		if x := recover(); x != nil { // the YAML library lets some faults through as a panic
			r.bad(nil, "look for stray characters", "not readable as YAML: %v", x)
			root = nil
		}
	}()
	dec := yaml.NewDecoder(bytes.NewReader(data))
	var doc, second yaml.Node
	err := dec.Decode(&doc)
	switch {
	case errors.Is(err, io.EOF) || err == nil && len(doc.Content) == 0:
		r.bad(nil, "write study:, format:, engine: and cases: into it", "the file is empty")
		return nil
	case err != nil:
		r.syntax(err)
		return nil
	}
	if err := dec.Decode(&second); !errors.Is(err, io.EOF) {
		r.bad(&yaml.Node{Line: max(1, second.Line), Column: max(1, second.Column)}, "keep one document a file", "a second document begins here")
		return nil
	}
	return doc.Content[0]
}

func (r *reader) syntax(err error) {
	at := &yaml.Node{}
	if m := yamlLine.FindStringSubmatch(err.Error()); m != nil {
		at.Line, _ = strconv.Atoi(m[1])
		at.Column = 1
	}
	what := yamlLine.ReplaceAllString(strings.TrimPrefix(err.Error(), "yaml: "), "")
	r.bad(at, "look at this line and the one before: indentation, colons, quotes and brackets", "not readable as YAML: %s", what)
}

// object reads a mapping with known keys.
func (r *reader) object(head, n *yaml.Node, what string, keys map[string]func(*yaml.Node), must ...string) {
	if n.Kind != yaml.MappingNode {
		r.bad(n, "write "+what+" as a mapping of its keys", "wrong type")
		return
	}
	var known, seen []string
	for k := range keys {
		known = append(known, k)
	}
	slices.Sort(known)
	r.pairs(n, what, func(k, v *yaml.Node) {
		set := keys[k.Value]
		if set == nil {
			r.bad(k, meant(k.Value, known), "unknown key %q in %s", k.Value, what)
			return
		}
		seen = append(seen, k.Value)
		set(v)
	})
	for _, k := range must {
		if !slices.Contains(seen, k) {
			r.bad(head, "add "+k, "%s has no %s", what, k)
		}
	}
}

// pairs calls f for every pair of a mapping; a key counts once.
func (r *reader) pairs(n *yaml.Node, want string, f func(k, v *yaml.Node)) {
	if n.Kind != yaml.MappingNode {
		r.bad(n, "write "+want, "wrong type")
		return
	}
	first := make(map[string]int)
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		switch line, twice := first[k.Value]; {
		case k.Kind != yaml.ScalarNode || k.Tag == "!!merge":
			r.bad(k, "use a plain word as key", "a key that is no plain word")
		case twice:
			r.bad(k, fmt.Sprintf("keep one of the two; the first stands on line %d", line), "key %q is given twice", k.Value)
		default:
			first[k.Value] = k.Line
			f(k, v)
		}
	}
}

func (r *reader) word(to *word) func(*yaml.Node) {
	return func(n *yaml.Node) {
		to.at = n
		r.text(&to.text)(n)
	}
}

func (r *reader) text(to *string) func(*yaml.Node) {
	return func(n *yaml.Node) {
		if n.Kind != yaml.ScalarNode || n.Tag != "!!str" || n.Value == "" {
			r.bad(n, "write a text; one that looks like a number in quotes", "wrong type")
			return
		}
		*to = n.Value
	}
}

func (r *reader) words(to *[]word) func(*yaml.Node) {
	return func(n *yaml.Node) {
		if n.Kind != yaml.SequenceNode {
			r.bad(n, "write a list of names, in square brackets", "wrong type")
			return
		}
		for _, c := range n.Content {
			w := word{}
			r.word(&w)(c)
			if slices.ContainsFunc(*to, func(have word) bool { return have.text == w.text }) {
				r.bad(c, "name it once", "%q is named twice", w.text)
				continue
			}
			*to = append(*to, w)
		}
	}
}

// number reads a plain decimal number of at least 0.
func (r *reader) number(n *yaml.Node) (float64, bool) {
	x, err := strconv.ParseFloat(n.Value, 64)
	if n.Kind != yaml.ScalarNode || !decimal.MatchString(n.Value) || err != nil || math.IsInf(x, 0) || n.Tag != "!!int" && n.Tag != "!!float" {
		r.bad(n, "write a plain number of at least 0, without quotes", "wrong type")
		return 0, false
	}
	return x, true
}

func (r *reader) format(n *yaml.Node) {
	if x, ok := r.number(n); ok && x != 1 {
		r.bad(n, "this program reads format 1", "format %s is not known", n.Value)
	}
}
