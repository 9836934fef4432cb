package knowledge

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
)

// TestMergePatch plays the test cases of RFC 7396, appendix A (from memory of its
// table), that speak of a mapping at the top; null is ~ in YAML. Where the RFC lets a
// null for a key that is not there pass, a pack has a fault, so those rows are left
// out.
func TestMergePatch(t *testing.T) {
	for _, row := range [][3]string{
		{`{"a":"b"}`, `{"a":"c"}`, `{"a":"c"}`},
		{`{"a":"b"}`, `{"b":"c"}`, `{"a":"b","b":"c"}`},
		{`{"a":"b"}`, `{"a":null}`, `{}`},
		{`{"a":"b","b":"c"}`, `{"a":null}`, `{"b":"c"}`},
		{`{"a":["b"]}`, `{"a":"c"}`, `{"a":"c"}`},
		{`{"a":"c"}`, `{"a":["b"]}`, `{"a":["b"]}`},
		{`{"a":{"b":"c"}}`, `{"a":{"b":"d"}}`, `{"a":{"b":"d"}}`},
		{`{"a":[{"b":"c"}]}`, `{"a":[1]}`, `{"a":[1]}`},
		{`{"e":null}`, `{"a":1}`, `{"e":null,"a":1}`},
	} {
		var to, patch yaml.Node
		require.NoError(t, yaml.Unmarshal([]byte(row[0]), &to))
		require.NoError(t, yaml.Unmarshal([]byte(row[1]), &patch))
		m := &merger{f: &faults{file: "t"}}
		m.change(to.Content[0], patch.Content[0])
		require.Empty(t, m.f.list)
		var got any
		require.NoError(t, to.Decode(&got))
		text, err := json.Marshal(got)
		require.NoError(t, err)
		require.JSONEq(t, row[2], string(text), "%s with %s", row[0], row[1])
	}
}

const composedPack = `pack: punt
format: 1
title: Punt engine
version: "1"
include: [spark_parts, fuel_parts]
handing_on: {minutes: 100, title: hand it on}
recheck: {minutes: 5}
positions:
  cylinder: {title: cylinder, members: ["1", "2"]}
  coil: {title: coil, members: [A]}
serves:
  coil: {cylinder: {A: ["1", "2"]}}
conditions:
  weak: {title: weak, at: cylinder, from: {plug.fouled: 0.8, coil.weak: 0.9, jet.blocked: 0.7}}
  both: {title: both weak, gate: at least 2, from: {weak: 1}}
symptoms:
  rough_idle: {title: rough at idle, shows: rough, regime: [idle], unlisted: 0.01, from: {weak: 0.9, both: 1}}
change:
  items: {plug: {modes: {fouled: {prior: 0.04}}}}
variants:
  punt_one:
    title: Punt engine, one cylinder
    positions: {cylinder: {members: ["1"]}}
    serves: {coil: {cylinder: {A: ["1"]}}}
    conditions: {both: ~}
  punt_magneto:
    title: Punt engine without a coil
    positions: {coil: ~}
`

const sparkParts = `fragment: spark_parts
format: 1
title: Spark
items:
  plug: {title: plug, at: cylinder, modes: {fouled: {title: fouled, prior: 0.02}}}
  coil: {title: coil, at: coil, modes: {weak: {title: weak, prior: 0.01}}}
checks:
  spark_look:
    title: spark
    at: cylinder
    minutes: 3
    outcomes: {good: good, poor: poor}
    rows: {plug.fouled: [0.2, 0.8], coil.weak: [0.1, 0.9]}
    else: [0.95, 0.05]
  coil_ohms:
    title: coil resistance
    at: coil
    minutes: 4
    outcomes: {right: right, wrong: wrong}
    rows: {coil.weak: [0.3, 0.7]}
    else: [0.95, 0.05]
repairs:
  renew_plug: {title: renew the plug, at: cylinder, minutes: 4, fixes: [plug.fouled]}
  renew_coil: {title: renew the coil, at: coil, minutes: 9, fixes: [coil.weak]}
`

