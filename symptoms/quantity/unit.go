package quantity

import (
	"math/big"
	"strings"
)

// Unit is a unit of one dimension. The zero Unit is none. Units compare with
// ==.
type Unit struct{ def *row }

// row is one unit of the table: base = value*num/den + offsetNum/offsetDen.
type row struct {
	code      string
	symbol    string
	dimension Dimension
	num, den  int64
	// offsetNum over offsetDen is the zero of the scale in base units.
	offsetNum, offsetDen int64
	names                []string // trade spellings, as key makes them
	within               []string // spellings good only where the dimension is known
	one                  string   // symbol for a single one, where it differs
}

// IsZero says whether u is no unit.
func (u Unit) IsZero() bool { return u.def == nil }

// Code is the unit's UCUM code, "[psi]"; empty for the zero Unit. No two units
// share a code.
func (u Unit) Code() string {
	if u.def == nil {
		return ""
	}
	return u.def.code
}

// Symbol is what is shown behind a number, "psi"; empty for marks and for the
// zero Unit. ParseUnit reads it back.
func (u Unit) Symbol() string {
	if u.def == nil {
		return ""
	}
	return u.def.symbol
}

// String is the symbol, or the code where there is no symbol.
func (u Unit) String() string {
	if u.Symbol() == "" {
		return u.Code()
	}
	return u.Symbol()
}

// Dimension is what the unit measures; empty for the zero Unit.
func (u Unit) Dimension() Dimension {
	if u.def == nil {
		return ""
	}
	return u.def.dimension
}

// Difference is the unit of a difference of two quantities in u, and so of an
// uncertainty: K for °C, a Fahrenheit degree without offset for °F, otherwise u.
func (u Unit) Difference() Unit {
	if u.def == nil || u.def.dimension != Temperature {
		return u
	}
	for i := range table {
		d := &table[i]
		if d.dimension == TemperatureDifference && d.num == u.def.num && d.den == u.def.den {
			return Unit{d}
		}
	}
	return Unit{}
}

// MarshalText gives the UCUM code, so that records hold it.
func (u Unit) MarshalText() ([]byte, error) { return []byte(u.Code()), nil }

// UnmarshalText reads what MarshalText wrote, or any spelling of ParseUnit.
func (u *Unit) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*u = Unit{}
		return nil
	}
	found, err := ParseUnit(string(text))
	if err != nil {
		return err
	}
	*u = found
	return nil
}

// ParseUnit finds the unit of a UCUM code or trade spelling: "[psi]", "psi",
// "PSI", "lb-ft". Letter case counts only where units differ by nothing else
// (mΩ, MΩ). An unknown spelling is an *Error that gives the nearest known one;
// one with several meanings an *Error that lists them.
func ParseUnit(s string) (Unit, error) {
	u, err := findUnit(s, "")
	if err != nil {
		return Unit{}, err
	}
	return u, nil
}

// findUnit finds a unit by name. Where the dimension d is known, the short
// spellings that are good only within it are tried first.
func findUnit(name string, d Dimension) (Unit, *Error) {
	k := key(name)
	if k == "" {
		return Unit{}, &Error{Kind: NoUnit, Text: name, Problem: "there is no unit", Advice: "type one, as psi or ohm"}
	}
	if u := inDimension(k, d); len(u) == 1 {
		return u[0], nil
	} else if len(u) > 1 {
		return Unit{}, severalUnits(name, u)
	}
	code := strings.TrimSpace(name)
	for i := range table {
		if table[i].code == code {
			return Unit{&table[i]}, nil
		}
	}
	if u := collect(func(u *row) bool { return u.hasName(k, same) }); len(u) == 1 {
		return u[0], nil
	}
	// Before letter case is let go: k alone is not the kelvin.
	if u := collect(func(u *row) bool { return has(u.within, k, same) }); len(u) > 0 {
		return Unit{}, severalUnits(name, u)
	}
	if u := collect(func(u *row) bool { return u.hasName(k, strings.EqualFold) }); len(u) == 1 {
		return u[0], nil
	} else if len(u) > 1 {
		return Unit{}, severalUnits(name, u)
	}
	return Unit{}, unknownUnit(name, k, d)
}

