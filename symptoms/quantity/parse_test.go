package quantity

import (
	"errors"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	for s, want := range map[string]string{
		"118psi": "118 psi", "8.1 bar": "8.1 bar", "0.95k ohm": "0.95 kΩ", "18.6 ohm": "18.6 ohm", "18.6R": "18.6 ohm",
		"22 thou": "22 thou", "-5 inHg": "-5 inHg", "\u22125 inHg": "-5 inHg", "- 5 inHg": "-5 inHg", "+5 inHg": "5 inHg",
		"1.5e3 ohm": "1500 ohm", "1.5E+3 ohm": "1500 ohm", "15e-1 V": "1.5 V",
		"14,2 V": "14.2 V", "0,123 V": "0.123 V", ",5 V": "0.5 V", ".5 V": "0.5 V", "118. psi": "118 psi",
		"1234,567 Pa": "1234.567 Pa", "1,234.5 Pa": "1234.5 Pa", "1.234,5 Pa": "1234.5 Pa",
		"1,234,567 Pa": "1234567 Pa", "1.234.567 Pa": "1234567 Pa",
		"1/2 turn": "0.5 turn", "2 1/4 turns": "2.25 turns", "2¼ turns": "2.25 turns", "2 ¼ turns": "2.25 turns",
		"⅞ turn": "0.875 turn", "-1 1/2 turns": "-1.5 turns", "1 turn": "1 turn", "0 turns": "0 turns",
		"1/64 in": "0.015625 in", "1/08 in": "0.125 in", `0.035"`: "0.035 in", "0.035in.": "0.035 in",
		"5 min": "5 min", "3 min 20": "200 s", "3min20": "200 s", "3 min 20 s": "200 s", "1 h 20": "80 min",
		"1 h 20 min 5 s": "4805 s", "0 min 20": "20 s", "-1 min 30": "-90 s", "2 d 3": "51 h",
		"3000 1/min": "3000 rpm", "950 RPM": "950 rpm", "12 ft-lb": "12 lbf ft", "20\u00a0°C": "20 °C",
		"118\tpsi\n": "118 psi", "-0 V": "0 V", "5 K": "5 K", "1 [in_i'Hg]": "1 [in_i'Hg]",
	} {
		q, err := Parse(s)
		require.NoError(t, err, s)
		require.Equal(t, want, q.String(), s)
		require.Equal(t, s, q.Text)
	}
}

func TestParseRefuses(t *testing.T) {
	cases := []struct {
		typed string
		kind  ErrorKind
		want  string
	}{
		{"", NoNumber, "there is no number; type the number first, then the unit, as 118 psi"},
		{"psi 118", NoNumber, "psi 118 does not start with a number; type the number first, then the unit, as 118 psi"},
		{"NaN psi", NoNumber, "NaN psi does not start with a number; type the number first, then the unit, as 118 psi"},
		{"Inf psi", NoNumber, "Inf psi does not start with a number; type the number first, then the unit, as 118 psi"},
		{"118", NoUnit, "118 has no unit; type it with one, as 118 psi or 0.95 ohm"},
		{"118 psl", UnknownUnit, `the unit "psl" is not known; did you mean psi?`},
		{"0x10 psi", UnknownUnit, `the unit "x10 psi" is not known; type a unit as psi, kPa, ohm, V, mm or rpm, or a UCUM code`},
		{"12 gal", AmbiguousUnit, `the unit "gal" may be US gal or imp gal; type the one that is meant`},
		{"0.95k", AmbiguousUnit, `"k" alone means kΩ only where a resistance is asked for; type the unit in full`},
		{"1,234 psi", AmbiguousNumber, "1,234 psi can be read in two ways; type 1.234 psi or 1234 psi"},
		{"-1,234e2 psi", AmbiguousNumber, "-1,234e2 psi can be read in two ways; type -1.234e2 psi or -1234e2 psi"},
		{"1e400 psi", OutOfRange, "1e400 is not a number of a size that is read on an instrument; type what the instrument shows, between 1e-15 and 1e15"},
		{"1e-400 psi", OutOfRange, "1e-400 is not a number of a size that is read on an instrument; type what the instrument shows, between 1e-15 and 1e15"},
		{"-1e15 psi", OutOfRange, "-1e15 is not a number of a size that is read on an instrument; type what the instrument shows, between 1e-15 and 1e15"},
		{"-300 degC", OutOfRange, "-300 degC is below absolute zero; type what the thermometer shows, as 20 degC"},
		{"118 120 psi", BadNumber, "118 120 psi holds more than one number; type one reading at a time, with one unit"},
		{"5-8 psi", BadNumber, "5-8 psi holds more than one number; type one reading at a time, with one unit"},
		{"1 psi 2", BadNumber, "1 psi 2 holds more than one number; type one reading at a time, with one unit"},
		{"3 min 20 psi", BadNumber, "3 min 20 psi holds more than one number; type one reading at a time, with one unit"},
		{"3 min 20 h", BadNumber, "3 min 20 h holds more than one number; type one reading at a time, with one unit"},
		{"3 s 20", BadNumber, "3 s 20 holds more than one number; type one reading at a time, with one unit"},
		{"5 mni 20", UnknownUnit, `the unit "mni" is not known; type a unit as psi, kPa, ohm, V, mm or rpm, or a UCUM code`},
		{"12,34.5 V", BadNumber, "the points and commas of 12,34.5 do not make one number; type it with one decimal point and nothing between thousands"},
		{"118, psi", BadNumber, "the points and commas of 118, do not make one number; type it with one decimal point and nothing between thousands"},
		{"1/0 turn", BadNumber, "1/0 turn holds no fraction that can be read; type it as 2 1/4 or 2.25"},
		{"12 \xff V", BadNumber, `"12 \xff V" is too long, or holds letters that cannot be read; type a number and a unit, as 118 psi`},
		{"1 \x00V", UnknownUnit, `the unit "\x00V" is not known; type a unit as psi, kPa, ohm, V, mm or rpm, or a UCUM code`},
	}
	for _, c := range cases {
		q, err := Parse(c.typed)
		require.EqualError(t, err, c.want, c.typed)
		var e *Error
		require.True(t, errors.As(err, &e))
		require.Equal(t, c.kind, e.Kind, c.typed)
		require.Equal(t, Quantity{}, q)
	}
	_, err := Parse(strings.Repeat("1", 500) + " psi")
	require.ErrorContains(t, err, "too long")
	require.Less(t, len(err.Error()), 250)
}

