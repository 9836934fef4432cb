package quantity

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// published are conversions known outside this project.
var published = []struct {
	from string
	to   string
	want float64
	src  string
}{
	// An outside UCUM implementation, all digits it printed.
	{"118 [psi]", "kPa", 813.5813605938665, "UCUM"},
	{"20 [in_i'Hg]", "kPa", 67.727576, "UCUM"},
	{"1 [in_i'H2O]", "Pa", 249.08891, "UCUM"},
	{"98.6 [degF]", "Cel", 37, "UCUM"},
	{"1 [mil_i]", "mm", 0.0254, "UCUM"},
	{"1 [lbf_av].[ft_i]", "N.m", 1.3558179483314, "UCUM"},
	{"1 [gal_us]/h", "L/h", 3.785411784, "UCUM"},
	{"1 [foz_us]", "mL", 29.5735295625, "UCUM"},
	{"1000 /min", "/s", 16.6666666666667, "UCUM"},
	// Computed from the definitions; the rounded forms are in NIST SP 811,
	// appendix B.
	{"1 psi", "kPa", 6.894757293168, "definition, NIST SP 811"},
	{"1 lbf ft", "N m", 1.355817948331, "definition, NIST SP 811"},
	{"1 lbf in", "N m", 0.1129848290276, "definition, NIST SP 811"},
	{"1 inHg", "kPa", 3.386388640341, "definition, NIST SP 811"},
	{"1 inH2O", "kPa", 0.24908891, "definition, NIST SP 811"},
	{"1 mmHg", "Pa", 133.322387415, "definition, NIST SP 811"},
	{"1 kgf/cm2", "kPa", 98.0665, "definition, NIST SP 811"},
	{"1 hp", "W", 745.699871582, "definition, NIST SP 811"},
	{"118 psi", "kPa", 813.5813605939, "definition, NIST SP 811"},
	{"7.5 inHg", "kPa", 25.3979148026, "definition, NIST SP 811"},
	{"12 lbf ft", "N m", 16.2698153800, "definition, NIST SP 811"},
	{"25 lbf in", "N m", 2.8246207257, "definition, NIST SP 811"},
	{".035 in", "mm", 0.889, "definition, NIST SP 811"},
	{"1 US gal", "L", 3.785411784, "definition, NIST SP 811"},
	{"1 US fl oz", "mL", 29.5735295625, "definition, NIST SP 811"},
	// Handbook figures, rounded as printed there.
	{"1 cmHg", "kPa", 1.333224, "trade tables"},
	{"1 bar", "kPa", 100, "trade tables"},
	{"1 PS", "W", 735.49875, "75 kgf m/s"},
	{"1 imp gal", "L", 4.54609, "definition, NIST SP 811"},
	{"1 imp fl oz", "mL", 28.4130625, "160th of a gallon"},
	{"1 oz av", "g", 28.349523125, "definition, NIST SP 811"},
	{"1 atm", "kPa", 101.325, "definition, NIST SP 811"},
}

func TestConversionsAgainstPublishedValues(t *testing.T) {
	for _, c := range published {
		v, err := mustParse(t, c.from).In(mustUnit(t, c.to))
		require.NoError(t, err, c.from)
		// Half a unit of the thirteenth digit, or of the last one printed.
		within := 6e-12 * math.Abs(c.want)
		if c.src == "trade tables" {
			within = 5e-7
		}
		require.InDelta(t, c.want, v, within, "%s in %s (%s)", c.from, c.to, c.src)
	}
}

func TestConversionsAreRoundedOnce(t *testing.T) {
	v, err := mustParse(t, "98.6 degF").In(mustUnit(t, "degC"))
	require.NoError(t, err)
	require.Equal(t, 37.0, v) // exactly: the nearest float64 to (98.6-32)*5/9
	v, err = mustParse(t, "22 thou").In(mustUnit(t, "mm"))
	require.NoError(t, err)
	require.Equal(t, 0.5588, v) // 22 * 0.0254 in plain floats is 0.5588000000000001 or so
	v, err = mustParse(t, "3000 rpm").In(mustUnit(t, "r/s"))
	require.NoError(t, err)
	require.Equal(t, 50.0, v)
}

