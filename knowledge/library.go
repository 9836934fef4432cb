package knowledge

import (
	"fmt"
	"slices"

	"github.com/hashicorp/go-memdb"
	"gopkg.in/yaml.v3"

	"narrows/symptoms"
)

// Library holds the packs and sheets that were loaded together with one
// vocabulary. It is immutable: a changed pack is a new library.
type Library struct {
	db     *memdb.MemDB
	words  *wordFile
	packs  []*packFile
	sheets []*sheetFile

	instruments []*Instrument
}

// packFile is a pack that was read and checked.
type packFile struct {
	src     Source
	srcs    []Source  // what else it is made of: fragments, amendments
	rests   []*faults // of those files
	variant bool      // made by the variants of the pack in its file
	f       *faults
	root    *yaml.Node // while loading
	pack    *Pack
	lay     *layout
	events  []*EventDef
	byID    map[string]*EventDef
	pr      *presence
	lexicon *symptoms.Lexicon
}

// sheetFile is a sheet that was read and checked.
type sheetFile struct {
	src   Source
	f     *faults
	sheet *Sheet
	pack  *packFile
}

// Packs returns the packs in the order of their sources.
func (l *Library) Packs() []*Pack {
	out := make([]*Pack, len(l.packs))
	for i, p := range l.packs {
		out[i] = p.pack
	}
	return out
}

// Sheets returns the sheets in the order of their sources.
func (l *Library) Sheets() []*Sheet {
	out := make([]*Sheet, len(l.sheets))
	for i, s := range l.sheets {
		out[i] = s.sheet
	}
	return out
}

// Snapshot returns the store as seen from one pack.
func (l *Library) Snapshot(pack string) *Snapshot { return &Snapshot{l.db.Snapshot(), pack} }

func (l *Library) sheet(id string) *sheetFile {
	for _, s := range l.sheets {
		if s.sheet.ID == id {
			return s
		}
	}
	return nil
}

// Load reads packs, sheets and one vocabulary and checks them against one
// another. The problems are those of all files; a file with any is left out of
// the library whole, and so are the sheets of a pack left out. Without a sound
// vocabulary there are no packs. The library is never nil.
func Load(sources []Source) (*Library, Problems) {
	return newLoader("").load(sources)
}

// OpenSheet builds the engine of one sheet out of sources, of which it reads
// no more than it needs: other packs and other variants are left alone.
func OpenSheet(sources []Source, sheetID string) (*Engine, error) {
	need, pack, err := restsOn(sources, sheetID)
	if err != nil {
		return nil, err
	}
	lib, problems := newLoader(pack).load(need)
	if err := problems.Err(); err != nil {
		return nil, err
	}
	return Open(lib, sheetID)
}

func newLoader(only string) *loader {
	return &loader{lib: &Library{}, nodes: make(map[*yaml.Node]string), only: only}
}

func (ld *loader) load(sources []Source) (*Library, Problems) {
	for _, s := range sources {
		ld.read(s)
	}
	ld.compose()
	ld.checkPacks()
	ld.checkSheets()
	ld.checkInstruments()
	return ld.finish()
}

// sound reports whether nothing is wrong with a pack and the files that it is
// made of.
func (p *packFile) sound() bool {
	return len(p.f.list) == 0 && !slices.ContainsFunc(p.rests, func(f *faults) bool { return len(f.list) > 0 })
}

// loader is a library on its way.
type loader struct {
	lib   *Library
	files []*faults
	words []*wordFile
	packs []*packFile
	sheet []*sheetFile
	tools []*instrumentFile
	kept  []Source

	fragments []*piece
	amends    []*piece
	nodes     map[*yaml.Node]string // the files of the nodes of fragments and amendments
	only      string                // the one pack that is wanted; empty: all
}

// wanted reports whether the pack of that identifier is to be made.
func (ld *loader) wanted(id *yaml.Node) bool {
	return ld.only == "" || id != nil && id.Value == ld.only
}

// own notes which file a node and all below it came from.
func (ld *loader) own(n *yaml.Node, file string) {
	ld.nodes[n] = file
	for _, c := range n.Content {
		ld.own(c, file)
	}
}

// read decodes one source as what its keys show it to be.
func (ld *loader) read(s Source) {
	if s.Name == "" {
		s.Name = "unnamed"
	}
	f := &faults{file: s.Name, nodes: ld.nodes}
	ld.files = append(ld.files, f)
	for _, have := range ld.kept {
		if have.Name == s.Name {
			f.add(RuleFileTwice, Pos{}, "load it once", "the file is given twice")
			return
		}
	}
	ld.kept = append(ld.kept, s)
	root := parse(s, f)
	if root == nil {
		return
	}
	d := &decoder{f}
	switch kind := kindOf(func(key string) bool { return find(root, key) >= 0 }); kind {
	case "sheet":
		ld.sheet = append(ld.sheet, &sheetFile{src: s, f: f, sheet: d.sheet(root)})
	case "pack":
		ld.packs = append(ld.packs, &packFile{src: s, f: f, root: root})
	case "fragment", "amends":
		ld.own(root, s.Name)
		if kind == "fragment" {
			ld.fragments = append(ld.fragments, d.piece(s, root, kind))
		} else {
			ld.amends = append(ld.amends, d.piece(s, root, kind))
		}
	case "vocabulary":
		w := &wordFile{src: s, f: f}
		w.read(d, root)
		ld.words = append(ld.words, w)
	case "instruments":
		ld.tools = append(ld.tools, &instrumentFile{f: f, list: d.instruments(root)})
	default:
		d.bad(root, RuleUnknownFile, "begin it with pack:, fragment:, amends:, sheet:, instruments:, or the vocabulary's shows: and regimes:", "this is neither a pack, a sheet nor a vocabulary, no part of a pack and no list of instruments")
	}
}

