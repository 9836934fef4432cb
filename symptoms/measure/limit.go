package measure

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"narrows/symptoms/quantity"
)

// Limit is what a sheet tolerates: a lowest value, a highest, both, or a
// nominal value with a tolerance; for one reading or for siblings together.
type Limit struct {
	Name     string             `json:"name"`
	Quantity quantity.Dimension `json:"quantity"` // of the readings
	// Siblings is the rule by which readings of all positions make the one value
	// that is limited; empty where each reading is limited by itself.
	Siblings SiblingRule        `json:"siblings,omitempty"`
	Min      *quantity.Quantity `json:"min,omitempty"`
	Max      *quantity.Quantity `json:"max,omitempty"`
	Nominal  *quantity.Quantity `json:"nominal,omitempty"`
	// Tolerance is allowed to either side of Nominal: a quantity of its kind (a
	// difference, for a temperature) or a percentage of it.
	Tolerance *quantity.Quantity `json:"tolerance,omitempty"`
	Source    string             `json:"source,omitempty"`
	Page      string             `json:"page,omitempty"`
}

// LimitKind says how a limit is given.
type LimitKind string

// The kinds of limit.
const (
	AtLeast       LimitKind = "minimum"
	AtMost        LimitKind = "maximum"
	Range         LimitKind = "range"
	WithTolerance LimitKind = "nominal with tolerance"
	NoLimit       LimitKind = "no limit"
)

// Kind is how the limit is given, by the fields that are set.
func (l Limit) Kind() LimitKind {
	switch {
	case l.Nominal != nil && l.Tolerance != nil:
		return WithTolerance
	case l.Min != nil && l.Max != nil:
		return Range
	case l.Min != nil:
		return AtLeast
	case l.Max != nil:
		return AtMost
	}
	return NoLimit
}

// Dimension is the dimension of the value that is limited: that of the
// readings, or of what the sibling rule makes of them.
func (l Limit) Dimension() quantity.Dimension {
	switch l.Siblings {
	case LowestOverHighest, BelowMean:
		return quantity.Ratio
	case HighestLessLowest:
		return l.Quantity.Difference()
	}
	return l.Quantity
}

// Check says everything that is wrong with the limit, joined; nil if nothing.
func (l Limit) Check() error {
	var all []error
	fault := func(format string, a ...any) {
		all = append(all, fmt.Errorf("limit %q: "+format, append([]any{l.Name}, a...)...))
	}
	if l.Siblings != "" && !l.Siblings.known() {
		fault("the sibling rule %q is not known; take one of: %s", l.Siblings, strings.Join(siblingRules(), ", "))
	}
	switch {
	case l.Kind() == NoLimit && l.Nominal == nil:
		fault("it limits nothing; give min, max, or nominal with tolerance")
	case l.Kind() == NoLimit:
		fault("a nominal value alone limits nothing; give its tolerance")
	case l.Kind() == WithTolerance && (l.Min != nil || l.Max != nil):
		fault("min or max beside nominal with tolerance; give one or the other")
	case l.Tolerance != nil && l.Nominal == nil:
		fault("a tolerance needs the nominal value; give it")
	case l.Nominal != nil && l.Tolerance == nil:
		fault("a nominal value beside min or max needs a tolerance; leave it out or give both")
	}
	for _, part := range l.parts() {
		if part.q != nil && part.q.Unit.Dimension() != part.d && !part.ratio(part.q) {
			fault("its %s of %s is %s; give %s, as %s", part.name, part.q, part.q.Unit.Dimension().Noun(), part.d.Noun(), part.d.Example())
		}
	}
	if len(all) == 0 {
		if lo, hi, err := l.bounds(l.anyUnit()); err != nil {
			all = append(all, err)
		} else if lo > hi {
			fault("the lowest value lies above the highest; exchange them")
		}
	}
	return errors.Join(all...)
}

// limitPart is a quantity of a limit with the dimension it must have.
type limitPart struct {
	name    string
	q       *quantity.Quantity
	d       quantity.Dimension
	percent bool // a percentage does as well
}

func (p limitPart) ratio(q *quantity.Quantity) bool {
	return p.percent && q.Unit.Dimension() == quantity.Ratio
}

func (l Limit) parts() []limitPart {
	d := l.Dimension()
	return []limitPart{
		{"minimum", l.Min, d, false}, {"maximum", l.Max, d, false},
		{"nominal value", l.Nominal, d, false}, {"tolerance", l.Tolerance, d.Difference(), true},
	}
}

// anyUnit is the unit of the first quantity that is set.
func (l Limit) anyUnit() Unit {
	for _, q := range []*quantity.Quantity{l.Nominal, l.Min, l.Max} {
		if q != nil {
			return q.Unit
		}
	}
	return Unit{}
}

// Bounds is the lowest and the highest tolerated value in the unit u; an
// infinity where there is none. A limit that does not pass Check, or a unit of
// another dimension, is an error.
func (l Limit) Bounds(u Unit) (lowest, highest float64, err error) {
	if err := l.Check(); err != nil {
		return 0, 0, err
	}
	return l.bounds(u)
}

func (l Limit) bounds(u Unit) (lowest, highest float64, err error) {
	lowest, highest = math.Inf(-1), math.Inf(1)
	if l.Kind() == WithTolerance {
		middle, err := l.Nominal.In(u)
		if err != nil {
			return 0, 0, err
		}
		width, err := amount(*l.Tolerance, middle, u)
		if err != nil {
			return 0, 0, fmt.Errorf("limit %q: its tolerance: %w", l.Name, err)
		}
		return middle - width, middle + width, nil
	}
	if l.Min != nil {
		if lowest, err = l.Min.In(u); err != nil {
			return 0, 0, err
		}
	}
	if l.Max != nil {
		if highest, err = l.Max.In(u); err != nil {
			return 0, 0, err
		}
	}
	return lowest, highest, nil
}

// Cuts is the finite bounds in the unit u, rising: where Model.Bins splits what
// conforms from what does not.
func (l Limit) Cuts(u Unit) ([]float64, error) {
	lowest, highest, err := l.Bounds(u)
	if err != nil {
		return nil, err
	}
	var cuts []float64
	for _, b := range []float64{lowest, highest} {
		if !math.IsInf(b, 0) && (len(cuts) == 0 || cuts[0] < b) {
			cuts = append(cuts, b)
		}
	}
	return cuts, nil
}

// String is the limit in words: "at least 110 psi", "lowest over highest at
// least 75 %".
func (l Limit) String() string {
	var s string
	switch l.Kind() {
	case WithTolerance:
		s = l.Nominal.String() + " ± " + l.Tolerance.String()
	case Range:
		s = l.Min.String() + " to " + l.Max.String()
	case AtLeast:
		s = "at least " + l.Min.String()
	case AtMost:
		s = "at most " + l.Max.String()
	default:
		s = "no limit"
	}
	if l.Siblings != "" {
		return string(l.Siblings) + " " + s
	}
	return s
}
