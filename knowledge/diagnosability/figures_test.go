package diagnosability

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The binary test matrix of the sequencing example of Pattipati & Alexandridis
// 1990, "Application of heuristic search and information theory to sequential fault
// diagnosis", IEEE SMC 20:872 (matrix and priors from memory of the paper): five
// faults, five tests. The paper's plans end in single faults, so that with all tests
// every fault is isolated.
var (
	sequencingRows = [][]int{
		{0, 1, 0, 0, 1},
		{0, 0, 1, 1, 0},
		{1, 0, 0, 1, 1},
		{1, 1, 0, 0, 0},
		{1, 1, 1, 1, 0},
	}
	sequencingPriors = []float64{.01, .02, .10, .05, .12}
)

// measured makes the figures of a D-matrix over some of its columns.
func measured(rows [][]int, prior []float64, columns []int) (Figures, [][]int) {
	r, groups := classical(rows, columns)
	size := make([]int, len(rows))
	for i := range size {
		size[i] = 1 + len(r.others[i])
	}
	return Measure(prior, r.detected, size), groups
}

func TestPublishedMatrixIsolatesEveryFault(t *testing.T) {
	f, groups := measured(sequencingRows, sequencingPriors, []int{0, 1, 2, 3, 4})
	require.Len(t, groups, 5)
	require.InDelta(t, 1, f.Detected.ByPrior, 1e-12)
	require.InDelta(t, 1, f.Isolated[0].ByPrior, 1e-12)
	require.InDelta(t, 1, f.MeanSize, 1e-12)
	require.Zero(t, f.Larger.Faults)
}

// The same cut down to two tests, reckoned by hand: our own. The second fault is
// missed; the groups of the rest are {1}, {3}, {4, 5}.
func TestTwoTestsByHand(t *testing.T) {
	f, groups := measured(sequencingRows, sequencingPriors, []int{0, 1})
	require.Equal(t, [][]int{{0}, {1}, {2}, {3, 4}}, groups)
	require.Equal(t, 4, f.Detected.Faults)
	require.InDelta(t, .8, f.Detected.ByCount, 1e-12)
	require.InDelta(t, .28/.30, f.Detected.ByPrior, 1e-12)
	require.InDelta(t, .5, f.Isolated[0].ByCount, 1e-12)
	require.InDelta(t, .11/.28, f.Isolated[0].ByPrior, 1e-12)
	require.InDelta(t, 1, f.Isolated[1].ByPrior, 1e-12)
	require.InDelta(t, (.01+.10+2*.05+2*.12)/.28, f.MeanSize, 1e-12)
}

func TestNothingIsDetectedWithoutChecks(t *testing.T) {
	f, groups := measured(sequencingRows, sequencingPriors, nil)
	require.Len(t, groups, 1)
	require.Zero(t, f.Detected)
	require.Zero(t, f.MeanSize)
}

// Groups against comparing every two rows, and every total against its parts.
func TestGroupsEqualBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		faults, checks := rapid.IntRange(1, 12).Draw(t, "faults"), rapid.IntRange(1, 5).Draw(t, "checks")
		rows, prior := make([][]int, faults), make([]float64, faults)
		for i := range rows {
			rows[i] = rapid.SliceOfN(rapid.IntRange(0, 2), checks, checks).Draw(t, "row")
			prior[i] = rapid.Float64Range(0.001, 0.5).Draw(t, "prior")
		}
		var columns []int
		for c := range checks {
			if rapid.Bool().Draw(t, "takes") {
				columns = append(columns, c)
			}
		}
		alike := func(a, b int) bool {
			return !slices.ContainsFunc(columns, func(c int) bool { return rows[a][c] != rows[b][c] })
		}
		f, groups := measured(rows, prior, columns)
		of := make([]int, faults)
		members := 0
		for k, g := range groups {
			members += len(g)
			for _, i := range g {
				of[i] = k
			}
		}
		require.Equal(t, faults, members)
		all, found, single := 0.0, 0.0, 0.0
		detected := 0
		for a := range faults {
			size := 0
			for b := range faults {
				require.Equal(t, alike(a, b), of[a] == of[b])
				if alike(a, b) {
					size++
				}
			}
			all += prior[a]
			if slices.ContainsFunc(columns, func(c int) bool { return rows[a][c] != 0 }) {
				detected++
				found += prior[a]
				if size == 1 {
					single += prior[a]
				}
			}
		}
		require.Equal(t, detected, f.Detected.Faults)
		require.InDelta(t, found/all, f.Detected.ByPrior, 1e-12)
		require.Equal(t, detected, f.Isolated[2].Faults+f.Larger.Faults)
		if detected > 0 {
			require.InDelta(t, single/found, f.Isolated[0].ByPrior, 1e-12)
			require.InDelta(t, 1, f.Isolated[2].ByPrior+f.Larger.ByPrior, 1e-12)
			require.InDelta(t, 1, f.Isolated[2].ByCount+f.Larger.ByCount, 1e-12)
			require.GreaterOrEqual(t, f.MeanSize, 1-1e-12)
		}
		require.LessOrEqual(t, f.Isolated[0].Faults, f.Isolated[1].Faults)
		require.LessOrEqual(t, f.Isolated[1].Faults, f.Isolated[2].Faults)
	})
}
