package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

// The numbers of this file are of JCGM 100:2008 (GUM), its tables and worked
// examples, or computed from its formulas outside this project.

func TestTypeA(t *testing.T) {
	r, err := TypeA([]float64{118.2, 117.6, 118.9, 118.1, 117.7}) // formulas of GUM 4.2
	require.NoError(t, err)
	require.Equal(t, 5, r.N)
	require.InDelta(t, 118.10, r.Mean, 1e-9)
	require.InDelta(t, 0.5147815071, r.SD, 1e-9)
	require.InDelta(t, 0.2302172887, r.U, 1e-9)
	require.InDelta(t, 0.6391856642, r.HalfWidth(0.95), 1e-9)

	one, err := TypeA([]float64{3})
	require.NoError(t, err)
	require.Equal(t, Repeats{N: 1, Mean: 3}, one)
	require.True(t, math.IsInf(one.HalfWidth(0.95), 1))
	_, err = TypeA(nil)
	require.ErrorContains(t, err, "no reading")
	_, err = TypeA([]float64{1, math.NaN()})
	require.ErrorContains(t, err, "not a number")
}

func TestDistributions(t *testing.T) {
	require.InDelta(t, 1/math.Sqrt(3), Rectangular(-1), 1e-15)
	require.InDelta(t, 1/math.Sqrt(6), Triangular(1), 1e-15)
	require.InDelta(t, 0.0288675, Resolution(0.1), 5e-8) // GUM F.2.2.1: 0.29 of the step
	require.InDelta(t, Rectangular(0.5), Resolution(1), 1e-15)
}

func TestMeterSpec(t *testing.T) {
	// 0.5 % of reading and 2 digits of 0.1, at 118.0 (GUM 4.3.7).
	m := MeterSpec{Percent: 0.5, Digits: 2, Step: 0.1}
	require.InDelta(t, 0.79, m.HalfWidth(118), 1e-9)
	require.InDelta(t, 0.4561067127, m.Standard(118), 1e-9)
	require.Equal(t, m.Standard(118), m.Standard(-118))
	require.True(t, MeterSpec{Step: 1}.IsZero())
}

func TestStudentFactors(t *testing.T) {
	// GUM table G.2, to four decimals.
	nu := []float64{1, 2, 3, 4, 5, 10, 20}
	at95 := []float64{12.7062, 4.3027, 3.1824, 2.7764, 2.5706, 2.2281, 2.0860}
	at9545 := []float64{13.9678, 4.5266, 3.3068, 2.8693, 2.6487, 2.2837, 2.1330}
	for i := range nu {
		require.InDelta(t, at95[i], TwoSided(0.95, nu[i]), 5e-5)
		require.InDelta(t, at9545[i], TwoSided(0.9545, nu[i]), 5e-5)
	}
	require.InDelta(t, 1.84, TwoSided(0.6827, 1), 5e-3)
	require.InDelta(t, 5.51, TwoSided(0.9973, 5), 5e-3)
	require.InDelta(t, 1.72, TwoSided(0.90, 20), 5e-3)
	require.InDelta(t, 1.645, OneSided(0.95, 0), 5e-4) // normal
	require.InDelta(t, 1.960, TwoSided(0.95, 0), 5e-4)
}

func TestGaugeBlock(t *testing.T) {
	// GUM H.1, in nm: u_c prints as 32, effective degrees of freedom 16, U99 93.
	parts := []Component{{U: 25, DoF: 18}, {U: 9.7, DoF: 25.6}, {U: 2.9, DoF: 50}, {U: 16.6, DoF: 2}}
	u, dof := Combine(parts...)
	require.InDelta(t, 31.67, u, 5e-3)
	require.InDelta(t, 16.76, EffectiveDoF(parts...), 5e-3)
	require.Equal(t, 16.0, dof)
	require.InDelta(t, 2.9208, TwoSided(0.99, dof), 5e-5)
	require.InDelta(t, 93, Estimate{U: u, DoF: dof}.Expanded(0.99), 0.5)
}

