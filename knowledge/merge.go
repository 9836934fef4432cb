package knowledge

import (
	"strings"

	"gopkg.in/yaml.v3"
)

// merger joins mappings of packs. Its changes are merge patches (RFC 7396): a
// mapping is merged key by key, anything else takes the place of what was
// there, and ~ takes out. What is taken out of a pack is taken out wherever it
// is named, and what cannot be without it goes with it. So a pack can do without a
// fragment that others of its fragments name things of.
type merger struct {
	f     *faults
	files map[*yaml.Node]string
	gone  gone
	// missing is what a change takes out and is not there.
	missing []absent
}

// absent is a key of a change that names nothing.
type absent struct {
	key   *yaml.Node
	path  []string
	known []string // what there is in its place
}

func (m *merger) pos(n *yaml.Node) Pos { return posIn(m.files, m.f.file, n) }

// join adds a section of a fragment, or one of the pack's own, to the root. The same
// identifier twice is a fault: a change says that it is meant. What is shared with other
// packs is copied.
func (m *merger) join(root, k, v *yaml.Node, shared bool) {
	own := func(n *yaml.Node) *yaml.Node {
		if shared {
			return clone(n, m.files)
		}
		return n
	}
	have := valueOf(root, k.Value)
	if have == nil || have.Kind != yaml.MappingNode || v.Kind != yaml.MappingNode {
		put(root, k, own(v))
		return
	}
	there := make(map[string]*yaml.Node, len(have.Content)/2)
	for i := 0; i+1 < len(have.Content); i += 2 {
		there[have.Content[i].Value] = have.Content[i]
	}
	for i := 0; i+1 < len(v.Content); i += 2 {
		key, value := v.Content[i], v.Content[i+1]
		if old := there[key.Value]; old != nil && k.Value != "serves" {
			m.f.add(RuleTakenIdentifier, m.pos(key), "put it under change to alter what is included", "%s %s is in the pack already, from %s", k.Value, quote(key.Value), m.pos(old))
			continue
		} else if old != nil {
			m.join(have, key, value, shared)
			continue
		}
		have.Content = append(have.Content, key, own(value))
	}
}

// change applies a merge patch to a pack.
func (m *merger) change(root, patch *yaml.Node) {
	m.gone = gone{}
	m.missing = nil
	m.patch(root, patch, nil)
	m.gone.prune(root)
	for _, x := range m.missing {
		// What was only named, and came from a file that is not included, may be taken
		// out as well.
		if !m.gone.hit(x.path) {
			m.f.add(RuleNothingThere, m.pos(x.key), m.f.meant(x.key.Value, x.known, "take the line out"), "there is no %s to take out", quote(strings.Join(x.path, ".")))
		}
	}
}

func (m *merger) patch(to, patch *yaml.Node, path []string) {
	for i := 0; i+1 < len(patch.Content); i += 2 {
		k, v := patch.Content[i], patch.Content[i+1]
		at := append(path[:len(path):len(path)], k.Value)
		have := valueOf(to, k.Value)
		switch {
		case isNull(v) && have == nil:
			m.missing = append(m.missing, absent{k, at, keysOf(to)})
			m.gone.note(at)
		case isNull(v):
			m.gone.note(at)
			cut(to, k.Value)
		case v.Kind == yaml.MappingNode && have != nil && have.Kind == yaml.MappingNode:
			m.patch(have, v, at)
		case v.Kind == yaml.MappingNode && have != nil && at[0] != "serves": // there "same" may become pairs
			// The patch would put itself in place of what it means to add to.
			m.f.add(RuleWrongType, m.pos(have), "make both a mapping, or take it out and write it anew", "%s is %s, and the change of it at %s is a mapping", quote(strings.Join(at, ".")), kindName(have), m.pos(k))
		default:
			put(to, k, clone(v, m.files))
		}
	}
}

func isNull(n *yaml.Node) bool { return n.Kind == yaml.ScalarNode && n.Tag == "!!null" }

// clone copies a node; a copy stands where the original does.
func clone(n *yaml.Node, files map[*yaml.Node]string) *yaml.Node {
	c := *n
	c.Content = make([]*yaml.Node, len(n.Content))
	for i, x := range n.Content {
		c.Content[i] = clone(x, files)
	}
	if name, ok := files[n]; ok {
		files[&c] = name
	}
	return &c
}

func find(n *yaml.Node, key string) int {
	if n == nil || n.Kind != yaml.MappingNode {
		return -1
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return i
		}
	}
	return -1
}

func keyOf(n *yaml.Node, key string) *yaml.Node {
	if i := find(n, key); i >= 0 {
		return n.Content[i]
	}
	return nil
}

func valueOf(n *yaml.Node, key string) *yaml.Node {
	if i := find(n, key); i >= 0 {
		return n.Content[i+1]
	}
	return nil
}

func keysOf(n *yaml.Node) []string {
	var out []string
	for i := 0; n.Kind == yaml.MappingNode && i+1 < len(n.Content); i += 2 {
		out = append(out, n.Content[i].Value)
	}
	return out
}

// put gives a key its value, in place of the key and value that were there.
func put(n, k, v *yaml.Node) {
	if i := find(n, k.Value); i >= 0 {
		n.Content[i], n.Content[i+1] = k, v
		return
	}
	n.Content = append(n.Content, k, v)
}

// set gives a key another value that stands where v does.
func set(n *yaml.Node, key string, v *yaml.Node) {
	if i := find(n, key); i >= 0 {
		n.Content[i+1] = v
	}
}

func cut(n *yaml.Node, key string) {
	if i := find(n, key); i >= 0 {
		n.Content = append(n.Content[:i:i], n.Content[i+2:]...)
	}
}
