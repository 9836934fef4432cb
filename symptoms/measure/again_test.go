package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/symptoms/quantity"
)

// Two readings of 10.0 +- 0.3 and 10.6 +- 0.6: weights 4 to 1, so 10.12, and
// 0.3*0.6/sqrt(0.45) = 0.268. Worked by hand.
func TestPooled(t *testing.T) {
	e, err := Pooled(Estimate{Value: 10, U: .3}, Estimate{Value: 10.6, U: .6})
	require.NoError(t, err)
	require.InDelta(t, 10.12, e.Value, 1e-12)
	require.InDelta(t, .18/math.Sqrt(.45), e.U, 1e-12)

	// Four alike: half the uncertainty.
	a := Estimate{Value: 7, U: .4}
	e, err = Pooled(a, a, a, a)
	require.NoError(t, err)
	require.InDelta(t, 7, e.Value, 1e-12)
	require.InDelta(t, .2, e.U, 1e-12)

	e, err = Pooled(a, Estimate{Value: 7.5}, Estimate{Value: 7.7})
	require.NoError(t, err)
	require.InDelta(t, 7.6, e.Value, 1e-12)
	require.Zero(t, e.U)
	_, err = Pooled()
	require.Error(t, err)
	_, err = Pooled(a, Estimate{Value: 1, U: 1, Unit: unit(t, "psi")})
	require.ErrorContains(t, err, "one unit")
}

func TestAgree(t *testing.T) {
	a := Estimate{Value: 10, U: .3}
	require.True(t, Agree(a, Estimate{Value: 10.99, U: .4}))
	require.False(t, Agree(a, Estimate{Value: 11.01, U: .4}))
}

// The chances of what readings will say together are those of drawing the true
// value, both readings, and keeping the draws whose first reading was what was
// read: 4 standard errors, and the slips of Bins.
func TestAgainAsDrawn(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2))
	m := Model{Rows: []Population{{Mean: 90, SD: 12}, {Mean: 60, SD: 25}}, Else: Population{Mean: 125, SD: 5}}
	const y, u, next = 104.0, 6.0, 3.0
	cuts := []float64{95, 105}
	got := m.Again(y, u, next, cuts)
	require.Len(t, got, 3)
	for row, p := range []Population{m.Rows[0], m.Rows[1], m.Else} {
		seen, kept := make([]float64, 3), 0.0
		for range 600_000 {
			x := p.Mean + p.SD*r.NormFloat64()
			first := x + u*r.NormFloat64()
			if math.Abs(first-y) > .5 {
				continue
			}
			both, err := Pooled(Estimate{Value: first, U: u}, Estimate{Value: x + next*r.NormFloat64(), U: next})
			require.NoError(t, err)
			bin := 0
			for bin < len(cuts) && both.Value >= cuts[bin] {
				bin++
			}
			seen[bin]++
			kept++
		}
		require.Greater(t, kept, 500.0)
		for k := range seen {
			p := seen[k] / kept
			want := (1-Slip)*p + Slip/3
			require.InDelta(t, want, got[row][k], 4*math.Sqrt(math.Max(p*(1-p), 1/kept)/kept)+.004, "row %d bin %d", row, k)
		}
	}
}

// A reading without noise, repeated with any instrument, says what it said; far
// less noise settles where a noisy one lay.
func TestAgainAtTheEnds(t *testing.T) {
	m := Model{Rows: []Population{{Mean: 1, SD: .2}}, Else: Population{Mean: 2, SD: .2}}
	cuts := []float64{1.5}
	for _, row := range m.Again(1.4, 0, .1, cuts) {
		require.InDelta(t, 1-Slip/2, row[0], 1e-9)
	}
	perfect := m.Again(1.45, .3, 0, cuts)
	require.InDelta(t, distribution(m.Rows[0].given(1.45, .3), 1.5), perfect[0][0], Slip)
	require.Greater(t, perfect[0][0], .9)
	require.Less(t, perfect[1][0], .2)
	require.Nil(t, m.Again(math.NaN(), .1, .1, cuts))
	require.Nil(t, m.Again(1, .1, -1, cuts))
	require.Nil(t, m.Again(1, .1, .1, []float64{2, 1}))
}

func distribution(p Population, to float64) float64 { return p.between(math.Inf(-1), to, 0) }

// A limit of at least 10, a guard band of 1.645 u: 11.0 with u = 1 needs u below
// 0.608, so n+1 > 2.71 readings; 10.2 would need 68. Worked by hand.
func TestSettling(t *testing.T) {
	lowest := q(t, "10 psi")
	l := Limit{Name: "x", Quantity: quantity.Pressure, Min: &lowest}
	e := Estimate{Value: 11, U: 1, Unit: unit(t, "psi")}
	n, ok := GuardBand(.95).Settling(e, 1, l, 9)
	require.True(t, ok)
	require.Equal(t, 2, n)
	n, ok = GuardBand(.95).Settling(e, .5, l, 9)
	require.True(t, ok)
	require.Equal(t, 1, n)
	e.Value = 10.2
	_, ok = GuardBand(.95).Settling(e, 1, l, 9)
	require.False(t, ok)
	n, ok = GuardBand(.95).Settling(e, 1, l, 99)
	require.True(t, ok)
	require.Equal(t, 67, n)
	e.Value = 9 // outside, and as close
	n, ok = GuardBand(.95).Settling(e, 1, l, 9)
	require.True(t, ok)
	require.Equal(t, 2, n)
}
