package faulttree

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Asked for small programs, a belief says the same, or that it cannot: and what
// it can is a question of how many entries it may take.
func TestWithin(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	b := manyPositives(t, 3, r)
	b, err := b.Complaining(b.Findings()[0].Event)
	require.NoError(t, err)
	want, err := b.Cures()
	require.NoError(t, err)
	post, err := b.Solve()
	require.NoError(t, err)

	_, err = b.Within(10).Solve()
	require.ErrorIs(t, err, ErrEntangled)
	require.ErrorContains(t, err, "10 allowed")
	_, err = b.Within(10).Cures()
	require.ErrorIs(t, err, ErrEntangled)

	same := b.Within(1e7)
	cures, err := same.Cures()
	require.NoError(t, err)
	other, err := same.Solve()
	require.NoError(t, err)
	for _, it := range b.m.items {
		for _, e := range it.Modes {
			require.InDelta(t, want.Mode(e), cures.Mode(e), 1e-9)
			require.InDelta(t, post.P(e), other.P(e), 1e-9)
		}
	}
}

// Where signed sums cancel somewhat, asking for small programs leaves them; the
// numbers are good to a part in ten thousand still (9 symptoms present: see
// manyPositives).
func TestWithinKeepsSignedSums(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	left := 0
	for range 6 {
		b := manyPositives(t, 9, r)
		b, err := b.Complaining(b.Findings()[0].Event)
		require.NoError(t, err)
		exact, err := b.Cures()
		require.NoError(t, err)
		rough, err := b.Within(1e7).Cures()
		require.NoError(t, err)
		require.True(t, exact.Cancelled())
		if !rough.Cancelled() {
			left++
		}
		for _, it := range b.m.items {
			for _, e := range it.Modes {
				require.InDelta(t, exact.Mode(e), rough.Mode(e), 1e-4)
			}
		}
	}
	require.Positive(t, left)
}
