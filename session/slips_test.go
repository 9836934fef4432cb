package session

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/knowledge"
	"narrows/symptoms/measure"
)

// slip is a reading as it was mistyped, and what is said to it: an error, or a
// question that names what was likely meant.
type slip struct{ typed, said string }

// Readings mistyped in the usual ways at checks of both packs: another kind of
// quantity, a value that cannot be, the wrong sign, a decimal comma that may be one
// of thousands, ten times too much or too little, another unit. Plausible ones, some
// in another unit, are taken without a word.
var mistyped = []struct {
	sheet, check string
	corrections  []string // the answers to what is asked for next
	slips        []slip
	plausible    []string
}{
	{"marsh_tern_60", "dry compression", nil, []slip{
		{"118 V", "118 V is a voltage"}, {"-118 psi", "Was it 118 psi"}, {"-16 psi", "Is that what it reads"}, {"1,180 psi", "two ways"},
		{"1180 psi", "Was it 118 psi"}, {"1250 psi", "Was it 125 psi"}, {"118 bar", "Was it 118 psi"}, {"118 kgf/cm2", "Was it 118 psi"}, {"118 Pa", "Was it 118 psi"},
		{"118", "has no unit"}, {"118 psl", "did you mean psi"}, {"118 120 psi", "more than one number"}, {"all 118 psi", "cannot stand for all"},
		{"cylinder 2 118 V", "118 V is a voltage"}, {"1e20 psi", "not a number of a size"}, {"low", "does not start with a number"},
	}, []string{"118 psi", "8,1 bar", "cylinder 4 813.6 kPa", "31 psi"}},
	{"holm_pump_5", "compression", nil, []slip{
		{"82 V", "82 V is a voltage"}, {"-82 psi", "Was it 82 psi"}, {"820 psi", "Was it 82 psi"}, {"82 bar", "Was it 82 psi"}, {"82,000 psi", "two ways"},
	}, []string{"82 psi"}},
	{"holm_pump_5", "coil primary", []string{"0.10 ohm", "20 degC"}, []slip{
		{"1.1 V", "1.1 V is a voltage"}, {"-1.1 ohm", "do not fit"}, {"11 ohm", "Was it 1.1 ohm"}, {"1.1 kohm", "Was it 1.1 ohm"}, {"1.1k", "Was it 1.1 ohm"},
		{"1.1 mohm", "do not fit"}, {"1,100 ohm", "two ways"},
	}, []string{"1,1 ohm"}},
	{"marsh_tern_60", "float heights carb:2", nil, []slip{
		{"14 psi", "14 psi is a pressure"}, {"-5 mm", "Is that what it reads"}, {"-14 mm", "Was it 14 mm"}, {"140 mm", "Was it 14 mm"}, {"1.4 mm", "Was it 14 mm"},
		{"14 in", "Was it 14 mm"}, {"14 thou", "Was it 14 mm"}, {"14,000 mm", "two ways"},
	}, []string{"14.0 mm", "14,1 mm", "0.55 in", "1.41 cm"}},
	{"marsh_tern_60", "battery at rest", nil, []slip{
		{"12.6 A", "12.6 A is a current"}, {"-12.6 V", "Was it 12.6 V"}, {"126 V", "Was it 12.6 V"}, {"1.26 V", "Was it 12.6 V"}, {"12.6 mV", "Was it 12.6 V"},
		{"12.6 kV", "Was it 12.6 V"}, {"12,600 V", "two ways"},
	}, []string{"12,6 V"}},
	{"marsh_tern_60", "cranking speed", nil, []slip{
		{"310 V", "310 V is a voltage"}, {"-310 rpm", "Was it 310 rpm"}, {"31 rpm", "Was it 310 rpm"}, {"3100 rpm", "Was it 310 rpm"}, {"310 Hz", "Was it 310 rpm"},
		{"1,250 rpm", "two ways"},
	}, []string{"5.1 r/s"}},
	{"marsh_tern_60", "idle speed", nil, []slip{{"85 rpm", "Was it 850 rpm"}, {"8500 rpm", "Was it 850 rpm"}, {"-850 rpm", "Was it 850 rpm"}}, []string{"850 rpm"}},
	{"marsh_tern_60", "vacuum in each intake", nil, []slip{
		{"-18 inHg", "Was it 18 inHg"}, {"180 inHg", "Was it 18 inHg"}, {"18 psi", "Was it 18 inHg"}, {"18 mm", "18 mm is a length"},
	}, []string{"18 inHg", "457 mmHg", "60,9 kPa", "9.5 inHg"}},
	{"marsh_tern_60", "positive side", nil, []slip{{"-0.25 V", "Was it 0.25 V"}, {"0.25 mV", "Was it 0.25 V"}, {"250 V", "Was it 250 mV"}}, []string{"250 mV"}},
	{"marsh_tern_60", "enricher heater resistance enricher:2", []string{"0.1 ohm"}, []slip{
		{"18.1 kohm", "Was it 18.1 ohm"}, {"181 ohm", "Was it 18.1 ohm"}, {"-18.1 ohm", "do not fit"},
	}, []string{"18.1 ohm", "110 kohm"}},
	{"marsh_tern_60", "resistance of each plug cap cylinder:2", []string{"0.1 ohm"}, []slip{{"0.5 kohm", "Was it 5 k"}, {"5.1 ohm", "Was it 5.1 k"}, {"5 Mohm", "Was it 5 k"}}, []string{"5.1 kohm", "5100 ohm", "12 kohm", "2 kohm"}},
	{"marsh_tern_60", "plug gaps", nil, []slip{{"-0.1 mm", "Is that what it reads"}, {"0.9 in", "Was it 0.9 mm"}, {"9 mm", "Was it 0.9 mm"}}, []string{"0.90 mm", "35 thou", "0 mm", "1.2 mm"}},
}

