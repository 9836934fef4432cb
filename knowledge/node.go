package knowledge

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// Bounds on a file. The largest pack thought of has a few thousand lines.
const (
	maxBytes = 1 << 20
	maxDepth = 40
	maxNodes = 200_000
)

// parse reads one YAML document and walks it once. It returns the root, or nil
// if nothing more can be found out about the file; the reasons are in f.
func parse(src Source, f *faults) *yaml.Node {
	if len(src.Data) > maxBytes {
		f.add(RuleTooLong, Pos{}, "a pack or sheet is far shorter; check that it is the file meant", "longer than 1 MiB")
		return nil
	}
	dec := yaml.NewDecoder(bytes.NewReader(src.Data))
	doc, err := decodeNode(dec)
	if errors.Is(err, io.EOF) || err == nil && (doc == nil || len(doc.Content) == 0) {
		f.add(RuleEmptyFile, Pos{}, "write a pack, a sheet or a vocabulary into it", "the file is empty")
		return nil
	}
	if err != nil {
		f.syntax(err)
		return nil
	}
	w := walker{f: f}
	w.walk(doc.Content[0], 1)
	switch second, err := decodeNode(dec); {
	case errors.Is(err, io.EOF):
	case err != nil:
		f.syntax(err)
	default:
		f.add(RuleSecondDocument, pos(f.file, second), "keep one document a file and take out the line ---", "a second document begins here")
	}
	if w.stop {
		return nil
	}
	return doc.Content[0]
}

// decodeNode decodes the next document. The YAML library answers its own
// faults with an error but lets others through as a panic; a damaged file must
// never end the program.
func decodeNode(dec *yaml.Decoder) (n *yaml.Node, err error) {
	defer func() {
		if r := recover(); r != nil {
			n, err = nil, fmt.Errorf("yaml: %v", r)
		}
	}()
	n = new(yaml.Node)
	if err := dec.Decode(n); err != nil {
		return nil, err
	}
	return n, nil
}

var yamlLine = regexp.MustCompile(`^(?:yaml: )?(?:line (\d+): )?(?s)(.*)$`)

// syntax notes an error of the YAML library, which knows the line at best.
func (f *faults) syntax(err error) {
	m := yamlLine.FindStringSubmatch(err.Error())
	line, _ := strconv.Atoi(m[1])
	at := Pos{Line: line}
	if line > 0 {
		at.Col = 1
	}
	f.add(RuleNotYAML, at, "look at this line and the one before: indentation, colons, quotes and brackets", "not readable as YAML: %s", m[2])
}

func pos(file string, n *yaml.Node) Pos { return Pos{file, n.Line, n.Column} }

// posIn is the place of a node in the file that it came from, by the list of
// those of other files.
func posIn(nodes map[*yaml.Node]string, file string, n *yaml.Node) Pos {
	if name, ok := nodes[n]; ok {
		file = name
	}
	return pos(file, n)
}

// walker refuses what a pack may not contain whatever its meaning: anchors,
// aliases, merge keys, tags, keys given twice, too deep or too many nodes.
// The last two end the walk.
type walker struct {
	f     *faults
	nodes int
	stop  bool
}

func (w *walker) walk(n *yaml.Node, depth int) {
	if w.stop {
		return
	}
	w.nodes++
	if w.nodes > maxNodes {
		w.refuse(n, RuleTooManyValues, "split the pack", "more than %d values in one file", maxNodes)
		return
	}
	if depth > maxDepth {
		w.refuse(n, RuleTooDeep, "no part of the format goes so deep", "nested more than %d deep", maxDepth)
		return
	}
	at := pos(w.f.file, n)
	if n.Kind == yaml.AliasNode {
		w.f.add(RuleAnchor, at, "write the value out", "alias *%s; aliases are not read", n.Value)
		return
	}
	if n.Anchor != "" {
		w.f.add(RuleAnchor, at, "take the anchor out", "anchor &%s; anchors are not read", n.Anchor)
	}
	if n.Style&yaml.TaggedStyle != 0 {
		w.f.add(RuleTag, at, "take the tag out", "tag %s; tags are not read", n.Tag)
	}
	if n.Kind == yaml.MappingNode {
		w.keys(n)
	}
	for _, c := range n.Content {
		w.walk(c, depth+1)
	}
}

func (w *walker) refuse(n *yaml.Node, rule Rule, mend, format string, args ...any) {
	w.stop = true
	w.f.add(rule, pos(w.f.file, n), mend, format, args...)
}

// keys looks at the keys of one mapping, since the library does not report a
// key given twice when it decodes into nodes, and takes out the pairs that are
// refused, so that each fault is told once.
func (w *walker) keys(n *yaml.Node) {
	first := make(map[string]int, len(n.Content)/2)
	kept := n.Content[:0:0]
	for i := 0; i+1 < len(n.Content); i += 2 {
		k := n.Content[i]
		at := pos(w.f.file, k)
		line, twice := first[k.Value]
		switch {
		case k.Kind == yaml.AliasNode:
			w.f.add(RuleAnchor, at, "write the key out", "alias *%s as a key; aliases are not read", k.Value)
		case k.Kind != yaml.ScalarNode:
			w.f.add(RuleBadKey, at, "use a plain word as key", "a key that is a list or a mapping")
		case k.Tag == "!!merge":
			w.f.add(RuleAnchor, at, "write the values out", "merge key <<; merge keys are not read")
		case twice:
			w.f.add(RuleRepeatedKey, at, fmt.Sprintf("keep one of the two; the first stands on line %d", line), "key %s is given twice", quote(k.Value))
		default:
			first[k.Value] = k.Line
			kept = append(kept, k, n.Content[i+1])
		}
	}
	n.Content = kept
}

// kindName says in plain words what a node is.
func kindName(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "a mapping"
	case yaml.SequenceNode:
		return "a list"
	}
	switch strings.TrimPrefix(n.Tag, "!!") {
	case "null":
		return "empty"
	case "int", "float":
		return "the number " + n.Value
	case "bool":
		return "the truth value " + n.Value
	case "timestamp":
		return "the date " + n.Value
	case "str":
		return "the text " + quote(n.Value)
	}
	return "of an unknown kind"
}
