package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"narrows/symptoms/quantity"
)

// What a reading weighs is the logarithm of how many times likelier it is for a
// fault than for a sound part. How it moves with the reading and with the
// uncertainty follows from the normal densities, for variances v = sd^2 + u^2 and
// z = (y-mean)/sqrt(v):
//
//	w      = (ln(v_s/v_f) + z_s^2 - z_f^2) / 2
//	dw/dy  = z_s/sqrt(v_s) - z_f/sqrt(v_f)
//	dw/du2 = ((1 - z_s^2)/v_s - (1 - z_f^2)/v_f) / 2
//
// With equal deviations w is straight in y and 0 halfway between the means. With
// unequal ones it runs one way for certain only between the means, and what u does
// depends on where the reading lies. Slips keep order and sign, and shrink.

func weight(m Model, y, u float64) float64 {
	l := m.Likelihoods(y, u)
	return math.Log(l[0] / l[1])
}

// twoStates draws a model of one fault.
func twoStates(t *rapid.T, alike bool) Model {
	m := Model{Unit: unit(t, "psi"), Rows: []Population{drawPopulation(t, "fault")}, Else: drawPopulation(t, "sound")}
	if alike {
		m.Rows[0].SD = m.Else.SD
	}
	if m.Rows[0].levelWith(m.Else) {
		t.Skip("one mean: there is no side")
	}
	return m
}

// Equal deviations, any reading: it weighs for the fault on the fault's side of the
// middle and against it on the other; the more, the further from the middle; and
// the less, the more uncertain it is.
func TestWeightWithEqualDeviations(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := twoStates(t, true)
		middle := (m.Rows[0].Mean + m.Else.Mean) / 2
		side := math.Copysign(1, m.Rows[0].Mean-m.Else.Mean)
		near := rapid.Float64Range(0, 400).Draw(t, "near")
		far := near + rapid.Float64Range(0, 400).Draw(t, "further")
		u := rapid.Float64Range(0, 60).Draw(t, "u")
		duller := u + rapid.Float64Range(0, 60).Draw(t, "more")

		require.InDelta(t, 0, weight(m, middle, u), 1e-9)
		toward, away := weight(m, middle+side*near, u), weight(m, middle-side*near, u)
		require.GreaterOrEqual(t, toward, -1e-9)
		require.InDelta(t, 0, toward+away, 1e-9, "as much for as against")
		require.GreaterOrEqual(t, weight(m, middle+side*far, u), toward-1e-9)
		require.LessOrEqual(t, weight(m, middle-side*far, u), away+1e-9)
		require.LessOrEqual(t, weight(m, middle+side*near, duller), toward+1e-9)
		require.GreaterOrEqual(t, weight(m, middle-side*near, duller), away-1e-9)
	})
}

// Any deviations, readings between the means: the nearer to the fault's mean, the
// more it weighs for the fault; strictly, before slips are allowed for.
func TestWeightBetweenTheMeans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := twoStates(t, false)
		a := rapid.Float64Range(0, 1).Draw(t, "a")
		b := rapid.Float64Range(a, 1).Draw(t, "b")
		u := rapid.Float64Range(0, 60).Draw(t, "u")
		at := func(share float64) float64 { return m.Else.Mean + share*(m.Rows[0].Mean-m.Else.Mean) }
		require.GreaterOrEqual(t, weight(m, at(b), u), weight(m, at(a), u)-1e-9)
		if b-a > 1e-3 && math.Abs(m.Rows[0].Mean-m.Else.Mean) > 1 {
			require.Greater(t, PureLogRatio(m.Rows[0], m.Else, at(b), u), PureLogRatio(m.Rows[0], m.Else, at(a), u))
		}
	})
}

// Any deviations, readings within one deviation of the fault's mean and at least
// one off the sound one's, both with the instrument's share: there more uncertainty
// weighs less for the fault. Being off the mean by z only shrinks as u grows, so it
// is asked of the sound part at the larger u and of the fault at the smaller.
func TestWeightForTheFaultFadesNearIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.Float64Range(0, 30).Draw(t, "u")
		duller := u + rapid.Float64Range(0, 30).Draw(t, "more")
		side := rapid.SampledFrom([]float64{-1, 1}).Draw(t, "side")
		fault, sound := drawPopulation(t, "fault"), drawPopulation(t, "sound")
		near := rapid.Float64Range(0, 1).Draw(t, "off the fault")
		off := 1 + rapid.Float64Range(0, 6).Draw(t, "off the sound part, beyond one")
		y := fault.Mean + side*near*math.Sqrt(fault.variance(u))
		sound.Mean = y + side*off*math.Sqrt(sound.variance(duller))
		m := Model{Unit: unit(t, "psi"), Rows: []Population{fault}, Else: sound}
		require.LessOrEqual(t, weight(m, y, duller), weight(m, y, u)+1e-9)
	})
}

// Where it does not hold: halfway between means of unequal deviations a vaguer
// reading may weigh more. Sound N(0,1), fault N(4,9), at the reading that weighs
// nothing with u = 0. Worked by hand: (ln(1/81) + y^2 - (y-4)^2/81)/2 = 0 at y =
// 2.1068; with u = 2 v_s = 5 and v_f = 85: (ln(5/85) + .8877 - .0422)/2 = -.9939.
func TestWeightMayGrowWithUncertainty(t *testing.T) {
	s, f := Population{0, 1}, Population{4, 9}
	require.InDelta(t, 0, PureLogRatio(f, s, 2.1068, 0), 1e-3)
	require.InDelta(t, -.9939, PureLogRatio(f, s, 2.1068, 2), 1e-3)
}