const fuelParts = `fragment: fuel_parts
format: 1
title: Fuel
items:
  jet: {title: jet, at: cylinder, modes: {blocked: {title: blocked, prior: 0.03}}}
repairs:
  clean_jet: {title: clean the jet, at: cylinder, minutes: 20, fixes: [jet.blocked]}
`

func composed(more ...Source) []Source {
	return append([]Source{{"punt.yaml", []byte(composedPack)}, {"spark.yaml", []byte(sparkParts)},
		{"fuel.yaml", []byte(fuelParts)}, {"words.yaml", []byte(smallWords)}}, more...)
}

func punt(id, pack string) Source {
	return Source{id + ".yaml", []byte("sheet: " + id + "\nformat: 1\ntitle: A punt\npack: " + pack + "\n")}
}

// TestCompose: fragments, changes and variants make the packs that they say, and
// what a variant takes out is gone wherever it was named.
func TestCompose(t *testing.T) {
	lib, problems := Load(composed(punt("a", "punt"), punt("b", "punt_one"), punt("c", "punt_magneto")))
	require.NoError(t, problems.Err())
	require.Len(t, lib.Packs(), 3)
	events := func(sheet string) string {
		e, err := Open(lib, sheet)
		require.NoError(t, err)
		var ids []string
		for i := range e.about {
			ids = append(ids, at(e.about[i].def.ID, e.about[i].at))
		}
		return strings.Join(ids, " ")
	}
	require.Equal(t, "plug.fouled@cylinder:1 plug.fouled@cylinder:2 coil.weak@coil:A jet.blocked@cylinder:1 jet.blocked@cylinder:2 weak@cylinder:1 weak@cylinder:2 both rough_idle", events("a"))
	require.Equal(t, "plug.fouled@cylinder:1 coil.weak@coil:A jet.blocked@cylinder:1 weak@cylinder:1 rough_idle", events("b"))
	require.Equal(t, "plug.fouled@cylinder:1 plug.fouled@cylinder:2 jet.blocked@cylinder:1 jet.blocked@cylinder:2 weak@cylinder:1 weak@cylinder:2 both rough_idle", events("c"))
	e, err := Open(lib, "c")
	require.NoError(t, err)
	require.Len(t, e.Checks(), 2, "the coil's check goes with the coil")
	require.Len(t, e.Repairs(), 4)
	spark, _ := e.Check("spark_look", Place{"cylinder", "1"})
	require.Len(t, spark.Def.Rows, 1)
	plug, _ := e.Snapshot().Event("plug.fouled")
	require.Equal(t, 0.04, plug.Mode.Prior)
}

// TestOpenSheetReadsWhatItNeeds: a sheet opens beside files that are broken and that
// it does not rest on, and from its own sources it opens alike.
func TestOpenSheetReadsWhatItNeeds(t *testing.T) {
	broken := Source{"other.yaml", []byte("pack: other\nitems: [\n")}
	e, err := OpenSheet(composed(punt("a", "punt"), punt("b", "punt_one"), broken), "b")
	require.NoError(t, err)
	require.Equal(t, "punt_one", e.Pack().ID)
	require.Len(t, e.Sources(), 5)
	again, err := OpenSheet(e.Sources(), "b")
	require.NoError(t, err)
	require.Equal(t, e.Model(), again.Model())
	_, err = OpenSheet(composed(punt("a", "punt")), "z")
	require.ErrorContains(t, err, `no sheet is called "z"`)
}

