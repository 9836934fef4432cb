package knowledge

import "github.com/hashicorp/go-memdb"

// Snapshot answers look-ups on one pack as it was when the snapshot was taken.
// It never changes and is safe for concurrent readers. Lists come in the order
// of the pack unless said otherwise; what is returned must not be changed.
type Snapshot struct {
	db   *memdb.MemDB
	pack string
}

// one returns the first row found, or nil. The store answers with an error only
// if the table or the index does not exist; a test asks every query.
func one[R any](s *Snapshot, table, index string, args ...any) *R {
	raw, err := s.db.Txn(false).First(table, index, args...)
	if err != nil || raw == nil {
		return nil
	}
	r, _ := raw.(*R)
	return r
}

// all returns the rows found, in the order of the index.
func all[R any](s *Snapshot, table, index string, args ...any) []*R {
	it, err := s.db.Txn(false).Get(table, index, args...)
	if err != nil {
		return nil
	}
	var out []*R
	for raw := it.Next(); raw != nil; raw = it.Next() {
		if r, ok := raw.(*R); ok {
			out = append(out, r)
		}
	}
	return out
}

func byID[T any](s *Snapshot, table, owner, id string) (*T, bool) {
	if r := one[row[T]](s, table, "id", owner, id); r != nil {
		return r.Def, true
	}
	return nil, false
}

func defs[T any](s *Snapshot, table, index, owner, prefix string) []*T {
	rows := all[row[T]](s, table, index, owner, prefix)
	out := make([]*T, len(rows))
	for i, r := range rows {
		out[i] = r.Def
	}
	return out
}

// Pack returns the pack.
func (s *Snapshot) Pack() *Pack {
	if r := one[whole[Pack]](s, tablePacks, "id", s.pack); r != nil {
		return r.Def
	}
	return nil
}

// Event looks up an event by its identifier, such as "pilot_jet.blocked".
func (s *Snapshot) Event(id string) (*EventDef, bool) {
	return byID[EventDef](s, tableEvents, s.pack, id)
}

// Events returns all events of the pack.
func (s *Snapshot) Events() []*EventDef {
	return defs[EventDef](s, tableEvents, "seq_prefix", s.pack, "")
}

// EventsFrom returns the events whose identifier begins so, in alphabetic
// order.
func (s *Snapshot) EventsFrom(prefix string) []*EventDef {
	return defs[EventDef](s, tableEvents, "id_prefix", s.pack, prefix)
}

// Into returns the edges that lead into an event: the inputs of a gate, the
// sources of a mode.
func (s *Snapshot) Into(event string) []*Edge { return s.edges("to_prefix", event) }

// OutOf returns the edges that lead out of an event.
func (s *Snapshot) OutOf(event string) []*Edge { return s.edges("from_prefix", event) }

func (s *Snapshot) edges(index, event string) []*Edge {
	rows := all[edgeRow](s, tableEdges, index, s.pack, event, "")
	out := make([]*Edge, len(rows))
	for i, r := range rows {
		out[i] = r.Def
	}
	return out
}

// Above returns the events that an event works through to, nearest first,
// the event itself left out.
func (s *Snapshot) Above(event string) []string {
	out, seen := []string{event}, map[string]bool{event: true}
	for i := 0; i < len(out); i++ {
		for _, e := range s.OutOf(out[i]) {
			if !seen[e.To] {
				seen[e.To] = true
				out = append(out, e.To)
			}
		}
	}
	return out[1:]
}

// PositionSet looks up a set of places.
func (s *Snapshot) PositionSet(id string) (*PositionSet, bool) {
	return byID[PositionSet](s, tableSets, s.pack, id)
}

// Site looks up a place where the engine can stand.
func (s *Snapshot) Site(id string) (*Site, bool) { return byID[Site](s, tableSites, s.pack, id) }

// Opening looks up an opening.
func (s *Snapshot) Opening(id string) (*Opening, bool) {
	return byID[Opening](s, tableOpenings, s.pack, id)
}

// Tool looks up a tool.
func (s *Snapshot) Tool(id string) (*Tool, bool) { return byID[Tool](s, tableTools, s.pack, id) }

// Caution looks up a caution.
func (s *Snapshot) Caution(id string) (*Caution, bool) {
	return byID[Caution](s, tableCautions, s.pack, id)
}

// Check looks up a check.
func (s *Snapshot) Check(id string) (*Check, bool) { return byID[Check](s, tableChecks, s.pack, id) }

// Checks returns all checks in the order of the pack.
func (s *Snapshot) Checks() []*Check {
	return defs[Check](s, tableChecks, "seq_prefix", s.pack, "")
}

