package quantity

import "strings"

// Dimension is the kind of thing that is measured, as a word for people.
// Quantities of one dimension can be converted into each other.
type Dimension string

// The dimensions known. The text of each is the word that is shown.
const (
	Pressure              Dimension = "pressure"
	Resistance            Dimension = "resistance"
	Voltage               Dimension = "voltage"
	Current               Dimension = "current"
	Length                Dimension = "length"
	Angle                 Dimension = "angle"
	Temperature           Dimension = "temperature"
	TemperatureDifference Dimension = "temperature difference"
	Time                  Dimension = "time"
	RotationalSpeed       Dimension = "rotational speed"
	Volume                Dimension = "volume"
	VolumeFlow            Dimension = "volume flow"
	Torque                Dimension = "torque"
	Capacitance           Dimension = "capacitance"
	Power                 Dimension = "power"
	Mass                  Dimension = "mass"
	Ratio                 Dimension = "ratio"
	Turns                 Dimension = "screw turns"
	Mark                  Dimension = "mark"
	Frequency             Dimension = "frequency"
)

// kind is what there is to say about a dimension.
type kind struct {
	dimension Dimension
	noun      string // with its article, as in "118 psi is a pressure"
	example   string // how one is typed
}

// kinds is fixed data, in the order in which dimensions are listed.
var kinds = [...]kind{
	{Pressure, "a pressure", "118 psi"},
	{Resistance, "a resistance", "0.95 ohm"},
	{Voltage, "a voltage", "12.6 V"},
	{Current, "a current", "1.5 A"},
	{Length, "a length", "0.86 mm"},
	{Angle, "an angle", "12 deg"},
	{Temperature, "a temperature", "20 degC"},
	{TemperatureDifference, "a temperature difference", "5 K"},
	{Time, "a time", "3 min 20"},
	{RotationalSpeed, "a rotational speed", "950 rpm"},
	{Volume, "a volume", "22 mL"},
	{VolumeFlow, "a volume flow", "14 L/h"},
	{Torque, "a torque", "12 lbf ft"},
	{Capacitance, "a capacitance", "0.22 uF"},
	{Power, "a power", "45 kW"},
	{Mass, "a mass", "18 g"},
	{Ratio, "a ratio", "75 %"},
	{Turns, "a number of screw turns", "2 1/4 turns"},
	{Mark, "a mark or plain number", "42"},
	{Frequency, "a frequency", "60 Hz"},
}

// Dimensions lists the dimensions known, in a fixed order.
func Dimensions() []Dimension {
	all := make([]Dimension, 0, len(kinds))
	for _, k := range kinds {
		all = append(all, k.dimension)
	}
	return all
}

// ParseDimension finds the dimension of the name s; letter case, underscores
// and outer spaces do not matter ("rotational_speed"). An unknown name is an
// error that gives the nearest known one.
func ParseDimension(s string) (Dimension, error) {
	want := strings.ToLower(strings.TrimSpace(strings.ReplaceAll(s, "_", " ")))
	names := make([]string, 0, len(kinds))
	for _, k := range kinds {
		if string(k.dimension) == want {
			return k.dimension, nil
		}
		names = append(names, string(k.dimension))
	}
	e := &Error{Kind: UnknownDimension, Text: s, Problem: "the dimension " + quoted(s) + " is not known"}
	if n := nearest(want, names); n != "" {
		e.Advice = "did you mean " + n + "?"
	} else {
		e.Advice = "type one of: " + strings.Join(names, ", ")
	}
	return "", e
}

// Noun is the dimension with its article: "a pressure", "an angle".
func (d Dimension) Noun() string {
	for _, k := range kinds {
		if k.dimension == d {
			return k.noun
		}
	}
	return "an unknown kind of quantity"
}

// Example shows how a quantity of the dimension is typed; empty for an
// unknown dimension.
func (d Dimension) Example() string {
	for _, k := range kinds {
		if k.dimension == d {
			return k.example
		}
	}
	return ""
}

// Base is the unit in which Quantity.Base gives values of the dimension. It is
// the zero Unit for ratios, whose base is the bare number 1, and for unknown
// dimensions.
func (d Dimension) Base() Unit {
	for i := range table {
		u := &table[i]
		if u.dimension == d && u.num == u.den && u.offsetNum == 0 {
			return Unit{u}
		}
	}
	return Unit{}
}

// Difference is the dimension of a difference of two quantities of d, and so
// of an uncertainty or tolerance: itself, but for temperatures.
func (d Dimension) Difference() Dimension {
	if d == Temperature {
		return TemperatureDifference
	}
	return d
}

// Units lists the units of the dimension, the commonest first.
func (d Dimension) Units() []Unit {
	var all []Unit
	for i := range table {
		if table[i].dimension == d {
			all = append(all, Unit{&table[i]})
		}
	}
	return all
}
