package session

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/knowledge"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// kit is a list of instruments as the program would hand it over.
func kit(t *testing.T) []*knowledge.Instrument {
	t.Helper()
	src, err := knowledge.EmbeddedInstruments()
	require.NoError(t, err)
	lib, problems := knowledge.Load([]knowledge.Source{src})
	require.NoError(t, problems.Err())
	return lib.Instruments()
}

func equipped(t *testing.T, sheet string) *bout {
	t.Helper()
	b := start(t, sheet)
	b.Equip(kit(t))
	return b
}

// text is all lines of a view that are no data.
func text(v View) string { return strings.Join(v.Text, "\n") }

// A reading is weighed with the instrument that was taken, whatever the check assumes;
// the ask says so before, the log and the history after; the record stands without the
// list; undo goes back to the check's own figure.
func TestReadingWithAnInstrumentTaken(t *testing.T) {
	b := equipped(t, "holm_pump_5")
	b.say("hard to start cold", "")
	require.Contains(t, text(b.say("using")), "Pressure: as each check assumes")
	v := b.say("check compression", "")
	require.Contains(t, text(v), "Instrument: as the check assumes (standard uncertainty 4.0 psi)")
	// Taken while the reading is asked for, it counts for that reading, and the
	// question stands.
	v = b.say("using test gauge")
	require.Contains(t, text(v), "From now on readings of pressure with the test gauge (noise 0.7 psi, gauge 0.9 psi).")
	require.Contains(t, text(v), "Instrument: test gauge (standard uncertainty 1.1 psi)")
	require.NotNil(t, v.Ask)
	require.Contains(t, text(b.say("using")), "Pressure: test gauge (noise 0.7 psi, gauge 0.9 psi)")
	b.say("92 psi")

	u := math.Hypot(.7, .9)
	use, ok := b.Engine().Reading(b.use("compression"))
	require.True(t, ok)
	want, err := use.Model.Of(measure.Estimate{Value: 92, U: u, Unit: use.Unit})
	require.NoError(t, err)
	got := b.s.readings[checkAt{"compression", ""}][0]
	require.InDeltaSlice(t, want, got.Likelihood, 1e-12)
	require.InDelta(t, u, got.Uncertainty, 1e-12)
	require.Equal(t, "test gauge", got.Instrument)
	require.Len(t, got.Components, 2)
	require.Contains(t, b.say("log").Log[b.entries()-1].Text, "92 psi with the test gauge (standard uncertainty 1.1 psi)")
	h, err := b.History()
	require.NoError(t, err)
	last := h.Steps[len(h.Steps)-1].Answers[0].Reading
	require.Equal(t, "test gauge", last.Instrument)
	require.Equal(t, "1.1 psi", last.Uncertainty)

	// The noise of two readings is averaged, the gauge's error is not.
	b.say("check compression", "91 psi")
	so := b.s.read[checkAt{"compression", ""}]
	require.InDelta(t, math.Sqrt(.7*.7/2+.9*.9), so.U, 1e-12)

	// Replayed without any list it is the same.
	with := b.suspect("rings.worn", "")
	require.Equal(t, with, again(t, b).suspect("rings.worn", ""))
	require.Contains(t, text(again(t, b).say("using")), "Pressure: test gauge")

	b.say("undo", "undo", "undo")
	require.Empty(t, b.s.using)
	b.say("check compression", "92 psi")
	plain := start(t, "holm_pump_5")
	plain.say("hard to start cold", "", "check compression", "", "92 psi")
	require.Equal(t, plain.suspect("rings.worn", ""), b.suspect("rings.worn", ""))
}

func TestUsingNothing(t *testing.T) {
	b := equipped(t, "marsh_tern_60")
	b.say("stumbles at all rpm", "", "using plain pressure gauge", "using calliper", "using infrared")
	n := b.entries()
	for line, want := range map[string]string{
		"using nothing":                "For which quantity?",
		"using nothing for voltage":    "No instrument is in use for voltage",
		"using nothing for presure":    "did you mean pressure",
		"using calliper":               "in use already",
		"using hammer":                 "No one instrument fits",
		"using multimeter":             "No one instrument fits",
		"using test gauge for voltage": "No one instrument fits",
		"using stopwatch":              "No one instrument fits", // nothing reads a time here
	} {
		require.Contains(t, b.try(line).Error, want, line)
	}
	require.Equal(t, n, b.entries(), "a bad line records nothing")
	b.say("using nothing for pressure", "using none for length")
	require.Len(t, b.s.using, 1)
	b.say("using nothing")
	require.Empty(t, b.s.using)
	require.Contains(t, b.try("using nothing").Error, "No instrument is in use")
	require.Contains(t, b.say("log").Log[n].Text, "readings of pressure as the checks assume")
}

// The owner's words may begin with the word.
func TestComplaintThatBeginsWithUsing(t *testing.T) {
	b := equipped(t, "holm_pump_5")
	b.say("using more fuel, and hard to start cold")
	require.NotNil(t, b.s.complaint)
	require.Equal(t, "using more fuel, and hard to start cold", b.s.complaint.Text)
}

