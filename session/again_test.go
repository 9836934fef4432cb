package session

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/faulttree/plan"
	"narrows/knowledge"
	"narrows/symptoms/measure"
)

// again is the action that repeats a check's reading, with the instrument of that
// name or "" for the same.
func (b *bout) again(check, place, tool string) (int, plan.Action) {
	b.t.Helper()
	for i, a := range b.problem().Actions {
		about := b.b.about[i]
		if a.Again != nil && about.id == check && placeKey(about.places[0]) == place && about.finer == tool {
			return i, a
		}
	}
	b.t.Fatalf("nothing repeats %s at %q", check, place)
	return 0, plan.Action{}
}

// Readings of the same thing count as one of their mean, whose noise is less; and
// undo brings back exactly what was believed after the first.
func TestReadingsTogether(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("hard to start cold", "")
	_, a := b.again("compression", "", "")
	require.Equal(t, nothingRead, a.Barred)

	b.say("check compression", "", "98 psi")
	first := b.suspect("decompressor.not_lifting", "")
	_, a = b.again("compression", "", "")
	require.Empty(t, a.Barred)
	require.True(t, a.BeforeRepairs)

	v := b.say("check compression", "90 psi")
	require.Contains(t, v.Text, "Together, 2 readings: 94.00 psi (standard uncertainty 2.8 psi): too close to call.")
	both := b.suspect("decompressor.not_lifting", "")

	use, ok := b.Engine().Reading(b.use("compression"))
	require.True(t, ok)
	alone := start(t, "holm_pump_5")
	alone.say("hard to start cold", "")
	l, err := use.Model.Of(measure.Estimate{Value: 94, U: 4 / 1.4142135623730951, Unit: use.Unit})
	require.NoError(t, err)
	rec := &reading{Typed: "94 psi", Unit: "psi", Corrected: 94, Uncertainty: 4 / 1.4142135623730951, Likelihood: l}
	require.NoError(t, alone.record(t.Context(), kindCheck, checked{Check: "compression", Results: []answer{{Reading: rec}}}))
	same := alone.suspect("decompressor.not_lifting", "")
	require.InDelta(t, same.Present, both.Present, 1e-12)
	require.InDelta(t, same.Cures, both.Cures, 1e-12)

	b.say("undo")
	require.Equal(t, first, b.suspect("decompressor.not_lifting", ""))
}

func (b *bout) use(check string) knowledge.CheckUse {
	b.t.Helper()
	u, ok := b.Engine().Check(check, knowledge.Place{})
	require.True(b.t, ok)
	return u
}

// A reading that does not agree with the one before is not averaged with it: one
// of them is a slip, and the last counts.
func TestReadingsThatDoNotAgree(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("hard to start cold", "", "check compression", "", "120 psi")
	v := b.say("check compression", "84 psi")
	require.Contains(t, v.Text[1], "does not agree with what was read before")
	got := b.suspect("rings.worn", "")
	c := start(t, "holm_pump_5")
	c.say("hard to start cold", "", "check compression", "", "84 psi")
	require.Equal(t, c.suspect("rings.worn", ""), got)
	// A third that agrees with the last counts with it.
	v = b.say("check compression", "80 psi")
	require.Contains(t, v.Text[1], "Together, 2 readings: 82.00 psi")
}

// What a reading says once more is worth something near the limit and nothing far
// from it, where no decision hangs on it.
func TestWorthOfReadingAgain(t *testing.T) {
	saves := func(psi float64) float64 {
		b := start(t, "holm_pump_5")
		b.say("hard to start cold", "", "check compression", "", fmt.Sprintf("%g psi", psi))
		i, a := b.again("compression", "", "")
		require.Empty(t, a.Barred)
		p := b.problem()
		for k := range p.Actions { // all else that could be looked into is not to be had
			if p.Actions[k].Kind == plan.Check && k != i {
				p.Actions[k].Barred = "not to be had"
			}
		}
		p.Actions[i].Minutes = .5 // the gauge is still in
		adv, err := p.Advise(t.Context(), plan.Budget{})
		require.NoError(t, err)
		for _, o := range adv.Options {
			if o.Action == i {
				require.Len(t, o.Outcomes, 2)
				sum := 0.0
				for _, r := range o.Outcomes {
					sum += r.P
				}
				require.InDelta(t, 1, sum, 1e-9)
				return o.Saves
			}
		}
		return 0 // it says too little to be looked into
	}
	// Below 64 psi rings, valves or the head gasket are to blame.
	require.Greater(t, saves(62), 2.0)
	require.LessOrEqual(t, saves(40), 0.0)
	require.LessOrEqual(t, saves(80), 0.0)
}

