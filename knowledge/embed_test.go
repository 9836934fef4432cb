package knowledge

import (
	"slices"
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

// TestWhereEnginesRun: whatever runs an engine of a boat, and trying its complaint again,
// says where it can be done, and neither the bench nor the shed is among it: a dry run
// destroys the impeller of a water pump, and exhaust kills indoors (common practice, no
// source).
func TestWhereEnginesRun(t *testing.T) {
	lib, err := LoadEmbedded()
	require.NoError(t, err)
	packs := 0
	for _, p := range lib.Packs() {
		s := lib.Snapshot(p.ID)
		if !slices.ContainsFunc(p.Sites, func(x *Site) bool { return x.ID == "stand_with_water" }) {
			continue // a single, which may run wherever it stands outdoors
		}
		packs++
		runs := 0
		wet := func(what string, places []Ref) {
			require.NotEmpty(t, places, "%s: %s", p.ID, what)
			for _, r := range places {
				require.NotEqual(t, "bench", r.ID, "%s: %s", p.ID, what)
			}
			runs++
		}
		wet("recheck", p.Recheck.Sites)
		for _, c := range s.Checks() {
			if c.Engine == Running {
				wet(c.ID, c.Sites)
			}
		}
		for _, r := range s.Repairs() {
			if r.Engine == Running {
				wet(r.ID, r.Sites)
			}
		}
		require.Greater(t, runs, 15, p.ID)
	}
	require.Greater(t, packs, 8)
	for _, p := range lib.Packs() {
		for _, c := range p.Cautions {
			require.LessOrEqual(t, c.Charge, 5.0, "%s: a charge weighs, it does not forbid", c.ID)
			require.True(t, c.Charge == 0 || c.Source != "", "%s: a charge says what it rests on", c.ID)
		}
	}
}