// mild is a complaint that either pack knows.
func mild(sheet string) string {
	if sheet == "holm_pump_5" {
		return "hard to start cold"
	}
	return "stumbles at all rpm"
}

// both is the engines of the packs' sheets, made once.
func both(t *testing.T) map[string]*knowledge.Engine {
	t.Helper()
	return map[string]*knowledge.Engine{"marsh_tern_60": engine(t, "marsh_tern_60"), "holm_pump_5": engine(t, "holm_pump_5")}
}

// quick is a case with its complaint, at whose prompt nothing is ranked.
func quick(t *testing.T, e *knowledge.Engine) *bout {
	t.Helper()
	s := Store{Dir: t.TempDir(), Clock: fixed()}
	o, err := s.Start(t.Context(), e)
	require.NoError(t, err)
	b := &bout{t, s, o}
	t.Cleanup(func() { _ = b.Close() })
	b.RankLater(nil)
	b.say(mild(e.Sheet().ID), "")
	return b
}

// begin starts a check and goes past its cautions.
func (b *bout) begin(check string) {
	b.t.Helper()
	if v := b.say("check " + check); v.Kind == "caution" {
		b.say("")
	}
	require.NotNil(b.t, b.asked, check)
}

// read gives a reading and what its corrections need; the last view.
func (b *bout) read(typed string, corrections []string) View {
	b.t.Helper()
	v := b.try(typed)
	for _, c := range corrections {
		if b.asked != nil && b.asked.read != nil {
			v = b.try(c)
		}
	}
	return v
}

// words is all that a view says.
func (v View) words() string {
	all := append([]string{v.Error}, v.Text...)
	if v.Ask != nil {
		all = append(all, v.Ask.Prompt)
	}
	return strings.Join(all, "\n")
}

// A mistyped reading is questioned or refused and is not recorded; then yes keeps
// what was questioned, and a new line takes its place.
func TestMistypedReadings(t *testing.T) {
	engines := both(t)
	for _, c := range mistyped {
		t.Run(c.sheet+" "+c.check, func(t *testing.T) {
			b := quick(t, engines[c.sheet])
			for _, s := range c.slips {
				b.begin(c.check)
				n := b.entries()
				v := b.read(s.typed, c.corrections)
				require.Equal(t, n, b.entries(), "%q is not recorded: %s", s.typed, v.words())
				// To the end of the word: 118 psi is not 118 psig.
				require.Regexp(t, regexp.QuoteMeta(s.said), v.words(), s.typed)
				require.NotEmpty(t, v.Hint, s.typed)
				require.NotNil(t, b.asked, "%q does not lose the check", s.typed)
				b.say("cancel")
				require.Equal(t, n, b.entries())
			}
			for _, typed := range c.plausible {
				if b.asked == nil {
					b.begin(c.check)
				}
				n := b.entries()
				v := b.read(typed, c.corrections)
				require.Empty(t, v.Error, typed)
				require.Equal(t, n+1, b.entries(), "%q is recorded at once: %s", typed, v.words())
				require.Contains(t, string(b.Log.Entries()[n].Payload), `"typed":"`, typed)
			}
		})
	}
}