// What would settle a reading, and what it is worth to read again, goes by the
// instrument in use: one whose own error is most of its doubt settles nothing.
func TestAgainWithAnInstrumentTaken(t *testing.T) {
	b := equipped(t, "holm_pump_5")
	b.say("hard to start cold", "", "check compression", "")
	v := b.say("100 psi") // at most 96
	require.Contains(t, text(v), "What would settle it")
	require.NotContains(t, text(v), "test gauge")
	_, a := b.again("compression", "", "")
	plain := a.Again.Odds
	v = b.say("using test gauge", "check compression", "100 psi")
	require.Contains(t, text(v), "Together, 2 readings")
	c := equipped(t, "holm_pump_5")
	c.Equip(append(c.kit, &knowledge.Instrument{Entry: knowledge.Entry{ID: "even", Title: "even gauge"}, Of: quantity.Pressure,
		Figures: measure.Figures{Gauge: psi(t, 4)}}))
	c.say("hard to start cold", "", "using even gauge", "check compression", "")
	v = c.say("100 psi")
	require.Contains(t, text(v), "reading it again will hardly settle it")
	_, a = c.again("compression", "", "")
	require.NotNil(t, a.Again)
	for _, row := range a.Again.Odds { // what it shows again is as good as certain
		require.InDelta(t, 1, math.Max(row[0], row[1]), 1e-3)
	}
	_, a = b.again("compression", "", "")
	require.NotEqual(t, plain, a.Again.Odds)
}

func psi(t *testing.T, v float64) quantity.Quantity {
	t.Helper()
	u, err := quantity.ParseUnit("psi")
	require.NoError(t, err)
	q, err := quantity.New(v, u)
	require.NoError(t, err)
	return q
}

// The finer instrument of the check, chosen for a repeat, has its own figure.
func TestFinerBeforeTheInstrumentTaken(t *testing.T) {
	b := equipped(t, "marsh_tern_60")
	b.say("stumbles at all rpm", "", "using depth gauge", "check float heights carb:2", "", "14.1 mm")
	at := checkAt{"float_height", "carb:2"}
	for k := range b.s.readings {
		if k.place == "carb:2" {
			at = k
		}
	}
	require.Equal(t, "depth gauge", b.s.readings[at][0].Instrument)
	i, _ := b.again(at.check, "carb:2", "calliper")
	v, err := b.start(t.Context(), i)
	require.NoError(t, err)
	if v.Kind == "caution" {
		v = b.say("")
	}
	require.Contains(t, text(v), "Instrument: calliper (standard uncertainty 0.050 mm)")
	b.say("14.0 mm")
	require.Equal(t, 0.05, b.s.readings[at][1].Uncertainty)
	require.Equal(t, "calliper", b.s.readings[at][1].Instrument)
}

// A gauge for compressions is taken for every pressure; where it is far too coarse the
// ask says so.
func TestInstrumentTooCoarse(t *testing.T) {
	b := equipped(t, "marsh_tern_60")
	b.RankLater(nil)
	b.say("stumbles at all rpm", "", "using plain pressure gauge", "check dry compression")
	require.NotContains(t, text(b.say("")), "is it the right one")
	b.say("cancel", "check manifold vacuum")
	require.Contains(t, text(b.say("")), "the check assumes 0.50 inHg, is it the right one for it?")
	require.Contains(t, text(b.say("using vacuum gauge")), "Instrument: vacuum gauge (standard uncertainty 0.50 inHg)")
}

// One gauge at all cylinders: its error is in all of them, so that it drops out of
// the comparison by lowest over highest.
func TestSiblingsWithOneGauge(t *testing.T) {
	b := equipped(t, "marsh_tern_60")
	b.say("stumbles at all rpm", "", "using plain pressure gauge", "check dry compression", "")
	b.say("125 psi", "125 psi", "125 psi", "125 psi")
	var all []measure.Sibling
	for _, p := range []string{"1", "2"} {
		so := b.s.read[checkAt{"compression_dry", "cylinder:" + p}]
		require.InDelta(t, math.Hypot(2, 3.5), so.U, 1e-12)
		all = append(all, measure.Sibling{Position: p, Reading: so.reading()})
	}
	c, err := measure.Compare(measure.LowestOverHighest, all)
	require.NoError(t, err)
	require.InDelta(t, 100*math.Sqrt(2)*2/125, c.U, 1e-9)
}

func TestCompleteInstrumentsAndUnits(t *testing.T) {
	b := equipped(t, "holm_pump_5")
	has := func(line, want string) {
		t.Helper()
		for _, s := range b.Complete(line, len([]rune(line))) {
			if s.Text == want {
				return
			}
		}
		t.Fatalf("%q does not go on with %q: %v", line, want, b.Complete(line, len([]rune(line))))
	}
	has("usi", "using")
	has("using te", "test gauge")
	has("using no", "nothing")
	has("units pre", "pressure bar")
	has("units pressure b", "bar")
	has("units pressure as", "as the sheet")
}
