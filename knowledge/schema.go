package knowledge

import "github.com/hashicorp/go-memdb"

// The tables of the store. Each holds pointers to one type of row, and no row
// is changed after it was inserted.
const (
	tablePacks    = "packs"
	tableSheets   = "sheets"
	tableSources  = "sources"
	tableEvents   = "events"
	tableEdges    = "edges"
	tableSets     = "position_sets"
	tableSites    = "places"
	tableOpenings = "openings"
	tableTools    = "tools"
	tableCautions = "cautions"
	tableChecks   = "checks"
	tableRepairs  = "repairs"
	tableHistory  = "history"
	tablePhrases  = "phrases"
	tableLooks    = "looks" // which check's rows name which event
	tableFixes    = "fixes" // which repair fixes which event
	tableLimits   = "limits"
	tableFitted   = "fitted"
)

// row is a definition that belongs to a pack or a sheet, its Owner. Seq orders
// the definitions of an owner as they are written; it is a text of fixed width
// because an index on texts can be walked by the owner alone.
type row[T any] struct {
	Owner, ID, Seq string
	Def            *T
}

// whole is a pack or a sheet.
type whole[T any] struct {
	ID, Pack, Seq string
	Def           *T
}

// sourceRow is a file as it was read.
type sourceRow struct {
	Name, Sum string
	Def       *Source
}

// edgeRow is an edge of the graph of events.
type edgeRow struct {
	Owner, From, To, Seq string
	Def                  *Edge
}

// link leads from an event to a check or a repair.
type link[T any] struct {
	Owner, Event, Seq string
	Def               *T
}

// phraseRow leads from the words to the history entry.
type phraseRow struct {
	Owner, Words, Seq string
	Def               *Circumstance
}

// by indexes one or several fields that are texts. Several make a compound,
// which is always asked with all its fields, the last one as a prefix: a
// compound asked with its first field alone would take "pilot_jet_holder" for
// "pilot_jet".
func by(name string, unique bool, fields ...string) *memdb.IndexSchema {
	parts := make([]memdb.Indexer, len(fields))
	for i, f := range fields {
		parts[i] = &memdb.StringFieldIndex{Field: f}
	}
	s := &memdb.IndexSchema{Name: name, Unique: unique, Indexer: parts[0]}
	if len(parts) > 1 {
		s.Indexer = &memdb.CompoundIndex{Indexes: parts}
	}
	return s
}

func schema() *memdb.DBSchema {
	s := &memdb.DBSchema{Tables: make(map[string]*memdb.TableSchema)}
	table := func(name string, indexes ...*memdb.IndexSchema) {
		t := &memdb.TableSchema{Name: name, Indexes: make(map[string]*memdb.IndexSchema)}
		for _, i := range indexes {
			t.Indexes[i.Name] = i
		}
		s.Tables[name] = t
	}
	for _, name := range []string{tableEvents, tableSets, tableSites, tableOpenings, tableTools, tableCautions,
		tableChecks, tableRepairs, tableHistory, tableLimits, tableFitted} {
		table(name, by("id", true, "Owner", "ID"), by("seq", true, "Owner", "Seq"))
	}
	for _, name := range []string{tableLooks, tableFixes} {
		table(name, by("id", true, "Owner", "Event", "Seq"))
	}
	table(tablePacks, by("id", true, "ID"), by("seq", true, "Pack", "Seq"))
	table(tableSheets, by("id", true, "ID"), by("seq", true, "Pack", "Seq"))
	table(tableSources, by("id", true, "Name"), by("sum", false, "Sum"))
	table(tableEdges, by("id", true, "Owner", "Seq"), by("from", true, "Owner", "From", "Seq"), by("to", true, "Owner", "To", "Seq"))
	table(tablePhrases, by("id", true, "Owner", "Seq"), by("words", true, "Owner", "Words", "Seq"))
	return s
}