// What was questioned stands with yes, as typed; a new line replaces it, a question
// of its own included; and Enter only shows the check again.
func TestQuestionedReadingsKeptOrReplaced(t *testing.T) {
	engines := both(t)
	for _, c := range mistyped {
		for _, s := range c.slips {
			if !strings.HasPrefix(s.said, "Was it") {
				continue
			}
			t.Run(s.typed, func(t *testing.T) {
				b := quick(t, engines[c.sheet])
				b.begin(c.check)
				n := b.entries()
				b.read(s.typed, c.corrections)
				b.say("")
				require.Equal(t, n, b.entries())
				b.say("yes")
				require.Equal(t, n+1, b.entries())
				require.Contains(t, string(b.Log.Entries()[n].Payload), `"typed":"`+s.typed+`"`)

				b = quick(t, engines[c.sheet])
				b.begin(c.check)
				b.read(s.typed, c.corrections)
				b.read(s.typed+"x", c.corrections) // another slip
				b.read(c.plausible[0], c.corrections)
				require.Equal(t, n+1, b.entries())
				require.NotContains(t, string(b.Log.Entries()[n].Payload), `"typed":"`+s.typed+`"`)
				require.Contains(t, string(b.Log.Entries()[n].Payload), `"typed":"`+c.plausible[0]+`"`)
			})
			break // one of each check
		}
	}
}

// A correction of another kind, or one that no winding has, is asked for anew, and
// the reading is not lost.
func TestMistypedCorrections(t *testing.T) {
	b := quick(t, engine(t, "holm_pump_5"))
	b.begin("coil primary")
	n := b.entries()
	b.say("1.10 ohm")
	for _, bad := range []string{"0.1 V", "0.1", "yes", "0,100 ohms ohm"} {
		require.NotEmpty(t, b.try(bad).Error, bad)
		require.Equal(t, n, b.entries(), bad)
	}
	b.say("0.10 ohm")
	for _, bad := range []string{"20 ohm", "20 K", "20", "-300 degC"} {
		require.NotEmpty(t, b.try(bad).Error, bad)
		require.Equal(t, n, b.entries(), bad)
	}
	b.say("20 degC")
	require.Equal(t, n+1, b.entries())
	require.Contains(t, string(b.Log.Entries()[n].Payload), `"corrected":1,`)
}

// Entered nine times over, a reading counts at most as the same true value read
// without noise would, and never as nine: by the model of the check, and in what is
// believed (its odds against those after one reading).
func TestRepeatsCountOnce(t *testing.T) {
	b := quick(t, engine(t, "holm_pump_5"))
	odds := func() float64 {
		p := b.suspect("rings.worn", "").Present
		return p / (1 - p)
	}
	before := odds()
	ratio := func(u float64) (worn float64) {
		use, ok := b.Engine().Reading(b.use("compression"))
		require.True(t, ok)
		l, err := use.Model.Of(measure.Estimate{Value: 60, U: u, Unit: use.Unit})
		require.NoError(t, err)
		for i, p := range use.Model.Rows {
			if p.Mean > 40 && p.Mean < 60 { // weak compression
				worn = l[i] / l[len(l)-1]
			}
		}
		return worn
	}
	for n := 1; n <= 9; n++ {
		b.begin("compression")
		b.say("60 psi")
		so := b.s.read[checkAt{"compression", placeKey(knowledge.Place{})}]
		require.Equal(t, n, so.n)
		require.InDelta(t, 60, so.Value, 1e-9)
		raised := odds() / before
		require.Greater(t, raised, 1.0)
		require.LessOrEqual(t, raised, ratio(0)*(1+1e-9), "%d readings", n)
		require.LessOrEqual(t, ratio(so.U), ratio(0)*(1+1e-9))
	}
	require.Greater(t, ratio(4)*ratio(4), ratio(0), "two independent ones would say more")
}
