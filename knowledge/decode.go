package knowledge

import (
	"math"
	"regexp"
	"strconv"

	"gopkg.in/yaml.v3"
)

// decoder builds plain values from nodes. It goes on after a fault, so that
// all faults of a file are found in one reading; what could not be read keeps
// its zero value.
type decoder struct{ f *faults }

// setter takes the value of one key.
type setter func(n *yaml.Node)

// field is one key of a mapping.
type field struct {
	key  string
	must bool
	set  setter
}

func must(key string, set setter) field { return field{key, true, set} }
func may(key string, set setter) field  { return field{key, false, set} }

func (d *decoder) pos(n *yaml.Node) Pos { return posIn(d.f.nodes, d.f.file, n) }

func (d *decoder) bad(n *yaml.Node, rule Rule, mend, format string, args ...any) {
	d.f.add(rule, d.pos(n), mend, format, args...)
}

// wrong notes a value of the wrong type; aliases the walk has reported.
func (d *decoder) wrong(n *yaml.Node, want string) {
	if n.Kind == yaml.AliasNode {
		return
	}
	d.bad(n, RuleWrongType, "write "+want, "wrong type: this is %s", kindName(n))
}

// object reads a mapping with known keys. Missing keys are reported at the key
// that the mapping stands under, head.
func (d *decoder) object(head, n *yaml.Node, what string, fields ...field) {
	if n.Kind != yaml.MappingNode {
		d.wrong(n, what+" as a mapping of its keys")
		return
	}
	if d.f.met != nil {
		d.f.met(n, fields)
	}
	seen := make([]bool, len(fields))
	for i := 0; i+1 < len(n.Content); i += 2 {
		k := n.Content[i]
		at := -1
		for j := range fields {
			if fields[j].key == k.Value {
				at = j
			}
		}
		if at < 0 {
			d.bad(k, RuleUnknownKey, d.f.meant(k.Value, keys(fields), "take it out"), "unknown key %s in %s", quote(k.Value), what)
			continue
		}
		seen[at] = true
		fields[at].set(n.Content[i+1])
	}
	for j, f := range fields {
		if f.must && !seen[j] {
			d.bad(head, RuleMissingKey, "add "+f.key, "%s has no %s", what, f.key)
		}
	}
}

func keys(fields []field) []string {
	out := make([]string, len(fields))
	for i, f := range fields {
		out[i] = f.key
	}
	return out
}

// entries calls f for every pair of a mapping whose keys are names.
func (d *decoder) entries(n *yaml.Node, want string, f func(k, v *yaml.Node)) {
	if n.Kind != yaml.MappingNode {
		d.wrong(n, want)
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		f(n.Content[i], n.Content[i+1])
	}
}

// section reads a top-level mapping from identifiers to definitions.
func (d *decoder) section(what string, f func(k, v *yaml.Node)) setter {
	return func(n *yaml.Node) {
		d.entries(n, what+" as a mapping from identifiers", func(k, v *yaml.Node) {
			d.ident(k)
			f(k, v)
		})
	}
}

