package measure

import (
	"fmt"

	"narrows/symptoms/quantity"
)

// Derivation says how the values that one procedure takes make its reading.
type Derivation string

// The derivations known.
const (
	// GrowthOf is the second value less the first.
	GrowthOf Derivation = "growth"
	// DropOf is the first value less the second.
	DropOf Derivation = "drop"
	// RatioOf is the first value as a share of the second.
	RatioOf Derivation = "ratio"
	// MeanOf is the mean of two or more values.
	MeanOf Derivation = "mean"
)

// Derivations lists them.
func Derivations() []Derivation { return []Derivation{GrowthOf, DropOf, RatioOf, MeanOf} }

// Of is the dimension of what is derived from values of the dimension d.
func (d Derivation) Of(of quantity.Dimension) quantity.Dimension {
	switch d {
	case RatioOf:
		return quantity.Ratio
	case MeanOf:
		return of
	}
	return of.Difference()
}

// Derive makes one reading of the values of a procedure, with its standard
// uncertainty (GUM 5.1.2; an error that they share through one named gauge
// cancels as far as it does in the formula). Growth, drop and ratio take two
// values, the mean two or more. A ratio is in percent, and of values above 0 only;
// all else is in the first value's unit. Raw holds the readings of all.
func Derive(d Derivation, values ...Reading) (Reading, error) {
	if len(values) < 2 || d != MeanOf && len(values) > 2 {
		return Reading{}, fmt.Errorf("a %s cannot be made of %d values", d, len(values))
	}
	switch d {
	case GrowthOf:
		return Growth(values[0], values[1])
	case DropOf:
		return Growth(values[1], values[0])
	case RatioOf, MeanOf:
	default:
		return Reading{}, fmt.Errorf("the derivation %q is not known; take one of: %v", d, Derivations())
	}
	unit := values[0].Unit
	same := make([]Reading, 0, len(values))
	out := Reading{Instrument: values[0].Instrument}
	for _, v := range values {
		r, err := v.In(unit)
		if err != nil {
			return Reading{}, err
		}
		same = append(same, r)
		out.Raw = append(out.Raw, r.Raw...)
		out.Corrections = append(out.Corrections, r.Corrections...)
	}
	if d == RatioOf {
		return ratio(out, same[0], same[1])
	}
	n := float64(len(same))
	each := make([]float64, len(same))
	for i, r := range same {
		out.Value += r.Value / n
		each[i] = 1 / n
	}
	out.Unit = unit
	out.U, out.DoF = derive(each, same)
	out.Components = []Component{{Name: "all values", U: out.U, DoF: out.DoF}}
	return out, nil
}

func ratio(out, a, b Reading) (Reading, error) {
	if a.Value < 0 || b.Value <= 0 {
		return Reading{}, fmt.Errorf("a share is taken only of values above 0, and %s was read", quantity.Format(min(a.Value, b.Value), a.Unit, 0))
	}
	u, dof := derive([]float64{100 / b.Value, -100 * a.Value / float64(b.Value*b.Value)}, []Reading{a, b})
	out.Unit = quantity.Ratio.Units()[0] // percent
	out.Value, out.U, out.DoF = 100*a.Value/b.Value, u, dof
	out.Components = []Component{{Name: "both values", U: u, DoF: dof}}
	return out, nil
}
