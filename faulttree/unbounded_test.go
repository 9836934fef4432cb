package faulttree

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Without a bound on the rounding error the numbers are those with one, as long
// as the signed sums have not cancelled too far; and where they have, Cures says
// so: with few symptoms present never, with many always (the model and what it
// is known for: manyPositives).
func TestUnbounded(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	cancelled := make(map[bool]int)
	for _, positives := range []int{1, 2, 3, 9, 10} {
		b := manyPositives(t, positives, r)
		b, err := b.Complaining(b.Findings()[0].Event)
		require.NoError(t, err)
		cures, err := b.Cures()
		require.NoError(t, err)
		cancelled[cures.Cancelled()]++
		require.Equal(t, positives > 8, cures.Cancelled(), "%d symptoms present", positives)
		if cures.Cancelled() {
			continue
		}
		rough, err := b.Unbounded().Cures()
		require.NoError(t, err)
		post, err := b.Solve()
		require.NoError(t, err)
		other, err := b.Unbounded().Solve()
		require.NoError(t, err)
		for _, it := range b.m.items {
			for _, e := range it.Modes {
				require.InDelta(t, cures.Mode(e), rough.Mode(e), 1e-9)
				require.InDelta(t, post.P(e), other.P(e), 1e-9)
			}
		}
	}
	require.Len(t, cancelled, 2)
}
