package measure

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"narrows/symptoms/quantity"
)

var minusInf, plusInf = math.Inf(-1), math.Inf(1)

func TestConformanceAgainstPublishedValues(t *testing.T) {
	// JCGM 106, breakdown voltage of a diode: the guide prints 0.92.
	require.InDelta(t, 0.9192433408, Conformance(-5.47, 0.05, minusInf, -5.40), 1e-9)
	// JCGM 106, speed limit 100 km/h, u 2 % of the speed, 99.9 % sure: 107 km/h.
	k := OneSided(0.999, 0)
	require.InDelta(t, 3.0902, k, 5e-5)
	speed := 100 / (1 - 0.02*k)
	require.InDelta(t, 106.5876, speed, 1e-4)
	require.InDelta(t, 0.001, Conformance(speed, 0.02*speed, minusInf, 100), 1e-9)
	// JCGM 106, resistors: the process alone, then with a reading.
	require.InDelta(t, 0.9044192955, Conformance(1500, 0.12, 1499.8, 1500.2), 1e-9)
	prior := Population{Mean: 1500, SD: 0.12}
	for _, c := range []struct{ y, mean, p, flat float64 }{
		{1500.18, 1500.162, 0.8416803504, 0.6914624613},
		{1500.20, 1500.180, 0.7009192737, 0.5},
		{1500.22, 1500.198, 0.5210163741, 0.3085375387},
	} {
		after := Posterior(prior, c.y, 0.04)
		require.InDelta(t, c.mean, after.Mean, 1e-9)
		require.InDelta(t, 0.0379473319, after.SD, 1e-9)
		require.InDelta(t, c.p, ConformanceWithPrior(prior, c.y, 0.04, 1499.8, 1500.2), 1e-9)
		require.InDelta(t, c.flat, Conformance(c.y, 0.04, 1499.8, 1500.2), 1e-9)
	}
	// JCGM 106 8.3: the probability at an acceptance limit of guard band r U.
	for r, want := range map[float64]float64{0: 0.5, 0.5: 0.8413447, 0.82: 0.9494974, 1: 0.9772499, 1.5: 0.9986501} {
		require.InDelta(t, want, Conformance(10-r*2*0.1, 0.1, minusInf, 10), 1e-7)
	}
}

func TestConformanceEdges(t *testing.T) {
	require.Equal(t, 1.0, Conformance(10, 0, 10, plusInf))
	require.Equal(t, 0.0, Conformance(9.9, 0, 10, plusInf))
	require.InDelta(t, 1, Conformance(5, 1, minusInf, plusInf), 1e-15)
	// Far outside it is small, not 0, from either side.
	require.InEpsilon(t, 7.6198530241605e-24, Conformance(0, 1, 10, plusInf), 1e-6) // Phi(-10), tables
	require.InEpsilon(t, 7.6198530241605e-24, Conformance(0, 1, minusInf, -10), 1e-6)
	require.InEpsilon(t, 7.6198530241605e-24, Conformance(0, 1, -12, -10), 1e-6)
}

func TestRules(t *testing.T) {
	// ISO 14253-1 with U = 2u; the numbers are Phi(2), Phi(0.5) and so on.
	limit := Limit{Name: "gap", Quantity: quantity.Length, Max: ptr(q(t, "10 mm"))}
	gauge := Instrument{Noise: q(t, "0.1 mm")}
	for _, c := range []struct {
		typed               string
		p                   float64
		two, guard95, plain State
	}{
		{"9.80 mm", 0.9772499, Conforms, Conforms, Conforms},
		{"9.95 mm", 0.6914625, TooClose, TooClose, Conforms},
		{"10.05 mm", 0.3085375, TooClose, TooClose, DoesNotConform},
		{"10.30 mm", 0.0013499, DoesNotConform, DoesNotConform, DoesNotConform},
		{"9.83 mm", 0.9554345, TooClose, Conforms, Conforms}, // Phi(1.7): 1.645 u are enough
		{"10.17 mm", 0.0445655, TooClose, DoesNotConform, DoesNotConform},
		{"10 mm", 0.5, TooClose, TooClose, Conforms},
	} {
		r := take(t, gauge, c.typed)
		for rule, want := range map[Rule]State{ExpandedBand(2): c.two, GuardBand(0.95): c.guard95, SimpleAcceptance(): c.plain} {
			v, err := rule.JudgeReading(r, limit)
			require.NoError(t, err)
			require.Equal(t, want, v.State, "%s by %s", c.typed, rule.Name)
			require.InDelta(t, c.p, v.P, 1e-7)
		}
		v, err := Judge(r, limit)
		require.NoError(t, err)
		require.Equal(t, c.guard95, v.State)
		require.Equal(t, "guard band, 95 %", v.Rule.Name)
	}
}

