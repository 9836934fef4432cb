package session

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"narrows/knowledge"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// timed is a case whose clock stands still until time passes.
type timed struct {
	*bout
	now *time.Time
}

func startTimed(t *testing.T) *timed {
	t.Helper()
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	s := Store{Dir: t.TempDir(), Clock: func() time.Time { return now }}
	o, err := s.Start(t.Context(), engine(t, "marsh_tern_60"))
	require.NoError(t, err)
	b := &timed{&bout{t, s, o}, &now}
	t.Cleanup(func() { _ = b.Close() })
	return b
}

func (b *timed) pass(d time.Duration) { *b.now = b.now.Add(d) }

// resumed is the case taken up again from its journal.
func (b *timed) resumed() *timed {
	b.t.Helper()
	require.NoError(b.t, b.Close())
	o, err := b.store.Resume(b.ID)
	require.NoError(b.t, err)
	again := &timed{&bout{b.t, b.store, o}, b.now}
	b.t.Cleanup(func() { _ = again.Close() })
	return again
}

// A heater or wax that is sound grows to the nominal length in five minutes at 12 V
// (common practice, no source). The check is gone through step by step; both
// enrichers are read before and after one wait.
func TestTimedCheckFromStepToStep(t *testing.T) {
	b := startTimed(t)
	b.say("black smoke when warm, starts fine", "check enricher growth")
	spent := b.s.minutes
	v := b.say("")
	require.Contains(t, v.Ask.Prompt, "Tip from its flange, cold at enricher 2")
	v = b.say("12.1 mm")
	require.Greater(t, b.s.minutes, spent, "the check is paid with its first step")
	spent = b.s.minutes
	require.Contains(t, v.Ask.Prompt, "enricher 3")
	v = b.say("12.0 mm", "1.30 A", "1.28 A")
	require.Contains(t, v.Ask.Prompt, "Wait 5 min")
	_, waits := b.Wait()
	require.False(t, waits, "it is begun by the mechanic")

	v = b.say("wait")
	require.NotNil(t, v.Wait)
	require.Equal(t, 5*time.Minute, v.Wait.Left)
	n := b.entries()
	v = b.try("0.42 A")
	require.Contains(t, v.Error, "5 min of 5 min are left")
	require.Equal(t, n, b.entries())

	b.pass(2 * time.Minute)
	w, waits := b.Wait()
	require.True(t, waits)
	require.Equal(t, 3*time.Minute, w.Left)
	b.say("note smells of petrol") // anything else goes on meanwhile
	b.pass(3 * time.Minute)
	_, waits = b.Wait()
	require.False(t, waits)

	v = b.say("", "0.42 A", "-", "16.2 mm", "13.9 mm")
	require.Nil(t, b.asked)
	require.Equal(t, spent, b.s.minutes, "nothing is paid twice")
	text := strings.Join(v.Text, "\n")
	require.Contains(t, text, "growth of 12.1 mm and 16.2 mm: 4.10 mm")
	require.Contains(t, text, "does not conform", "the one of carburettor 3 falls short")
	require.Greater(t, b.suspect("enricher.short_travel", "enricher:3").Present, 0.3)
	require.Less(t, b.suspect("enricher.short_travel", "enricher:2").Present, 0.01)
}

