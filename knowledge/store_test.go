package knowledge

import (
	"sync"
	"testing"

	"github.com/hashicorp/go-memdb"
	"github.com/stretchr/testify/require"
)

// TestEveryTable inserts a full row into every table and finds it again by
// every index: a misspelt field of the schema shows only then.
func TestEveryTable(t *testing.T) {
	rows := map[string]any{
		tablePacks:    &whole[Pack]{"p", "p", "0", &Pack{}},
		tableSheets:   &whole[Sheet]{"s", "p", "0", &Sheet{}},
		tableSources:  &sourceRow{"n", "ab", &Source{}},
		tableEvents:   &row[EventDef]{"p", "e", "0", &EventDef{}},
		tableEdges:    &edgeRow{"p", "a", "b", "0", &Edge{}},
		tableSets:     &row[PositionSet]{"p", "x", "0", &PositionSet{}},
		tableSites:    &row[Site]{"p", "x", "0", &Site{}},
		tableOpenings: &row[Opening]{"p", "x", "0", &Opening{}},
		tableTools:    &row[Tool]{"p", "x", "0", &Tool{}},
		tableCautions: &row[Caution]{"p", "x", "0", &Caution{}},
		tableChecks:   &row[Check]{"p", "x", "0", &Check{}},
		tableRepairs:  &row[Repair]{"p", "x", "0", &Repair{}},
		tableHistory:  &row[Circumstance]{"p", "x", "0", &Circumstance{}},
		tablePhrases:  &phraseRow{"p", "since", "0", &Circumstance{}},
		tableLooks:    &link[Check]{"p", "e", "0", &Check{}},
		tableFixes:    &link[Repair]{"p", "e", "0", &Repair{}},
		tableLimits:   &row[Limit]{"s", "x", "0", &Limit{}},
		tableFitted:   &row[Fitted]{"s", "x", "0", &Fitted{}},
	}
	s := schema()
	require.NoError(t, s.Validate())
	db, err := memdb.NewMemDB(s)
	require.NoError(t, err)
	require.Len(t, rows, len(s.Tables))
	for name, table := range s.Tables {
		require.Contains(t, rows, name)
		txn := db.Txn(true)
		require.NoError(t, txn.Insert(name, rows[name]), name)
		for index := range table.Indexes {
			it, err := txn.Get(name, index+"_prefix", "")
			if _, compound := table.Indexes[index].Indexer.(*memdb.CompoundIndex); compound {
				// every compound begins with the owner or pack, p or s
				it, err = txn.Get(name, index+"_prefix", ownerOf(name), "")
			}
			require.NoError(t, err, "%s %s", name, index)
			require.Same(t, rows[name], it.Next(), "%s %s", name, index)
		}
		txn.Commit()
	}
}

func ownerOf(table string) string {
	if table == tableLimits || table == tableFitted {
		return "s"
	}
	return "p"
}

// TestFailedInsert makes sure that a row without a field is refused and that
// nothing of the rest is kept.
func TestFailedInsert(t *testing.T) {
	db, err := memdb.NewMemDB(schema())
	require.NoError(t, err)
	f := &filler{txn: db.Txn(true)}
	f.put(tableTools, &row[Tool]{"p", "", "0", &Tool{}})
	f.put(tableTools, &row[Tool]{"p", "x", "0", &Tool{}})
	require.ErrorContains(t, f.err, "tools cannot be stored")
}

func ids[T any](list []T, id func(T) string) []string {
	out := make([]string, len(list))
	for i, x := range list {
		out[i] = id(x)
	}
	return out
}

func TestQueries(t *testing.T) {
	s := goodEngine(t).Snapshot()
	checkID := func(c *Check) string { return c.ID }
	repairID := func(r *Repair) string { return r.ID }
	eventID := func(e *EventDef) string { return e.ID }

	require.Equal(t, "marsh_twin", s.Pack().ID)
	ev, ok := s.Event("float.high")
	require.True(t, ok)
	require.Equal(t, "float: level high", ev.Title)
	_, ok = s.Event("float")
	require.False(t, ok, "a prefix is not the whole")
	require.Equal(t, []string{"rich", "rough_idle"}, ids(s.EventsFrom("r"), eventID))
	require.Equal(t, []string{"float.high", "float.low"}, ids(s.EventsFrom("float"), eventID))
	require.Len(t, s.Events(), 2+8+8+2)
	require.Equal(t, "stale_fuel", s.Events()[0].ID)

	into := s.Into("rich")
	require.Len(t, into, 2)
	require.Equal(t, Edge{"float.high", "rich", Feeds, 0.8, into[0].Pos}, *into[0])
	require.Equal(t, []string{"raises", "raises"}, ids(s.Into("plug.fouled"), func(e *Edge) string { return e.Kind.String() }))
	require.Equal(t, []string{"lean", "washed"}, ids(s.OutOf("filter.clogged"), func(e *Edge) string { return e.To }))
	require.Equal(t, Prevents, s.OutOf("filter.clogged")[1].Kind)
	require.Equal(t, []string{"weak_spark", "washed", "weak_cylinder", "rough_idle", "half_dead", "pair_weak", "stumble_mid"}, s.Above("coil.weak"))

	require.Equal(t, []string{"plug_look", "coil_side"}, ids(s.ChecksNaming("plug.fouled"), checkID))
	require.Equal(t, []string{"coil_side", "coil_ohms", "plug_look", "drop_test"}, ids(s.ChecksSeeing("coil.weak"), checkID))
	require.Equal(t, []string{"clean_jet"}, ids(s.RepairsFixing("pilot_jet.blocked"), repairID))
	require.Equal(t, []string{"renew_coil"}, ids(s.RepairsFixing("plug.fouled"), repairID))
	require.Empty(t, s.RepairsFixing("pilot_jet"))
	require.Equal(t, []string{"carb_warmth", "coil_ohms", "coil_side"}, ids(s.ChecksFrom("c"), checkID))
	require.Equal(t, []string{"renew_coil", "renew_fuel"}, ids(s.RepairsFrom("renew"), repairID))
	require.Equal(t, []string{"since lay-up"}, ids(s.PhrasesFrom("Since  L"), func(p Phrase) string { return p.Words }))
}