// Repairs returns all repairs in the order of the pack.
func (s *Snapshot) Repairs() []*Repair {
	return defs[Repair](s, tableRepairs, "seq_prefix", s.pack, "")
}

// History returns all history entries in the order of the pack.
func (s *Snapshot) History() []*Circumstance {
	return defs[Circumstance](s, tableHistory, "seq_prefix", s.pack, "")
}

// ChecksFrom returns the checks whose identifier begins so, in alphabetic
// order.
func (s *Snapshot) ChecksFrom(prefix string) []*Check {
	return defs[Check](s, tableChecks, "id_prefix", s.pack, prefix)
}

// Repair looks up a repair.
func (s *Snapshot) Repair(id string) (*Repair, bool) {
	return byID[Repair](s, tableRepairs, s.pack, id)
}

// RepairsFrom returns the repairs whose identifier begins so, in alphabetic
// order.
func (s *Snapshot) RepairsFrom(prefix string) []*Repair {
	return defs[Repair](s, tableRepairs, "id_prefix", s.pack, prefix)
}

// Circumstance looks up a history entry.
func (s *Snapshot) Circumstance(id string) (*Circumstance, bool) {
	return byID[Circumstance](s, tableHistory, s.pack, id)
}

// Phrase is a phrase of a history entry, in the form in which it is looked up.
type Phrase struct {
	Words string
	Says  *Circumstance
}

// PhrasesFrom returns the phrases that begin with the words, in alphabetic
// order.
func (s *Snapshot) PhrasesFrom(words string) []Phrase {
	rows := all[phraseRow](s, tablePhrases, "words_prefix", s.pack, plain(words))
	out := make([]Phrase, len(rows))
	for i, r := range rows {
		out[i] = Phrase{r.Words, r.Def}
	}
	return out
}

// ChecksNaming returns the checks whose rows name the event.
func (s *Snapshot) ChecksNaming(event string) []*Check {
	rows := all[link[Check]](s, tableLooks, "id_prefix", s.pack, event, "")
	out := make([]*Check, len(rows))
	for i, r := range rows {
		out[i] = r.Def
	}
	return out
}

// ChecksSeeing returns the checks that can tell something about the event:
// those whose rows name it, then those whose rows name an event that it works
// through to, nearest first.
func (s *Snapshot) ChecksSeeing(event string) []*Check {
	out := s.ChecksNaming(event)
	seen := make(map[string]bool, len(out))
	for _, c := range out {
		seen[c.ID] = true
	}
	for _, id := range s.Above(event) {
		for _, c := range s.ChecksNaming(id) {
			if !seen[c.ID] {
				seen[c.ID] = true
				out = append(out, c)
			}
		}
	}
	return out
}

// RepairsFixing returns the repairs that fix a mode or a cause.
func (s *Snapshot) RepairsFixing(event string) []*Repair {
	rows := all[link[Repair]](s, tableFixes, "id_prefix", s.pack, event, "")
	out := make([]*Repair, len(rows))
	for i, r := range rows {
		out[i] = r.Def
	}
	return out
}

// Sheet looks up a sheet, of whatever pack.
func (s *Snapshot) Sheet(id string) (*Sheet, bool) {
	if r := one[whole[Sheet]](s, tableSheets, "id", id); r != nil {
		return r.Def, true
	}
	return nil, false
}

// Sheets returns the sheets of the pack.
func (s *Snapshot) Sheets() []*Sheet {
	rows := all[whole[Sheet]](s, tableSheets, "seq_prefix", s.pack, "")
	out := make([]*Sheet, len(rows))
	for i, r := range rows {
		out[i] = r.Def
	}
	return out
}

// Limit looks up a limit of a sheet.
func (s *Snapshot) Limit(sheet, id string) (*Limit, bool) {
	return byID[Limit](s, tableLimits, sheet, id)
}

// Fitted looks up a fitted-parts table of a sheet.
func (s *Snapshot) Fitted(sheet, id string) (*Fitted, bool) {
	return byID[Fitted](s, tableFitted, sheet, id)
}

// Source looks up a file by its name as given.
func (s *Snapshot) Source(name string) (*Source, bool) {
	if r := one[sourceRow](s, tableSources, "id", name); r != nil {
		return r.Def, true
	}
	return nil, false
}

// SourceBySum looks up a file by its SHA-256.
func (s *Snapshot) SourceBySum(sum string) (*Source, bool) {
	if r := one[sourceRow](s, tableSources, "sum", sum); r != nil {
		return r.Def, true
	}
	return nil, false
}