// The record ends in the middle of a check: the case taken up again asks on there,
// the wait going on by the clock, and comes to the same numbers.
func TestTimedCheckTakenUpAgain(t *testing.T) {
	whole := startTimed(t)
	lines := []string{"black smoke when warm, starts fine", "check enricher growth", "12.1 mm", "12.0 mm", "1.30 A", "1.28 A", "wait"}
	rest := []string{"0.42 A", "0.40 A", "16.2 mm", "13.9 mm"}
	whole.say(lines...)
	whole.pass(5 * time.Minute)
	whole.say(rest...)
	want, err := whole.suspects()
	require.NoError(t, err)

	b := startTimed(t)
	b.say(lines...)
	b.pass(time.Minute)
	b = b.resumed()
	v, err := b.Welcome(t.Context())
	require.NoError(t, err)
	require.NotNil(t, v.Wait)
	require.Equal(t, 4*time.Minute, v.Wait.Left)
	b.pass(4*time.Minute + 10*time.Minute)
	v = b.say("")
	require.Contains(t, strings.Join(v.Text, " "), "The wait was over 10 min ago")
	b.say(rest[0])
	b = b.resumed()
	_, err = b.Welcome(t.Context())
	require.NoError(t, err)
	b.say(rest[1:]...)
	got, err := b.suspects()
	require.NoError(t, err)
	require.Equal(t, want, got)
}

// Undo takes back a value with those behind it; restart begins anew; what was read
// before stays in the record and counts no more.
func TestTimedCheckUndoneAndBegunAnew(t *testing.T) {
	b := startTimed(t)
	b.say("black smoke when warm, starts fine", "check enricher growth", "12.1 mm", "12.0 mm", "1.30 A")
	v := b.say("undo")
	require.Contains(t, v.Ask.Prompt, "Draw at once at enricher 2")
	v = b.say("1.31 A", "1.28 A", "wait", "again", "early", "0.42 A", "0.40 A", "16.2 mm")
	require.Contains(t, v.Ask.Prompt, "warm at enricher 3")
	require.Contains(t, b.try("again").Error, "Values have been read")
	v = b.say("restart")
	require.Contains(t, v.Ask.Prompt, "cold at enricher 2")
	v = b.say("cancel", "check enricher growth")
	require.Contains(t, v.Ask.Prompt, "warm at enricher 3", "a restart counts from its first value")
	v = b.say("restart", "12.3 mm")
	require.Contains(t, v.Ask.Prompt, "cold at enricher 3")
}

// Values that cannot be are asked again, and nothing is recorded.
func TestTimedCheckQuestionsSlips(t *testing.T) {
	b := startTimed(t)
	b.say("black smoke when warm, starts fine", "check enricher growth")
	n := b.entries()
	for line, says := range map[string]string{"121 mm": "12.1 mm", "-12.1 mm": "12.1 mm"} {
		v := b.try(line)
		require.Contains(t, strings.Join(v.Text, " "), says, line)
		require.Equal(t, n, b.entries(), line)
	}
	for _, line := range []string{"12 V", "12.1", "-", "cyl 7 12 mm"} {
		require.NotEmpty(t, b.try(line).Error, line)
		require.Equal(t, n, b.entries(), line)
	}
	b.say("12,1 mm")
	require.Equal(t, n+1, b.entries())
	b.try("121 mm")
	require.NotEmpty(t, b.try("yse").Error)
	b.say("yes")
	require.Equal(t, n+2, b.entries(), "what is meant is kept, a mistyped yes in between or not")
	// Grown backwards by ten centimetres: no sound or faulty part does that.
	v := b.say("1.3 A", "1.3 A", "wait", "early", "0.4 A", "0.4 A", "16.2 mm", "16.2 mm")
	require.Contains(t, strings.Join(v.Text, " "), "is not recorded yet")
	_, read := b.s.read[checkAt{"enricher_growth", "enricher:3"}]
	require.False(t, read)
	b.say("yes")
	_, read = b.s.read[checkAt{"enricher_growth", "enricher:3"}]
	require.True(t, read)
}

// Steps with a wait alone end in the check's own question.
func TestWaitsBeforeAReadingThatIsTyped(t *testing.T) {
	b := startTimed(t)
	b.say("overheats", "at in the water", "check head temperature", "")
	b.say("wait")
	b.pass(5 * time.Minute)
	v := b.say("")
	require.Contains(t, v.Ask.Prompt, "Wait 1 min")
	b.say("wait")
	b.pass(time.Minute)
	v = b.say("")
	require.Contains(t, v.Ask.Prompt, "Reading")
	b.say("97 degC")
	require.Greater(t, b.suspect("thermostat.stuck_shut", "").Present, 0.02)
}

