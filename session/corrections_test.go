package session

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/knowledge"
)

// high is a case on a sheet whose compression checks ask for height and warmth.
func high(t *testing.T, sheet, check string) *bout {
	t.Helper()
	sources, err := knowledge.EmbeddedSources()
	require.NoError(t, err)
	n := 0
	for i, s := range sources {
		for _, line := range []string{
			`limit: compression, uncertainty: "4 psi"}`,
			`limit: compression, siblings: compression_spread, uncertainty: "4 psi"}`,
		} {
			n += bytes.Count(sources[i].Data, []byte(line))
			more := line[:len(line)-1] + ", corrections: [altitude, warmth]}"
			sources[i].Data = bytes.ReplaceAll(sources[i].Data, []byte(line), []byte(more))
		}
		_ = s
	}
	require.Equal(t, 2, n, "the packs' compression checks are as this test knows them")
	lib, problems := knowledge.Load(sources)
	require.NoError(t, problems.Err())
	e, err := knowledge.Open(lib, sheet)
	require.NoError(t, err)
	s := Store{Dir: t.TempDir(), Clock: fixed()}
	o, err := s.Start(context.Background(), e)
	require.NoError(t, err)
	b := &bout{t, s, o}
	t.Cleanup(func() { _ = b.Close() })
	return b
}

// At 1000 m 71 psi are 80 at the sea (71 x 1013.25/898.75; the pressures are those of
// the ISO 2533 table, from memory). The height is asked for once a case; then Enter
// takes it. Warmth changes nothing, and is kept.
func TestCompressionAtAltitude(t *testing.T) {
	b := high(t, "holm_pump_5", "compression")
	b.say("hard to start cold", "", "check compression", "")
	v := b.say("71 psi")
	require.Equal(t, "Height above the sea, in m or ft", v.Ask.Prompt)
	n := b.entries()
	for line, want := range map[string]string{"1000": "no unit", "5 psi": "a pressure", "high": "number"} {
		v = b.try(line)
		require.Contains(t, v.Error, want)
		require.Contains(t, v.Hint, "cancel leaves")
	}
	v = b.say("1000 m")
	require.Contains(t, v.Ask.Prompt, "warm or cold")
	require.Contains(t, b.try("lukewarm").Error, "neither warm nor cold")
	require.Equal(t, n, b.entries(), "nothing is recorded before all is known")
	v = b.say("cold")
	require.Contains(t, text(v), "71 psi, corrected 80.05 psi, engine cold (standard uncertainty 4.7 psi): conforms")
	r := b.s.readings[checkAt{"compression", ""}][0]
	require.InDelta(t, 71*1013.25/898.75, r.Corrected, 1e-3)
	require.Equal(t, []correction{{"altitude", "1000 m", r.Corrected}, {"warmth", "cold", r.Corrected}}, r.Corrections)

	// The height is offered again, and another counts from then on.
	v = b.say("check compression", "70 psi")
	require.Equal(t, "Height above the sea [1000 m]", v.Ask.Prompt)
	require.Contains(t, v.Hint, "Enter takes 1000 m")
	v = b.say("", "warm")
	require.Contains(t, text(v), "Read at different warmth")
	require.Contains(t, text(v), "Together, 2 readings")
	v = b.say("check compression", "70 psi", "1640 ft", "warm", "check compression", "70 psi")
	require.Equal(t, "Height above the sea [1640 ft]", v.Ask.Prompt)
	b.say("cancel")

	h, err := b.History()
	require.NoError(t, err)
	for _, s := range h.Steps {
		if s.Kind == StepCheck {
			got := s.Answers[0].Reading
			require.Equal(t, "cold", got.Warmth)
			require.Equal(t, []string{"from 1000 m above the sea referred to sea level: 80.05 psi"}, got.Corrections)
			break
		}
	}
	require.Equal(t, b.suspect("rings.worn", ""), again(t, b).suspect("rings.worn", ""))
	require.Equal(t, "1640 ft", func() string { q, _ := again(t, b).height(); return q.String() }())

	b.say("check compression", "70 psi")
	v = b.try("6000 m")
	require.Contains(t, v.Error, "from -450 to 5000 m")
}

// Cylinders read at different warmth get a remark, with their places.
func TestSiblingsAtDifferentWarmth(t *testing.T) {
	b := high(t, "marsh_tern_60", "compression_dry")
	b.say("stumbles at all rpm", "", "check dry compression", "")
	v := b.say("125 psi", "0 m", "warm")
	require.NotContains(t, text(v), "different warmth")
	v = b.say("120 psi", "", "warm")
	require.NotContains(t, text(v), "different warmth")
	v = b.say("122 psi", "", "cold")
	require.Contains(t, text(v), "Read at different warmth (warm: cylinder 1, cylinder 2; cold: cylinder 3)")
}

// What corrections rest on is questioned too before it is recorded, and a line that
// cannot be understood takes no question back.
func TestCorrectionsAreQuestioned(t *testing.T) {
	b := start(t, "marsh_tern_60")
	b.say("stumbles at all rpm", "", "check coil primary resistance, ignition coil A")
	n := b.entries()
	b.say("0.95 ohm")
	require.Contains(t, b.try("-0.1 ohm").Error, "below 0")
	require.Contains(t, b.try("0.9 ohm").Text[0], "more than half of what was read")
	require.NotEmpty(t, b.try("yse").Error)
	require.Contains(t, b.try("0.1 mohm").Text[0], "unusual for test leads")
	b.say("0.1 ohm")
	require.Contains(t, b.try("200 degC").Text[0], "unusual temperature")
	require.NotEmpty(t, b.try("yse").Error)
	require.Equal(t, n, b.entries())
	b.say("yes", "yes")
	require.Equal(t, n+1, b.entries(), "what is meant is kept: the temperature, then the reading that it makes")

	b.say("check dry compression", "")
	n = b.entries()
	require.Contains(t, b.try("1180 psi").Text[0], "slip")
	require.NotEmpty(t, b.try("yse").Error)
	b.say("yes")
	require.Equal(t, n+1, b.entries())
}
