package knowledge

import (
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// Sheet holds one engine's limits and fitted parts as written.
type Sheet struct {
	Entry
	Pack   Ref
	Units  []UnitChoice
	Limits []*Limit
	Fitted []*Fitted
}

// UnitChoice is the unit in which a sheet wants a quantity shown.
type UnitChoice struct {
	Quantity, Unit Ref
	In             quantity.Unit // Unit, found
}

// Limit is one limit of a sheet. Either Min, Max or both are given, or Nominal
// with Tolerance; an Amount without unit was not given.
type Limit struct {
	Entry
	Quantity  Ref // of the readings
	Siblings  Ref // a rule of package measure by which the readings of all places make one value; zero: none
	Min, Max  Amount
	Nominal   Amount
	Tolerance Amount // half-width about Nominal, or a percentage of it
	Page      string
	Of        measure.Limit // all of it, as package measure judges by it
}

// Fitted is the table of what belongs at which place.
type Fitted struct {
	Entry
	At     Ref
	Values []FittedValue // in the order of the set's members
}

// FittedValue is what belongs at one place.
type FittedValue struct {
	Member, Value string
	Pos           Pos
}

// Limit returns the sheet's limit of that name, or nil.
func (s *Sheet) Limit(id string) *Limit {
	for _, l := range s.Limits {
		if l.ID == id {
			return l
		}
	}
	return nil
}

// Fit returns the sheet's fitted-parts table of that name, or nil.
func (s *Sheet) Fit(id string) *Fitted {
	for _, f := range s.Fitted {
		if f.ID == id {
			return f
		}
	}
	return nil
}