func TestParseFor(t *testing.T) {
	cases := []struct {
		typed string
		d     Dimension
		want  string
	}{
		{"0.95k", Resistance, "0.95 kΩ"}, {"0.95 K", Resistance, "0.95 kΩ"}, {"2.2M", Resistance, "2.2 MΩ"},
		{"2.2m", Resistance, "2.2 mΩ"}, {"0.95 kohm", Resistance, "0.95 kΩ"},
		{"5 degC", TemperatureDifference, "5 K"}, {"9 °F", TemperatureDifference, "9 Δ°F"}, {"5 K", TemperatureDifference, "5 K"},
		{"50 Hz", RotationalSpeed, "50 r/s"}, {"2 oz", Mass, "2 oz av"}, {"42", Mark, "42"}, {"1.275", Mark, "1.275"},
		{"42 mark", Mark, "42"}, {"118 psi", "", "118 psi"}, {"0.22u", Capacitance, "0.22 µF"},
	}
	for _, c := range cases {
		q, err := ParseFor(c.typed, c.d)
		require.NoError(t, err, c.typed)
		require.Equal(t, c.want, q.String())
		require.Equal(t, c.typed, q.Text)
	}
	k, err := ParseFor("0.95k", Resistance)
	require.NoError(t, err)
	require.Equal(t, 950.0, k.Base())
}

func TestParseForRefusesInWords(t *testing.T) {
	cases := []struct {
		typed string
		d     Dimension
		want  string
	}{
		{"118 psi", Resistance, "118 psi is a pressure; this check reads a resistance, as 0.95 ohm"},
		{"20 deg", Temperature, "20 deg is an angle; this check reads a temperature, as 20 degC"},
		{"0.95", Resistance, "0.95 has no unit; this check reads a resistance: add ohm, kΩ, MΩ or mΩ"},
		{"118", Pressure, "118 has no unit; this check reads a pressure: add psi, kPa, bar, inHg or mmHg"},
		{"12", Angle, "12 has no unit; this check reads an angle: add deg"},
		{"low", Angle, "low does not start with a number; type the number first, then the unit, as 12 deg"},
		{"118 qq", Pressure, `the unit "qq" is not known; for a pressure type psi, kPa, bar, inHg or mmHg`},
		{"3k", Pressure, `"k" alone means kΩ only where a resistance is asked for; type the unit in full`},
		{"2 gal", Volume, `the unit "gal" may be US gal or imp gal; type the one that is meant`},
	}
	for _, c := range cases {
		_, err := ParseFor(c.typed, c.d)
		require.EqualError(t, err, c.want)
	}
}

func TestStringReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit(t, "unit")
		v := rapid.Float64Range(-270, 1e14).Draw(t, "value")
		if u.Dimension() == Temperature {
			v = math.Abs(v)
		}
		q, err := New(v, u)
		if err != nil {
			t.Skip("too small to be a reading")
		}
		back, err := ParseFor(q.String(), u.Dimension())
		require.NoError(t, err)
		require.Equal(t, q, back)
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"118psi", "0.95k ohm", "2 1/4 turns", "2¼ turns", "14,2 V", "-5 inHg", "3 min 20", "1.5e3 ohm", "1,234 psi",
		"1.234,5 mm", "98.6 F", "1 h 20 min 5 s", "42 mark", "1/0 turn", "1e-400 V", "½", "1/00008 m", "\u2126", "5 \xff",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, d := range append(Dimensions(), "") {
			q, err := ParseFor(s, d)
			if err != nil {
				require.True(t, utf8.ValidString(err.Error()))
				require.NotContains(t, err.Error(), "\n")
				continue
			}
			require.Equal(t, s, q.Text)
			require.False(t, math.IsNaN(q.Base()) || math.IsInf(q.Base(), 0))
			back, err := ParseFor(q.String(), q.Unit.Dimension())
			require.NoError(t, err, "%q gave %q", s, q.String())
			require.Equal(t, q.Value, back.Value)
			require.Equal(t, q.Unit, back.Unit)
		}
	})
}
