package knowledge

import (
	"slices"

	"gopkg.in/yaml.v3"
)

// A pack is put together from files before its meaning is read: the fragments
// that it includes, its own sections, the changes that fragments, the pack and
// the user's amendments make, and for a variant the variant's changes last.
// All of it happens on the nodes of the files, which keep their places, so that
// a fault is told where it was written.

// piece is a fragment or an amendment as it was read.
type piece struct {
	src    Source
	f      *faults
	root   *yaml.Node
	id     *yaml.Node // of fragment: its own; of amends: the pack's
	change *yaml.Node // nil: none
}

// The keys of a pack that speak of its making and not of engines.
const (
	keyInclude  = "include"
	keyChange   = "change"
	keyVariants = "variants"
)

// maxVariants bounds the work that one file can ask for: each variant is a pack.
const maxVariants = 16

// sections are the keys of a pack that a fragment may have, in the order in
// which they are written.
var sections = []string{"positions", "serves", "causes", "items", "conditions", "symptoms", "history", "places",
	"openings", "tools", "cautions", "checks", "repairs", "ledger"}

// composer puts the packs of a loader together.
type composer struct {
	ld    *loader
	parts map[string]*piece   // by identifier
	amend map[string][]*piece // by pack
	files map[*yaml.Node]string
	used  map[*piece]bool
}

// compose turns the pack files into the packs that they make, variants and all.
func (ld *loader) compose() {
	c := &composer{ld, make(map[string]*piece), make(map[string][]*piece), ld.nodes, make(map[*piece]bool)}
	for _, p := range ld.fragments {
		if p.id == nil {
			continue
		}
		if have := c.parts[p.id.Value]; have != nil {
			p.f.add(RuleTakenIdentifier, pos(p.f.file, p.id), "give each fragment its own", "fragment %s: the identifier is in use, in %s", quote(p.id.Value), have.f.file)
			continue
		}
		c.parts[p.id.Value] = p
	}
	for _, p := range ld.amends {
		if p.id != nil {
			c.amend[p.id.Value] = append(c.amend[p.id.Value], p)
		}
	}
	written := ld.packs
	ld.packs = nil
	for _, p := range written {
		c.pack(p)
	}
	c.unused()
}

// pack makes one pack and its variants out of a file.
func (c *composer) pack(p *packFile) {
	root := &yaml.Node{Kind: yaml.MappingNode, Line: p.root.Line, Column: p.root.Column}
	c.files[root] = p.src.Name
	m := &merger{f: p.f, files: c.files}
	var changes []*yaml.Node
	for _, part := range c.included(p) {
		c.used[part] = true
		p.srcs, p.rests = append(p.srcs, part.src), append(p.rests, part.f)
		for _, s := range sections {
			if v := valueOf(part.root, s); v != nil {
				m.join(root, keyOf(part.root, s), v, true)
			}
		}
		changes = append(changes, part.change)
	}
	var variants *yaml.Node
	for i := 0; i+1 < len(p.root.Content); i += 2 {
		switch k, v := p.root.Content[i], p.root.Content[i+1]; k.Value {
		case keyInclude:
		case keyChange:
			changes = append(changes, v)
		case keyVariants:
			variants = v
		default:
			if !slices.Contains(sections, k.Value) {
				root.Content = append(root.Content, k, v)
				continue
			}
			m.join(root, k, v, false)
		}
	}
	for _, ch := range changes {
		if ch != nil {
			m.change(root, ch)
		}
	}
	id := valueOf(root, "pack")
	parts := *p // as it is before the user's amendments
	if variants == nil {
		if c.ld.wanted(id) {
			c.finish(p, root)
		}
		return
	}
	if c.ld.wanted(id) {
		c.finish(p, clone(root, c.files))
	}
	c.variants(&parts, root, id, variants)
}