var (
	idPattern     = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	memberPattern = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_-]{0,15}$`)
	numberPattern = regexp.MustCompile(`^[-+]?(0|[1-9][0-9]*)?(\.[0-9]*)?([eE][-+]?[0-9]+)?$`)
	leadingZeros  = regexp.MustCompile(`^[-+]?0[0-9_]`)
)

const idRule = "use lower case letters, digits and underscores, a letter first"

// ident checks an identifier and returns it as it stands.
func (d *decoder) ident(n *yaml.Node) string {
	if n.Kind != yaml.ScalarNode {
		d.wrong(n, "an identifier")
		return ""
	}
	if len(n.Value) > 64 {
		d.bad(n, RuleBadIdentifier, "use at most 64 letters", "bad identifier %s", quote(n.Value))
	} else if !idPattern.MatchString(n.Value) {
		d.bad(n, RuleBadIdentifier, idRule, "bad identifier %s", quote(n.Value))
	}
	return n.Value
}

func (d *decoder) isText(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Tag == "!!str"
}

// text reads a text that is not empty.
func (d *decoder) text(to *string) setter {
	return func(n *yaml.Node) {
		switch {
		case n.Kind == yaml.ScalarNode && n.Tag != "!!str" && n.Tag != "!!null":
			d.wrong(n, "a text; put it in quotes")
		case !d.isText(n):
			d.wrong(n, "a text")
		case n.Value == "":
			d.bad(n, RuleEmptyText, "write a text or leave the key out", "empty text")
		default:
			*to = n.Value
		}
	}
}

// texts reads a list of texts.
func (d *decoder) texts(to *[]string) setter {
	return d.list("a list of texts", func(n *yaml.Node) {
		var s string
		d.text(&s)(n)
		*to = append(*to, s)
	})
}

// list reads a list and calls each for its elements.
func (d *decoder) list(want string, each setter) setter {
	return func(n *yaml.Node) {
		if n.Kind != yaml.SequenceNode {
			d.wrong(n, want+", in square brackets")
			return
		}
		for _, c := range n.Content {
			each(c)
		}
	}
}

// ref reads a name of something defined elsewhere.
func (d *decoder) ref(to *Ref) setter {
	return func(n *yaml.Node) {
		to.Pos = d.pos(n)
		d.text(&to.ID)(n)
	}
}

// refs reads a list of names, each once.
func (d *decoder) refs(to *[]Ref) setter {
	seen := make(map[string]bool)
	return d.list("a list of names", func(n *yaml.Node) {
		var r Ref
		d.ref(&r)(n)
		if r.ID == "" {
			return
		}
		if seen[r.ID] {
			d.bad(n, RuleNamedTwice, "name it once", "%s is named twice", quote(r.ID))
			return
		}
		seen[r.ID] = true
		*to = append(*to, r)
	})
}

func (d *decoder) keyRef(k *yaml.Node) Ref { return Ref{k.Value, d.pos(k)} }

// flag reads true or false.
func (d *decoder) flag(to *bool) setter {
	return func(n *yaml.Node) {
		if n.Kind != yaml.ScalarNode || n.Tag != "!!bool" {
			d.wrong(n, "true or false, without quotes")
			return
		}
		*to = n.Value == "true" || n.Value == "True" || n.Value == "TRUE"
	}
}

// number reads a decimal number; ok is false if there is none.
func (d *decoder) number(n *yaml.Node) (x float64, ok bool) {
	if n.Kind != yaml.ScalarNode || n.Tag != "!!int" && n.Tag != "!!float" {
		d.wrong(n, "a number, without quotes or unit")
		return 0, false
	}
	if leadingZeros.MatchString(n.Value) {
		// YAML would read 010 as 8.
		d.bad(n, RuleBadNumber, "write it without leading zeros", "the number %s begins with a zero", n.Value)
		return 0, false
	}
	x, err := strconv.ParseFloat(n.Value, 64)
	if !numberPattern.MatchString(n.Value) || err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		d.bad(n, RuleBadNumber, "write a plain decimal number", "%s is no number that can be used", quote(n.Value))
		return 0, false
	}
	return x, true
}

// within reads a number and checks its range, which rule states in words.
func (d *decoder) within(to *float64, what, rule string, ok func(float64) bool) setter {
	return func(n *yaml.Node) {
		x, isNumber := d.number(n)
		if !isNumber {
			return
		}
		if !ok(x) {
			d.bad(n, RuleOutOfRange, "write a number "+rule, "%s %s is out of range", what, n.Value)
			return
		}
		*to = x
	}
}

// chance reads a probability in (0,1).
func (d *decoder) chance(to *float64, what string) setter {
	return d.within(to, what, "between 0 and 1, both excluded", func(x float64) bool { return x > 0 && x < 1 })
}

// share reads a probability in [0,1].
func (d *decoder) share(to *float64, what string) setter {
	return d.within(to, what, "from 0 to 1", func(x float64) bool { return x >= 0 && x <= 1 })
}

// strength reads a probability in (0,1].
func (d *decoder) strength(to *float64, what string) setter {
	return d.within(to, what, "above 0 and at most 1", func(x float64) bool { return x > 0 && x <= 1 })
}

// minutes reads a time of at least 0; a year is the most that makes sense.
func (d *decoder) minutes(to *float64) setter { return d.cost(to, "minutes") }

// cost reads what is counted in minutes.
func (d *decoder) cost(to *float64, what string) setter {
	return d.within(to, what, "of at least 0", func(x float64) bool { return x >= 0 && x <= 525600 })
}

// format reads the version of the format.
func (d *decoder) format() setter {
	return func(n *yaml.Node) {
		if x, ok := d.number(n); ok && x != 1 {
			d.bad(n, RuleUnknownFormat, "this program reads format 1", "format %s is not known", n.Value)
		}
	}
}

// amount reads a quantity as typed; its unit is looked at once the quantity is
// known.
func (d *decoder) amount(to *Amount) setter {
	return func(n *yaml.Node) {
		to.Pos = d.pos(n)
		if n.Kind == yaml.ScalarNode && (n.Tag == "!!int" || n.Tag == "!!float") {
			d.bad(n, RuleNoUnit, `write a quantity with its unit in quotes, such as "12 V"`, "the number %s has no unit", n.Value)
			return
		}
		d.text(&to.Text)(n)
	}
}

// entry gives the keys that every definition has.
func (d *decoder) entry(e *Entry, k *yaml.Node) []field {
	e.ID, e.Pos = k.Value, d.pos(k)
	return []field{must("title", d.text(&e.Title)), may("source", d.text(&e.Source)), may("note", d.text(&e.Note))}
}
