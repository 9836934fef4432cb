package measure

import (
	"fmt"
	"math"
)

// Agree tells whether two readings of the same thing agree within their
// uncertainties: their normalized error, with expanded uncertainties of two
// standard ones, is at most 1.
//
//	E_n = |a - b| / sqrt((2 u_a)^2 + (2 u_b)^2)
//
// Source: the E_n number of ISO/IEC 17043 and ISO 13528, from memory. Both must be in one
// unit.
func Agree(a, b Estimate) bool {
	return math.Abs(a.Value-b.Value) <= 2*math.Hypot(a.U, b.U)
}

// Pooled is what several readings of the same thing say together: their mean,
// weighted by the inverse squares of their standard uncertainties, with
//
//	1/u^2 = 1/u_1^2 + 1/u_2^2 + ...
//
// It is for readings that differ by noise alone; what they share, repeating does
// not remove. Readings without any uncertainty count alone. All must be in one unit.
// Source: Cox 2002, The evaluation of key comparison data, Metrologia 39, 589,
// procedure A, from memory.
func Pooled(es ...Estimate) (Estimate, error) {
	if len(es) == 0 {
		return Estimate{}, fmt.Errorf("there is no reading; take one")
	}
	out := Estimate{Unit: es[0].Unit}
	exact := 0
	sum, weight := 0.0, 0.0
	for _, e := range es {
		switch {
		case e.Unit != out.Unit:
			return Estimate{}, fmt.Errorf("readings in %s and %s cannot be pooled; bring them to one unit", out.Unit.Symbol(), e.Unit.Symbol())
		case e.U == 0:
			exact++
			out.Value += (e.Value - out.Value) / float64(exact)
		default:
			w := 1 / float64(e.U*e.U)
			weight += w
			sum += float64(w * e.Value)
		}
	}
	if exact == 0 {
		out.Value, out.U = sum/weight, 1/math.Sqrt(weight)
	}
	return out, nil
}

// Again is the probability that readings will lie together in each of the bins
// that the cuts part once one more has been taken with standard uncertainty
// next: for each row, then for Else, given that so far they say value y with
// standard uncertainty u. See Pooled for together and Bins for the bins.
//
// Within a row the true value is then normal: what is known of it is the
// population and the readings so far (see Posterior). A further reading
// says nothing about a part beyond what noise has hidden: with a small u the
// bin of y is as good as certain whatever the row. It is nil where Bins is, or y
// is not finite.
func (m Model) Again(y, u, next float64, cuts []float64) [][]float64 {
	if m.Bins(cuts, u) == nil || !finite(y) || !finite(next) || next < 0 {
		return nil
	}
	all := make([][]float64, 0, len(m.Rows)+1)
	for i := range len(m.Rows) + 1 {
		all = append(all, m.population(i).given(y, u).pooledWith(y, u, next).bins(cuts, 0))
	}
	return all
}

// given is what is known of a true value once it was read as y.
func (p Population) given(y, u float64) Population {
	if u == 0 {
		return Population{Mean: y}
	}
	return Posterior(p, y, u)
}

// pooledWith is how the pooled value of a reading y and one more is spread,
// where the true value is spread as p.
func (p Population) pooledWith(y, u, next float64) Population {
	share := 1.0 // of the reading to come; one without uncertainty counts alone
	if next > 0 {
		share = float64(u*u) / (float64(u*u) + float64(next*next))
	}
	return Population{Mean: y + float64(share*(p.Mean-y)), SD: math.Max(share*math.Sqrt(p.variance(next)), 1e-12*math.Max(1e-100, math.Abs(y)))}
}

// Settling is how many more readings, each with standard uncertainty next, would
// settle a judgement that is too close to call, if they leave the value where it is:
// at most so many. ok is false if they would not be enough.
func (r Rule) Settling(soFar Estimate, next float64, l Limit, most int) (n int, ok bool) {
	return r.SettlingShared(soFar, 0, next, l, most)
}