func TestResistanceAndReactance(t *testing.T) {
	// GUM H.2: simultaneous readings, hence correlated means.
	v := []float64{5.007, 4.994, 5.005, 4.990, 4.999}
	i := []float64{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3}
	phi := []float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433}
	data := [][]float64{v, i, phi}
	var mean, u []float64
	r := make([][]float64, 3)
	for a := range data {
		x, err := TypeA(data[a])
		require.NoError(t, err)
		mean, u = append(mean, x.Mean), append(u, x.U)
		for b := range data {
			r[a] = append(r[a], stat.Correlation(data[a], data[b], nil))
		}
	}
	require.InDelta(t, 4.9990, mean[0], 5e-5)
	require.InDelta(t, 19.6610e-3, mean[1], 5e-8)
	require.InDelta(t, 1.04446, mean[2], 5e-6)
	require.InDelta(t, 0.0032094, u[0], 5e-8)
	require.InDelta(t, 0.0094710e-3, u[1], 5e-11)
	require.InDelta(t, 0.00075206, u[2], 5e-9)
	require.InDelta(t, -0.3553, r[0][1], 5e-5)
	require.InDelta(t, 0.8576, r[0][2], 5e-5)
	require.InDelta(t, -0.6451, r[1][2], 5e-5)

	z, sin, cos := mean[0]/mean[1], math.Sin(mean[2]), math.Cos(mean[2])
	for _, c := range []struct {
		value, want, u float64
		sensitivity    []float64
	}{
		{z * cos, 127.73217, 0.0710714, []float64{cos / mean[1], -z * cos / mean[1], -z * sin}},
		{z * sin, 219.84651, 0.29558, []float64{sin / mean[1], -z * sin / mean[1], z * cos}},
		{z, 254.25970, 0.23634, []float64{1 / mean[1], -z / mean[1], 0}},
	} {
		require.InDelta(t, c.want, c.value, 5e-5)
		got, err := Propagate(c.sensitivity, u, r)
		require.NoError(t, err)
		require.InDelta(t, c.u, got, 5e-5)
	}
}

func TestPropagate(t *testing.T) {
	u, err := Propagate([]float64{1, -1}, []float64{3, 4}, nil)
	require.NoError(t, err)
	require.InDelta(t, 5, u, 1e-12)
	u, err = Propagate([]float64{1, -1}, []float64{3, 3}, [][]float64{{1, 1}, {1, 1}})
	require.NoError(t, err)
	require.InDelta(t, 0, u, 1e-12) // fully correlated errors cancel
	_, err = Propagate([]float64{1}, []float64{3, 4}, nil)
	require.Error(t, err)
	_, err = Propagate([]float64{1, 1}, []float64{3, 4}, [][]float64{{1, 0}, {0}})
	require.ErrorContains(t, err, "row 2")
}

func TestEffectiveDoFLiesBetween(t *testing.T) {
	// GUM G.4.1: at least the least of the parts', at most their sum.
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "n")
		var parts []Component
		least, sum := math.Inf(1), 0.0
		for range n {
			c := Component{U: rapid.Float64Range(0.01, 100).Draw(t, "u"), DoF: float64(rapid.IntRange(1, 50).Draw(t, "dof"))}
			parts = append(parts, c)
			least, sum = math.Min(least, c.DoF), sum+c.DoF
		}
		dof := EffectiveDoF(parts...)
		require.GreaterOrEqual(t, dof, least*(1-1e-12))
		require.LessOrEqual(t, dof, sum*(1+1e-12))
		_, down := Combine(parts...)
		require.Equal(t, math.Floor(dof), down)
	})
	_, dof := Combine(Component{U: 3}, Component{U: 4})
	require.Zero(t, dof, "stated uncertainties alone have no finite degrees of freedom")
	_, dof = Combine(Component{U: 1, DoF: 0.3})
	require.Equal(t, 1.0, dof)
}