func TestBordersStayOnTheirSide(t *testing.T) {
	// A border typed as such, in any unit, without uncertainty: it conforms.
	for _, c := range [][2]string{{"110 psi", "7.584233022485 bar"}, {"7.5 inHg", "25.3979148025575 kPa"}, {"35 thou", "0.889 mm"}} {
		limit := Limit{Name: "x", Quantity: q(t, c[0]).Unit.Dimension(), Min: ptr(q(t, c[0])), Max: ptr(q(t, c[0]))}
		for _, s := range c {
			e := Estimate{Value: q(t, s).Value, Unit: q(t, s).Unit}
			v, err := GuardBand(0.95).Judge(e, limit)
			require.NoError(t, err)
			require.Equal(t, Conforms, v.State, s)
			require.Equal(t, 1.0, v.P)
		}
		e := Estimate{Value: q(t, c[0]).Value * (1 + 1e-9), Unit: q(t, c[0]).Unit}
		v, err := GuardBand(0.95).Judge(e, limit)
		require.NoError(t, err)
		require.Equal(t, DoesNotConform, v.State)
	}
}

func TestNarrowRangeNeedsTheProbability(t *testing.T) {
	// +-2 u: in the middle 0.9545 > 0.95; a little off the middle it is less,
	// though 1.645 u from either bound.
	limit := Limit{Name: "x", Quantity: quantity.Voltage, Nominal: ptr(q(t, "12 V")), Tolerance: ptr(q(t, "2 V"))}
	u := unit(t, "V")
	for y, want := range map[float64]State{12: Conforms, 12.3: TooClose, 13: TooClose, 15: TooClose, 15.7: DoesNotConform} {
		v, err := GuardBand(0.95).Judge(Estimate{Value: y, U: 1, Unit: u}, limit)
		require.NoError(t, err)
		require.Equal(t, want, v.State, y)
	}
}

func TestFewRepeatsMakeWiderBands(t *testing.T) {
	limit := Limit{Name: "x", Quantity: quantity.Voltage, Min: ptr(q(t, "10 V"))}
	e := Estimate{Value: 12, U: 1, Unit: unit(t, "V")}
	v, err := GuardBand(0.95).Judge(e, limit)
	require.NoError(t, err)
	require.Equal(t, Conforms, v.State)
	e.DoF = 2 // Student's one-sided 95 % factor is 2.920 (GUM table G.2, 90 % two-sided)
	v, err = GuardBand(0.95).Judge(e, limit)
	require.NoError(t, err)
	require.Equal(t, TooClose, v.State)
	require.InDelta(t, 1-0.0917517, v.P, 1e-6) // P(t_2 > 2) = (1 - 2/sqrt(6))/2
}

