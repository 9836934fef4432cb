package measure

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/symptoms/quantity"
)

func q(t require.TestingT, s string) quantity.Quantity {
	v, err := quantity.Parse(s)
	require.NoError(t, err)
	return v
}

func ptr(v quantity.Quantity) *quantity.Quantity { return &v }

func unit(t require.TestingT, s string) Unit {
	u, err := quantity.ParseUnit(s)
	require.NoError(t, err)
	return u
}

func take(t require.TestingT, in Instrument, raw ...string) Reading {
	var all []quantity.Quantity
	for _, s := range raw {
		all = append(all, q(t, s))
	}
	r, err := Take(in, all...)
	require.NoError(t, err)
	return r
}

func TestCoilReading(t *testing.T) {
	// GUM 5.1 with the formula of IEC 60028, computed outside this project.
	r := take(t, Instrument{Noise: q(t, "0.01 ohm")}, "2.35 ohm")
	r, err := r.SubtractLeads(Input{Name: "leads", Quantity: q(t, "0.18 ohm"), U: q(t, "10 mohm")})
	require.NoError(t, err)
	require.InDelta(t, 2.17, r.Value, 1e-12)
	require.InDelta(t, math.Hypot(0.01, 0.01), r.U, 1e-12)
	r, err = r.CopperTo20(Input{Name: "winding", Quantity: q(t, "35 degC"), U: q(t, "2 K")})
	require.NoError(t, err)
	require.InDelta(t, 2.0491996789, r.Value, 1e-9)
	require.InDelta(t, 0.0202410190, r.U, 1e-9)
	require.InDelta(t, 0.0404820, 2*r.U, 5e-8)
	for i, want := range []float64{0.0094433, 0.0094433, 0.0152101} {
		require.InDelta(t, want, r.Components[i].U, 5e-8)
	}

	// Everything entered is still there.
	require.Equal(t, "2.35 ohm", r.Raw[0].Text)
	require.Len(t, r.Corrections, 2)
	leads, copper := r.Corrections[0], r.Corrections[1]
	require.Equal(t, Leads, leads.Name)
	require.Equal(t, "0.18 ohm", leads.Inputs[0].Quantity.Text)
	require.InDelta(t, -0.18, leads.Amount, 1e-12)
	require.Equal(t, Copper20, copper.Name)
	require.InDelta(t, 2.0491996789-2.17, copper.Amount, 1e-9)
	require.Equal(t, leads.After, copper.Before)
	require.Equal(t, copper.After, r.Value)

	data, err := json.Marshal(r)
	require.NoError(t, err)
	var back Reading
	require.NoError(t, json.Unmarshal(data, &back))
	require.Equal(t, r, back)
}

func TestCopperTo20(t *testing.T) {
	for _, c := range []struct {
		read, lead, at string
		want, within   float64
	}{
		{"2.17 ohm", "", "5 degC", 2.3059348600, 1e-9}, // IEC 60028's formula, computed outside
		{"650 ohm", "", "42 degC", 598.2732912394, 1e-9},
		{"0.95 ohm", "0.10 ohm", "35 degC", 0.803, 5e-4}, // trade tables, rounded as there
		{"0.62 ohm", "", "8 degC", 0.651, 5e-4},
		{"5.20 kohm", "", "30 degC", 5.00, 5e-3},
		{"248 ohm", "", "60 degC", 214, 0.5},
		{"0.62 ohm", "", "46.4 degF", 0.651, 5e-4}, // 8 degC
		{"1 ohm", "", "20 degC", 1, 1e-15},
	} {
		r := take(t, Instrument{}, c.read)
		var err error
		if c.lead != "" {
			r, err = r.SubtractLeads(Input{Quantity: q(t, c.lead)})
			require.NoError(t, err)
		}
		r, err = r.CopperTo20(Input{Quantity: q(t, c.at)})
		require.NoError(t, err)
		require.InDelta(t, c.want, r.Value, c.within, c.read)
	}
	// The other usual form, (234.5+20)/(234.5+t), agrees to 1.5e-5 near 20 degC.
	for at := 5.0; at <= 40; at += 5 {
		temperature, err := quantity.New(at, unit(t, "degC"))
		require.NoError(t, err)
		r, err := take(t, Instrument{}, "1 ohm").CopperTo20(Input{Quantity: temperature})
		require.NoError(t, err)
		require.InEpsilon(t, (234.5+20)/(234.5+at), r.Value, 1.5e-5)
	}
}

