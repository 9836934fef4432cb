package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func sharedReading(v, noise, gauge float64, name string) Reading {
	r := Reading{Components: []Component{{Name: "noise", U: noise}, {Name: "gauge", U: gauge, Shared: name}}}
	r.Value = v
	r.U, _ = Combine(r.Components...)
	return r
}

// Four readings with a gauge of 3, each with a noise of 2: the noise halves, the
// gauge's error stays: sqrt(1 + 9). Worked by hand; and against a million draws of the
// errors themselves.
func TestPooledShared(t *testing.T) {
	var rs []Reading
	for _, v := range []float64{10, 12, 11, 11} {
		rs = append(rs, sharedReading(v, 2, 3, "g"))
	}
	got, err := PooledShared(rs...)
	require.NoError(t, err)
	require.InDelta(t, 11, got.Value, 1e-12)
	require.InDelta(t, math.Sqrt(10), got.U, 1e-12)
	own, common := got.Parted("g", "air")
	require.InDelta(t, 1, own, 1e-12)
	require.InDelta(t, 3, common, 1e-12)
	own, common = got.Parted("another")
	require.InDelta(t, math.Sqrt(10), own, 1e-12)
	require.Zero(t, common)

	// Two gauges: 2 readings with one, 1 with another.
	rs = []Reading{sharedReading(0, 1, 2, "a"), sharedReading(0, 1, 2, "a"), sharedReading(0, .5, 1, "b")}
	got, err = PooledShared(rs...)
	require.NoError(t, err)
	w := []float64{1 / 5., 1 / 5., 1 / 1.25}
	r := rand.New(rand.NewPCG(1, 2))
	var sq float64
	const n = 1_000_000
	for range n {
		a, b := 2*r.NormFloat64(), r.NormFloat64()
		x := (w[0]*(a+r.NormFloat64()) + w[1]*(a+r.NormFloat64()) + w[2]*(b+.5*r.NormFloat64())) / (w[0] + w[1] + w[2])
		sq += x * x
	}
	require.InEpsilon(t, math.Sqrt(sq/n), got.U, 0.005)
}

// Where nothing is shared it is Pooled to the last digit.
func TestPooledSharedOfNothingShared(t *testing.T) {
	a, b := Reading{Estimate: Estimate{Value: 10, U: .3}}, Reading{Estimate: Estimate{Value: 10.6, U: .6}}
	want, err := Pooled(a.Estimate, b.Estimate)
	require.NoError(t, err)
	got, err := PooledShared(a, b)
	require.NoError(t, err)
	require.Equal(t, want, got.Estimate)
	require.Equal(t, Agree(a.Estimate, b.Estimate), AgreeShared(a, b))
}

// Readings of one gauge lie apart by noise alone: 6 apart with a noise of 2 they do
// not agree (at most 2 sqrt(8) = 5.66), however bad the gauge is.
func TestAgreeShared(t *testing.T) {
	require.False(t, AgreeShared(sharedReading(10, 2, 30, "g"), sharedReading(16, 2, 30, "g")))
	require.True(t, AgreeShared(sharedReading(10, 2, 30, "g"), sharedReading(15.6, 2, 30, "g")))
	require.True(t, AgreeShared(sharedReading(10, 2, 30, "g"), sharedReading(16, 2, 30, "h")))
}

// What is shared sets how far repeating can go.
func TestSettlingShared(t *testing.T) {
	l := Limit{Name: "l", Quantity: "pressure"}
	q := gauge(t, "100 psi", "1 psi").Raw[0]
	l.Min = &q
	e := Estimate{Value: 104, U: math.Hypot(3, 1), Unit: q.Unit}
	rule := GuardBand(.95)
	n, ok := rule.SettlingShared(e, 1, 3, l, 9)
	require.True(t, ok)
	require.Equal(t, 1, n) // 1.645 hypot(1, 3/sqrt 2) = 3.86 < 4 < 1.645 hypot(1, 3)
	e.U = math.Hypot(3, 2.5)
	_, ok = rule.SettlingShared(e, 2.5, 3, l, 99) // 1.645 x 2.5 > 4
	require.False(t, ok)
	e.U = 3
	n1, ok1 := rule.Settling(e, 3, l, 9)
	n2, ok2 := rule.SettlingShared(e, 0, 3, l, 9)
	require.Equal(t, n1, n2)
	require.Equal(t, ok1, ok2)
}

// Readings to come with the same gauge are foreseen as they fall: the true value and
// the gauge's error are drawn, then two readings; of those whose first is near y the
// mean of both lies below the cut as often as Again says.
func TestAgainWithOneGauge(t *testing.T) {
	m := Model{Else: Population{Mean: 100, SD: 8}, Rows: []Population{{Mean: 70, SD: 10}}, Unit: unit(t, "psi")}
	const noise, shared, y, cut = 3., 4., 90., 88.
	got := m.Blurred(shared).Again(y, noise, noise, []float64{cut})
	require.NotNil(t, got)
	r := rand.New(rand.NewPCG(3, 4))
	for i, p := range []Population{m.Rows[0], m.Else} {
		near, below := 0, 0
		for range 1_500_000 {
			shown := p.Mean + p.SD*r.NormFloat64() + shared*r.NormFloat64()
			first := shown + noise*r.NormFloat64()
			if math.Abs(first-y) > .25 {
				continue
			}
			near++
			if (y+shown+noise*r.NormFloat64())/2 < cut {
				below++
			}
		}
		require.Greater(t, near, 3000)
		require.InDelta(t, float64(below)/float64(near), got[i][0], 0.015)
	}
}