func TestVerdictSentences(t *testing.T) {
	limit := Limit{Name: "compression", Quantity: quantity.Pressure, Min: ptr(q(t, "110 psi"))}
	gauge := Instrument{Noise: q(t, "4 psi")}
	for typed, want := range map[string]string{
		"95 psi":  "95 psi (standard uncertainty 4.0 psi) against at least 110 psi: does not conform, 15.0 psi outside the limit; chance that the true value conforms under 0.1 %",
		"112 psi": "112 psi (standard uncertainty 4.0 psi) against at least 110 psi: too close to call, 2.0 psi inside the limit; chance that the true value conforms 69 %; repeat the reading or use a better gauge",
		"120psi":  "120psi (standard uncertainty 4.0 psi) against at least 110 psi: conforms, 10.0 psi inside the limit; chance that the true value conforms 99.4 %",
	} {
		v, err := Judge(take(t, gauge, typed), limit)
		require.NoError(t, err)
		require.Equal(t, want, v.String())
	}
	sure, err := GuardBand(0.95).Judge(Estimate{Value: 95, Unit: unit(t, "psi")}, limit)
	require.NoError(t, err)
	require.Equal(t, "95 psi against at least 110 psi: does not conform, 15 psi outside the limit", sure.String())
	require.Equal(t, "too close to call", TooClose.String())

	data, err := json.Marshal(sure)
	require.NoError(t, err)
	var back Verdict
	require.NoError(t, json.Unmarshal(data, &back))
	require.Equal(t, sure, back)
}

func TestPercent(t *testing.T) {
	for p, want := range map[float64]string{
		0: "0 %", 1: "100 %", 0.9999: "over 99.9 %", 1e-9: "under 0.1 %", 0.995: "99.5 %", 0.004: "0.4 %", 0.64: "64 %",
	} {
		require.Equal(t, want, percent(p))
	}
}

func TestJudgeRefuses(t *testing.T) {
	limit := Limit{Name: "x", Quantity: quantity.Pressure, Min: ptr(q(t, "110 psi"))}
	_, err := Judge(take(t, Instrument{}, "3 V"), limit)
	require.ErrorContains(t, err, "pressure")
	_, err = GuardBand(0.95).Judge(Estimate{Value: math.NaN(), Unit: unit(t, "psi")}, limit)
	require.ErrorContains(t, err, "cannot be judged")
	_, err = Judge(take(t, Instrument{}, "118 psi"), Limit{Name: "x"})
	require.ErrorContains(t, err, "limits nothing")
}

func TestVerdictIsTheSameInAnyUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		psi := unit(t, "psi")
		limit := Limit{Name: "x", Quantity: quantity.Pressure, Min: ptr(q(t, "110 psi")), Max: ptr(q(t, "10 bar"))}
		e := Estimate{
			Value: float64(rapid.IntRange(80, 180).Draw(t, "y")), U: float64(rapid.IntRange(0, 12).Draw(t, "u")),
			DoF: float64(rapid.IntRange(0, 5).Draw(t, "dof")), Unit: psi,
		}
		other, err := e.In(rapid.SampledFrom(quantity.Pressure.Units()).Draw(t, "unit"))
		require.NoError(t, err)
		a, err := GuardBand(0.95).Judge(e, limit)
		require.NoError(t, err)
		b, err := GuardBand(0.95).Judge(other, limit)
		require.NoError(t, err)
		require.Equal(t, a.State, b.State)
		require.InDelta(t, a.P, b.P, 1e-9)
	})
}

func TestStatesFollowTheMargin(t *testing.T) {
	order := map[State]int{DoesNotConform: 0, TooClose: 1, Conforms: 2}
	rapid.Check(t, func(t *rapid.T) {
		limit := Limit{Name: "x", Quantity: quantity.Pressure, Min: ptr(q(t, "110 psi"))}
		u := rapid.Float64Range(0, 10).Draw(t, "u")
		low := rapid.Float64Range(60, 150).Draw(t, "low")
		high := rapid.Float64Range(low, 160).Draw(t, "high")
		a, err := GuardBand(0.95).Judge(Estimate{Value: low, U: u, Unit: unit(t, "psi")}, limit)
		require.NoError(t, err)
		b, err := GuardBand(0.95).Judge(Estimate{Value: high, U: u, Unit: unit(t, "psi")}, limit)
		require.NoError(t, err)
		require.LessOrEqual(t, order[a.State], order[b.State])
		require.LessOrEqual(t, a.P, b.P+1e-12)
	})
}
