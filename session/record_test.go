package session

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/knowledge"
)

// limitless is a case on a pump whose sheet gives no limits at all.
func limitless(t *testing.T) *bout {
	t.Helper()
	sources, err := knowledge.EmbeddedSources()
	require.NoError(t, err)
	sources = append(sources, knowledge.Source{Name: "bare.yaml", Data: []byte("sheet: bare\nformat: 1\ntitle: Bare\npack: pump_single\n")})
	lib, problems := knowledge.Load(sources)
	require.Empty(t, problems)
	e, err := knowledge.Open(lib, "bare")
	require.NoError(t, err)
	s := Store{Dir: t.TempDir(), Clock: fixed()}
	o, err := s.Start(context.Background(), e)
	require.NoError(t, err)
	b := &bout{t, s, o}
	t.Cleanup(func() { _ = b.Close() })
	return b
}

// A check that counts from a nominal value which the sheet does not give: the
// reading, whatever it is, is written down, and no suspect moves.
func TestReadingForTheRecord(t *testing.T) {
	for _, line := range []string{"1.4 ohm", "18 kohm", "0 ohm"} {
		b := limitless(t)
		b.RankLater(nil)
		b.say("hard to start cold", "")
		before := b.suspect("coil.weak", "")
		v := b.say("check coil primary resistance")
		require.Contains(t, v.Text, "Sheet: it gives no nominal value, so that readings are for the record and tell nothing of faults")
		v = b.say(line)
		if v.Ask != nil { // the leads
			b.say("0.1 ohm")
		}
		if a := b.say("readings").Pictures; len(a) == 0 {
			b.say("20 degC") // of the copper
		}
		require.Len(t, b.say("readings").Pictures, 1, line)
		after := b.suspect("coil.weak", "")
		require.InDelta(t, before.Present, after.Present, 1e-12, line)
		require.InDelta(t, before.Cures, after.Cures, 1e-12, line)
	}
}
