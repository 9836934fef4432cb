package knowledge

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/symptoms/measure"
)

// Every instrument that comes with the program can be read with: its uncertainty is
// known in the base unit of its quantity, and says what it rests on.
func TestEmbeddedInstruments(t *testing.T) {
	src, err := EmbeddedInstruments()
	require.NoError(t, err)
	lib, problems := Load([]Source{src})
	require.NoError(t, problems.Err())
	all := lib.Instruments()
	require.GreaterOrEqual(t, len(all), 12)
	require.LessOrEqual(t, len(all), 18)
	titles := make(map[string]bool)
	for _, x := range all {
		require.NotEmpty(t, x.Source, x.ID)
		require.False(t, titles[x.Title], "%s: another has the title", x.ID)
		titles[x.Title] = true
		for _, u := range x.Of.Units() {
			in, err := x.Figures.Instrument(x.Title, u)
			require.NoError(t, err, x.ID)
			r, err := in.At(10, u)
			require.NoError(t, err, x.ID)
			require.Greater(t, r.U, 0.0, x.ID)
		}
	}
	whole, err := LoadEmbedded()
	require.NoError(t, err)
	require.Len(t, whole.Instruments(), len(all))
}

// A percentage does for noise and gauge; a temperature's uncertainty is a difference.
func TestInstrumentFigures(t *testing.T) {
	lib, problems := Load([]Source{{"i.yaml", []byte(`format: 1
instruments:
  a: {title: a, quantity: voltage, noise: "2 %", gauge: "0.1 V"}
  b: {title: b, quantity: temperature, noise: "5 degF"}
  c: {title: c, quantity: ratio, noise: "2 %"}
`)}})
	require.NoError(t, problems.Err())
	u := lib.Instruments()[0].Of.Base()
	in, err := lib.Instruments()[0].Figures.Instrument("a", u)
	require.NoError(t, err)
	r, err := in.At(100, u)
	require.NoError(t, err)
	own, common := r.Parted("a")
	require.InDelta(t, 2, own, 1e-12)
	require.InDelta(t, .1, common, 1e-12)
	require.Equal(t, measure.Figures{Noise: lib.Instruments()[1].Figures.Noise}, lib.Instruments()[1].Figures)
	require.InDelta(t, 5./1.8, lib.Instruments()[1].Figures.Noise.Base(), 1e-12)
}

// Two lists may not have one identifier; and a list with a fault is left out whole.
func TestInstrumentListsTogether(t *testing.T) {
	src, err := EmbeddedInstruments()
	require.NoError(t, err)
	lib, problems := Load([]Source{src, {"own.yaml", []byte("format: 1\ninstruments:\n  test_gauge: {title: mine, quantity: pressure, noise: \"1 psi\"}\n  mine: {title: mine, quantity: pressure, noise: \"1 psi\"}\n")}})
	require.Len(t, problems, 1)
	require.Equal(t, `own.yaml:3:3: instrument "test_gauge": the identifier is in use, in packs/instruments.yaml; give each instrument its own [taken-identifier]`, problems[0].Error())
	for _, x := range lib.Instruments() {
		require.NotEqual(t, "mine", x.ID)
	}
	lib, problems = Load([]Source{{"empty.yaml", []byte("format: 1\ninstruments: {}\n")}})
	require.NoError(t, problems.Err())
	require.Empty(t, lib.Instruments())
}

// What is added stands behind what was there, comments and all; what is taken out
// takes nothing along.
func TestInstrumentsEdited(t *testing.T) {
	mine := NewInstrument{ID: "mine", Title: "gauge: \"the good one\"", Quantity: "pressure", Noise: "1 psi", Accuracy: "", Note: "ä"}
	first, err := AddInstrument("own.yaml", nil, mine)
	require.NoError(t, err)
	lib, problems := Load([]Source{{"own.yaml", first}})
	require.NoError(t, problems.Err())
	require.Equal(t, mine.Title, lib.Instruments()[0].Title)

	kept := "# bought second-hand\nformat: 1\ninstruments:\n  # the one in the van\n  van: {title: van gauge, quantity: pressure, noise: \"3 psi\"} # drop it no more\n"
	for _, before := range []string{kept, strings.TrimSuffix(kept, "\n"), "# bought second-hand\ninstruments: {van: {title: van gauge, quantity: pressure, noise: \"3 psi\"}}\nformat: 1\n"} {
		after, err := AddInstrument("own.yaml", []byte(before), mine)
		require.NoError(t, err)
		require.Contains(t, string(after), "# bought second-hand")
		if strings.Contains(before, "van:\n") || strings.Contains(before, "drop") {
			require.Contains(t, string(after), "# the one in the van")
			require.Contains(t, string(after), "# drop it no more")
		}
		lib, problems := Load([]Source{{"own.yaml", after}})
		require.NoError(t, problems.Err())
		require.Len(t, lib.Instruments(), 2)
		require.Equal(t, "mine", lib.Instruments()[1].ID)
		gone, err := RemoveInstrument("own.yaml", after, "mine")
		require.NoError(t, err)
		lib, problems = Load([]Source{{"own.yaml", gone}})
		require.NoError(t, problems.Err())
		require.Len(t, lib.Instruments(), 1)
		require.Equal(t, "van", lib.Instruments()[0].ID)
		none, err := RemoveInstrument("own.yaml", gone, "van")
		require.NoError(t, err)
		_, problems = Load([]Source{{"own.yaml", none}})
		require.NoError(t, problems.Err())
		again, err := AddInstrument("own.yaml", none, mine)
		require.NoError(t, err)
		lib, problems = Load([]Source{{"own.yaml", again}})
		require.NoError(t, problems.Err())
		require.Len(t, lib.Instruments(), 1)
	}

	for name, bad := range map[string]NewInstrument{
		"identifier":     {ID: "Mine!", Title: "x", Quantity: "pressure", Noise: "1 psi"},
		"is in use":      {ID: "van", Title: "x", Quantity: "pressure", Noise: "1 psi"},
		"title":          {ID: "x", Quantity: "pressure", Noise: "1 psi"},
		"is not known":   {ID: "x", Title: "x", Quantity: "pressur", Noise: "1 psi"},
		"a resistance":   {ID: "x", Title: "x", Quantity: "pressure", Noise: "1 ohm"},
		"nothing is":     {ID: "x", Title: "x", Quantity: "pressure"},
		"what one is":    {ID: "x", Title: "x", Quantity: "resistance", Accuracy: "1 % + 2 digits"},
		"cannot be read": {ID: "x", Title: "x", Quantity: "resistance", Accuracy: "fine"},
	} {
		_, err := AddInstrument("own.yaml", []byte(kept), bad)
		require.ErrorContains(t, err, name)
	}
	_, err = RemoveInstrument("own.yaml", []byte(kept), "mine")
	require.ErrorContains(t, err, "no instrument")
	_, err = AddInstrument("own.yaml", []byte("format: 1\ninstruments: [\n"), mine)
	require.ErrorContains(t, err, "own.yaml:")
	_, err = os.Stat("own.yaml")
	require.ErrorIs(t, err, os.ErrNotExist)
}