// variants makes a pack for every variant: the pack with the variant's changes.
func (c *composer) variants(p *packFile, root, id, list *yaml.Node) {
	d := &decoder{p.f}
	if len(list.Content)/2 > maxVariants {
		d.bad(list, RuleTooMany, "split the pack", "the pack has more than %d variants", maxVariants)
		return
	}
	d.entries(list, "variants as a mapping from the identifier of each to its changes", func(k, v *yaml.Node) {
		d.ident(k)
		switch {
		case v.Kind != yaml.MappingNode:
			d.wrong(v, "the changes as a mapping of the pack's keys")
			return
		case id != nil && id.Value == k.Value:
			d.bad(k, RuleTakenIdentifier, "give it an identifier of its own", "variant %s has the identifier of its pack", quote(k.Value))
			return
		case valueOf(v, "title") == nil:
			d.bad(k, RuleMissingKey, "add title", "variant %s has no title", quote(k.Value))
		}
		if !c.ld.wanted(k) {
			return
		}
		// The file's own faults are told with the pack that stands in it.
		one := &packFile{src: p.src, f: &faults{file: p.src.Name, nodes: c.files}, srcs: slices.Clone(p.srcs), rests: append(slices.Clone(p.rests), p.f), variant: true}
		c.ld.files = append(c.ld.files, one.f)
		whole := clone(root, c.files)
		set(whole, "pack", k)
		m := &merger{f: one.f, files: c.files}
		m.change(whole, v)
		c.finish(one, whole)
	})
}

// finish applies the user's amendments and reads the meaning.
func (c *composer) finish(p *packFile, root *yaml.Node) {
	if id := valueOf(root, "pack"); id != nil {
		for _, a := range c.amend[id.Value] {
			c.used[a] = true
			p.srcs, p.rests = append(p.srcs, a.src), append(p.rests, a.f)
			if a.change != nil {
				// What is wrong with an amendment is the amendment's fault.
				m := &merger{f: a.f, files: c.files}
				m.change(root, a.change)
			}
		}
	}
	p.root = root
	p.pack = (&decoder{p.f}).pack(root)
	c.ld.packs = append(c.ld.packs, p)
}

// included finds the fragments that a pack names.
func (c *composer) included(p *packFile) []*piece {
	n := valueOf(p.root, keyInclude)
	if n == nil {
		return nil
	}
	var known []string
	for _, part := range c.ld.fragments {
		if part.id != nil {
			known = append(known, part.id.Value)
		}
	}
	var out []*piece
	var names []Ref
	d := &decoder{p.f}
	d.refs(&names)(n)
	for _, r := range names {
		part := c.parts[r.ID]
		if part == nil {
			p.f.add(RuleUnknownFragment, r.Pos, p.f.meant(r.ID, known, "load the file of the fragment with it"), "unknown fragment %s", quote(r.ID))
			continue
		}
		out = append(out, part)
	}
	return out
}

// unused reads the shape of fragments that no pack includes, so that their
// faults are told, and reports amendments without their pack.
func (c *composer) unused() {
	for _, p := range c.ld.fragments {
		if !c.used[p] {
			(&decoder{p.f}).fragment(p.root)
		}
	}
	if c.ld.only != "" {
		return
	}
	var known []string
	for _, p := range c.ld.packs {
		known = append(known, p.pack.ID)
	}
	for _, a := range c.ld.amends {
		if a.id != nil && !c.used[a] {
			a.f.add(RuleUnknownPack, pos(a.f.file, a.id), a.f.meant(a.id.Value, known, "load the pack with it"), "unknown pack %s", quote(a.id.Value))
		}
	}
}

// piece reads the head of a fragment or an amendment.
func (d *decoder) piece(src Source, root *yaml.Node, kind string) *piece {
	p := &piece{src: src, f: d.f, root: root, id: valueOf(root, kind), change: valueOf(root, keyChange)}
	if p.change != nil && p.change.Kind != yaml.MappingNode {
		d.wrong(p.change, "the changes as a mapping of the pack's sections")
		p.change = nil
	}
	var e Entry
	var version string
	fields := append(d.head(&e, kind), may("version", d.text(&version)), may(keyChange, func(*yaml.Node) {}))
	if kind == "fragment" {
		// The sections are read as part of a pack.
		for _, s := range sections {
			fields = append(fields, may(s, func(*yaml.Node) {}))
		}
	}
	d.object(root, root, "the "+kind+" file", fields...)
	return p
}

// fragment reads the sections of a fragment by itself: their shape, not what
// they refer to.
func (d *decoder) fragment(root *yaml.Node) {
	p := &Pack{}
	var own []field
	known := d.sections(p)
	for i := range known {
		known[i].must = false
		if valueOf(root, known[i].key) != nil {
			own = append(own, known[i])
		}
	}
	part := &yaml.Node{Kind: yaml.MappingNode}
	for _, f := range own {
		part.Content = append(part.Content, keyOf(root, f.key), valueOf(root, f.key))
	}
	d.object(root, part, "the fragment", own...)
}
