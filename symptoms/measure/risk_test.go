package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"narrows/symptoms/quantity"
)

// JCGM 106:2012 9.5.4, bearing balls whose error of form is spread by a gamma
// distribution: 0.0424 are not tolerated, a consumer's risk of 0.00802 by simple
// acceptance, and an acceptance limit of 1.6718 for a risk of 0.001. The figures
// stand in the open library of a national laboratory; the further digits were
// computed outside this project.
func TestRisksOfBearingBalls(t *testing.T) {
	form := distuv.Gamma{Alpha: 4, Beta: 4}
	tolerated := Span{minusInf, 2}
	bad := GlobalRisks(form, .25, tolerated, Span{minusInf, plusInf})
	require.InDelta(t, math.Exp(-8)*(1+8+32+512.0/6), bad.Consumer, 1e-9)
	require.InDelta(t, .0423801120, bad.Consumer, 1e-9)
	require.InDelta(t, 0, bad.Producer, 1e-12)

	simple := GlobalRisks(form, .25, tolerated, tolerated)
	require.InDelta(t, .0080191, simple.Consumer, 1e-6)
	require.InDelta(t, .0174446, simple.Producer, 1e-6)

	guarded := GlobalRisks(form, .25, tolerated, Span{minusInf, 1.6718288})
	require.InDelta(t, .001, guarded.Consumer, 1e-8)
	require.InDelta(t, .0754939, guarded.Producer, 1e-6)
}

// JCGM 106:2012, resistors of 1500 ohm within 0.20 ohm, accepted within 0.18: the
// guide prints 1 % and 7 %; the further digits were computed outside this project.
func TestRisksOfResistors(t *testing.T) {
	process := Population{Mean: 1500, SD: .12}.Spread()
	tolerated := Span{1499.8, 1500.2}
	r := GlobalRisks(process, .04, tolerated, Span{1499.82, 1500.18})
	require.InDelta(t, .0098782915, r.Consumer, 1e-7)
	require.InDelta(t, .0690265105, r.Producer, 1e-7)
	r = GlobalRisks(process, .04, tolerated, tolerated)
	require.InDelta(t, .0189422, r.Consumer, 1e-7)
	require.InDelta(t, .0372078, r.Producer, 1e-7)

	// The same by the rule: a guard band of 0.02 ohm is half of u.
	limit := Limit{Name: "r", Quantity: quantity.Resistance, Nominal: ptr(q(t, "1500 ohm")), Tolerance: ptr(q(t, "0.2 ohm"))}
	r, err := ExpandedBand(.5).Risks(process, .04, limit, unit(t, "ohm"))
	require.NoError(t, err)
	require.InDelta(t, .0098782915, r.Consumer, 1e-7)
	require.InDelta(t, .0690265105, r.Producer, 1e-7)
	_, err = SimpleAcceptance().Risks(process, .04, limit, unit(t, "V"))
	require.Error(t, err)

	// Without uncertainty only what lies between the limits is decided wrongly:
	// P(0.18 < |x| < 0.20) = 2 (Phi(5/3) - Phi(3/2)).
	sharp := GlobalRisks(process, 0, tolerated, Span{1499.82, 1500.18})
	require.InDelta(t, 0, sharp.Consumer, 1e-12)
	require.InDelta(t, 2*(Conformance(0, 1, minusInf, 5.0/3)-Conformance(0, 1, minusInf, 1.5)), sharp.Producer, 1e-9)
	require.InDelta(t, sharp.Producer, GlobalRisks(process, 1e-6, tolerated, Span{1499.82, 1500.18}).Producer, 1e-6)
	none := GlobalRisks(process, .04, tolerated, Span{2, 1})
	require.InDelta(t, .9044192955, none.Producer, 1e-9)
	require.Zero(t, none.Consumer)
}

// What a rule says of drawn parts, and how often it is wrong about the limit, is
// what Screen and Risks say: four standard errors of 60,000 draws.
func TestScreeningAsDrawn(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	m := compression(t)
	const draws = 60_000
	for _, c := range []struct {
		rule  Rule
		limit Limit
		u     float64
	}{
		{GuardBand(.95), Limit{Min: ptr(q(t, "110 psi"))}, 4},
		{SimpleAcceptance(), Limit{Max: ptr(q(t, "120 psi"))}, 4},
		{GuardBand(.95), Limit{Nominal: ptr(q(t, "125 psi")), Tolerance: ptr(q(t, "15 psi"))}, 4},
		{GuardBand(.95), Limit{Nominal: ptr(q(t, "125 psi")), Tolerance: ptr(q(t, "15 psi"))}, 7.5}, // hardly provable
		{GuardBand(.95), Limit{Nominal: ptr(q(t, "125 psi")), Tolerance: ptr(q(t, "15 psi"))}, 9},   // not provable
		{ExpandedBand(2), Limit{Min: ptr(q(t, "110 psi")), Max: ptr(q(t, "140 psi"))}, 4},
	} {
		c.limit.Name, c.limit.Quantity = "compression", quantity.Pressure
		got, err := c.rule.Screen(m, c.u, c.limit)
		require.NoError(t, err)
		require.Len(t, got, 2)
		lowest, highest, err := c.limit.Bounds(m.Unit)
		require.NoError(t, err)
		for i, p := range []Population{worn, sound} {
			seen := map[State]float64{}
			var wrong Risks
			for range draws {
				x := p.Mean + p.SD*r.NormFloat64()
				v, err := c.rule.Judge(Estimate{Value: x + c.u*r.NormFloat64(), U: c.u, Unit: m.Unit}, c.limit)
				require.NoError(t, err)
				seen[v.State] += 1. / draws
				switch inside := lowest <= x && x <= highest; {
				case inside && v.State != Conforms:
					wrong.Producer += 1. / draws
				case !inside && v.State == Conforms:
					wrong.Consumer += 1. / draws
				}
			}
			near := func(want, got float64) {
				t.Helper()
				require.InDelta(t, want, got, 4*math.Sqrt(math.Max(want*(1-want), 1e-5)/draws))
			}
			near(got[i].Passed, seen[Conforms])
			near(got[i].Condemned, seen[DoesNotConform])
			near(got[i].Open, seen[TooClose])
			require.InDelta(t, 1, got[i].Passed+got[i].Condemned+got[i].Open, 1e-12)
			risks, err := c.rule.Risks(p.Spread(), c.u, c.limit, m.Unit)
			require.NoError(t, err)
			near(risks.Producer, wrong.Producer)
			near(risks.Consumer, wrong.Consumer)
		}
	}
	_, err := GuardBand(.95).Screen(m, 4, Limit{Name: "x"})
	require.ErrorContains(t, err, "limits nothing")
	_, err = GuardBand(.95).Screen(Model{Unit: m.Unit}, 4, Limit{Name: "x", Quantity: quantity.Pressure, Min: ptr(q(t, "110 psi"))})
	require.ErrorContains(t, err, "else row")
}
