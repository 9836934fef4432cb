package measure

import (
	"fmt"
	"math"
	"slices"

	"narrows/symptoms/quantity"
)

// Unit is a unit of package quantity.
type Unit = quantity.Unit

// Instrument is what is known of the errors of a gauge or meter. Each part is a
// quantity of the reading's kind (a difference, for a thermometer) or a
// percentage of the reading; the zero Quantity is none.
type Instrument struct {
	Name string `json:"name,omitempty"`
	// Noise is the standard uncertainty of one reading that differs from one
	// reading to the next, so that repeats average it out.
	Noise quantity.Quantity `json:"noise,omitzero"`
	// Gauge is the standard uncertainty that every reading of the instrument
	// shares, and repeats cannot remove.
	Gauge quantity.Quantity `json:"gauge,omitzero"`
	// Meter is the maker's accuracy, shared like Gauge.
	Meter MeterSpec `json:"meter,omitzero"`
}

// Reading is a measurement with everything that led to it.
type Reading struct {
	Raw         []quantity.Quantity `json:"raw"` // each reading as typed
	Instrument  Instrument          `json:"instrument"`
	Repeats     Repeats             `json:"repeats"` // of the raw readings, in their first one's unit
	Corrections []Correction        `json:"corrections,omitempty"`
	Components  []Component         `json:"components,omitempty"` // what makes up U
	Estimate                        // the corrected value
}

// Take makes a reading out of one raw reading or several repeats, in the unit
// of the first. Repeats are averaged.
//
// The mean of n repeats has the instrument's noise over sqrt(n), or the seen
// standard deviation over sqrt(n) where that is larger; without a stated noise
// the seen one, with n-1 degrees of freedom. The instrument's shared parts come
// on top. Where nothing at all is stated, the last place typed counts as the
// resolution.
func Take(in Instrument, raw ...quantity.Quantity) (Reading, error) {
	if len(raw) == 0 {
		return Reading{}, fmt.Errorf("there is no reading; take one")
	}
	r := Reading{Raw: slices.Clone(raw), Instrument: in}
	r.Unit = raw[0].Unit
	values := make([]float64, 0, len(raw))
	for _, q := range raw {
		v, err := q.In(r.Unit)
		if err != nil {
			return Reading{}, err
		}
		values = append(values, v)
	}
	var err error
	if r.Repeats, err = TypeA(values); err != nil {
		return Reading{}, err
	}
	r.Value = r.Repeats.Mean
	if len(raw) > 1 {
		r.Corrections = append(r.Corrections, averaged(r, values[0]))
	}
	if r.Components, err = r.instrumentParts(); err != nil {
		return Reading{}, err
	}
	r.U, r.DoF = Combine(r.Components...)
	return r, nil
}

// instrumentParts is what noise, scatter, gauge and resolution add to U.
func (r Reading) instrumentParts() ([]Component, error) {
	noise, err := amount(r.Instrument.Noise, r.Value, r.Unit)
	if err != nil {
		return nil, fmt.Errorf("the noise of the instrument: %w", err)
	}
	gauge, err := amount(r.Instrument.Gauge, r.Value, r.Unit)
	if err != nil {
		return nil, fmt.Errorf("the uncertainty of the gauge: %w", err)
	}
	var parts []Component
	root := math.Sqrt(float64(r.Repeats.N))
	switch {
	case noise > 0:
		parts = append(parts, Component{Name: "noise", U: math.Max(noise, r.Repeats.SD) / root})
	case r.Repeats.SD > 0:
		parts = append(parts, Component{Name: "scatter of repeats", U: r.Repeats.U, DoF: r.Repeats.DoF})
	}
	if gauge > 0 {
		parts = append(parts, Component{Name: "gauge", U: gauge, Shared: r.Instrument.Name})
	}
	meter := r.Instrument.Meter
	if meter.Step == 0 {
		meter.Step = r.step()
	}
	if !meter.IsZero() {
		parts = append(parts, Component{Name: "meter accuracy", U: meter.Standard(r.Value), Shared: r.Instrument.Name})
	}
	if step := r.step(); noise == 0 && gauge == 0 && meter.IsZero() && step > 0 {
		parts = append(parts, Component{Name: "resolution", U: Resolution(step)})
	}
	return parts, nil
}

// step is the coarsest last place typed, in the reading's unit.
func (r Reading) step() float64 {
	coarsest := 0.0
	for _, q := range r.Raw {
		if q.Unit == r.Unit {
			coarsest = math.Max(coarsest, q.Step())
		}
	}
	return coarsest
}

// amount is a standard uncertainty in the differences of the unit u; a
// percentage is taken of the value.
func amount(q quantity.Quantity, value float64, u Unit) (float64, error) {
	if q.IsZero() {
		return 0, nil
	}
	to := u.Difference()
	v, err := q.In(to)
	if q.Unit.Dimension() == quantity.Ratio && to.Dimension() != quantity.Ratio {
		v, err = q.Base()*math.Abs(value), nil
	}
	if err != nil {
		return 0, err
	}
	if !finite(v) || v < 0 {
		return 0, fmt.Errorf("an uncertainty of %s; type one of 0 or more", q)
	}
	return v, nil
}

// In is the reading with its value, uncertainty and components in the unit u.
// Raw readings and corrections stay as they were entered.
func (r Reading) In(u Unit) (Reading, error) {
	if u == r.Unit {
		return r, nil
	}
	e, err := r.Estimate.In(u)
	if err != nil {
		return Reading{}, err
	}
	factor, err := differenceFactor(r.Unit, u)
	if err != nil {
		return Reading{}, err
	}
	r.Estimate = e
	r.Components = scaled(r.Components, factor)
	return r, nil
}

// In is the estimate in the unit u; its uncertainty takes no offset.
func (e Estimate) In(u Unit) (Estimate, error) {
	v, err := quantity.Quantity{Text: fmt.Sprint(e.Value), Value: e.Value, Unit: e.Unit}.In(u)
	if err != nil {
		return Estimate{}, err
	}
	doubt, err := quantity.Quantity{Value: e.U, Unit: e.Unit.Difference()}.In(u.Difference())
	if err != nil {
		return Estimate{}, err
	}
	return Estimate{Value: v, U: doubt, DoF: e.DoF, Unit: u}, nil
}

// differenceFactor is how many steps of u make one step of from.
func differenceFactor(from, u Unit) (float64, error) {
	return quantity.Quantity{Text: "1", Value: 1, Unit: from.Difference()}.In(u.Difference())
}

func scaled(parts []Component, factor float64) []Component {
	out := slices.Clone(parts)
	for i := range out {
		out[i].U *= math.Abs(factor)
	}
	return out
}

// derive is the uncertainty of a value made of several readings, in its unit,
// with the sensitivity to each. Errors of one shared gauge are added with their
// signs before squaring (GUM 5.2.2, correlation 1), all others in quadrature.
func derive(sensitivity []float64, readings []Reading) (u, dof float64) {
	var parts []Component
	at := map[string]int{} // looked up only, never walked
	for i, r := range readings {
		known := r.Components
		if len(known) == 0 { // only the whole is known
			known = []Component{{Name: "reading", U: r.U, DoF: r.DoF}}
		}
		for _, c := range known {
			c.U = float64(sensitivity[i] * c.U)
			if c.Shared == "" {
				parts = append(parts, c)
				continue
			}
			k := c.Name + "\x00" + c.Shared
			if j, ok := at[k]; ok {
				parts[j].U += c.U
				continue
			}
			at[k] = len(parts)
			parts = append(parts, c)
		}
	}
	return Combine(parts...)
}