// kindOf tells the files apart by the keys that they have. A sheet names its
// pack, so its own keys are looked for first.
func kindOf(has func(key string) bool) string {
	switch {
	case has("fragment"):
		return "fragment"
	case has("amends"):
		return "amends"
	case has("sheet") || has("limits") || has("fitted"):
		return "sheet"
	case has("pack") || has("items"):
		return "pack"
	case has("shows") || has("regimes"):
		return "vocabulary"
	case has("instruments"):
		return "instruments"
	}
	return ""
}

func (ld *loader) checkPacks() {
	first := make(map[string]Pos)
	words := ld.vocabulary()
	for _, p := range ld.packs {
		if at, twice := first[p.pack.ID]; twice {
			p.f.add(RuleTakenIdentifier, p.pack.Pos, "give each pack its own", "pack %s: the identifier is in use, in %s", quote(p.pack.ID), at.File)
		} else {
			first[p.pack.ID] = p.pack.Pos
		}
		c := checkPack(p.pack, p.f)
		p.lay, p.events, p.byID, p.pr = c.lay, c.events, c.byID, c.pr
		if words != nil {
			words.check(p)
		}
	}
}

// vocabulary returns the one vocabulary, or nil and reports why.
func (ld *loader) vocabulary() *wordFile {
	for i, w := range ld.words {
		if i > 0 {
			w.f.add(RuleSecondVocabulary, Pos{}, "load one of them", "a second vocabulary; the first is %s", ld.words[0].src.Name)
		}
	}
	switch {
	case len(ld.words) > 0:
		ld.lib.words = ld.words[0]
		return ld.words[0]
	case len(ld.packs) > 0:
		ld.packs[0].f.add(RuleNoVocabulary, Pos{}, "load the vocabulary with it", "there is no vocabulary among the files")
	}
	return nil
}

func (ld *loader) packOf(s *sheetFile) *packFile {
	var ids []string
	for _, p := range ld.packs {
		if p.pack.ID == s.sheet.Pack.ID {
			return p
		}
		ids = append(ids, p.pack.ID)
	}
	if s.sheet.Pack.ID != "" {
		s.f.add(RuleUnknownPack, s.sheet.Pack.Pos, s.f.meant(s.sheet.Pack.ID, ids, "load the pack with it"), "unknown pack %s", quote(s.sheet.Pack.ID))
	}
	return nil
}

func (ld *loader) checkSheets() {
	first := make(map[string]Pos)
	limits := make(map[*packFile]*names)
	for _, s := range ld.sheet {
		if at, twice := first[s.sheet.ID]; twice {
			s.f.add(RuleTakenIdentifier, s.sheet.Pos, "give each sheet its own", "sheet %s: the identifier is in use, in %s", quote(s.sheet.ID), at.File)
		} else {
			first[s.sheet.ID] = s.sheet.Pos
		}
		s.pack = ld.packOf(s)
		checkSheet(s)
		if s.pack == nil {
			continue
		}
		if limits[s.pack] == nil {
			limits[s.pack] = &names{}
		}
		for _, l := range s.sheet.Limits {
			limits[s.pack].add(l.ID)
		}
	}
	for _, p := range ld.packs {
		// One sheet alone does not tell which limits the others give.
		if n := limits[p]; n != nil && ld.only == "" {
			p.limitsOf(n)
		}
	}
}

// limitsOf reports limits that a check names and no sheet of the pack gives.
func (p *packFile) limitsOf(n *names) {
	for _, k := range p.pack.Checks {
		for _, l := range k.limits() {
			if !n.has[l.ID] {
				p.f.add(RuleUnknownLimit, l.Pos, p.f.meant(l.ID, n.list, "add it to a sheet"), "unknown limit %s: no sheet of this pack gives it", quote(l.ID))
			}
		}
	}
}

// finish keeps the files without a fault and stores them.
func (ld *loader) finish() (*Library, Problems) {
	lib := ld.lib
	var all Problems
	for _, f := range ld.files {
		all = append(all, f.list...)
	}
	all.sort()
	// What is wrong with a shared text is found in every pack made of it.
	all = slices.Compact(all)
	if lib.words != nil {
		lib.words.root = nil
		if len(lib.words.f.list) > 0 {
			lib.words = nil
		}
	}
	sound := make(map[*packFile]bool)
	for _, p := range ld.packs {
		if lib.words != nil && p.sound() {
			sound[p] = true
			p.root = nil
			lib.packs = append(lib.packs, p)
		}
	}
	for _, s := range ld.sheet {
		if len(s.f.list) == 0 && sound[s.pack] {
			lib.sheets = append(lib.sheets, s)
		}
	}
	var err error
	if lib.db, err = fill(lib.packs, lib.sheets, ld.kept); err != nil {
		all = append(all, Problem{File: "store", What: fmt.Sprint(err)})
		lib.packs, lib.sheets = nil, nil
		lib.db, _ = memdb.NewMemDB(schema())
	}
	return lib, all
}
