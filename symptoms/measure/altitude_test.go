package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/symptoms/quantity"
)

// The table of ISO 2533:1975 (pressure by geopotential altitude), values from
// memory; the text of the standard was not seen.
func TestStandardPressure(t *testing.T) {
	for h, want := range map[float64]float64{0: 1013.25, 500: 954.61, 1000: 898.75, 2000: 794.95} {
		require.InDelta(t, want, StandardPressure(h), 0.005, "at %g m", h)
	}
}

func gauge(t *testing.T, text string, u string) Reading {
	t.Helper()
	q, err := quantity.Parse(text)
	require.NoError(t, err)
	n, err := quantity.Parse(u)
	require.NoError(t, err)
	r, err := Take(Instrument{Noise: n}, q)
	require.NoError(t, err)
	return r
}

func heightInput(t *testing.T, text string) Input {
	t.Helper()
	q, err := quantity.Parse(text)
	require.NoError(t, err)
	u, err := quantity.Parse("20 m")
	require.NoError(t, err)
	return Input{Quantity: q, U: u}
}

// At 1000 m 100 psi of gauge pressure are, by hand, (100 + 13.0353) 14.6959/13.0353 -
// 14.6959 = 112.74 psi at the sea; the formula is written out in full here, and in
// absolute pressures, as the correction itself is not.
func TestToSeaLevel(t *testing.T) {
	const psi = 68.9475729 // hPa, the pound-force of 4.4482216152605 N on 6.4516 cm2
	r, err := gauge(t, "100 psi", "4 psi").ToSeaLevel(heightInput(t, "1000 m"))
	require.NoError(t, err)
	p0, p := 1013.25/psi, 898.75/psi
	after := func(g, p float64) float64 { return (g+p)*p0/p - p0 }
	require.InDelta(t, after(100, p), r.Value, 1e-3)
	require.InDelta(t, 112.74, r.Value, 0.005)

	// The uncertainty against finite differences: gauge, height and weather.
	h := 0.5
	at := func(m float64) float64 { return StandardPressure(m) / psi }
	byGauge := (after(100+h, p) - after(100-h, p)) / (2 * h) * 4
	byHeight := (after(100, at(1000+h)) - after(100, at(1000-h))) / (2 * h) * 20
	byWeather := (after(100, p*(1+1e-4)) - after(100, p*(1-1e-4))) / 2e-4 * .015
	require.InDelta(t, math.Sqrt(byGauge*byGauge+byHeight*byHeight+byWeather*byWeather), r.U, 1e-4)
	require.Equal(t, Altitude, r.Corrections[0].Name)

	feet, err := gauge(t, "100 psi", "4 psi").ToSeaLevel(heightInput(t, "3280.8399 ft"))
	require.NoError(t, err)
	require.InDelta(t, r.Value, feet.Value, 1e-6)

	sea, err := gauge(t, "100 psi", "4 psi").ToSeaLevel(heightInput(t, "0 m"))
	require.NoError(t, err)
	require.InDelta(t, 100, sea.Value, 1e-12)
	require.Greater(t, sea.U, 4.0, "the weather is there at the sea too")

	for _, bad := range []string{"5001 m", "-451 m", "20 degC"} {
		_, err := gauge(t, "100 psi", "4 psi").ToSeaLevel(heightInput(t, bad))
		require.Error(t, err, bad)
	}
	_, err = r.ToSeaLevel(heightInput(t, "1000 m"))
	require.ErrorContains(t, err, "already")
	_, err = gauge(t, "1 ohm", "0.1 ohm").ToSeaLevel(heightInput(t, "1000 m"))
	require.ErrorContains(t, err, "a resistance")
}

// The air of the day is in all readings of it: it cancels in lowest over highest.
func TestAirCancelsAmongSiblings(t *testing.T) {
	var all []Sibling
	for i, text := range []string{"100 psi", "90 psi"} {
		r, err := gauge(t, text, "1 psi").ToSeaLevel(heightInput(t, "1000 m"))
		require.NoError(t, err)
		all = append(all, Sibling{Position: string(rune('1' + i)), Reading: r})
	}
	c, err := Compare(LowestOverHighest, all)
	require.NoError(t, err)
	require.InDelta(t, 90, c.Value, 1e-9)
	require.InDelta(t, 100*math.Hypot(1./100, 90./10000), c.U, 1e-9)
}
