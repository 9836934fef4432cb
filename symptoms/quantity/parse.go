package quantity

import (
	"math/big"
	"strings"
	"unicode/utf8"
)

// Parse reads a number with its unit; the package comment lists the forms. A
// missing or unknown unit, a number that can be read in two ways, one that is
// not finite or of no sensible size, and a temperature below absolute zero are
// each an *Error.
func Parse(s string) (Quantity, error) {
	q, err := parse(s, "")
	if err != nil {
		return Quantity{}, err
	}
	return q, nil
}

// ParseFor reads a quantity of the dimension d. Spellings that are short for
// one unit of d are taken ("0.95k" is a kΩ for a resistance, "5 degC" a
// difference for a temperature difference). A quantity of another dimension is
// an *Error in words, and so is a missing unit, with the units that fit; a mark
// needs none.
func ParseFor(s string, d Dimension) (Quantity, error) {
	if d == "" {
		return Parse(s)
	}
	q, err := parse(s, d)
	if err != nil {
		return Quantity{}, err
	}
	return q, nil
}

func parse(s string, d Dimension) (Quantity, *Error) {
	if len(s) > maxText || !utf8.ValidString(s) {
		return Quantity{}, &Error{
			Kind: BadNumber, Text: s, Problem: shown(s) + " is too long, or holds letters that cannot be read",
			Advice: "type a number and a unit, as 118 psi",
		}
	}
	n, rest, err := scanNumber(plainSpaces(s))
	if err != nil {
		if d != "" && err.Kind == NoNumber {
			err.Advice = "type the number first, then the unit, as " + d.Example()
		}
		return Quantity{}, err
	}
	q := Quantity{Text: s, Value: n.value}
	switch {
	case rest == "" && d == Mark:
		q.Unit = d.Units()[0]
	case rest == "":
		return Quantity{}, noUnit(s, d)
	default:
		if q.Value, q.Unit, err = withUnit(n, rest, s, d); err != nil {
			return Quantity{}, err
		}
	}
	return q, q.check(d)
}

// plainSpaces makes every space of a text a plain one.
func plainSpaces(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case '\t', '\u00a0', '\u2009', '\u202f':
			return ' '
		}
		return r
	}, s)
}

// withUnit finds the unit in what follows the number: a unit, or for times a
// unit and a second, finer part.
func withUnit(n number, rest, typed string, d Dimension) (float64, Unit, *Error) {
	u, err := findUnit(rest, d)
	if err == nil {
		return n.value, u, nil
	}
	at := secondNumber(rest)
	if at < 0 {
		return 0, Unit{}, err
	}
	first := strings.TrimSpace(rest[:at])
	if first == "" || first == "-" || first == "/" {
		return 0, Unit{}, twoNumbers(typed)
	}
	u, firstErr := findUnit(first, d)
	switch {
	case firstErr != nil && rest[at-1] == ' ':
		return 0, Unit{}, firstErr
	case firstErr != nil:
		return 0, Unit{}, err
	}
	if u.Dimension() != Time {
		return 0, Unit{}, twoNumbers(typed)
	}
	return timeInParts(n, u, rest[at:], typed)
}

// secondNumber is where a number starts that follows a letter, a space or
// nothing; negative if none does.
func secondNumber(s string) int {
	for i := range len(s) {
		if s[i] >= '0' && s[i] <= '9' {
			return i
		}
	}
	return -1
}

// finer is the code of the unit of the part that follows in "3 min 20".
func finer(code string) (string, bool) {
	switch code {
	case "d":
		return "h", true
	case "h":
		return "min", true
	case "min":
		return "s", true
	}
	return "", false
}

// timeInParts reads "20" or "20 s" behind "3 min", and again behind that. The
// whole is in the finest unit named or meant.
func timeInParts(n number, u Unit, rest, typed string) (float64, Unit, *Error) {
	total := Quantity{Text: typed, Value: n.value, Unit: u}
	for rest != "" {
		next, after, err := scanNumber(rest)
		code, ok := finer(total.Unit.Code())
		if err != nil || !ok {
			return 0, Unit{}, twoNumbers(typed)
		}
		unit, err := findUnit(code, Time)
		if at := secondNumber(after); err == nil && after != "" {
			if at < 0 {
				at = len(after)
			}
			unit, err = findUnit(after[:at], Time)
			after = after[at:]
		}
		if err != nil {
			return 0, Unit{}, err
		}
		whole, inErr := total.In(unit)
		if inErr != nil || !unit.finerThan(total.Unit) || next.value < 0 {
			return 0, Unit{}, twoNumbers(typed)
		}
		if n.value < 0 {
			next.value = -next.value
		}
		total.Value, total.Unit, rest = whole+next.value, unit, after
	}
	return total.Value, total.Unit, nil
}

// finerThan says whether u is a smaller step than v of the same dimension.
func (u Unit) finerThan(v Unit) bool {
	return big.NewRat(u.def.num, u.def.den).Cmp(big.NewRat(v.def.num, v.def.den)) < 0
}

// check is what can only be told of number and unit together.
func (q Quantity) check(d Dimension) *Error {
	if got := q.Unit.Dimension(); d != "" && got != d {
		return &Error{
			Kind: WrongDimension, Text: q.Text,
			Problem: shown(q.Text) + " is " + got.Noun(),
			Advice:  "this check reads " + d.Noun() + ", as " + d.Example(),
		}
	}
	if q.Unit.Dimension() == Temperature && q.Base() < -273.15 {
		return &Error{
			Kind: OutOfRange, Text: q.Text, Problem: shown(q.Text) + " is below absolute zero",
			Advice: "type what the thermometer shows, as " + Temperature.Example(),
		}
	}
	return nil
}

func noUnit(typed string, d Dimension) *Error {
	e := &Error{Kind: NoUnit, Text: typed, Problem: shown(typed) + " has no unit", Advice: "type it with one, as 118 psi or 0.95 ohm"}
	if d != "" {
		e.Advice = "this check reads " + d.Noun() + ": add " + list(d.Units(), "or")
	}
	return e
}

func twoNumbers(typed string) *Error {
	return &Error{
		Kind: BadNumber, Text: typed, Problem: shown(typed) + " holds more than one number",
		Advice: "type one reading at a time, with one unit",
	}
}
