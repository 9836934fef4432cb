package knowledge

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// smallWords is enough of a vocabulary for the packs of the tests; the whole
// one would make fuzzing slow.
const smallWords = `
kinds: {running: running}
shows:
  rough: {title: rough, kind: running, words: [rough]}
  stumble: {title: stumbles, kind: running, words: [stumble]}
regimes:
  idle: {title: at idle, axis: throttle, order: 1, phrases: [at idle]}
  mid: {title: mid, axis: throttle, order: 2, phrases: [mid]}
`

// FuzzLoadPack loads whatever comes as a pack and as a sheet. Nothing may
// panic; every problem is one line; and what is loaded without a problem makes
// a sound model.
func FuzzLoadPack(f *testing.F) {
	pack, err := os.ReadFile("testdata/good/marsh_twin.yaml")
	require.NoError(f, err)
	sheet, err := os.ReadFile("testdata/good/marsh_twin_sheet.yaml")
	require.NoError(f, err)
	f.Add(pack, sheet)
	lib, problems := Load([]Source{{"p", pack}, {"s", sheet}, {"v", []byte(smallWords)}})
	require.NoError(f, problems.Err())
	require.Len(f, lib.Sheets(), 1, "the first seed must come as far as the model")
	files, err := filepath.Glob("testdata/faults/*.yaml")
	require.NoError(f, err)
	for _, name := range files {
		data, err := os.ReadFile(name)
		require.NoError(f, err)
		f.Add(data, sheet)
		f.Add(pack, data)
	}
	f.Add([]byte("a: &a [*a]"), []byte("<<: {}"))
	f.Fuzz(func(t *testing.T, pack, sheet []byte) {
		sources := []Source{{"p", pack}, {"s", sheet}, {"v", []byte(smallWords)}}
		lib, _ := Load(sources)
		for _, p := range Lint(sources) {
			require.NotEmpty(t, p.Rule, "a fault that no rule is for: %s", p.Error())
			require.NotContains(t, p.Error(), "\n")
			require.NotEmpty(t, p.What)
		}
		for _, s := range lib.Sheets() {
			e, err := Open(lib, s.ID)
			require.NoError(t, err)
			for _, c := range e.Model().Checks() {
				require.Len(t, c.Else, len(c.Outcomes))
			}
		}
	})
}

// longPack writes a pack of about the given number of lines: many like items,
// each with a condition, a check and a repair of its own.
func longPack(lines int) []Source {
	var items, conds, checks, repairs, from strings.Builder
	for i := range lines / 26 {
		fmt.Fprintf(&items, "  part%d:\n    title: part %d\n    at: carb\n    system: fuel\n    modes:\n      bad: {title: bad, prior: 0.01, source: judgement}\n      worse: {title: worse, prior: 0.005}\n", i, i)
		fmt.Fprintf(&conds, "  state%d:\n    title: state %d\n    at: cylinder\n    gate: or\n    from: {part%d.bad: 0.8, part%d.worse: 0.9}\n", i, i, i, i)
		fmt.Fprintf(&checks, "  look%d:\n    title: look %d\n    at: carb\n    minutes: 4\n    engine: off\n    opens: [cowl]\n    outcomes: {good: good, bad: bad}\n    rows:\n      part%d.bad: [0.1, 0.9]\n    else: [0.9, 0.1]\n", i, i, i)
		fmt.Fprintf(&repairs, "  mend%d:\n    title: mend %d\n    at: carb\n    fixes: [part%d.bad, part%d.worse]\n    minutes: 5\n", i, i, i, i)
		fmt.Fprintf(&from, "state%d: 0.3, ", i)
	}
	pack := `pack: long
format: 1
title: long
version: "1"
handing_on: {minutes: 100, title: hand on}
recheck: {minutes: 5}
positions:
  carb: {title: carburettor, members: ["1", "2", "3", "4"]}
  cylinder: {title: cylinder, members: ["1", "2", "3", "4"]}
serves:
  carb: {cylinder: same}
items:
` + items.String() + "conditions:\n" + conds.String() +
		"symptoms:\n  rough: {title: rough, shows: rough, regime: [idle], unlisted: 0.01, from: {" + from.String() + "}}\n" +
		"openings:\n  cowl: {title: cowl, open: 1, close: 1}\nchecks:\n" + checks.String() + "repairs:\n" + repairs.String()
	return []Source{{"long.yaml", []byte(pack)}, {"sheet.yaml", []byte("sheet: long_one\nformat: 1\ntitle: long\npack: long\n")}}
}

// BenchmarkLoadAndOpen loads and builds a pack of 2,000 lines with the whole
// vocabulary.
func BenchmarkLoadAndOpen(b *testing.B) {
	sources := append(longPack(2000), vocabularySource(b))
	b.Logf("%d lines", strings.Count(string(sources[0].Data), "\n"))
	for b.Loop() {
		lib, problems := Load(sources)
		require.NoError(b, problems.Err())
		_, err := Open(lib, "long_one")
		require.NoError(b, err)
	}
}

func BenchmarkLookups(b *testing.B) {
	lib, problems := Load(append(longPack(2000), vocabularySource(b)))
	require.NoError(b, problems.Err())
	s := lib.Snapshot("long")
	b.Run("event", func(b *testing.B) {
		for b.Loop() {
			_, _ = s.Event("part7.bad")
		}
	})
	b.Run("complete", func(b *testing.B) {
		for b.Loop() {
			_ = s.EventsFrom("part7")
		}
	})
}