// The chance that the true value conforms to a single limit goes to one half the
// nearer the reading and the more uncertain it is, and never over to the other
// side (JCGM 106 7.2: Phi of the margin over u).
func TestConformanceFadesToOneHalf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		margin := rapid.Float64Range(-50, 50).Draw(t, "margin")
		u := rapid.Float64Range(.01, 30).Draw(t, "u")
		far := margin * (1 + rapid.Float64Range(0, 2).Draw(t, "further"))
		duller := u + rapid.Float64Range(0, 30).Draw(t, "more")
		decided := func(margin, u float64) float64 {
			return math.Copysign(1, margin) * (Conformance(110+margin, u, 110, plusInf) - .5)
		}
		d := decided(margin, u)
		require.GreaterOrEqual(t, d, 0.0)
		require.GreaterOrEqual(t, decided(far, u), d-1e-12)
		require.LessOrEqual(t, decided(margin, duller), d+1e-12)
	})
}

// A reading typed in any unit of its kind gives the same belief: likelihoods, and
// what a prior becomes by them.
func TestSameBeliefInAnyUnit(t *testing.T) {
	for _, d := range quantity.Dimensions() {
		t.Run(string(d), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				home := d.Units()[0]
				m := Model{Unit: home, Else: Population{rapid.Float64Range(50, 150).Draw(t, "sound"), rapid.Float64Range(2, 10).Draw(t, "sd")}}
				for range rapid.IntRange(1, 3).Draw(t, "faults") {
					m.Rows = append(m.Rows, Population{rapid.Float64Range(20, 200).Draw(t, "fault"), rapid.Float64Range(2, 30).Draw(t, "fault sd")})
				}
				noise, err := quantity.New(rapid.Float64Range(.1, 10).Draw(t, "u"), home.Difference())
				require.NoError(t, err)
				typed, err := quantity.New(rapid.Float64Range(10, 250).Draw(t, "y"), home)
				require.NoError(t, err)
				prior := rapid.Float64Range(.001, .5).Draw(t, "prior")
				belief := func(q quantity.Quantity) []float64 {
					r, err := Take(Instrument{Noise: noise}, q)
					require.NoError(t, err)
					l, err := m.Of(r.Estimate)
					require.NoError(t, err)
					var post []float64
					sum := (1 - prior) * l[len(m.Rows)]
					for i := range m.Rows {
						post = append(post, prior/float64(len(m.Rows))*l[i])
						sum += post[i]
					}
					for i := range post {
						post[i] /= sum
					}
					return post
				}
				want := belief(typed)
				for _, u := range d.Units() {
					there, err := typed.To(u)
					require.NoError(t, err)
					// As it would be typed, all digits.
					said, err := quantity.ParseFor(there.String(), d)
					require.NoError(t, err)
					got := belief(said)
					for i := range want {
						require.InDelta(t, want[i], got[i], 1e-9, "%s as %s", typed, said)
					}
				}
			})
		})
	}
}

// Repeats are no independent proofs: n readings taken together say at most what the
// true value itself would say, read without noise. With equal deviations that holds
// at the mean of what was read, with more readings it comes nearer, and it stays
// below n times what one of them says.
func TestRepeatsAreNoProofsOfTheirOwn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := twoStates(t, true)
		y := rapid.Float64Range(-400, 400).Draw(t, "y")
		u := rapid.Float64Range(.1, 60).Draw(t, "u")
		truth := math.Abs(weight(m, y, 0))
		one := math.Abs(weight(m, y, u))
		last := 0.0
		var all []Estimate
		for n := 1; n <= 20; n++ {
			all = append(all, Estimate{Value: y, U: u})
			e, err := Pooled(all...)
			require.NoError(t, err)
			w := math.Abs(weight(m, e.Value, e.U))
			require.GreaterOrEqual(t, w, last-1e-9)
			require.LessOrEqual(t, w, truth+1e-9)
			require.LessOrEqual(t, w, float64(n)*one+1e-9)
			last = w
		}
	})
}

// Any deviations, any readings: whatever is read, and however often, the ratio is
// bounded by that of some true value read without noise, since a reading says
// nothing about the part but through its true value. Where the one population is
// wider that bound is the ratio at the turn; and slips bound it besides.
func TestNoNumberOfReadingsSaysMoreThanATrueValueCould(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := twoStates(t, false)
		var all []Estimate
		for range rapid.IntRange(1, 12).Draw(t, "readings") {
			all = append(all, Estimate{Value: rapid.Float64Range(-400, 400).Draw(t, "y"), U: rapid.Float64Range(.1, 60).Draw(t, "u")})
		}
		e, err := Pooled(all...)
		require.NoError(t, err)
		w := weight(m, e.Value, e.U)
		require.LessOrEqual(t, math.Abs(w), -math.Log(Slip)+1e-12)

		f, s := m.Rows[0], m.Else
		if at, ok := turn(f, s, 0); ok {
			bound, pure := PureLogRatio(f, s, at, 0), PureLogRatio(f, s, e.Value, e.U)
			if f.SD < s.SD {
				require.LessOrEqual(t, pure, bound+1e-9*(1+math.Abs(bound)))
				require.LessOrEqual(t, w, withTail(bound)+1e-9)
			} else {
				require.GreaterOrEqual(t, pure, bound-1e-9*(1+math.Abs(bound)))
				require.GreaterOrEqual(t, w, withTail(bound)-1e-9)
			}
		}
		// And the more there are of one value, the nearer to that value's own ratio.
		many := make([]Estimate, 4000)
		for i := range many {
			many[i] = Estimate{Value: e.Value, U: .1}
		}
		sure, err := Pooled(many...)
		require.NoError(t, err)
		require.InDelta(t, weight(m, e.Value, 0), weight(m, sure.Value, sure.U), .02)
	})
}
