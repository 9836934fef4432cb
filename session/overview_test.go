package session

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The list tells open and closed cases apart, an undone close included, and
// the latest is the last begun of the open ones.
func TestOverviews(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("stumbles under load", "close nothing found")
	second, err := b.store.Start(t.Context(), b.Engine())
	require.NoError(t, err)
	require.NoError(t, second.Close())
	all, err := b.store.Overviews()
	require.NoError(t, err)
	require.Len(t, all, 2)
	require.Equal(t, "stumbles under load", all[0].Complaint)
	require.True(t, all[0].Closed)
	require.Equal(t, "Holm Pump 5", all[1].Engine)
	require.False(t, all[1].Closed)
	id, err := b.store.Latest()
	require.NoError(t, err)
	require.Equal(t, second.ID, id)
	b.say("undo")
	all, err = b.store.Overviews()
	require.NoError(t, err)
	require.False(t, all[0].Closed)
	_, err = b.store.Folder("nosuch")
	var none *NoCaseError
	require.ErrorAs(t, err, &none)
}
