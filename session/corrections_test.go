package session

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// At 1000 m 71 psi are 80 at the sea (71 x 1013.25/898.75; the pressures are those of
// the ISO 2533 table, from memory). Nothing is corrected before the height is said; it
// then holds for what is read behind. Warmth changes nothing, and is kept.
func TestCompressionAtAltitude(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("hard to start cold", "", "check compression")
	v := b.say("")
	require.Contains(t, text(v), "height 350 m refers it to sea level")
	v = b.say("71 psi")
	require.NotContains(t, text(v), "corrected")
	require.Empty(t, b.s.readings[checkAt{"compression", ""}][0].Corrections)
	b.say("undo")

	n := b.entries()
	for line, want := range map[string]string{"height 1000": "no unit", "height 5 psi": "a pressure", "height up": "number",
		"height 6000 m": "from -450 to 5000 m", "warmth lukewarm": "neither warm nor cold"} {
		require.Contains(t, b.try(line).Error, want)
	}
	require.Equal(t, n, b.entries())
	v = b.say("height 1000 m", "warmth cold", "check compression", "")
	require.Contains(t, text(v), "Referred to sea level from 1000 m; engine cold.")
	v = b.say("71 psi")
	require.Contains(t, text(v), "71 psi, corrected 80.05 psi, engine cold (standard uncertainty 4.7 psi): conforms")
	r := b.s.readings[checkAt{"compression", ""}][0]
	require.InDelta(t, 71*1013.25/898.75, r.Corrected, 1e-3)
	require.Equal(t, []correction{{"altitude", "1000 m", r.Corrected}, {"warmth", "cold", r.Corrected}}, r.Corrections)

	v = b.say("check compression", "height 1640 ft", "warmth warm", "70 psi")
	require.Contains(t, text(v), "Read at different warmth")
	require.Contains(t, text(v), "Together, 2 readings")
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

	b.say("height none", "warmth none", "check compression", "70 psi")
	all := b.s.readings[checkAt{"compression", ""}]
	require.Empty(t, all[len(all)-1].Corrections)
	require.Contains(t, text(b.say("height")), "No height")
}

// Cylinders read at different warmth get a remark, with their places.
func TestSiblingsAtDifferentWarmth(t *testing.T) {
	b := start(t, "marsh_tern_60")
	b.say("stumbles at all rpm", "", "warmth warm", "check dry compression", "")
	v := b.say("125 psi")
	require.NotContains(t, text(v), "different warmth")
	v = b.say("120 psi")
	require.NotContains(t, text(v), "different warmth")
	v = b.say("warmth cold", "122 psi")
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
