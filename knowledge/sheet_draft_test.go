package knowledge

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
	"pgregory.net/rapid"

	"narrows/symptoms/measure"
)

// draftOn is a draft of a sheet of one of the library's packs.
func draftOn(t require.TestingT, lib *Library, pack, id string) *SheetDraft {
	d := NewSheetDraft(lib)
	for _, a := range [][2]string{{"pack", pack}, {"sheet", id}, {"title", "One of ours"}} {
		require.NoError(t, d.Answer(question(t, d, a[0]), a[1]))
	}
	return d
}

func question(t require.TestingT, d *SheetDraft, key string) SheetQuestion {
	for _, q := range d.Questions() {
		if q.Key == key {
			return q
		}
	}
	require.FailNow(t, "no such question", key)
	return SheetQuestion{}
}

func goodLibrary(t testing.TB) *Library {
	lib, problems := Load(goodSources(t))
	require.NoError(t, problems.Err())
	return lib
}

// TestDraftMakesTheSheet answers with what the good sheet has and gets a sheet of
// the same meaning.
func TestDraftMakesTheSheet(t *testing.T) {
	lib := goodLibrary(t)
	d := draftOn(t, lib, "marsh_twin", "mine")
	for _, a := range [][2]string{
		{"source", "invented"}, {"page", "7"},
		{"limit coil_ohms", "0.80 ohm +- 0.10 ohm"},
		{"limit fuel_pressure", "3 psi to 7 psi, page 9-1"},
		{"limit float_spread", "highest less lowest at most 1 mm"},
		{"fitted pilot_jet 1", "42"}, {"fitted pilot_jet 2", "45"}, {"fitted pilot_jet 3", "45"}, {"fitted pilot_jet 4", "42"},
	} {
		require.NoError(t, d.Answer(question(t, d, a[0]), a[1]), a[0])
	}
	made, problems := Load(append(goodSources(t), Source{"mine.yaml", d.YAML()}))
	require.NoError(t, problems.Err(), string(d.YAML()))
	mine, theirs := made.sheet("mine").sheet, made.sheet("marsh_twin_one").sheet
	require.Len(t, mine.Limits, len(theirs.Limits))
	for _, want := range theirs.Limits {
		have := mine.Limit(want.ID)
		require.Equal(t, want.Of.String(), have.Of.String())
		require.Equal(t, "invented", have.Source)
	}
	require.Equal(t, "9-1", mine.Limit("fuel_pressure").Page)
	require.Equal(t, "7", mine.Limit("coil_ohms").Page)
	require.Equal(t, len(theirs.Fit("pilot_jet").Values), len(mine.Fit("pilot_jet").Values))
	for i, v := range theirs.Fit("pilot_jet").Values {
		require.Equal(t, v.Value, mine.Fit("pilot_jet").Values[i].Value)
	}
	require.Contains(t, string(d.YAML()), "# left out: limit screw_turns")
	require.NotContains(t, string(d.YAML()), "left out: limit coil_ohms")
}

// TestDraftRefuses: what the loader would refuse is refused at once, in its words,
// and changes nothing.
func TestDraftRefuses(t *testing.T) {
	lib := goodLibrary(t)
	d := draftOn(t, lib, "marsh_twin", "mine")
	before := string(d.YAML())
	for _, c := range [][3]string{
		{"pack", "marsh_twni", `did you mean "marsh_twin"?`},
		{"pack", "", "a sheet cannot do without it"},
		{"sheet", "Mine", "use lower case letters"},
		{"sheet", "marsh_twin_one", "the identifier is in use"},
		{"title", "", "a sheet cannot do without it"},
		{"limit fuel_pressure", "3", "is no limit; write at least N psi"},
		{"limit fuel_pressure", "at least 3", "psi"},
		{"limit fuel_pressure", "at least 3 ohm", "resistance"},
		{"limit fuel_pressure", "7 psi to 3 psi", "is not below the highest"},
		{"limit fuel_pressure", "5 psi +- 0 psi", "out of range"},
		{"limit coil_ohms", "at least 1 ohm", "give nominal and tolerance"},
		{"limit coil_ohms", "lowest over highest at least 75 %", "siblings"},
		{"limit float_spread", "at most 1 mm", "has no rule for them"},
		{"limit float_spread", "highest less lowest at most 75 %", "ratio"},
	} {
		err := d.Answer(question(t, d, c[0]), c[1])
		require.ErrorContains(t, err, c[2], "%s: %s", c[0], c[1])
		require.NotContains(t, err.Error(), "\n")
		require.Equal(t, before, string(d.YAML()))
	}
	require.NoError(t, d.Answer(question(t, d, "fitted pilot_jet 1"), "42"))
	require.ErrorContains(t, d.Answer(question(t, d, "fitted pilot_jet 2"), ""), "go back to the first position")
	lacks, ok := d.Lacking()
	require.True(t, ok)
	require.Equal(t, "fitted pilot_jet 2", lacks.Key)
	require.NoError(t, d.Answer(question(t, d, "fitted pilot_jet 1"), ""))
	_, ok = d.Lacking()
	require.False(t, ok)
}

