package knowledge

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strings"

	"gopkg.in/yaml.v3"
)

// text writes the draft. To try an answer, what must stand has a stand-in, and a
// table that is not complete is filled with its last mark.
func (d *SheetDraft) text(try bool) []byte {
	head := func(key, standIn string) string {
		if s := d.answers[key]; s != "" || !try {
			return s
		}
		return standIn
	}
	pairs := []*yaml.Node{}
	put := func(key string, v *yaml.Node) { pairs = append(pairs, plainNode(key), v) }
	put("sheet", plainNode(head(askSheet, "draft")))
	put("format", &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!int", Value: "1"})
	put("title", quotedNode(head(askTitle, "draft")))
	put("pack", plainNode(head(askPack, "draft")))
	if s := d.answers[askSource]; s != "" {
		put("source", quotedNode(s))
	}
	if p := d.pack(); p != nil {
		if limits := d.limitNodes(p.pack); len(limits) > 0 {
			put("limits", mappingNode(0, limits...))
		}
		if tables := d.fittedNodes(p, try); len(tables) > 0 {
			put("fitted", mappingNode(0, tables...))
		}
	}
	var b bytes.Buffer
	e := yaml.NewEncoder(&b)
	e.SetIndent(2)
	if err := errors.Join(e.Encode(mappingNode(0, pairs...)), e.Close()); err != nil {
		return nil // nodes of texts can always be written; the loader would refuse an empty file
	}
	return b.Bytes()
}

func (d *SheetDraft) limitNodes(p *Pack) []*yaml.Node {
	var out []*yaml.Node
	for _, w := range p.wantedLimits() {
		said := d.answers[limitKey(w.id)]
		if said == "" {
			continue
		}
		l, err := parseLimit(said)
		if err != nil {
			continue // it was refused when it was answered
		}
		fields := append([]*yaml.Node{plainNode("quantity"), plainNode(w.quantity.ID), plainNode("title"), quotedNode(w.title)}, l.nodes...)
		for _, more := range [][2]string{{"source", d.answers[askSource]}, {"page", l.page}} {
			if more[0] == "page" && more[1] == "" {
				more[1] = d.answers[askPage]
			}
			if more[1] != "" {
				fields = append(fields, plainNode(more[0]), quotedNode(more[1]))
			}
		}
		out = append(out, plainNode(w.id), mappingNode(yaml.FlowStyle, fields...))
	}
	return out
}

func (d *SheetDraft) fittedNodes(p *packFile, try bool) []*yaml.Node {
	var out []*yaml.Node
	for _, it := range p.pack.tabled() {
		var values []*yaml.Node
		last := ""
		for _, m := range p.lay.sets[it.At.ID].Members {
			mark := d.answers[fittedKey(it.ID, m)]
			switch {
			case mark != "":
				last = mark
			case last == "" || !try:
				continue
			}
			values = append(values, quotedNode(m), quotedNode(last))
		}
		if len(values) == 0 {
			continue
		}
		fields := []*yaml.Node{plainNode("at"), plainNode(it.At.ID), plainNode("title"), quotedNode(it.Title + " mark"), plainNode("values"), mappingNode(yaml.FlowStyle, values...)}
		if s := d.answers[askSource]; s != "" {
			fields = append(fields, plainNode("source"), quotedNode(s))
		}
		out = append(out, plainNode(it.ID), mappingNode(yaml.FlowStyle, fields...))
	}
	return out
}

// aLimit is a limit as it was typed, in the keys of a sheet.
type aLimit struct {
	nodes []*yaml.Node
	page  string
}

var (
	pageAtEnd  = regexp.MustCompile(`^(.*?)[ ,;]+page +(\S+)$`)
	between    = regexp.MustCompile(`^(.+?) +to +(.+)$`)
	aboutValue = regexp.MustCompile(`^(.+?) *(?:\+-|\+/-|±) *(.+)$`)
)

// parseLimit reads a limit in the words in which limits are shown: "at least 110
// psi", "9.6 V to 14 V", "0.80 ohm +- 0.10 ohm", "lowest over highest at least 75
// %"; the page of the source may stand behind it. Quantities are left to the
// loader.
func parseLimit(text string) (aLimit, error) {
	var l aLimit
	put := func(key string, v *yaml.Node) { l.nodes = append(l.nodes, plainNode(key), v) }
	if m := pageAtEnd.FindStringSubmatch(text); m != nil {
		text, l.page = m[1], m[2]
	}
	for _, rule := range siblingRules {
		if rest, ok := strings.CutPrefix(text, rule); ok {
			put("siblings", plainNode(rule))
			text = strings.TrimSpace(rest)
		}
	}
	lowest, least := strings.CutPrefix(text, "at least ")
	highest, most := strings.CutPrefix(text, "at most ")
	switch m, n := aboutValue.FindStringSubmatch(text), between.FindStringSubmatch(text); {
	case least:
		put("min", quotedNode(lowest))
	case most:
		put("max", quotedNode(highest))
	case m != nil:
		put("nominal", quotedNode(m[1]))
		put("tolerance", quotedNode(m[2]))
	case n != nil:
		put("range", &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle, Content: []*yaml.Node{quotedNode(n[1]), quotedNode(n[2])}})
	default:
		return aLimit{}, fmt.Errorf("%s is no limit", quote(text))
	}
	return l, nil
}

// plainNode is a text that is quoted only where YAML needs it; quotedNode is one
// that always is, as sheets have quantities and marks.
func plainNode(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s} }
func quotedNode(s string) *yaml.Node {
	n := plainNode(s)
	n.Style = yaml.DoubleQuotedStyle
	return n
}
func mappingNode(style yaml.Style, pairs ...*yaml.Node) *yaml.Node {
	return &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Style: style, Content: pairs}
}