func TestLookups(t *testing.T) {
	e := goodEngine(t)
	s := e.Snapshot()
	set, ok := s.PositionSet("enricher")
	require.True(t, ok)
	require.Equal(t, []string{"2", "3"}, set.Members)
	o, ok := s.Opening("bowls")
	require.True(t, ok)
	require.True(t, o.ShutToRun)
	tool, ok := s.Tool("probe")
	require.True(t, ok)
	require.Equal(t, "shorting probe", tool.Title)
	c, ok := s.Caution("petrol")
	require.True(t, ok)
	require.Contains(t, c.Text, "local codes")
	require.Equal(t, 2.5, c.Charge)
	at, ok := s.Site("bench")
	require.True(t, ok)
	require.Equal(t, "workshop", at.Phrases[1].ID)
	require.Len(t, s.Pack().Recheck.Sites, 2)
	k, ok := s.Check("drop_test")
	require.True(t, ok)
	require.Equal(t, Running, k.Engine)
	require.False(t, k.Each)
	r, ok := s.Repair("clean_jet")
	require.True(t, ok)
	require.Equal(t, 1.0, r.PartsMinutes)
	require.Equal(t, "bowl gasket", r.Consumables[0].Title)
	require.Equal(t, "bench", r.Sites[0].ID)
	r, ok = s.Repair("renew_coil")
	require.True(t, ok)
	require.Equal(t, 6.0, r.FoundMinutes)
	require.True(t, r.PartsWhenFound)
	h, ok := s.Circumstance("since_layup")
	require.True(t, ok)
	require.Len(t, h.Phrases, 2)
	require.Equal(t, []string{"marsh_twin_one"}, ids(s.Sheets(), func(s *Sheet) string { return s.ID }))
	sheet, ok := s.Sheet("marsh_twin_one")
	require.True(t, ok)
	require.Same(t, e.Sheet(), sheet)
	l, ok := s.Limit("marsh_twin_one", "coil_ohms")
	require.True(t, ok)
	require.Equal(t, "0.80 ohm", l.Nominal.Text)
	f, ok := s.Fitted("marsh_twin_one", "pilot_jet")
	require.True(t, ok)
	require.Equal(t, []string{"42", "45", "45", "42"}, ids(f.Values, func(v FittedValue) string { return v.Value }), "in the order of the set")
	src, ok := s.Source("testdata/good/marsh_twin.yaml")
	require.True(t, ok)
	same, ok := s.SourceBySum(Sum(*src))
	require.True(t, ok)
	require.Same(t, src, same)
	for _, sought := range []bool{found(s.Tool("x")), found(s.Site("benc")), found(s.Opening("cow")), found(s.Sheet("marsh")), found(s.Source("x")), found(s.SourceBySum("x")), found(s.Limit("marsh_twin_one", "coil"))} {
		require.False(t, sought)
	}
}

func found[T any](_ *T, ok bool) bool { return ok }

// TestPacksApart loads a second pack whose identifier begins like the first's.
func TestPacksApart(t *testing.T) {
	sources := goodSources(t)
	second := Source{"short.yaml", []byte("pack: marsh\n" + string(sources[0].Data[len("pack: marsh_twin\n")+indexOf(sources[0].Data, "pack: marsh_twin\n"):]))}
	lib, problems := Load(append(sources, second))
	require.NoError(t, problems.Err())
	require.Len(t, lib.Packs(), 2)
	a, b := lib.Snapshot("marsh"), lib.Snapshot("marsh_twin")
	require.Len(t, a.Events(), len(b.Events()))
	require.Empty(t, a.Sheets())
	require.Len(t, a.Into("rich"), 2)
	require.Nil(t, lib.Snapshot("mars").Pack())
	require.Empty(t, lib.Snapshot("mars").Events())
}

func indexOf(data []byte, s string) int {
	for i := range data {
		if i+len(s) <= len(data) && string(data[i:i+len(s)]) == s {
			return i
		}
	}
	return -1
}

// TestConcurrentReaders is for the race detector.
func TestConcurrentReaders(t *testing.T) {
	e := goodEngine(t)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for range 20 {
				s := e.Snapshot()
				_ = s.ChecksSeeing("coil.weak")
				_ = s.EventsFrom("p")
				_, _ = e.ParsePlace("cyl 3")
				for _, ev := range e.EventsOf("lean") {
					_ = e.Describe(ev)
				}
				_, _ = e.Reading(e.Checks()[len(e.Checks())-1])
			}
		})
	}
	wg.Wait()
}
