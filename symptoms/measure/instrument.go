package measure

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"narrows/symptoms/quantity"
)

// Figures are what is stated of an instrument, in units of its own; at least one of
// Noise, Gauge and the accuracy is set. See Instrument for their meaning.
type Figures struct {
	Noise quantity.Quantity `json:"noise,omitzero"`
	Gauge quantity.Quantity `json:"gauge,omitzero"`
	// Percent of the reading and Digits steps of the last digit, Step, are the maker's
	// accuracy, the largest error that is stated.
	Percent float64           `json:"percent,omitempty"`
	Digits  float64           `json:"digits,omitempty"`
	Step    quantity.Quantity `json:"step,omitzero"`
}

// Instrument is the instrument of these figures for readings in the unit u; its name
// is what readings share its errors by.
func (f Figures) Instrument(name string, u Unit) (Instrument, error) {
	in := Instrument{Name: name, Noise: f.Noise, Gauge: f.Gauge, Meter: MeterSpec{Percent: f.Percent, Digits: f.Digits}}
	if f.Step.IsZero() {
		return in, nil
	}
	var err error
	if in.Meter.Step, err = f.Step.In(u.Difference()); err != nil {
		return Instrument{}, fmt.Errorf("the last digit of the %s: %w", name, err)
	}
	return in, nil
}

// At is what one reading of the value, in the unit u, has by way of uncertainty.
func (in Instrument) At(value float64, u Unit) (Reading, error) {
	q, err := quantity.New(value, u)
	if err != nil {
		return Reading{}, err
	}
	return Take(in, q)
}

// String is the figures in words: "noise 2 psi, gauge 1 psi", "0.8 % + 3 digits of
// 0.1 ohm".
func (f Figures) String() string {
	var parts []string
	if !f.Noise.IsZero() {
		parts = append(parts, "noise "+f.Noise.String())
	}
	if !f.Gauge.IsZero() {
		parts = append(parts, "gauge "+f.Gauge.String())
	}
	var stated []string
	if f.Percent > 0 {
		stated = append(stated, fmt.Sprintf("%g %%", f.Percent))
	}
	if f.Digits > 0 {
		s := fmt.Sprintf("%g digits", f.Digits)
		if f.Digits == 1 {
			s = "1 digit"
		}
		if !f.Step.IsZero() {
			s += " of " + f.Step.String()
		}
		stated = append(stated, s)
	}
	if len(stated) > 0 {
		parts = append(parts, "accuracy "+strings.Join(stated, " + "))
	}
	return strings.Join(parts, ", ")
}

var accuracyForm = regexp.MustCompile(`^(?:([0-9]*\.?[0-9]+) ?%(?: of (?:the )?reading)?)?(?: ?\+? ?([0-9]*\.?[0-9]+) ?(?:digits?|counts?|dgts?))?$`)

// ParseAccuracy reads a maker's statement, "0.8 % + 3 digits"; either part may be
// missing.
func ParseAccuracy(s string) (percent, digits float64, err error) {
	s = strings.TrimPrefix(strings.Join(strings.Fields(s), " "), "±")
	m := accuracyForm.FindStringSubmatch(strings.TrimSpace(s))
	if m == nil || m[1] == "" && m[2] == "" {
		return 0, 0, fmt.Errorf("the accuracy %q cannot be read; write it as 0.8 %% + 3 digits", s)
	}
	if m[1] != "" {
		percent, err = strconv.ParseFloat(m[1], 64)
	}
	if m[2] != "" && err == nil {
		digits, err = strconv.ParseFloat(m[2], 64)
	}
	if err != nil || percent > 100 || digits > 10000 || percent+digits == 0 {
		return 0, 0, fmt.Errorf("the accuracy %q is out of range; up to 100 %% and 10000 digits, not both 0", s)
	}
	return percent, digits, nil
}
