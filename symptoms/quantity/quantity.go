package quantity

import (
	"math"
	"strconv"
)

// Quantity is a value in a unit, beside the text it was read from. A Quantity
// with the zero Unit is none.
type Quantity struct {
	Text  string  `json:"text"`  // as typed
	Value float64 `json:"value"` // in Unit
	Unit  Unit    `json:"unit"`  // as typed
}

// New makes a quantity that nobody typed: its text is its String. The value
// must be of a size that Parse takes.
func New(value float64, u Unit) (Quantity, error) {
	q := Quantity{Value: value, Unit: u}
	if u.IsZero() {
		return Quantity{}, &Error{Kind: NoUnit, Problem: "the number has no unit", Advice: "give it one"}
	}
	if err := checkSize(value, strconv.FormatFloat(value, 'g', -1, 64)); err != nil {
		return Quantity{}, err
	}
	q.Text = q.String()
	return q, nil
}

// IsZero says whether q is no quantity: it has no unit.
func (q Quantity) IsZero() bool { return q.Unit.IsZero() }

// In is the value of q in the unit u, the nearest float64 to the exact
// conversion of q.Value. A unit of another dimension is an *Error in words.
func (q Quantity) In(u Unit) (float64, error) {
	switch {
	case q.Unit.IsZero() || u.IsZero():
		return 0, &Error{Kind: NoUnit, Text: q.Text, Problem: shown(q.Text) + " cannot be converted without a unit", Advice: "give both units"}
	case q.Unit.Dimension() != u.Dimension():
		return 0, &Error{
			Kind: WrongDimension, Text: q.Text,
			Problem: q.String() + " is " + q.Unit.Dimension().Noun() + ", and " + u.String() + " measures " + u.Dimension().Noun(),
			Advice:  "take a unit as " + list(q.Unit.Dimension().Units(), "or"),
		}
	case math.IsNaN(q.Value) || math.IsInf(q.Value, 0):
		return 0, checkSize(q.Value, q.Text)
	case q.Unit == u:
		return q.Value, nil
	}
	v := u.def.fromBase(q.Unit.def.toBase(q.Value))
	if math.IsInf(v, 0) {
		return 0, checkSize(v, q.Text)
	}
	return v, nil
}

// Base is the value in the base unit of the dimension (see the package
// comment), rounded once. A value that is not finite, or has no unit, comes
// back as it is.
func (q Quantity) Base() float64 {
	if q.Unit.IsZero() || math.IsNaN(q.Value) || math.IsInf(q.Value, 0) {
		return q.Value
	}
	v, _ := q.Unit.def.toBase(q.Value).Float64()
	return v
}

// To is q in the unit u, its text kept as typed.
func (q Quantity) To(u Unit) (Quantity, error) {
	v, err := q.In(u)
	if err != nil {
		return Quantity{}, err
	}
	return Quantity{Text: q.Text, Value: v, Unit: u}, nil
}

// Step is the size of the last place that was typed, in q.Unit: 1 for "118
// psi", 0.01 for "2.30 ohm", 1/4 for "2 1/4 turns", 0.1 for "1.0e0 V". It is 0
// where the text does not tell, as for times in several parts or a quantity
// that was converted.
func (q Quantity) Step() float64 {
	n, rest, err := scanNumber(q.Text)
	if err != nil || n.value != q.Value {
		return 0
	}
	if u, e := findUnit(rest, q.Unit.Dimension()); key(rest) != "" && (e != nil || u != q.Unit) {
		return 0
	}
	return n.step
}
