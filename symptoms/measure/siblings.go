package measure

import (
	"fmt"
	"math"
	"slices"

	"narrows/symptoms/quantity"
)

// SiblingRule says how like readings of several positions make one value.
type SiblingRule string

// The rules, as the trade states them.
const (
	// LowestOverHighest is the lowest reading as a share of the highest.
	LowestOverHighest SiblingRule = "lowest over highest"
	// HighestLessLowest is the spread.
	HighestLessLowest SiblingRule = "highest less lowest"
	// BelowMean is how far the lowest lies below the mean of all, as a share of
	// the mean.
	BelowMean SiblingRule = "lowest below the mean"
)

func siblingRules() []string {
	return []string{string(LowestOverHighest), string(HighestLessLowest), string(BelowMean)}
}

func (r SiblingRule) known() bool { return slices.Contains(siblingRules(), string(r)) }

// Sibling is the reading at one position.
type Sibling struct {
	Position string  `json:"position"`
	Reading  Reading `json:"reading"`
}

// Comparison is the value that siblings make together.
type Comparison struct {
	Rule    SiblingRule `json:"rule"`
	Lowest  string      `json:"lowest"`  // its position, the first of equals
	Highest string      `json:"highest"` // its position, the last of equals
	Estimate
}

// Compare makes one value of the readings of two or more siblings, with its
// standard uncertainty; a ratio is in percent, a spread in the first reading's
// unit. With l the lowest, h the highest, m the mean of n readings, the
// sensitivities (GUM 5.1.3) are
//
//	l/h       1/h to l, -l/h^2 to h
//	h-l       1 to h, -1 to l
//	(m-l)/m   l/(n m^2) to each, less 1/m to l
//
// An error that the readings share through one named gauge cancels as far as it
// does in the formula. That the lowest and highest were picked out after
// reading is not allowed for: with equal true values and noise u the spread is
// on the average not 0 but 1.1 u for two positions, 2.1 u for four.
func Compare(rule SiblingRule, siblings []Sibling) (Comparison, error) {
	if !rule.known() {
		return Comparison{}, fmt.Errorf("the sibling rule %q is not known; take one of: %v", rule, siblingRules())
	}
	if len(siblings) < 2 {
		return Comparison{}, fmt.Errorf("siblings are compared from two positions up; read another one")
	}
	unit := siblings[0].Reading.Unit
	readings := make([]Reading, 0, len(siblings))
	lowest, highest, sum := 0, 0, 0.0
	for i, s := range siblings {
		r, err := s.Reading.In(unit)
		if err != nil {
			return Comparison{}, fmt.Errorf("position %s: %w", s.Position, err)
		}
		readings = append(readings, r)
		if r.Value < readings[lowest].Value {
			lowest = i
		}
		if r.Value >= readings[highest].Value { // never the lowest's own position
			highest = i
		}
		sum += r.Value
	}
	if rule != HighestLessLowest && readings[lowest].Value <= 0 {
		return Comparison{}, fmt.Errorf("position %s reads %s, and shares are taken only of readings above 0; compare by spread",
			siblings[lowest].Position, quantity.Format(readings[lowest].Value, unit, 0))
	}
	value, sensitivity := siblingValue(rule, readings, lowest, highest, sum)
	c := Comparison{Rule: rule, Lowest: siblings[lowest].Position, Highest: siblings[highest].Position}
	c.Value, c.Unit = value, unit.Difference()
	c.U, c.DoF = derive(sensitivity, readings)
	if rule == HighestLessLowest {
		return c, nil
	}
	c.Unit = quantity.Ratio.Units()[0] // percent
	c.Value, c.U = value*100, c.U*100
	return c, nil
}

// siblingValue is the value of the rule and its sensitivity to each reading.
func siblingValue(rule SiblingRule, readings []Reading, lowest, highest int, sum float64) (float64, []float64) {
	l, h, n := readings[lowest].Value, readings[highest].Value, float64(len(readings))
	c := make([]float64, len(readings))
	switch rule {
	case LowestOverHighest:
		c[lowest] = 1 / h
		c[highest] -= l / float64(h*h)
		return l / h, c
	case HighestLessLowest:
		c[highest]++
		c[lowest]--
		return h - l, c
	}
	mean := sum / n
	for i := range c {
		c[i] = l / float64(n*float64(mean*mean))
	}
	c[lowest] -= 1 / mean
	return math.Max((mean-l)/mean, 0), c
}
