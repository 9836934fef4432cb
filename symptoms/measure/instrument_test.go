package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/symptoms/quantity"
)

func TestParseAccuracy(t *testing.T) {
	for text, want := range map[string][2]float64{
		"0.8 % + 3 digits": {.8, 3}, "±0.5%+2 counts": {.5, 2}, "1 %": {1, 0}, "4 digits": {0, 4},
		"1 % of reading + 1 digit": {1, 1}, ".5 %": {.5, 0},
	} {
		p, d, err := ParseAccuracy(text)
		require.NoError(t, err, text)
		require.Equal(t, want, [2]float64{p, d}, text)
	}
	for _, bad := range []string{"", "good", "0.8", "-1 %", "101 %", "0 %", "3 digits + 0.8 %", "20000 digits"} {
		_, _, err := ParseAccuracy(bad)
		require.Error(t, err, bad)
	}
}

// 0.8 % of 1.5 ohm and 3 digits of 0.1 ohm are 0.312 ohm at most; as a standard
// uncertainty over the square root of 3 (GUM 4.3.7). The step holds in whatever unit
// is read.
func TestFiguresInAnyUnit(t *testing.T) {
	step, err := quantity.Parse("0.1 ohm")
	require.NoError(t, err)
	f := Figures{Percent: .8, Digits: 3, Step: step}
	require.Equal(t, "accuracy 0.8 % + 3 digits of 0.1 ohm", f.String())
	for u, scale := range map[string]float64{"ohm": 1, "kohm": 1e-3, "mohm": 1e3} {
		unit, err := quantity.ParseUnit(u)
		require.NoError(t, err)
		in, err := f.Instrument("meter", unit)
		require.NoError(t, err)
		r, err := in.At(1.5*scale, unit)
		require.NoError(t, err)
		require.InEpsilon(t, .312/math.Sqrt(3)*scale, r.U, 1e-12)
		own, common := r.Parted("meter")
		require.Zero(t, own)
		require.Equal(t, r.U, common)
	}
	volt, err := quantity.ParseUnit("V")
	require.NoError(t, err)
	_, err = f.Instrument("meter", volt)
	require.Error(t, err)
}
