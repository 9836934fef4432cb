package knowledge

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/hashicorp/go-memdb"
)

// EdgeKind says how one event acts on another.
type EdgeKind uint8

// The kinds of edges.
const (
	Feeds    EdgeKind = iota // an input of a gate
	Prevents                 // an input of an and gate that must be absent
	Raises                   // a source of a mode
)

var edgeNames = []string{"feeds", "prevents", "raises"}

func (k EdgeKind) String() string {
	if int(k) < len(edgeNames) {
		return edgeNames[k]
	}
	return "unknown"
}

// Edge leads from an event to one that it acts on. Strength is the input's
// strength or the chance of raising; 1 where it prevents.
type Edge struct {
	From, To string
	Kind     EdgeKind
	Strength float64
	Pos      Pos
}

// edges lists the edges of a pack: for each event what it raises, then the
// inputs of its gate.
func edges(events []*EventDef) []*Edge {
	var out []*Edge
	for _, e := range events {
		for _, r := range e.raises() {
			out = append(out, &Edge{e.ID, r.Mode.ID, Raises, r.Chance, r.Mode.Pos})
		}
		g := e.gate()
		if g == nil {
			continue
		}
		for _, in := range g.From {
			out = append(out, &Edge{in.Event.ID, e.ID, Feeds, in.Strength, in.Event.Pos})
		}
		for _, u := range g.Unless {
			out = append(out, &Edge{u.ID, e.ID, Prevents, 1, u.Pos})
		}
	}
	return out
}

// filler inserts rows and stops at the first error: a failed insertion leaves
// the row in some indexes, so the transaction is lost.
type filler struct {
	txn *memdb.Txn
	err error
}

func (f *filler) put(table string, row any) {
	if f.err != nil {
		return
	}
	if err := f.txn.Insert(table, row); err != nil {
		f.err = fmt.Errorf("%s cannot be stored: %w; this is a fault of the program, please report it", table, err)
	}
}

// seq numbers rows so that texts sort like numbers: no file holds ten million
// values.
func seq(i int) string { return strconv.Itoa(10_000_000 + i) }

// fill makes the store out of what was loaded. Identifiers were checked before
// to be unique, since an insertion replaces silently.
func fill(packs []*packFile, sheets []*sheetFile, sources []Source) (*memdb.MemDB, error) {
	db, err := memdb.NewMemDB(schema())
	if err != nil {
		return nil, fmt.Errorf("the store cannot be made: %w; this is a fault of the program, please report it", err)
	}
	f := &filler{txn: db.Txn(true)}
	defer f.txn.Abort()
	for i := range sources {
		f.put(tableSources, &sourceRow{sources[i].Name, Sum(sources[i]), &sources[i]})
	}
	for i, p := range packs {
		f.put(tablePacks, &whole[Pack]{p.pack.ID, p.pack.ID, seq(i), p.pack})
		f.pack(p)
	}
	for i, s := range sheets {
		f.put(tableSheets, &whole[Sheet]{s.sheet.ID, s.sheet.Pack.ID, seq(i), s.sheet})
		f.sheet(s.sheet)
	}
	if f.err != nil {
		return nil, f.err
	}
	f.txn.Commit()
	return db, nil
}

func (f *filler) pack(p *packFile) {
	id := p.pack.ID
	for i, e := range p.events {
		f.put(tableEvents, &row[EventDef]{id, e.ID, seq(i), e})
	}
	for i, e := range edges(p.events) {
		f.put(tableEdges, &edgeRow{id, e.From, e.To, seq(i), e})
	}
	for i, x := range p.pack.Sets {
		f.put(tableSets, &row[PositionSet]{id, x.ID, seq(i), x})
	}
	for i, x := range p.pack.Sites {
		f.put(tableSites, &row[Site]{id, x.ID, seq(i), x})
	}
	for i, x := range p.pack.Openings {
		f.put(tableOpenings, &row[Opening]{id, x.ID, seq(i), x})
	}
	for i, x := range p.pack.Tools {
		f.put(tableTools, &row[Tool]{id, x.ID, seq(i), x})
	}
	for i, x := range p.pack.Cautions {
		f.put(tableCautions, &row[Caution]{id, x.ID, seq(i), x})
	}
	f.history(p.pack)
	for i, x := range p.pack.Checks {
		f.put(tableChecks, &row[Check]{id, x.ID, seq(i), x})
		for _, r := range x.Rows {
			f.put(tableLooks, &link[Check]{id, r.Event.ID, seq(i), x})
		}
	}
	for i, x := range p.pack.Repairs {
		f.put(tableRepairs, &row[Repair]{id, x.ID, seq(i), x})
		for _, r := range x.Fixes {
			f.put(tableFixes, &link[Repair]{id, r.ID, seq(i), x})
		}
	}
}

func (f *filler) history(p *Pack) {
	n := 0
	for i, x := range p.History {
		f.put(tableHistory, &row[Circumstance]{p.ID, x.ID, seq(i), x})
		for _, words := range x.Phrases {
			f.put(tablePhrases, &phraseRow{p.ID, plain(words), seq(n), x})
			n++
		}
	}
}

func (f *filler) sheet(s *Sheet) {
	for i, x := range s.Limits {
		f.put(tableLimits, &row[Limit]{s.ID, x.ID, seq(i), x})
	}
	for i, x := range s.Fitted {
		f.put(tableFitted, &row[Fitted]{s.ID, x.ID, seq(i), x})
	}
}

// plain puts words into the form in which they are looked up: small letters,
// one space between words.
func plain(words string) string { return strings.Join(strings.Fields(strings.ToLower(words)), " ") }
