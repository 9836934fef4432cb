package quantity

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestFormat(t *testing.T) {
	ohm, turns, psi := mustUnit(t, "ohm"), mustUnit(t, "turns"), mustUnit(t, "psi")
	for _, c := range []struct {
		v      float64
		u      Unit
		digits int
		want   string
	}{
		{0.95, ohm, 3, "0.950 ohm"},
		{813.58, psi, 2, "814 psi"}, // digits before the point stay
		{118, psi, 4, "118.0 psi"},
		{0.0012345, ohm, 2, "0.0012 ohm"},
		{math.Nextafter(0.3, 1), ohm, 0, "0.30000000000000004 ohm"},
		{0, ohm, 3, "0 ohm"},
		{math.Copysign(0, -1), ohm, 3, "0 ohm"},
		{-12.345, ohm, 4, "-12.35 ohm"}, // the float64 is a little further from 0 than the text
		{1, turns, 1, "1 turn"},
		{-0.5, turns, 2, "-0.50 turn"},
		{2.25, turns, 3, "2.25 turns"},
		{42, Unit{}, 2, "42"},
		{math.Inf(1), ohm, 3, "+Inf ohm"},
	} {
		require.Equal(t, c.want, Format(c.v, c.u, c.digits))
	}
	require.Equal(t, "2.00 ohm", FormatFixed(2, ohm, 2))
	require.Equal(t, "0.0 ohm", FormatFixed(-0.04, ohm, 1))
}

// Each border and its neighbours: the tie itself is a float64 only where the
// decimal is a sum of powers of two, and goes to the even digit.
func TestFormatBorders(t *testing.T) {
	u := Unit{}
	for _, c := range []struct {
		border             float64
		digits             int
		below, at, aboveIt string
	}{
		{0.125, 2, "0.12", "0.12", "0.13"},
		{0.375, 2, "0.37", "0.38", "0.38"},
		{9.5, 1, "9", "10", "10"},
		{10.5, 2, "10", "10", "11"},
		{99.5, 2, "99", "100", "100"},
		{9.75, 2, "9.7", "9.8", "9.8"},
		{999.9375, 6, "999.937", "999.938", "999.938"},
	} {
		require.Equal(t, c.below, Format(math.Nextafter(c.border, 0), u, c.digits))
		require.Equal(t, c.at, Format(c.border, u, c.digits))
		require.Equal(t, c.aboveIt, Format(math.Nextafter(c.border, 1e9), u, c.digits))
	}
	// 9.995 is no float64; the nearest one lies below it, the next above.
	require.Equal(t, "9.99", Format(9.995, u, 3))
	require.Equal(t, "10.0", Format(math.Nextafter(9.995, 10), u, 3))
}

func TestFormatIsWithinHalfAStep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "value")
		digits := rapid.IntRange(1, 12).Draw(t, "digits")
		text := Format(v, Unit{}, digits)
		back, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		places := 0
		if at := strings.IndexByte(text, '.'); at >= 0 {
			places = len(text) - at - 1
		}
		require.LessOrEqual(t, math.Abs(back-v), 0.5*math.Pow10(-places)*(1+1e-9)+1e-9*math.Pow10(-places)+4e-16*math.Abs(v))
	})
}
