package knowledge

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"gopkg.in/yaml.v3"
)

// Overlay puts a user's own files over those of the program: one of the same kind
// and name takes the place of the program's, all others are added.
func Overlay(built, own []Source) []Source {
	if len(own) == 0 {
		return built
	}
	mine := make(map[string]bool)
	for _, s := range own {
		if h := HeadOf(s); h.Kind != "" && h.Kind != "amends" && h.Kind != "instruments" {
			mine[h.Kind+" "+h.ID] = true
		}
	}
	var out []Source
	for _, s := range built {
		if h := HeadOf(s); !mine[h.Kind+" "+h.ID] {
			out = append(out, s)
		}
	}
	return append(out, own...)
}

// A Difference is one place at which two makings of a pack differ. Before is
// empty where something was added, After where it was taken out.
type Difference struct {
	Path          string // of keys: items.pilot_jet.modes.blocked.prior
	Before, After string // as written, in one line
	Pos           Pos    // of what is there now; of what was there, if it is gone
}

// String gives "path: before -> after".
func (d Difference) String() string {
	switch {
	case d.Before == "":
		return d.Path + ": added: " + d.After
	case d.After == "":
		return d.Path + ": taken out, was: " + d.Before
	}
	return fmt.Sprintf("%s: %s -> %s", d.Path, d.Before, d.After)
}

// Differences compares what a pack, or a variant, is by two sets of files, in the
// order of the pack. The error names the pack if one of the sets does not make it.
func Differences(before, after []Source, pack string) ([]Difference, error) {
	var was, is *yaml.Node
	var old, now *loader
	for _, x := range []struct {
		sources []Source
		root    **yaml.Node
		ld      **loader
	}{{before, &was, &old}, {after, &is, &now}} {
		ld := newLoader(pack)
		for _, s := range packSources(x.sources, headsOf(x.sources), pack) {
			ld.read(s)
		}
		ld.compose()
		if len(ld.packs) != 1 {
			return nil, fmt.Errorf("the files make no pack %s; narrows lint lists their faults", quote(pack))
		}
		*x.root, *x.ld = ld.packs[0].root, ld
	}
	c := comparer{old: old, now: now}
	c.compare(nil, was, is)
	return c.out, nil
}

type comparer struct {
	old, now *loader
	out      []Difference
}

func (c *comparer) compare(path []string, was, is *yaml.Node) {
	if was.Kind != yaml.MappingNode || is.Kind != yaml.MappingNode {
		if a, b := oneLine(was), oneLine(is); a != b {
			c.out = append(c.out, Difference{strings.Join(path, "."), a, b, posIn(c.now.nodes, c.now.packs[0].src.Name, is)})
		}
		return
	}
	for i := 0; i+1 < len(is.Content); i += 2 {
		k, v := is.Content[i], is.Content[i+1]
		at := append(path[:len(path):len(path)], k.Value)
		if have := valueOf(was, k.Value); have != nil {
			c.compare(at, have, v)
			continue
		}
		c.out = append(c.out, Difference{strings.Join(at, "."), "", oneLine(v), posIn(c.now.nodes, c.now.packs[0].src.Name, k)})
	}
	for i := 0; i+1 < len(was.Content); i += 2 {
		if k, v := was.Content[i], was.Content[i+1]; find(is, k.Value) < 0 {
			at := append(path[:len(path):len(path)], k.Value)
			c.out = append(c.out, Difference{strings.Join(at, "."), oneLine(v), "", posIn(c.old.nodes, c.old.packs[0].src.Name, k)})
		}
	}
}

// oneLine writes a value in one line, shortened where it is long.
func oneLine(n *yaml.Node) string {
	flow := clone(n, nil)
	bare(flow)
	text, err := yaml.Marshal(flow)
	if err != nil {
		return n.Value
	}
	s := strings.Join(strings.Fields(string(text)), " ")
	const most = 160
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + " ..."
	}
	return s
}

// bare takes layout and comments out of a copy.
func bare(n *yaml.Node) {
	n.HeadComment, n.LineComment, n.FootComment = "", "", ""
	if n.Kind != yaml.ScalarNode {
		n.Style = yaml.FlowStyle
	} else {
		n.Style &^= yaml.FoldedStyle | yaml.LiteralStyle
	}
	for _, c := range n.Content {
		bare(c)
	}
}

// packSources picks the files that one pack is made of; heads are those of the files.
func packSources(sources []Source, heads []Head, pack string) []Source {
	var includes []string
	for i := range sources {
		if heads[i].Makes(pack) {
			includes = append(includes, heads[i].Includes...)
		}
	}
	sort.Strings(includes)
	var out []Source
	for i, h := range heads {
		_, included := slices.BinarySearch(includes, h.ID)
		if h.Makes(pack) || h.Kind == "fragment" && included || h.Kind == "amends" && h.ID == pack {
			out = append(out, sources[i])
		}
	}
	return out
}

// Makes reports whether the file makes a pack of that identifier.
func (h Head) Makes(pack string) bool {
	return h.Kind == "pack" && (h.ID == pack || slices.Contains(h.Variants, pack))
}
