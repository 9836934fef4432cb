package session

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/knowledge"
	"narrows/symptoms/measure"
)

// ruled is an engine whose sheet compares the cylinders by another rule.
func ruled(t *testing.T, rule string) *knowledge.Engine {
	t.Helper()
	sources, err := knowledge.EmbeddedSources()
	require.NoError(t, err)
	const stands = `siblings: lowest over highest, min: "75 %"`
	changed := 0
	for i, s := range sources {
		if h := knowledge.HeadOf(s); h.ID == "marsh_tern_60" && bytes.Contains(s.Data, []byte(stands)) {
			sources[i].Data = bytes.Replace(s.Data, []byte(stands), []byte(rule), 1)
			changed++
		}
	}
	require.Equal(t, 1, changed)
	lib, problems := knowledge.Load(sources)
	require.Empty(t, problems)
	e, err := knowledge.Open(lib, "marsh_tern_60")
	require.NoError(t, err)
	return e
}

// 125, 122, 95 and 120 psi by the published rules: at least 75 % of the highest
// (TM 5-4210-230-14&P-1; 95/125 = 76 %), none 20 % or more below the mean (TM
// 1-1500-204-23-1; 20.5 of 115.5 psi is 17.7 %), at most 10 psi between cylinders
// (TM 10-3930-618-20; 30 psi), all three read. Two are kept and one is not; the
// sheet says which holds. As read the bounds decide. A gauge good to 4 psi proves
// no more than the third: 1 % is within its doubt of 4 %, 2.3 % within one of 3 %.
func TestTheSheetSaysWhichCompressionRuleHolds(t *testing.T) {
	for _, c := range []struct {
		sheet, limit string
		value        float64
		asRead       measure.State
		said         string
	}{
		{`siblings: lowest over highest, min: "75 %"`, "lowest over highest at least 75 %", 76, measure.Conforms,
			"Lowest over highest: 76.0 % (lowest cylinder 3, highest cylinder 1): too close to call; limit lowest over highest at least 75 %."},
		{`siblings: lowest below the mean, max: "20 %"`, "lowest below the mean at most 20 %", 100 * 20.5 / 115.5, measure.Conforms,
			"Lowest below the mean: 17.7 % (lowest cylinder 3, highest cylinder 1): too close to call; limit lowest below the mean at most 20 %."},
		{`siblings: highest less lowest, max: "10 psi"`, "highest less lowest at most 10 psi", 30, measure.DoesNotConform,
			"Highest less lowest: 30.0 psi (lowest cylinder 3, highest cylinder 1): does not conform; limit highest less lowest at most 10 psi."},
	} {
		e := ruled(t, c.sheet)
		use, ok := e.Reading(e.ChecksOf("compression_dry")[0])
		require.True(t, ok)
		require.Equal(t, c.limit, use.Siblings.String())
		var bank []measure.Sibling
		for i, psi := range []float64{125, 122, 95, 120} {
			bank = append(bank, measure.Sibling{Position: string(rune('1' + i)), Reading: measure.Reading{Estimate: measure.Estimate{Value: psi, Unit: use.Unit}}})
		}
		got, err := measure.Compare(use.Siblings.Siblings, bank)
		require.NoError(t, err)
		require.InDelta(t, c.value, got.Value, 1e-9)
		v, err := measure.SimpleAcceptance().JudgeSiblings(got, *use.Siblings)
		require.NoError(t, err)
		require.Equal(t, c.asRead, v.State, c.limit)

		s := Store{Dir: t.TempDir(), Clock: fixed()}
		o, err := s.Start(t.Context(), e)
		require.NoError(t, err)
		b := &bout{t, s, o}
		b.RankLater(nil)
		b.say("stumbles at all rpm", "", "check dry compression", "", "125 psi", "122 psi", "95 psi")
		require.Contains(t, b.say("120 psi").Text, c.said)
		require.NoError(t, b.Close())
	}
}
