package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/symptoms/quantity"
)

func TestLimits(t *testing.T) {
	psi := unit(t, "psi")
	nominal := Limit{Name: "a", Quantity: quantity.Pressure, Nominal: ptr(q(t, "100 psi")), Tolerance: ptr(q(t, "10 %"))}
	cases := []struct {
		l      Limit
		kind   LimitKind
		words  string
		lo, hi float64
		cuts   []float64
	}{
		{Limit{Name: "a", Quantity: quantity.Pressure, Min: ptr(q(t, "110 psi"))}, AtLeast, "at least 110 psi", 110, plusInf, []float64{110}},
		{Limit{Name: "a", Quantity: quantity.Pressure, Max: ptr(q(t, "110 psi"))}, AtMost, "at most 110 psi", minusInf, 110, []float64{110}},
		{Limit{Name: "a", Quantity: quantity.Pressure, Min: ptr(q(t, "110 psi")), Max: ptr(q(t, "130 psi"))}, Range, "110 psi to 130 psi", 110, 130, []float64{110, 130}},
		{nominal, WithTolerance, "100 psi ± 10 %", 90, 110, []float64{90, 110}},
		{Limit{Name: "a", Quantity: quantity.Pressure, Min: ptr(q(t, "5 psi")), Max: ptr(q(t, "5 psi"))}, Range, "5 psi to 5 psi", 5, 5, []float64{5}},
	}
	for _, c := range cases {
		require.NoError(t, c.l.Check())
		require.Equal(t, c.kind, c.l.Kind())
		require.Equal(t, c.words, c.l.String())
		lo, hi, err := c.l.Bounds(psi)
		require.NoError(t, err)
		require.InDelta(t, 0, closeTo(c.lo, lo)+closeTo(c.hi, hi), 1e-9)
		cuts, err := c.l.Cuts(psi)
		require.NoError(t, err)
		require.Equal(t, c.cuts, cuts)
	}
	// A tolerance of a temperature is a difference.
	f, err := quantity.ParseFor("9 degF", quantity.TemperatureDifference)
	require.NoError(t, err)
	opens := Limit{Name: "thermostat", Quantity: quantity.Temperature, Nominal: ptr(q(t, "60 degC")), Tolerance: &f}
	lo, hi, err := opens.Bounds(unit(t, "degC"))
	require.NoError(t, err)
	require.InDelta(t, 55, lo, 1e-12)
	require.InDelta(t, 65, hi, 1e-12)
}

// closeTo is how far two numbers lie apart, equal infinities not at all.
func closeTo(a, b float64) float64 {
	if a == b {
		return 0
	}
	return math.Abs(a - b)
}

func TestLimitsRefuse(t *testing.T) {
	psi, volt, pct := ptr(q(t, "110 psi")), ptr(q(t, "12 V")), ptr(q(t, "75 %"))
	for _, c := range []struct {
		l    Limit
		want string
	}{
		{Limit{Name: "c"}, `limit "c": it limits nothing; give min, max, or nominal with tolerance`},
		{Limit{Name: "c", Quantity: quantity.Pressure, Nominal: psi}, `limit "c": a nominal value alone limits nothing; give its tolerance`},
		{Limit{Name: "c", Quantity: quantity.Pressure, Min: volt}, `limit "c": its minimum of 12 V is a voltage; give a pressure, as 118 psi`},
		{Limit{Name: "c", Quantity: quantity.Pressure, Min: psi, Nominal: psi, Tolerance: pct}, `limit "c": min or max beside nominal with tolerance; give one or the other`},
		{Limit{Name: "c", Quantity: quantity.Pressure, Min: psi, Tolerance: pct}, `limit "c": a tolerance needs the nominal value; give it`},
		{Limit{Name: "c", Quantity: quantity.Pressure, Min: psi, Nominal: psi}, `limit "c": a nominal value beside min or max needs a tolerance; leave it out or give both`},
		{Limit{Name: "c", Quantity: quantity.Pressure, Min: psi, Max: ptr(q(t, "90 psi"))}, `limit "c": the lowest value lies above the highest; exchange them`},
		{Limit{Name: "c", Quantity: quantity.Pressure, Min: psi, Siblings: LowestOverHighest}, `limit "c": its minimum of 110 psi is a pressure; give a ratio, as 75 %`},
		{Limit{Name: "c", Quantity: quantity.Pressure, Min: psi, Siblings: "best"}, `limit "c": the sibling rule "best" is not known; take one of: lowest over highest, highest less lowest, lowest below the mean`},
		{Limit{Name: "c", Quantity: quantity.Pressure, Nominal: psi, Tolerance: ptr(q(t, "-1 psi"))}, `limit "c": its tolerance: an uncertainty of -1 psi; type one of 0 or more`},
	} {
		require.EqualError(t, c.l.Check(), c.want)
		_, _, err := c.l.Bounds(unit(t, "psi"))
		require.Error(t, err)
		_, err = c.l.Cuts(unit(t, "psi"))
		require.Error(t, err)
	}
	both := Limit{Name: "c", Quantity: quantity.Pressure, Min: volt, Max: volt}
	require.ErrorContains(t, both.Check(), "minimum")
	require.ErrorContains(t, both.Check(), "maximum", "all faults at once")
	require.Equal(t, "no limit", Limit{}.String())
}

func siblings(t require.TestingT, in Instrument, raw ...string) []Sibling {
	var all []Sibling
	for i, s := range raw {
		all = append(all, Sibling{Position: string(rune('1' + i)), Reading: take(t, in, s)})
	}
	return all
}