// What was read over time is drawn over time, with the wait.
func TestTimedCheckIsDrawn(t *testing.T) {
	b := startTimed(t)
	b.say("black smoke when warm, starts fine", "check enricher growth", "12.1 mm", "12.0 mm", "1.30 A", "-", "wait")
	b.pass(5 * time.Minute)
	b.say("0.42 A", "-", "16.2 mm", "13.9 mm")
	v := b.say("readings enricher growth")
	var amps *PictureView
	for i, p := range v.Pictures {
		if p.Timed && p.Unit == "A" {
			require.Nil(t, amps, "one enricher's draw was not read")
			amps = &v.Pictures[i]
		}
	}
	require.NotNil(t, amps)
	require.Len(t, amps.Points, 2)
	require.InDelta(t, 300, amps.Points[1].Seconds, 1)
	require.Len(t, amps.Marks, 2)
	drawn := strings.Join(amps.Lines(78, true), "\n")
	require.Contains(t, drawn, "first: 1.3")
	require.Contains(t, drawn, "minutes")

	b.say("fixed enricher 3", "still", "readings enricher growth")
	require.Contains(t, b.say("check enricher growth").Ask.Prompt, "cold at enricher 2", "after a repair it begins anew")
}

// What both values share through one gauge cancels in their difference (GUM 5.2.2),
// and the instrument that was chosen is named in the record.
func TestTimedCheckWithAnInstrument(t *testing.T) {
	b := startTimed(t)
	mm := func(text string) quantity.Quantity {
		q, err := quantity.ParseFor(text, quantity.Length)
		require.NoError(t, err)
		return q
	}
	b.Equip([]*knowledge.Instrument{{Entry: knowledge.Entry{ID: "worn_calliper", Title: "Worn calliper"}, Of: quantity.Length,
		Figures: measure.Figures{Noise: mm("0.02 mm"), Gauge: mm("0.3 mm")}}})
	b.say("black smoke when warm, starts fine", "using worn calliper", "check enricher growth", "12.1 mm", "12.0 mm", "-", "-", "wait", "early", "-", "-", "16.2 mm", "15.9 mm")
	r := b.s.readings[checkAt{"enricher_growth", "enricher:2"}][0]
	require.InDelta(t, 4.1, r.Corrected, 1e-12)
	require.InDelta(t, 0.02*math.Sqrt2, r.Uncertainty, 1e-9, "the noise of both, and nothing of the gauge's own error")
	require.Equal(t, "Worn calliper", r.Took[0].Instrument)
}

// A check of one place with waits before its outcomes: left in the middle, what is
// asked behind the last step is asked again, and the values are read once.
func TestTimedCheckWithOutcomes(t *testing.T) {
	b := startTimed(t)
	b.say("fuel smell, drips from the carb", "check float needle hold on carb 2", "", "on 2 6.5 psi", "wait")
	b.pass(time.Minute)
	v := b.say("5.1 psi")
	require.Contains(t, v.Ask.Prompt, "What does it show at carburettor 2")
	require.Contains(t, v.Ask.Steps, "Turn it back: does it open at once?")
	b = b.resumed()
	v, err := b.Welcome(t.Context())
	require.NoError(t, err)
	require.Contains(t, v.Ask.Prompt, "What does it show at carburettor 2")
	b.say("leaks")
	require.Greater(t, b.suspect("needle_valve.leaking", "carb:2").Present, 0.3)
	drawn := b.say("readings needle").Pictures
	require.Len(t, drawn, 1)
	require.Equal(t, 60.0, drawn[0].Points[1].Seconds)
	require.Zero(t, drawn[0].Marks[0].Seconds)
}