// TestDraftIsAlwaysSound gives random answers, of which many are refused: whenever
// nothing is lacking the file loads, with any pack of the program.
func TestDraftIsAlwaysSound(t *testing.T) {
	lib, err := LoadEmbedded()
	require.NoError(t, err)
	said := rapid.OneOf(rapid.Just(""), rapid.SampledFrom([]string{
		"42", "0.8 ohm +- 10 %", "at least 3 psi", "at most 0.5 V, page 3", "lowest over highest at least 75 %", "12 V to 14 V",
		"900 rpm ± 50 rpm", "14 mm +- 0.5 mm", "highest less lowest at most 2 mm", "125 psi +- 15 psi", "no", "~", "'", "at least 75 %", "# x", "a: b",
	}), rapid.StringMatching(`[a-z0-9 :#'"{}\[\],%+-]{0,20}`))
	taken := 0
	rapid.Check(t, func(rt *rapid.T) {
		packs := lib.Packs()
		d := draftOn(rt, lib, packs[rapid.IntRange(0, len(packs)-1).Draw(rt, "pack")].ID, "mine")
		for i := 3; i < len(d.Questions()) && i < 60; i++ {
			if q := d.Questions()[i]; d.Answer(q, said.Draw(rt, q.Key)) == nil && d.Said(q.Key) != "" {
				taken++
			}
		}
		if _, lacks := d.Lacking(); lacks {
			return
		}
		f := &faults{file: "mine"}
		s := &sheetFile{f: f, pack: d.pack()}
		s.sheet = (&decoder{f}).sheet(parse(Source{"mine", d.YAML()}, f))
		checkSheet(s)
		require.Empty(rt, f.list, string(d.YAML()))
		var root yaml.Node
		require.NoError(rt, yaml.Unmarshal(d.YAML(), &root))
		require.NoError(rt, compiledSchema(t, "sheet").Validate(instance(rt, root.Content[0])))
	})
	require.Greater(t, taken, 40)
}

// TestCheckWithoutNominalIsForTheRecord leaves out the nominal value from which a
// check counts: the check is there, and its readings say nothing.
func TestCheckWithoutNominalIsForTheRecord(t *testing.T) {
	sources := goodSources(t)
	text := string(sources[1].Data)
	at := strings.Index(text, "  coil_ohms:")
	text = text[:at] + text[at+strings.Index(text[at:], "\n")+1:]
	other := Source{"other.yaml", []byte(strings.Replace(text, "sheet: marsh_twin_one", "sheet: without", 1))}
	lib, problems := Load(append(sources, other))
	require.NoError(t, problems.Err())
	e, err := Open(lib, "without")
	require.NoError(t, err)
	full, err := Open(lib, "marsh_twin_one")
	require.NoError(t, err)
	require.Len(t, e.Checks(), len(full.Checks()), "no check is missing")
	records := 0
	for _, u := range e.Checks() {
		use, reads := e.Reading(u)
		require.Equal(t, u.Def.ID == "coil_ohms", reads && use.Record, u.Def.ID)
		if !use.Record {
			continue
		}
		records++
		require.Nil(t, use.Limit)
		for _, y := range []float64{-5, 0, 0.8, 1e6} {
			for _, l := range use.Model.Likelihoods(y, 0.03) {
				require.Equal(t, 1.0, l)
			}
		}
		require.Len(t, use.Again(measure.Estimate{Value: 0.8, U: 0.03, Unit: use.Unit}, 0.03), len(use.Model.Rows)+1)
	}
	require.Equal(t, 2, records)
}

// TestAnotherPackAnotherSheet: with another pack the answers to the first one's
// questions go, and those about the sheet stay.
func TestAnotherPackAnotherSheet(t *testing.T) {
	lib, err := LoadEmbedded()
	require.NoError(t, err)
	d := draftOn(t, lib, "pump_single", "mine")
	require.NoError(t, d.Answer(question(t, d, "limit coil_primary"), "1 ohm +- 10 %"))
	require.NoError(t, d.Answer(question(t, d, "pack"), "pump_single"))
	require.Equal(t, "1 ohm +- 10 %", d.Said("limit coil_primary"))
	require.NoError(t, d.Answer(question(t, d, "pack"), "outboard_four"))
	require.Empty(t, d.Said("limit coil_primary"))
	require.Equal(t, "mine", d.ID())
}