// inDimension is the units of d that the short spelling k means there; with
// the letter case as written if that finds any.
func inDimension(k string, d Dimension) []Unit {
	for _, equal := range []func(a, b string) bool{same, strings.EqualFold} {
		found := collect(func(u *row) bool { return u.dimension == d && has(u.within, k, equal) })
		if len(found) > 0 {
			return found
		}
	}
	return nil
}

func collect(fits func(u *row) bool) []Unit {
	var found []Unit
	for i := range table {
		if fits(&table[i]) {
			found = append(found, Unit{&table[i]})
		}
	}
	return found
}

func same(a, b string) bool { return a == b }

func has(names []string, k string, equal func(a, b string) bool) bool {
	for _, n := range names {
		if equal(n, k) {
			return true
		}
	}
	return false
}

func (u *row) hasName(k string, equal func(a, b string) bool) bool {
	return has(u.names, k, equal) || equal(key(u.symbol), k)
}

// key is a unit's spelling without what does not tell units apart: spaces,
// points, hyphens, and second forms of letters and signs.
func key(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '\t', '\u00a0', '\u2009', '\u202f', '.', '-', '·', '⋅', '*':
			return -1
		case '\u2126': // ohm sign
			return 'Ω'
		case '\u03bc': // Greek mu
			return 'µ'
		case 'º', '˚':
			return '°'
		case '″', '”', '“':
			return '"'
		case '²':
			return '2'
		case '³':
			return '3'
		}
		return r
	}, strings.TrimSpace(s))
}

func severalUnits(name string, units []Unit) *Error {
	e := &Error{Kind: AmbiguousUnit, Text: name, Advice: "type the one that is meant"}
	if len(units) == 1 {
		u := units[0]
		e.Advice = "type the unit in full"
		e.Problem = quoted(name) + " alone means " + u.Symbol() + " only where " + u.Dimension().Noun() + " is asked for"
		return e
	}
	e.Problem = "the unit " + quoted(name) + " may be " + list(units, "or")
	return e
}

func unknownUnit(name, k string, d Dimension) *Error {
	e := &Error{Kind: UnknownUnit, Text: name, Problem: "the unit " + quoted(name) + " is not known"}
	var names []string
	for _, u := range d.Units() { // those of the dimension first: equals go to the first
		names = append(append(names, u.def.symbol), u.def.names...)
	}
	for i := range table {
		names = append(append(append(names, table[i].symbol), table[i].names...), table[i].code)
	}
	if n := nearest(k, names); n != "" {
		e.Advice = "did you mean " + n + "?"
	} else if d != "" {
		e.Advice = "for " + d.Noun() + " type " + list(d.Units(), "or")
	} else {
		e.Advice = "type a unit as psi, kPa, ohm, V, mm or rpm, or a UCUM code"
	}
	return e
}

// list is the first few units in words: "psi, kPa or bar".
func list(units []Unit, last string) string {
	const most = 5
	var b strings.Builder
	units = units[:min(len(units), most)]
	for i, u := range units {
		switch {
		case i == 0:
		case i == len(units)-1:
			b.WriteString(" " + last + " ")
		default:
			b.WriteString(", ")
		}
		b.WriteString(u.String())
	}
	return b.String()
}

// toBase is the exact value in base units; v must be finite.
func (u *row) toBase(v float64) *big.Rat {
	r := new(big.Rat).SetFloat64(v)
	r.Mul(r, big.NewRat(u.num, u.den))
	if u.offsetNum != 0 {
		r.Add(r, big.NewRat(u.offsetNum, u.offsetDen))
	}
	return r
}

// fromBase undoes toBase and rounds once; it changes r.
func (u *row) fromBase(r *big.Rat) float64 {
	if u.offsetNum != 0 {
		r.Sub(r, big.NewRat(u.offsetNum, u.offsetDen))
	}
	v, _ := r.Mul(r, big.NewRat(u.den, u.num)).Float64()
	return v
}