func TestInRefuses(t *testing.T) {
	ohm := mustUnit(t, "ohm")
	_, err := mustParse(t, "118 psi").In(ohm)
	require.EqualError(t, err, "118 psi is a pressure, and ohm measures a resistance; take a unit as psi, kPa, bar, inHg or mmHg")
	_, err = mustParse(t, "118 psi").To(ohm)
	require.Error(t, err)
	_, err = Quantity{Value: 3}.In(ohm)
	require.ErrorContains(t, err, "without a unit")
	_, err = mustParse(t, "118 psi").In(Unit{})
	require.ErrorContains(t, err, "without a unit")
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err = Quantity{Value: v, Unit: ohm}.In(mustUnit(t, "kohm"))
		require.Error(t, err)
		_, err = New(v, ohm)
		require.Error(t, err)
	}
	_, err = Quantity{Value: math.MaxFloat64, Unit: ohm}.In(mustUnit(t, "mΩ"))
	require.ErrorContains(t, err, "not a number of a size")
	require.True(t, math.IsNaN(Quantity{Value: math.NaN(), Unit: ohm}.Base()))
	require.Equal(t, 3.0, Quantity{Value: 3}.Base())
	_, err = New(3, Unit{})
	require.ErrorContains(t, err, "has no unit")
}

func TestBase(t *testing.T) {
	require.Equal(t, 950.0, mustParse(t, "0.95k ohm").Base())
	require.Equal(t, 0.75, mustParse(t, "75 %").Base())
	require.Equal(t, 0.000004, mustParse(t, "4 ppm").Base())
	require.Equal(t, 200.0, mustParse(t, "3 min 20").Base())
}

func TestTextIsKeptAsTyped(t *testing.T) {
	q := mustParse(t, " 4.50 ohm")
	require.Equal(t, " 4.50 ohm", q.Text)
	require.Equal(t, "4.5 ohm", q.String())
	k, err := q.To(mustUnit(t, "kohm"))
	require.NoError(t, err)
	require.Equal(t, " 4.50 ohm", k.Text)
	require.Equal(t, "0.0045 kΩ", k.String())

	data, err := json.Marshal(q)
	require.NoError(t, err)
	require.JSONEq(t, `{"text":" 4.50 ohm","value":4.5,"unit":"Ohm"}`, string(data))
	var back Quantity
	require.NoError(t, json.Unmarshal(data, &back))
	require.Equal(t, q, back)
}

func TestNewSpeaksForItself(t *testing.T) {
	q, err := New(4.5, mustUnit(t, "ohm"))
	require.NoError(t, err)
	require.Equal(t, "4.5 ohm", q.Text)
	require.False(t, q.IsZero())
	require.True(t, Quantity{}.IsZero())
}

func TestStep(t *testing.T) {
	for s, want := range map[string]float64{
		"118 psi": 1, "118.0psi": 0.1, "2.30 ohm": 0.01, "14,2 V": 0.1, "1.5e3 ohm": 100,
		"2 1/4 turns": 0.25, "½ turn": 0.5, "3 min 20": 0, "1,234.5 mm": 0.1,
	} {
		require.InDelta(t, want, mustParse(t, s).Step(), 1e-15, s)
	}
	k, err := mustParse(t, "0.95 ohm").To(mustUnit(t, "kohm"))
	require.NoError(t, err)
	require.Zero(t, k.Step(), "a converted value was not typed in this unit")
	require.Zero(t, Quantity{}.Step())
	mark, err := ParseFor("42", Mark)
	require.NoError(t, err)
	require.Equal(t, 1.0, mark.Step())
}

// anyUnit draws a unit of the dimension of another one.
func anyUnit(t *rapid.T, name string) Unit {
	return Unit{&table[rapid.IntRange(0, len(table)-1).Draw(t, name)]}
}

func TestRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit(t, "unit")
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "value")
		to := rapid.SampledFrom(u.Dimension().Units()).Draw(t, "to")
		q := Quantity{Value: v, Unit: u}
		there, err := q.To(to)
		require.NoError(t, err)
		back, err := there.To(u)
		require.NoError(t, err)
		// One rounding each way; an offset leaves an error of its own size.
		offset, err := Quantity{Value: 0, Unit: to}.In(u)
		require.NoError(t, err)
		require.InDelta(t, v, back.Value, 4e-16*(math.Abs(v)+math.Abs(offset))+1e-300)
		require.InDelta(t, q.Base(), there.Base(), 4e-16*(math.Abs(q.Base())+500))
	})
}

func TestConversionKeepsOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit(t, "unit")
		to := rapid.SampledFrom(u.Dimension().Units()).Draw(t, "to")
		a := rapid.Float64Range(-1e6, 1e6).Draw(t, "a")
		b := rapid.Float64Range(a, 1e6).Draw(t, "b")
		va, err := Quantity{Value: a, Unit: u}.In(to)
		require.NoError(t, err)
		vb, err := Quantity{Value: b, Unit: u}.In(to)
		require.NoError(t, err)
		require.LessOrEqual(t, va, vb)
	})
}