// TestAmends: a user's amendment changes a pack by name; its faults are its own, and
// keep the pack out.
func TestAmends(t *testing.T) {
	amend := func(change string) Source {
		return Source{"mine.yaml", []byte("amends: punt\nformat: 1\ntitle: What our shop has learnt\nchange:\n  " + change + "\n")}
	}
	lib, problems := Load(composed(punt("a", "punt"), amend("items: {jet: {modes: {blocked: {prior: 0.2}}}}")))
	require.NoError(t, problems.Err())
	jet, _ := lib.Snapshot("punt").Event("jet.blocked")
	require.Equal(t, 0.2, jet.Mode.Prior)
	e, err := Open(lib, "a")
	require.NoError(t, err)
	require.Len(t, e.Sources(), 6)

	lib, problems = Load(composed(punt("a", "punt"), amend("items: {jt: ~}")))
	require.Len(t, problems, 1)
	require.Contains(t, problems[0].Error(), `mine.yaml:5:11: there is no "items.jt" to take out; did you mean "jet"?`)
	require.Len(t, lib.Packs(), 2, "the variants are not amended")

	_, problems = Load(composed(amend("items: {jet: {modes: {blocked: {prior: 7}}}}")))
	require.Len(t, problems, 1)
	require.Contains(t, problems[0].Error(), "mine.yaml:5:42: prior 7 is out of range")
}

// TestComposeFaults: each fault of the composition is told once, where it stands.
func TestComposeFaults(t *testing.T) {
	for name, c := range map[string]struct{ file, from, to, want string }{
		"unknown fragment":     {"punt.yaml", "[spark_parts, fuel_parts]", "[spark_part, fuel_parts]", `punt.yaml:5:11: unknown fragment "spark_part"; did you mean "spark_parts"?`},
		"twice":                {"fuel.yaml", "  jet: {title: jet", "  plug: {title: jet", `fuel.yaml:5:3: items "plug" is in the pack already, from spark.yaml:5:3`},
		"unknown section":      {"spark.yaml", "repairs:", "repair:", `spark.yaml:22:1: unknown key "repair" in the fragment file; did you mean "repairs"?`},
		"variant untitled":     {"punt.yaml", "    title: Punt engine without a coil\n", "", `punt.yaml:26:3: variant "punt_magneto" has no title`},
		"variant as pack":      {"punt.yaml", "punt_magneto", "punt", `punt.yaml:26:3: variant "punt" has the identifier of its pack`},
		"shared fault once":    {"fuel.yaml", "prior: 0.03", "prior: 3", `fuel.yaml:5:76: prior 3 is out of range`},
		"change of no mapping": {"punt.yaml", "    title: Punt engine, one cylinder\n", "    title: Punt engine, one cylinder\n    checks: {coil_ohms: {outcomes: {right: {x: y}}}}\n", `spark.yaml:19:23: "checks.coil_ohms.outcomes.right" is the text "right", and the change of it at punt.yaml:23:37 is a mapping`},
		"shape unused":         {"spark.yaml", "fragment: spark_parts", "fragment: other", `punt.yaml:5:11: unknown fragment "spark_parts"`},
	} {
		t.Run(name, func(t *testing.T) {
			sources := composed()
			for i, s := range sources {
				if s.Name == c.file {
					require.Contains(t, string(s.Data), c.from)
					sources[i].Data = []byte(strings.Replace(string(s.Data), c.from, c.to, 1))
				}
			}
			_, problems := Load(sources)
			n := 0
			for _, p := range problems {
				if strings.HasPrefix(p.Error(), c.want) {
					n++
				}
			}
			require.Equal(t, 1, n, "%v", problems)
		})
	}
}

// TestHeads: heads are found however the file is laid out.
func TestHeads(t *testing.T) {
	require.Equal(t, Head{Kind: "pack", ID: "punt", Includes: []string{"spark_parts", "fuel_parts"}, Variants: []string{"punt_one", "punt_magneto"}},
		HeadOf(Source{"p", []byte(composedPack)}))
	require.Equal(t, Head{Kind: "sheet", ID: "x", Pack: "punt"}, HeadOf(Source{"s", []byte("# a note\nformat: 1\npack: 'punt'  # of ours\nsheet: \"x\"\n")}))
	require.Equal(t, Head{Kind: "sheet", ID: "x", Pack: "punt"}, HeadOf(Source{"s", []byte(`{"sheet": "x", "pack": "punt", "format": 1}`)}))
	require.Equal(t, Head{Kind: "fragment", ID: "f"}, HeadOf(Source{"f", []byte("fragment: f\r\nformat: 1\r\n")}))
	require.Empty(t, HeadOf(Source{"n", []byte("[1, 2")}).Kind)
}
