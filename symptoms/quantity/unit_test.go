package quantity

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func mustParse(t require.TestingT, s string) Quantity {
	q, err := Parse(s)
	require.NoError(t, err)
	return q
}

func mustUnit(t require.TestingT, s string) Unit {
	u, err := ParseUnit(s)
	require.NoError(t, err)
	return u
}

func TestTableIsConsistent(t *testing.T) {
	codes, symbols := map[string]bool{}, map[string]bool{}
	for i := range table {
		u := Unit{&table[i]}
		require.False(t, codes[u.Code()], "code %s twice", u.Code())
		codes[u.Code()] = true
		require.False(t, symbols[u.Symbol()], "symbol %s twice", u.Symbol())
		symbols[u.Symbol()] = true
		require.Contains(t, Dimensions(), u.Dimension())
		require.Positive(t, u.def.num)
		require.Positive(t, u.def.den)
		for _, n := range append(append([]string{}, u.def.names...), u.def.within...) {
			require.Equal(t, key(n), n, "names are written as key leaves them")
		}
	}
}

func TestEverySpellingFindsItsUnitAlone(t *testing.T) {
	for i := range table {
		u := Unit{&table[i]}
		spellings := append([]string{u.Code()}, u.def.names...)
		if u.Symbol() != "" {
			spellings = append(spellings, u.Symbol())
		}
		for _, s := range spellings {
			found, err := ParseUnit(s)
			require.NoError(t, err, s)
			require.Equal(t, u, found, s)
		}
		text, err := u.MarshalText()
		require.NoError(t, err)
		var back Unit
		require.NoError(t, back.UnmarshalText(text))
		require.Equal(t, u, back)
	}
}

func TestEveryDimension(t *testing.T) {
	for _, d := range Dimensions() {
		require.NotEmpty(t, d.Units(), d)
		require.NotEqual(t, Dimension("").Noun(), d.Noun())
		q, err := ParseFor(d.Example(), d)
		require.NoError(t, err, d)
		require.Equal(t, d, q.Unit.Dimension())
		if d != Ratio {
			require.Equal(t, q.Unit.Dimension(), d.Base().Dimension())
			v, err := q.In(d.Base())
			require.NoError(t, err)
			require.Equal(t, q.Base(), v)
		}
		found, err := ParseDimension(string(d))
		require.NoError(t, err)
		require.Equal(t, d, found)
	}
	d, err := ParseDimension(" Rotational_Speed ")
	require.NoError(t, err)
	require.Equal(t, RotationalSpeed, d)
	_, err = ParseDimension("presure")
	require.EqualError(t, err, `the dimension "presure" is not known; did you mean pressure?`)
	require.Equal(t, "", Dimension("smell").Example())
	require.True(t, Dimension("smell").Base().IsZero())
}

func TestParseUnit(t *testing.T) {
	for s, code := range map[string]string{
		"psi": "[psi]", "PSI": "[psi]", "rpm": "/min", "thou": "[mil_i]", "Ω": "Ohm", "\u2126": "Ohm",
		"lb-ft": "[lbf_av].[ft_i]", "ft lb": "[lbf_av].[ft_i]", "[lbf_av].[ft_i]": "[lbf_av].[ft_i]",
		"kΩ": "kOhm", "k ohm": "kOhm", "MΩ": "MOhm", "mΩ": "mOhm", "Mohm": "MOhm", "mohm": "mOhm",
		"deg C": "Cel", "ºF": "[degF]", "μm": "um", "uF": "uF", "mfd": "uF", "cc": "mL", "Hz": "Hz",
		"kgf/cm²": "kgf/cm2", "N·m": "N.m", "K": "K", "in.": "[in_i]",
	} {
		require.Equal(t, code, mustUnit(t, s).Code(), s)
	}
	for s, want := range map[string]string{
		"psl":   `the unit "psl" is not known; did you mean psi?`,
		"ohmm":  `the unit "ohmm" is not known; did you mean ohm?`,
		"MOHM":  `the unit "MOHM" may be MΩ or mΩ; type the one that is meant`,
		"gal":   `the unit "gal" may be US gal or imp gal; type the one that is meant`,
		"oz":    `the unit "oz" may be US fl oz, imp fl oz or oz av; type the one that is meant`,
		"k":     `"k" alone means kΩ only where a resistance is asked for; type the unit in full`,
		"":      `there is no unit; type one, as psi or ohm`,
		"xyzzy": `the unit "xyzzy" is not known; type a unit as psi, kPa, ohm, V, mm or rpm, or a UCUM code`,
	} {
		_, err := ParseUnit(s)
		require.EqualError(t, err, want)
	}
}

func TestZeroUnit(t *testing.T) {
	var u Unit
	require.True(t, u.IsZero())
	require.Equal(t, "", u.Code()+u.Symbol()+u.String()+string(u.Dimension()))
	require.Equal(t, u, u.Difference())
	text, err := u.MarshalText()
	require.NoError(t, err)
	require.NoError(t, u.UnmarshalText(text))
	require.True(t, u.IsZero())
	require.Error(t, u.UnmarshalText([]byte("xyzzy")))
}

func TestDifferencesOfTemperaturesHaveNoOffset(t *testing.T) {
	require.Equal(t, "K", mustUnit(t, "°C").Difference().Code())
	require.Equal(t, "[degR]", mustUnit(t, "°F").Difference().Code())
	require.Equal(t, "[psi]", mustUnit(t, "psi").Difference().Code())
	require.Equal(t, TemperatureDifference, Temperature.Difference())
	require.Equal(t, Pressure, Pressure.Difference())

	d, err := ParseFor("9 degF", TemperatureDifference)
	require.NoError(t, err)
	require.Equal(t, 5.0, d.Base()) // 9 F degrees are 5 K, by definition
	scale := mustParse(t, "9 degF")
	require.InDelta(t, -23.0*5/9, scale.Base(), 1e-14) // (9-32)*5/9
}
