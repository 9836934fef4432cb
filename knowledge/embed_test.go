package knowledge

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestEmbedded loads what comes with the program and opens every sheet.
func TestEmbedded(t *testing.T) {
	lib, err := LoadEmbedded()
	require.NoError(t, err)
	require.NotEmpty(t, lib.Packs())
	require.NotEmpty(t, lib.Sheets())
	for _, s := range lib.Sheets() {
		e, err := Open(lib, s.ID)
		require.NoError(t, err, s.ID)
		require.NotEmpty(t, e.Model().Symptoms())
		require.NotEmpty(t, e.Checks())
		require.NotEmpty(t, e.Repairs())
		for _, p := range e.Pack().Items {
			for _, m := range p.Modes {
				require.NotEmpty(t, e.Snapshot().RepairsFixing(m.EventID()), "nothing puts %s right", m.EventID())
			}
		}
	}
}

func BenchmarkLoadEmbedded(b *testing.B) {
	for b.Loop() {
		lib, err := LoadEmbedded()
		require.NoError(b, err)
		for _, s := range lib.Sheets() {
			_, err := Open(lib, s.ID)
			require.NoError(b, err)
		}
	}
}