// The calliper is finer than the depth gauge: with it the same height is read with
// less doubt, it is kept what it was read with, and where there is none it is not
// offered. After a repair the readings are of another engine.
func TestReadingWithAFinerInstrument(t *testing.T) {
	b := start(t, "marsh_tern_60")
	b.say("stumbles at all rpm", "", "check float heights carb:2", "", "15.1 mm")
	i, a := b.again("float_height", "carb:2", "calliper")
	require.Empty(t, a.Barred)
	b.say("without calliper")
	_, a = b.again("float_height", "carb:2", "calliper")
	require.Contains(t, a.Barred, "no calliper")
	b.say("with calliper")

	_, err := b.start(t.Context(), i)
	require.NoError(t, err)
	v := b.say("15.4 mm")
	require.Contains(t, v.Text[1], "Together, 2 readings: 15.38 mm (standard uncertainty 0.049 mm)")
	last := b.Log.Entries()[b.entries()-1]
	require.Contains(t, string(last.Payload), `"instrument":"calliper"`)
	_, a = b.again("float_height", "carb:1", "calliper")
	require.Equal(t, nothingRead, a.Barred)
	h, err := b.History()
	require.NoError(t, err)
	past := h.Steps[len(h.Steps)-1].Answers[0].Reading
	require.Equal(t, "calliper", past.Instrument)
	require.Contains(t, past.Together, "Together, 2 readings: 15.38 mm")

	b.say("fixed spark plug cylinder:1", "still")
	_, a = b.again("float_height", "carb:2", "calliper")
	require.Equal(t, nothingRead, a.Barred)
}

// A reading that cannot well be meant is asked for again and not recorded: of the
// wrong sign, ten times too large or too small, in another unit, or like nothing at
// all. The same once more keeps it.
func TestQuestionedReadings(t *testing.T) {
	for typed, meant := range map[string]string{
		"-82 psi":    "Was it 82 psi",
		"820 psi":    "Was it 82 psi",
		"9000 psi":   "",
		"82,000 psi": "two ways",
		"82 ohm":     "resistance",
		"":           "Reading",
	} {
		b := start(t, "holm_pump_5")
		b.say("hard to start cold", "", "check compression", "")
		n := b.entries()
		v := b.try(typed)
		require.Equal(t, n, b.entries(), "%q is not recorded", typed)
		all := v.Error
		for _, s := range v.Text {
			all += " " + s
		}
		if v.Ask != nil {
			all += " " + v.Ask.Prompt
		}
		require.Contains(t, all, meant, typed)
		b.say("82 psi")
		require.Greater(t, b.entries(), n)
	}

	b := start(t, "holm_pump_5")
	b.say("hard to start cold", "", "check coil primary", "")
	n := b.entries()
	v := b.say("0.9 kohm", "0.05 ohm", "20 degC")
	require.Contains(t, v.Text, "Was it 0.9 ohm?")
	require.Equal(t, n, b.entries())
	b.say("yes") // with its corrections
	require.Equal(t, n+1, b.entries())
	require.Contains(t, string(b.Log.Entries()[n].Payload), `"name":"leads","typed":"0.05 ohm"`)
	// Judged as corrected: long leads make no reading odd, and a slip in them does.
	b = start(t, "holm_pump_5")
	b.say("hard to start cold", "", "check coil primary", "", "3.6 ohm", "2.6 ohm", "yes", "20 degC")
	require.Equal(t, n+1, b.entries())
	b.say("check coil primary", "3.6 ohm", "0.26 ohm", "20 degC")
	require.Equal(t, n+1, b.entries())

	b = start(t, "holm_pump_5")
	b.say("hard to start cold", "", "check compression", "")
	n = b.entries()
	b.say("9000 psi")
	require.Equal(t, n, b.entries())
	b.say("8000 psi") // another one: asked again
	require.Equal(t, n, b.entries())
	b.say("8000  PSI")
	require.Equal(t, n+1, b.entries())

	b = start(t, "holm_pump_5")
	b.say("hard to start cold", "", "check compression", "", "820 psi", "yes")
	require.Contains(t, string(b.Log.Entries()[b.entries()-1].Payload), `"typed":"820 psi"`)
}

func TestWhatWouldSettleIt(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("hard to start cold", "", "check compression", "")
	v := b.say("60 psi") // 4 below the limit with a guard band of 6.6
	require.Contains(t, v.Text, "What would settle it if they say the same: 2 more such readings.")
	b.say("check compression", "60 psi")
	v = b.say("check compression", "60 psi")
	require.Contains(t, v.Text[1], "Together, 3 readings: 60.00 psi (standard uncertainty 2.3 psi): does not conform")
	require.NotContains(t, v.Text[2:], "settle")

	b = start(t, "marsh_tern_60")
	b.say("stumbles at all rpm", "", "check float heights carb:2", "")
	v = b.say("15.0 mm")
	require.Contains(t, v.Text[len(v.Text)-1], "1 reading with the calliper")
}

// The cylinders are compared with one another by the sheet's rule once all are
// read: 95 of 125 psi is 76 %, with u(76 %) = sqrt((4/125)^2 + (95*4/125^2)^2) =
// 4 %, which does not prove 75 % (worked by hand; the 75 % after a US Army engine
// manual, as the sheet says).
func TestSiblingsCompared(t *testing.T) {
	b := start(t, "marsh_tern_60")
	b.say("stumbles at all rpm", "", "check dry compression", "", "125 psi", "122 psi", "95 psi")
	v := b.say("120 psi")
	require.Contains(t, v.Text, "Lowest over highest: 76.0 % (lowest cylinder 3, highest cylinder 1): too close to call; limit lowest over highest at least 75 %.")
	b = start(t, "marsh_tern_60")
	b.say("stumbles at all rpm", "", "check dry compression", "", "125 psi", "122 psi", "80 psi")
	v = b.say("120 psi")
	require.Contains(t, v.Text[1], "64.0 %")
	require.Contains(t, v.Text[1], "does not conform")
}
