package measure

import (
	"fmt"
	"slices"

	"narrows/symptoms/quantity"
)

// CorrectionName says which correction was made; the names of packs.
type CorrectionName string

// The corrections known.
const (
	Averaged   CorrectionName = "mean of repeats"
	Leads      CorrectionName = "leads"
	Copper20   CorrectionName = "copper20"
	Difference CorrectionName = "difference"
	Altitude   CorrectionName = "altitude"
)

// Title is the correction in words.
func (c CorrectionName) Title() string {
	switch c {
	case Averaged:
		return "mean of the repeats"
	case Leads:
		return "resistance of the leads subtracted"
	case Copper20:
		return "copper referred to 20 °C (IEC 60028)"
	case Difference:
		return "growth from the reading before"
	case Altitude:
		return "referred to sea level (ISO 2533)"
	}
	return string(c)
}

// Input is a quantity that a correction needs, as typed, with its standard
// uncertainty: a quantity of the same kind (a difference, for a temperature), a
// percentage, or the zero Quantity, for which the last place typed counts as
// the resolution.
type Input struct {
	Name     string            `json:"name"`
	Quantity quantity.Quantity `json:"quantity"`
	U        quantity.Quantity `json:"u,omitzero"`
}

// standard is the input's value and standard uncertainty in the unit u.
func (in Input) standard(u Unit) (value, doubt float64, err error) {
	if value, err = in.Quantity.In(u); err != nil {
		return 0, 0, err
	}
	if !in.U.IsZero() {
		doubt, err = amount(in.U, value, u)
		return value, doubt, err
	}
	factor, err := differenceFactor(in.Quantity.Unit, u)
	return value, Resolution(float64(in.Quantity.Step() * factor)), err
}

// Correction is a correction that was made, with what it rests on.
type Correction struct {
	Name   CorrectionName `json:"name"`
	Inputs []Input        `json:"inputs"`
	Before float64        `json:"before"`
	After  float64        `json:"after"`
	Amount float64        `json:"amount"` // After less Before
	U      float64        `json:"u"`      // standard uncertainty that the inputs add
	Unit   Unit           `json:"unit"`   // of the four numbers
}

// averaged is the record that repeats were averaged; what the mean's scatter
// adds stands with the reading's components.
func averaged(r Reading, first float64) Correction {
	c := Correction{Name: Averaged, Before: first, After: r.Value, Amount: r.Value - first, Unit: r.Unit}
	for i, q := range r.Raw {
		c.Inputs = append(c.Inputs, Input{Name: fmt.Sprintf("reading %d", i+1), Quantity: q})
	}
	return c
}

// with is the reading after a correction that scales what was uncertain before
// by scale and adds a component.
func (r Reading) with(name CorrectionName, in Input, after, scale float64, added Component) Reading {
	c := Correction{
		Name: name, Inputs: []Input{in}, Before: r.Value, After: after,
		Amount: after - r.Value, U: added.U, Unit: r.Unit,
	}
	r.Corrections = append(slices.Clone(r.Corrections), c)
	r.Components = append(scaled(r.Components, scale), added)
	r.Value = after
	r.U, r.DoF = Combine(r.Components...)
	return r
}

// corrected says whether a correction has been made.
func (r Reading) corrected(name CorrectionName) bool {
	return slices.ContainsFunc(r.Corrections, func(c Correction) bool { return c.Name == name })
}

// SubtractLeads takes the resistance of the test leads off a resistance:
// R = reading - lead, u^2 = u(reading)^2 + u(lead)^2 (GUM 5.1.2). It is made
// before CopperTo20, since the leads are as warm as the room and not as the
// winding. Leads that read more than the winding by over three standard
// uncertainties are refused.
func (r Reading) SubtractLeads(lead Input) (Reading, error) {
	if err := r.mustBeResistance("the leads can be subtracted only from"); err != nil {
		return Reading{}, err
	}
	if r.corrected(Leads) || r.corrected(Copper20) {
		return Reading{}, fmt.Errorf("the leads are subtracted once, and before the temperature is corrected; take the reading anew")
	}
	value, doubt, err := lead.standard(r.Unit)
	if err != nil {
		return Reading{}, fmt.Errorf("the resistance of the leads: %w", err)
	}
	out := r.with(Leads, lead, r.Value-value, 1, Component{Name: "leads", U: doubt})
	if value < -3*doubt || out.Value < -3*out.U {
		return Reading{}, fmt.Errorf("leads of %s do not fit a reading of %s; measure the leads shorted together, then the part, on one range",
			lead.Quantity, quantity.Format(r.Value, r.Unit, 0))
	}
	return out, nil
}

// CopperAlpha20 is the temperature coefficient of resistance of annealed
// copper at 20 °C, per kelvin (IEC 60028).
const CopperAlpha20 = 0.00393

// Temperatures within which copper's resistance is taken as linear, °C.
const copperLowest, copperHighest = -60.0, 200.0

// CopperTo20 refers the resistance R of a copper winding at t °C to 20 °C:
//
//	R20 = R/f, f = 1 + 0.00393 (t - 20)            IEC 60028
//	u^2 = (u(R)/f)^2 + (0.00393 R u(t)/f^2)^2      GUM 5.1.2
//
// for t from -60 to 200 °C. It holds for coils, pulsers and solenoids, not for
// carbon, resistor leads or PTC heaters.
func (r Reading) CopperTo20(temperature Input) (Reading, error) {
	if err := r.mustBeResistance("copper is referred to 20 °C only for"); err != nil {
		return Reading{}, err
	}
	if r.corrected(Copper20) {
		return Reading{}, fmt.Errorf("the reading is referred to 20 °C already; once is enough")
	}
	celsius := quantity.Temperature.Base()
	t, doubt, err := temperature.standard(celsius)
	if err != nil {
		return Reading{}, fmt.Errorf("the temperature of the winding: %w", err)
	}
	if t < copperLowest || t > copperHighest {
		return Reading{}, fmt.Errorf("a winding at %s is outside -60 to 200 °C; measure its temperature again", temperature.Quantity)
	}
	f := 1 + float64(CopperAlpha20*(t-20))
	part := float64(CopperAlpha20*r.Value) / float64(f*f) * doubt
	return r.with(Copper20, temperature, r.Value/f, 1/f, Component{Name: "temperature", U: max(part, -part)}), nil
}

func (r Reading) mustBeResistance(what string) error {
	if d := r.Unit.Dimension(); d != quantity.Resistance {
		return fmt.Errorf("%s a resistance, and this reading is %s; take the correction off", what, d.Noun())
	}
	return nil
}

// Growth is the second reading less the first, as of a plunger's length before
// and after it was energised. An error that both share through one named gauge
// cancels. The difference is in the first reading's unit; of temperatures it is
// a temperature difference. Raw holds the readings of both, first those before.
func Growth(before, after Reading) (Reading, error) {
	after, err := after.In(before.Unit)
	if err != nil {
		return Reading{}, err
	}
	out := Reading{Raw: append(slices.Clone(before.Raw), after.Raw...), Instrument: after.Instrument}
	out.Corrections = append(slices.Clone(before.Corrections), after.Corrections...)
	out.Unit = before.Unit.Difference()
	out.Value = after.Value - before.Value
	out.U, out.DoF = derive([]float64{-1, 1}, []Reading{before, after})
	out.Components = []Component{{Name: "both readings", U: out.U, DoF: out.DoF}}
	out.Corrections = append(out.Corrections, Correction{
		Name: Difference, Before: before.Value, After: after.Value, Amount: out.Value, U: out.U, Unit: out.Unit,
	})
	return out, nil
}
