package measure

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Repeats sums up readings of one thing (GUM 4.2).
type Repeats struct {
	N    int     `json:"n"`
	Mean float64 `json:"mean"`
	SD   float64 `json:"sd"`  // sample standard deviation, divisor n-1; 0 for one reading
	U    float64 `json:"u"`   // SD/sqrt(n), the standard uncertainty of the mean
	DoF  float64 `json:"dof"` // n-1; a single reading tells nothing of its scatter
}

// TypeA evaluates repeats: mean, sample standard deviation s, and s/sqrt(n)
// (GUM 4.2.1 to 4.2.3). It refuses an empty list and numbers that are not
// finite.
func TypeA(values []float64) (Repeats, error) {
	if len(values) == 0 {
		return Repeats{}, fmt.Errorf("there is no reading; take one")
	}
	n := float64(len(values))
	var sum float64
	for _, v := range values {
		if !finite(v) {
			return Repeats{}, fmt.Errorf("the reading %v is not a number; take it again", v)
		}
		sum += v
	}
	r := Repeats{N: len(values), Mean: sum / n, DoF: n - 1}
	if r.N == 1 {
		return r, nil
	}
	var squares float64
	for _, v := range values {
		squares += float64((v - r.Mean) * (v - r.Mean))
	}
	r.SD = math.Sqrt(squares / r.DoF)
	r.U = r.SD / math.Sqrt(n)
	return r, nil
}

// HalfWidth is half of the interval about the mean that holds the true value
// with probability p: Student's factor for n-1 degrees of freedom times s/sqrt(n)
// (GUM G.3.2). It is infinite for a single reading.
func (r Repeats) HalfWidth(p float64) float64 {
	if r.N < 2 {
		return math.Inf(1)
	}
	return TwoSided(p, r.DoF) * r.U
}

// Rectangular is the standard uncertainty of a value anywhere within +-a:
// a/sqrt(3) (GUM 4.3.7).
func Rectangular(a float64) float64 { return math.Abs(a) / math.Sqrt(3) }

// Triangular is the standard uncertainty of a value within +-a that lies most
// often in the middle: a/sqrt(6) (GUM 4.3.9).
func Triangular(a float64) float64 { return math.Abs(a) / math.Sqrt(6) }

// Resolution is the standard uncertainty of an indication that moves in steps
// of d: d/sqrt(12) (GUM F.2.2.1).
func Resolution(d float64) float64 { return math.Abs(d) / math.Sqrt(12) }

// MeterSpec is a maker's statement of accuracy: so much of the reading, and so
// many steps of the last digit.
type MeterSpec struct {
	Percent float64 `json:"percent"` // of the reading, >= 0
	Digits  float64 `json:"digits"`  // steps of the last digit, >= 0
	Step    float64 `json:"step"`    // the step, in the reading's unit; 0: as typed
}

// IsZero says whether nothing is stated.
func (m MeterSpec) IsZero() bool { return m.Percent == 0 && m.Digits == 0 }

// HalfWidth is the largest error stated for a reading.
func (m MeterSpec) HalfWidth(reading float64) float64 {
	return float64(m.Percent/100*math.Abs(reading)) + float64(m.Digits*m.Step)
}

// Standard is the standard uncertainty of a reading, the error being anywhere
// within the half-width (GUM 4.3.7).
func (m MeterSpec) Standard(reading float64) float64 { return Rectangular(m.HalfWidth(reading)) }

// Component is one part of an uncertainty: the input's standard uncertainty
// times the absolute sensitivity of the result to it, in the result's unit.
type Component struct {
	Name string  `json:"name"`
	U    float64 `json:"u"`
	// DoF is its degrees of freedom; 0 stands for infinitely many, as of a value
	// that is taken from a statement and not from repeats.
	DoF float64 `json:"dof,omitempty"`
	// Shared names the gauge whose one error is in every reading taken with it;
	// empty where the errors of two readings have nothing to do with each other.
	Shared string `json:"shared,omitempty"`
}

// Combine adds independent components in quadrature (GUM 5.1.2) and gives the
// effective degrees of freedom, rounded down to a whole number of at least 1; 0
// stands for infinitely many.
func Combine(parts ...Component) (u, dof float64) {
	var squares float64
	for _, c := range parts {
		squares += float64(c.U * c.U)
	}
	dof = EffectiveDoF(parts...)
	if dof > 0 {
		dof = math.Max(1, math.Floor(dof))
	}
	return math.Sqrt(squares), dof
}

// EffectiveDoF is the formula of Welch and Satterthwaite, not rounded (GUM
// G.4.1): u^4 over the sum of u_i^4/nu_i. 0 stands for infinitely many.
func EffectiveDoF(parts ...Component) float64 {
	var squares, fourths float64
	for _, c := range parts {
		square := float64(c.U * c.U)
		squares += square
		if c.DoF > 0 {
			fourths += float64(square*square) / c.DoF
		}
	}
	if fourths == 0 {
		return 0
	}
	return float64(squares*squares) / fourths
}

// Propagate is the standard uncertainty of a result whose inputs have the
// sensitivities c, the standard uncertainties u, and the correlation
// coefficients r (GUM 5.2.2); r is nil for independent inputs.
func Propagate(c, u []float64, r [][]float64) (float64, error) {
	if len(c) != len(u) || (r != nil && len(r) != len(u)) {
		return 0, fmt.Errorf("%d sensitivities, %d uncertainties and %d rows of correlations; give one of each an input", len(c), len(u), len(r))
	}
	var variance float64
	for i := range c {
		part := float64(c[i] * u[i])
		variance += float64(part * part)
		if r == nil {
			continue
		}
		if len(r[i]) != len(u) {
			return 0, fmt.Errorf("row %d of the correlations has %d numbers; give it %d", i+1, len(r[i]), len(u))
		}
		for j := range i {
			variance += 2 * float64(part*float64(float64(c[j]*u[j])*r[i][j]))
		}
	}
	return math.Sqrt(math.Max(variance, 0)), nil
}

// TwoSided is the factor k for which the interval of +-k standard uncertainties
// holds the true value with probability p, in (0,1), by Student's distribution
// with dof degrees of freedom (GUM table G.2); dof 0 is the normal distribution.
func TwoSided(p, dof float64) float64 { return OneSided((1+p)/2, dof) }

// OneSided is the factor k for which the true value lies below k standard
// uncertainties above the estimate with probability p: 1.645 for 95 %, dof 0.
func OneSided(p, dof float64) float64 {
	if dof <= 0 {
		return distuv.UnitNormal.Quantile(p)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}.Quantile(p)
}

// Estimate is a value with its standard uncertainty.
type Estimate struct {
	Value float64 `json:"value"`
	U     float64 `json:"u"`             // standard uncertainty, >= 0, in the unit's difference
	DoF   float64 `json:"dof,omitempty"` // of U; 0 stands for infinitely many
	Unit  Unit    `json:"unit"`
}

// Expanded is the uncertainty that holds the true value with probability p on
// either side: the two-sided factor times U (GUM 6.2, G.3).
func (e Estimate) Expanded(p float64) float64 { return TwoSided(p, e.DoF) * e.U }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