func TestCompressionRules(t *testing.T) {
	// The worked row 125 122 95 120 psi against the rules of the trade: an FAA
	// handbook's 75 % and 20 %, an army manual's 10 psi, and the boat trade's 10 %
	// (common practice, no source).
	bank := siblings(t, Instrument{}, "125 psi", "122 psi", "95 psi", "120 psi")
	for _, c := range []struct {
		limit  Limit
		value  float64
		within float64
		want   State
	}{
		{Limit{Siblings: LowestOverHighest, Min: ptr(q(t, "75 %"))}, 76.0, 1e-9, Conforms},
		{Limit{Siblings: BelowMean, Max: ptr(q(t, "20 %"))}, 17.7, 0.05, Conforms},
		{Limit{Siblings: HighestLessLowest, Max: ptr(q(t, "10 psi"))}, 30, 1e-9, DoesNotConform},
		{Limit{Siblings: LowestOverHighest, Min: ptr(q(t, "90 %"))}, 76.0, 1e-9, DoesNotConform},
	} {
		c.limit.Name, c.limit.Quantity = "compression", quantity.Pressure
		got, err := Compare(c.limit.Siblings, bank)
		require.NoError(t, err)
		require.Equal(t, "3", got.Lowest)
		require.Equal(t, "1", got.Highest)
		require.InDelta(t, c.value, got.Value, c.within)
		v, err := SimpleAcceptance().JudgeSiblings(got, c.limit)
		require.NoError(t, err)
		require.Equal(t, c.want, v.State)
	}
}

func TestSiblingUncertainty(t *testing.T) {
	gauge := Instrument{Noise: q(t, "4 psi")}
	c, err := Compare(LowestOverHighest, siblings(t, gauge, "125 psi", "122 psi", "95 psi", "120 psi"))
	require.NoError(t, err)
	// GUM 5.1.6 for a quotient: relative uncertainties in quadrature.
	require.InDelta(t, 76*math.Hypot(4.0/95, 4.0/125), c.U, 1e-9)
	limit := Limit{Name: "compression", Quantity: quantity.Pressure, Siblings: LowestOverHighest, Min: ptr(q(t, "75 %"))}
	v, err := GuardBand(0.95).JudgeSiblings(c, limit)
	require.NoError(t, err)
	require.Equal(t, TooClose, v.State)
	require.Equal(t, "lowest over highest 76.0 % (standard uncertainty 4.0 %) against at least 75 %: too close to call, "+
		"1.0 % inside the limit; chance that the true value conforms 60 %; repeat the reading or use a better gauge", v.String())

	spread, err := Compare(HighestLessLowest, siblings(t, gauge, "125 psi", "95 psi"))
	require.NoError(t, err)
	require.InDelta(t, 4*math.Sqrt2, spread.U, 1e-9)
	// (m-l)/m of two is (h-l)/(h+l), with 2h/(h+l)^2 and 2l/(h+l)^2.
	below, err := Compare(BelowMean, siblings(t, gauge, "125 psi", "95 psi"))
	require.NoError(t, err)
	require.InDelta(t, 100*30.0/220, below.Value, 1e-9)
	require.InDelta(t, 100*4*2*math.Hypot(125, 95)/(220*220), below.U, 1e-9)

	// One gauge's scale error cancels in a ratio, its zero error in a spread.
	scale := Instrument{Name: "gauge", Gauge: q(t, "3 %")}
	c, err = Compare(LowestOverHighest, siblings(t, scale, "125 psi", "95 psi"))
	require.NoError(t, err)
	require.InDelta(t, 0, c.U, 1e-12)
	zero := Instrument{Name: "gauge", Gauge: q(t, "3 psi")}
	c, err = Compare(HighestLessLowest, siblings(t, zero, "125 psi", "95 psi"))
	require.NoError(t, err)
	require.InDelta(t, 0, c.U, 1e-12)
}

func TestCompareRefuses(t *testing.T) {
	_, err := Compare(LowestOverHighest, siblings(t, Instrument{}, "125 psi"))
	require.ErrorContains(t, err, "two positions")
	_, err = Compare("best", siblings(t, Instrument{}, "125 psi", "3 psi"))
	require.ErrorContains(t, err, "not known")
	_, err = Compare(LowestOverHighest, siblings(t, Instrument{}, "125 psi", "3 V"))
	require.ErrorContains(t, err, "position 2")
	_, err = Compare(LowestOverHighest, siblings(t, Instrument{}, "125 psi", "0 psi"))
	require.EqualError(t, err, "position 2 reads 0 psi, and shares are taken only of readings above 0; compare by spread")
	warm, err := Compare(HighestLessLowest, siblings(t, Instrument{}, "60 degC", "149 degF"))
	require.NoError(t, err)
	require.InDelta(t, 5, warm.Value, 1e-9)
	require.Equal(t, "K", warm.Unit.Code())
	_, err = SimpleAcceptance().JudgeSiblings(warm, Limit{Name: "x", Siblings: LowestOverHighest})
	require.ErrorContains(t, err, "compare them by the limit's rule")
}

func TestEqualSiblingsStayUncertain(t *testing.T) {
	same, err := Compare(LowestOverHighest, siblings(t, Instrument{Noise: q(t, "1 psi")}, "5 psi", "5 psi"))
	require.NoError(t, err)
	require.Equal(t, "1", same.Lowest)
	require.Equal(t, "2", same.Highest)
	require.InDelta(t, 100, same.Value, 1e-12)
	require.InDelta(t, 100*math.Sqrt2/5, same.U, 1e-9)
}