func TestCorrectionsRefuse(t *testing.T) {
	ohms := take(t, Instrument{}, "2.35 ohm")
	lead, warm := Input{Quantity: q(t, "0.18 ohm")}, Input{Quantity: q(t, "35 degC")}
	psi := take(t, Instrument{}, "118 psi")
	_, err := psi.SubtractLeads(lead)
	require.EqualError(t, err, "the leads can be subtracted only from a resistance, and this reading is a pressure; take the correction off")
	_, err = psi.CopperTo20(warm)
	require.ErrorContains(t, err, "only for a resistance")
	corrected, err := ohms.CopperTo20(warm)
	require.NoError(t, err)
	_, err = corrected.CopperTo20(warm)
	require.ErrorContains(t, err, "already")
	_, err = corrected.SubtractLeads(lead)
	require.ErrorContains(t, err, "before the temperature")
	_, err = ohms.SubtractLeads(Input{Quantity: q(t, "18 ohm")})
	require.EqualError(t, err, "leads of 18 ohm do not fit a reading of 2.35 ohm; measure the leads shorted together, then the part, on one range")
	_, err = ohms.SubtractLeads(warm)
	require.ErrorContains(t, err, "resistance of the leads: 35 °C is a temperature")
	_, err = ohms.CopperTo20(lead)
	require.ErrorContains(t, err, "temperature of the winding: 0.18 ohm is a resistance")
	_, err = ohms.CopperTo20(Input{Quantity: q(t, "350 degC")})
	require.ErrorContains(t, err, "outside -60 to 200 °C")
	_, err = ohms.SubtractLeads(Input{Quantity: q(t, "0.1 ohm"), U: q(t, "-0.1 ohm")})
	require.ErrorContains(t, err, "0 or more")
}

func TestRepeats(t *testing.T) {
	// The five readings of the GUM 4.2 row: the scatter decides, nu = 4.
	r := take(t, Instrument{}, "118.2 psi", "117.6 psi", "118.9 psi", "118.1 psi", "117.7 psi")
	require.InDelta(t, 118.10, r.Value, 1e-9)
	require.Equal(t, "scatter of repeats", r.Components[0].Name)
	require.InDelta(t, 0.2302172887, r.Components[0].U, 1e-9)
	require.Equal(t, Averaged, r.Corrections[0].Name)
	require.Len(t, r.Corrections[0].Inputs, 5)
	require.InDelta(t, -0.1, r.Corrections[0].Amount, 1e-9)
	// With a stated noise it is the larger of the two over sqrt(n).
	four := take(t, Instrument{Noise: q(t, "4 psi")}, "95 psi", "95 psi", "95 psi", "95 psi")
	require.InDelta(t, 2, four.U, 1e-12)
	wild := take(t, Instrument{Noise: q(t, "4 psi")}, "80 psi", "110 psi")
	require.InDelta(t, 15, wild.U, 1e-9) // s = 21.2, over sqrt(2)
	// What the gauge shares does not average out.
	shared := take(t, Instrument{Name: "g", Noise: q(t, "4 psi"), Gauge: q(t, "2 psi")}, "95 psi", "95 psi", "95 psi", "95 psi")
	require.InDelta(t, math.Hypot(2, 2), shared.U, 1e-12)
	// Repeats in other units.
	mixed := take(t, Instrument{}, "100 kPa", "1 bar")
	require.InDelta(t, 100, mixed.Value, 1e-9)
}

