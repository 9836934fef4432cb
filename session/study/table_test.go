package study

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Student's quantile for 4 degrees of freedom is 2.776 in every printed table;
// the standard deviation of 1..5 is the root of 2.5.
func TestEstimate(t *testing.T) {
	e := estimate([]float64{1, 2, 3, 4, 5})
	require.InDelta(t, 3, e.Mean, 1e-12)
	require.InDelta(t, 3-2.776*0.70711, e.Low, 1e-3)
	require.InDelta(t, 3+2.776*0.70711, e.High, 1e-3)
	require.Equal(t, Estimate{7, 7, 7}, estimate([]float64{7}))
}

// Newcombe, Statistics in Medicine 17 (1998), table I, score method without
// correction (from memory): 81 of 263 gives .2553 to .3662, 0 of 20 gives 0 to
// .1611.
func TestShare(t *testing.T) {
	of := func(k, n int) Estimate {
		x := make([]float64, n)
		for i := range k {
			x[i] = 1
		}
		return share(x)
	}
	e := of(81, 263)
	require.InDelta(t, 0.2553, e.Low, 5e-5)
	require.InDelta(t, 0.3662, e.High, 5e-5)
	e = of(0, 20)
	require.InDelta(t, 0, e.Low, 1e-12)
	require.InDelta(t, 0.1611, e.High, 5e-5)
}

// Twice the other in every pair, the ratio is 2 for certain. By hand: x 1 and
// 3, y 2 and 2 have the ratio 1 with deviations -1 and 1: variance 2, error
// (2/2)^(1/2)/2, times 12.706 for one degree of freedom.
func TestRatio(t *testing.T) {
	e := ratio([]float64{2, 4, 10}, []float64{1, 2, 5})
	require.InDelta(t, 2, e.Low, 1e-12)
	require.InDelta(t, 2, e.High, 1e-12)
	e = ratio([]float64{1, 3}, []float64{2, 2})
	require.InDelta(t, 1, e.Mean, 1e-12)
	require.InDelta(t, 1+12.706/2, e.High, 1e-3)
}

func TestQuantile(t *testing.T) {
	x := []float64{5, 1, 4, 2, 3, 6, 7, 8, 9, 10}
	require.InDelta(t, 5, quantile(x, 0.5), 0)
	require.InDelta(t, 9, quantile(x, 0.9), 0)
	require.InDelta(t, 3, quantile([]float64{3}, 0.9), 0)
}
