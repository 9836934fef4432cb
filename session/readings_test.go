package session

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What was read can be looked at: of one place against its limits, of several side
// by side, and as it was after a repair too; undo takes it out.
func TestReadingsDrawn(t *testing.T) {
	b := start(t, "marsh_tern_60")
	require.Contains(t, b.say("readings").Text[0], "Nothing has been read")
	b.say("stumbles at all rpm", "", "check dry compression", "", "125 psi", "122 psi", "95 psi", "120 psi")
	v := b.say("readings compression")
	require.Len(t, v.Pictures, 1)
	p := v.Pictures[0]
	require.Equal(t, "cylinder 3: does not conform", p.Verdict)
	require.Equal(t, "psi", p.Unit)
	require.Len(t, p.Points, 4)
	require.Equal(t, PointView{Name: "cylinder 3", Place: "cylinder:3", Value: 95, U: 4, Label: "95.00 psi"}, p.Points[2])
	require.Equal(t, 110.0, *p.Lowest)
	text := strings.Join(p.Lines(78, true), "\n")
	require.Contains(t, text, "outside what is tolerated: cylinder 3")
	var svg strings.Builder
	require.NoError(t, p.SVG(&svg))
	require.Contains(t, svg.String(), "<svg")

	b.say("fixed spark plug cylinder:1", "still")
	require.Len(t, b.say("readings").Pictures, 1)
	b.say("check float heights carb:2", "", "14.1 mm")
	require.Len(t, b.say("readings").Pictures, 2)
	b.say("undo")
	require.Len(t, b.say("readings").Pictures, 1)
	require.Contains(t, b.try("readings nothing of the kind").Error, "Nothing was read by")

	one := start(t, "holm_pump_5")
	one.say("hard to start cold", "", "check compression", "", "82 psi")
	p = one.say("readings").Pictures[0]
	require.Equal(t, "conforms", p.Verdict)
	require.Empty(t, p.Points[0].Name)
}