func TestInstruments(t *testing.T) {
	plain := take(t, Instrument{}, "118.0 psi")
	require.InDelta(t, 0.0288675, plain.U, 5e-8) // the resolution as typed
	meter := take(t, Instrument{Meter: MeterSpec{Percent: 0.5, Digits: 2}}, "118.0 V")
	require.InDelta(t, 0.4561067127, meter.U, 1e-9) // the step as typed
	share := take(t, Instrument{Noise: q(t, "2 %")}, "50 psi")
	require.InDelta(t, 1, share.U, 1e-12)
	points := take(t, Instrument{Noise: q(t, "2 %")}, "50 %")
	require.InDelta(t, 2, points.U, 1e-12) // of a percentage: points
	warm := take(t, Instrument{Noise: q(t, "2 K")}, "68 degF")
	require.InDelta(t, 3.6, warm.U, 1e-12)
	other := take(t, Instrument{Noise: q(t, "10 kPa")}, "50 psi")
	require.InDelta(t, 10/6.894757293168, other.U, 1e-9)

	_, err := Take(Instrument{})
	require.ErrorContains(t, err, "no reading")
	_, err = Take(Instrument{}, q(t, "118 psi"), q(t, "3 V"))
	require.ErrorContains(t, err, "3 V is a voltage")
	_, err = Take(Instrument{Noise: q(t, "1 V")}, q(t, "118 psi"))
	require.ErrorContains(t, err, "noise of the instrument")
	_, err = Take(Instrument{Gauge: q(t, "-1 psi")}, q(t, "118 psi"))
	require.ErrorContains(t, err, "uncertainty of the gauge")
}

func TestReadingInAnotherUnit(t *testing.T) {
	f := take(t, Instrument{Noise: q(t, "9 K")}, "212 degF")
	c, err := f.In(unit(t, "degC"))
	require.NoError(t, err)
	require.InDelta(t, 100, c.Value, 1e-12)
	require.InDelta(t, 9, c.U, 1e-12)
	require.InDelta(t, 9, c.Components[0].U, 1e-12)
	require.Equal(t, "212 degF", c.Raw[0].Text)
	require.InDelta(t, 9*1.8, f.Components[0].U, 1e-12, "the first reading is left alone")
	_, err = f.In(unit(t, "psi"))
	require.Error(t, err)
}

func TestGrowth(t *testing.T) {
	caliper := Instrument{Name: "caliper", Noise: q(t, "0.02 mm"), Gauge: q(t, "0.05 mm")}
	cold, hot := take(t, caliper, "21.30 mm"), take(t, caliper, "2.53 cm")
	g, err := Growth(cold, hot)
	require.NoError(t, err)
	require.InDelta(t, 4.0, g.Value, 1e-9)
	require.InDelta(t, 0.02*math.Sqrt2, g.U, 1e-9) // the shared error cancels
	require.Len(t, g.Raw, 2)
	require.Equal(t, Difference, g.Corrections[len(g.Corrections)-1].Name)
	// Of another caliper it does not.
	caliper.Name = ""
	g, err = Growth(take(t, caliper, "21.30 mm"), take(t, caliper, "25.30 mm"))
	require.NoError(t, err)
	require.InDelta(t, math.Sqrt(2*(0.02*0.02+0.05*0.05)), g.U, 1e-9)
	warmer, err := Growth(take(t, Instrument{}, "50 degF"), take(t, Instrument{}, "68 degF"))
	require.NoError(t, err)
	require.InDelta(t, 18, warmer.Value, 1e-9)
	require.Equal(t, quantity.TemperatureDifference, warmer.Unit.Dimension())
	_, err = Growth(cold, take(t, Instrument{}, "3 V"))
	require.Error(t, err)
}

func TestCorrectionTitles(t *testing.T) {
	require.Equal(t, "copper referred to 20 °C (IEC 60028)", Copper20.Title())
	require.Equal(t, "mean of the repeats", Averaged.Title())
	require.Equal(t, "resistance of the leads subtracted", Leads.Title())
	require.Equal(t, "growth from the reading before", Difference.Title())
	require.Equal(t, "else", CorrectionName("else").Title())
}
