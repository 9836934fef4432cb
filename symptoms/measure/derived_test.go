package measure_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

func read(t *testing.T, text, noise string) measure.Reading {
	t.Helper()
	q, err := quantity.Parse(text)
	require.NoError(t, err)
	u, err := quantity.Parse(noise)
	require.NoError(t, err)
	r, err := measure.Take(measure.Instrument{Noise: u}, q)
	require.NoError(t, err)
	return r
}

// Combined standard uncertainty of sums and quotients: JCGM 100:2008, 5.1.2 and
// 5.1.6 (relative uncertainties of a quotient add in quadrature).
func TestDerive(t *testing.T) {
	cold, warm := read(t, "12.1 mm", "0.07 mm"), read(t, "16.2 mm", "0.07 mm")
	growth, err := measure.Derive(measure.GrowthOf, cold, warm)
	require.NoError(t, err)
	require.InDelta(t, 4.1, growth.Value, 1e-12)
	require.InDelta(t, 0.09899494936611666, growth.U, 1e-15) // 0.07 sqrt(2)

	drop, err := measure.Derive(measure.DropOf, warm, cold)
	require.NoError(t, err)
	require.InDelta(t, 4.1, drop.Value, 1e-12)
	require.InDelta(t, growth.U, drop.U, 1e-15)

	share, err := measure.Derive(measure.RatioOf, read(t, "90 psi", "3 psi"), read(t, "120 psi", "4 psi"))
	require.NoError(t, err)
	require.Equal(t, quantity.Ratio, share.Unit.Dimension())
	require.InDelta(t, 75, share.Value, 1e-12)
	require.InDelta(t, 75*0.04714045207910317, share.U, 1e-12) // sqrt(2) / 30 of it

	// In another unit the second value gives the same.
	bar, err := read(t, "120 psi", "4 psi").In(mustUnit(t, "bar"))
	require.NoError(t, err)
	same, err := measure.Derive(measure.RatioOf, read(t, "90 psi", "3 psi"), bar)
	require.NoError(t, err)
	require.InDelta(t, share.Value, same.Value, 1e-12)
	require.InDelta(t, share.U, same.U, 1e-12)

	mean, err := measure.Derive(measure.MeanOf, read(t, "3 V", "0.3 V"), read(t, "4 V", "0.4 V"), read(t, "5 V", "1.2 V"))
	require.NoError(t, err)
	require.InDelta(t, 4, mean.Value, 1e-12)
	require.InDelta(t, 1.3/3, mean.U, 1e-12) // 3, 4 and 12 make 13

	// Differences of temperatures are no temperatures.
	rise, err := measure.Derive(measure.GrowthOf, read(t, "20 degC", "1 K"), read(t, "77 degF", "1 K"))
	require.NoError(t, err)
	require.Equal(t, quantity.TemperatureDifference, rise.Unit.Dimension())
	require.InDelta(t, 5, rise.Value, 1e-9)

	for _, bad := range []func() (measure.Reading, error){
		func() (measure.Reading, error) { return measure.Derive(measure.GrowthOf, cold) },
		func() (measure.Reading, error) { return measure.Derive(measure.RatioOf, cold, warm, warm) },
		func() (measure.Reading, error) { return measure.Derive("sum", cold, warm) },
		func() (measure.Reading, error) { return measure.Derive(measure.MeanOf, cold, read(t, "3 V", "0.1 V")) },
		func() (measure.Reading, error) {
			return measure.Derive(measure.RatioOf, cold, read(t, "0 mm", "0.1 mm"))
		},
	} {
		_, err := bad()
		require.Error(t, err)
	}
}

func mustUnit(t *testing.T, code string) quantity.Unit {
	t.Helper()
	u, err := quantity.ParseUnit(code)
	require.NoError(t, err)
	return u
}
