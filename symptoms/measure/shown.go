package measure

import (
	"strconv"

	"narrows/symptoms/quantity"
)

// Shown is the limit in the unit u for people, its quantities rounded to so many
// digits; percentages stay, and so does what has the unit already. It is for showing
// only: judge by the limit itself. A unit of another dimension is an error.
func (l Limit) Shown(u Unit, digits int) (Limit, error) {
	out := l
	for _, p := range []struct {
		of *quantity.Quantity
		to **quantity.Quantity
		in Unit
	}{{l.Min, &out.Min, u}, {l.Max, &out.Max, u}, {l.Nominal, &out.Nominal, u}, {l.Tolerance, &out.Tolerance, u.Difference()}} {
		if p.of == nil || p.of.Unit == p.in || p.of.Unit.Dimension() == quantity.Ratio && p.in.Dimension() != quantity.Ratio {
			continue
		}
		v, err := p.of.In(p.in)
		if err != nil {
			return Limit{}, err
		}
		if v, err = strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64); err != nil {
			return Limit{}, err
		}
		q, err := quantity.New(v, p.in)
		if err != nil {
			return Limit{}, err
		}
		*p.to = &q
	}
	return out, nil
}
