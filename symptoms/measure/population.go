package measure

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Population is how the true value of a reading is spread over parts in one
// state: normal, with a mean and a standard deviation.
type Population struct {
	Mean float64 `json:"mean"`
	SD   float64 `json:"sd"` // above 0
}

func (p Population) check(name string) error {
	if !finite(p.Mean) || !finite(p.SD) || p.SD <= 0 {
		return fmt.Errorf("%s has mean %v and standard deviation %v; give a mean and a standard deviation above 0", name, p.Mean, p.SD)
	}
	return nil
}

// variance is that of a reading: the population's and the instrument's.
func (p Population) variance(u float64) float64 {
	return float64(p.SD*p.SD) + float64(u*u)
}

// levelWith says whether two means are equal but for rounding, as after a
// change of unit.
func (p Population) levelWith(o Population) bool {
	return math.Abs(p.Mean-o.Mean) <= float64(1e-9*(p.SD+o.SD))
}

// between is the probability that a reading with standard uncertainty u lies
// from a to b; either may be infinite.
func (p Population) between(a, b, u float64) float64 {
	sd := math.Sqrt(p.variance(u))
	za, zb := (a-p.Mean)/sd, (b-p.Mean)/sd
	if za > 0 { // from the nearer tail, so that small ones stay exact
		za, zb = -zb, -za
	}
	return distuv.UnitNormal.CDF(zb) - distuv.UnitNormal.CDF(za)
}

// PureLogRatio is the natural logarithm of PureRatio. It is finite where that
// one runs over.
func PureLogRatio(a, b Population, y, u float64) float64 {
	va, vb := a.variance(u), b.variance(u)
	za, zb := (y-a.Mean)/math.Sqrt(va), (y-b.Mean)/math.Sqrt(vb)
	// zb^2 - za^2 as a product, which keeps its digits far out.
	return 0.5*(math.Log(vb)-math.Log(va)) + 0.5*float64((zb-za)*(zb+za))
}

// PureRatio is how many times likelier the reading y with standard uncertainty
// u >= 0 is for the population a than for b, by the normal densities alone:
//
//	N(y; mean_a, sd_a^2 + u^2) / N(y; mean_b, sd_b^2 + u^2)
//
// It is neither bounded nor, with unequal deviations, monotone; Model is.
func PureRatio(a, b Population, y, u float64) float64 {
	return math.Exp(PureLogRatio(a, b, y, u))
}

// turn is where the ratio of a to b turns round, beyond the one or the other
// mean: where the wider population overtakes the narrower again. With equal
// variances or equal means there is none (ok is false).
//
//	y* = (mean_b v_a - mean_a v_b)/(v_a - v_b)
func turn(a, b Population, u float64) (y float64, ok bool) {
	va, vb := a.variance(u), b.variance(u)
	if va == vb || a.levelWith(b) {
		return 0, false
	}
	// Measured from the narrower mean, which stays exact far off.
	if va > vb {
		return b.Mean + float64(vb*(b.Mean-a.Mean))/(va-vb), true
	}
	return a.Mean + float64(va*(a.Mean-b.Mean))/(vb-va), true
}

// steadyLogRatio is PureLogRatio, held at its extremum beyond the turn.
func steadyLogRatio(a, b Population, y, u float64) float64 {
	if t, ok := turn(a, b, u); ok {
		if t > math.Max(a.Mean, b.Mean) {
			y = math.Min(y, t)
		} else {
			y = math.Max(y, t)
		}
	}
	return PureLogRatio(a, b, y, u)
}
