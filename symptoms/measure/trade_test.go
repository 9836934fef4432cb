package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/symptoms/quantity"
)

// Rules of the trade; all are common practice, no source. What they come to in the
// cases here was worked by hand.

// Common practice, no source: below an ohm or so the meter's own leads are shorted
// together, read, and taken off what the part reads. A coil of 0.80 +- 0.10 ohm that
// reads 0.95 ohm is condemned without that and sound with it.
func TestLeadsAreTakenOff(t *testing.T) {
	limit := Limit{Name: "coil", Quantity: quantity.Resistance, Nominal: ptr(q(t, "0.80 ohm")), Tolerance: ptr(q(t, "0.10 ohm"))}
	meter := Instrument{Noise: q(t, "0.02 ohm")}
	read := take(t, meter, "0.95 ohm")
	v, err := Judge(read, limit)
	require.NoError(t, err)
	require.Equal(t, DoesNotConform, v.State) // 0.05 outside, band 0.033
	net, err := read.SubtractLeads(Input{Quantity: q(t, "0.14 ohm"), U: q(t, "0.02 ohm")})
	require.NoError(t, err)
	require.InDelta(t, .81, net.Value, 1e-12)
	require.InDelta(t, .02*math.Sqrt2, net.U, 1e-12, "of a difference")
	v, err = Judge(net, limit)
	require.NoError(t, err)
	require.Equal(t, Conforms, v.State) // 0.09 inside, band 0.047
}

// Common practice, no source: a wax enricher fed 12 V grows by at least so much in
// five minutes; its length is measured before and after with one calliper. Here at
// least 3.5 mm: 21.30 to 25.30 mm is enough, to 24.10 mm is not, and to 24.85 mm, 0.05
// mm over with a doubt of 0.05 mm times the square root of 2, is too close to call.
func TestEnricherGrowsInFiveMinutes(t *testing.T) {
	limit := Limit{Name: "growth in 5 min at 12 V", Quantity: quantity.Length, Min: ptr(q(t, "3.5 mm"))}
	calliper := Instrument{Name: "calliper", Noise: q(t, "0.05 mm"), Gauge: q(t, "0.3 mm")}
	for hot, want := range map[string]State{"25.30 mm": Conforms, "24.10 mm": DoesNotConform, "24.85 mm": TooClose, "21.30 mm": DoesNotConform, "0.996 in": Conforms} {
		grown, err := Growth(take(t, calliper, "21.30 mm"), take(t, calliper, hot))
		require.NoError(t, err)
		require.InDelta(t, .05*math.Sqrt2, grown.U, 1e-9, "the calliper's own error cancels")
		v, err := Judge(grown, limit)
		require.NoError(t, err)
		require.Equal(t, want, v.State, hot)
	}
}

// Common practice, no source: the lowest cylinder has at least 75 % of the highest,
// whatever the level of all of them; a lower one stands out in any unit.
func TestLowestCylinderAgainstTheHighest(t *testing.T) {
	limit := Limit{Name: "compression", Quantity: quantity.Pressure, Siblings: LowestOverHighest, Min: ptr(q(t, "75 %"))}
	for _, c := range []struct {
		bank []string
		want State
		low  string
	}{
		{[]string{"120 psi", "90 psi", "118 psi"}, Conforms, "2"}, // 75 % is enough
		{[]string{"120 psi", "89 psi", "118 psi"}, DoesNotConform, "2"},
		{[]string{"60 psi", "46 psi", "59 psi", "58 psi"}, Conforms, "2"}, // low all round, but even
		{[]string{"8.3 bar", "120 psi", "600 kPa", "8.1 bar"}, DoesNotConform, "3"},
	} {
		got, err := Compare(limit.Siblings, siblings(t, Instrument{}, c.bank...))
		require.NoError(t, err)
		require.Equal(t, c.low, got.Lowest)
		v, err := SimpleAcceptance().JudgeSiblings(got, limit)
		require.NoError(t, err)
		require.Equal(t, c.want, v.State, c.bank)
	}
}
