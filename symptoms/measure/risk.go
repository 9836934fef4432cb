package measure

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// Spread is how a true value is spread over parts before any of them is measured:
// density, cumulative distribution and its inverse. The distributions of gonum's
// distuv are ones.
type Spread interface {
	Prob(x float64) float64
	CDF(x float64) float64
	Quantile(p float64) float64
}

// Spread is the population as a distribution.
func (p Population) Spread() Spread { return distuv.Normal{Mu: p.Mean, Sigma: p.SD} }

// Span is an interval; either end may be infinite, and with Lowest above Highest it
// is empty.
type Span struct{ Lowest, Highest float64 }

// Risks is what a way of deciding gets wrong in the long run, as shares of all
// parts measured, each in [0,1].
type Risks struct {
	Consumer float64 // not tolerated, and accepted
	Producer float64 // tolerated, and not accepted
}

// GlobalRisks is the risks of accepting each part whose reading lies in accepted,
// where true values in tolerated are what is wanted. The true values are spread as
// of, and a reading is normal about its true value with standard uncertainty u >= 0.
// With g the density, Phi the normal distribution:
//
//	A(x) = Phi((A_high-x)/u) - Phi((A_low-x)/u)
//	Consumer = integral of g A outside tolerated
//	Producer = integral of g (1-A) inside
//
// to about 1e-10. The specific risks, those of one part once it has been read, are
// 1-P and P of a Verdict, P its conformance probability. Source: JCGM 106:2012
// clause 9.5, clause number from memory.
func GlobalRisks(of Spread, u float64, tolerated, accepted Span) Risks {
	good := mass(of, tolerated)
	both := mass(of, Span{math.Max(tolerated.Lowest, accepted.Lowest), math.Min(tolerated.Highest, accepted.Highest)})
	if u <= 0 || accepted.Lowest > accepted.Highest {
		return Risks{Consumer: mass(of, accepted) - both, Producer: good - both}
	}
	taken := func(x float64) float64 { // A, from the nearer tail
		return Population{Mean: x, SD: u}.between(accepted.Lowest, accepted.Highest, 0)
	}
	var r Risks
	stops := panels(of, u, tolerated, accepted)
	for i := 1; i < len(stops); i++ {
		a, b := stops[i-1], stops[i]
		if middle := a + (b-a)/2; tolerated.Lowest <= middle && middle <= tolerated.Highest {
			r.Producer += integral(func(x float64) float64 { return float64(of.Prob(x) * (1 - taken(x))) }, a, b)
		} else {
			r.Consumer += integral(func(x float64) float64 { return float64(of.Prob(x) * taken(x)) }, a, b)
		}
	}
	return r
}

// mass is the share of true values in a span.
func mass(of Spread, s Span) float64 {
	if s.Lowest >= s.Highest {
		return 0
	}
	return of.CDF(s.Highest) - of.CDF(s.Lowest)
}

// panels parts the true values where what is integrated bends: at all bounds, and
// where readings about an acceptance limit begin and cease to fall on both sides.
func panels(of Spread, u float64, tolerated, accepted Span) []float64 {
	const left, wide = 1e-15, 8 // what is left out at either end; standard uncertainties
	lowest, highest := of.Quantile(left), of.Quantile(1-left)
	stops := []float64{lowest, of.Quantile(.25), of.Quantile(.75), highest, tolerated.Lowest, tolerated.Highest}
	for _, a := range []float64{accepted.Lowest, accepted.Highest} {
		stops = append(stops, a-float64(wide*u), a, a+float64(wide*u))
	}
	stops = slices.DeleteFunc(stops, func(x float64) bool { return !(lowest <= x && x <= highest) })
	slices.Sort(stops)
	return slices.Compact(stops)
}

// integral is that of a smooth f from a to b, halved until it stays as it is.
func integral(f func(float64) float64, a, b float64) float64 {
	const points, halvings, within = 20, 30, 1e-13
	var half func(a, b, whole float64, left int) float64
	half = func(a, b, whole float64, left int) float64 {
		m := a + (b-a)/2
		below, above := quad.Fixed(f, a, m, points, quad.Legendre{}, 0), quad.Fixed(f, m, b, points, quad.Legendre{}, 0)
		if left == 0 || !(math.Abs(below+above-whole) > within) {
			return below + above
		}
		return half(a, m, below, left-1) + half(m, b, above, left-1)
	}
	return half(a, b, quad.Fixed(f, a, b, points, quad.Legendre{}, 0), halvings)
}

// Risks is the global risks of the rule at a limit, over true values spread as of
// in the unit, read with standard uncertainty u: that a part outside the limit is
// said to conform, and that one inside is not, be it condemned or too close to
// call.
func (r Rule) Risks(of Spread, u float64, l Limit, unit Unit) (Risks, error) {
	lowest, highest, err := l.Bounds(unit)
	if err != nil {
		return Risks{}, err
	}
	tolerated := Span{lowest, highest}
	return GlobalRisks(of, u, tolerated, r.acceptance(tolerated, u)), nil
}

// acceptance is the span of readings with standard uncertainty u that the rule says
// conform; see Judge.
func (r Rule) acceptance(tolerated Span, u float64) Span {
	w := float64(r.width(0) * u)
	s := Span{tolerated.Lowest + w, tolerated.Highest - w}
	if r.Level == 0 || math.IsInf(s.Lowest, 0) || math.IsInf(s.Highest, 0) {
		return s
	}
	// Between two bounds the probability has to be enough too.
	middle := tolerated.Lowest + (tolerated.Highest-tolerated.Lowest)/2
	proves := func(y float64) bool { return Conformance(y, u, tolerated.Lowest, tolerated.Highest) >= r.Level }
	switch {
	case s.Lowest > s.Highest || proves(s.Lowest):
		return s
	case !proves(middle):
		return Span{math.Inf(1), math.Inf(-1)}
	}
	short, enough := s.Lowest, middle
	for range 60 {
		if y := short + (enough-short)/2; proves(y) {
			enough = y
		} else {
			short = y
		}
	}
	return Span{enough, middle + (middle - enough)}
}

// Screening is what becomes of the parts of one population at a limit, as shares
// that add up to 1.
type Screening struct {
	Passed    float64 // said to conform
	Condemned float64 // said not to conform
	Open      float64 // too close to call
}

// Screen is what the rule makes at a limit of the parts in each state of the model,
// then of those in none, by readings with standard uncertainty u in the model's
// unit. Condemned of the last is the share of sound parts that the limit takes for
// bad, Passed of the others the share of faulty ones that it lets through. A reading
// with Slip is not allowed for.
func (r Rule) Screen(m Model, u float64, l Limit) ([]Screening, error) {
	lowest, highest, err := l.Bounds(m.Unit)
	if err != nil {
		return nil, err
	}
	if err := m.Check(); err != nil {
		return nil, err
	}
	passed := r.acceptance(Span{lowest, highest}, u)
	w := float64(r.width(0) * u)
	all := make([]Screening, 0, len(m.Rows)+1)
	for i := range len(m.Rows) + 1 {
		var s Screening
		p := m.population(i)
		if passed.Lowest <= passed.Highest {
			s.Passed = p.between(passed.Lowest, passed.Highest, u)
		}
		s.Condemned = p.between(math.Inf(-1), lowest-w, u) + p.between(highest+w, math.Inf(1), u)
		s.Open = math.Max(0, 1-s.Passed-s.Condemned)
		all = append(all, s)
	}
	return all, nil
}
