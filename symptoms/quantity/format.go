package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Format writes v in the unit u with the given number of significant digits,
// zeros at the end included: Format(0.95, ohm, 3) is "0.950 ohm". Digits before
// the point are never rounded away: 1234.5 rpm with two digits is "1234 rpm".
// With digits below 1 the shortest text that reads back as v is written. Ties
// go to the even digit of the exact binary value.
func Format(v float64, u Unit, digits int) string {
	if digits < 1 || v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return FormatFixed(v, u, -1)
	}
	// The power of ten after rounding: 9.996 with three digits is 10.0.
	text := strconv.FormatFloat(v, 'e', digits-1, 64)
	power, _ := strconv.Atoi(text[strings.IndexByte(text, 'e')+1:])
	return FormatFixed(v, u, max(digits-1-power, 0))
}

// FormatFixed writes v in the unit u with the given number of decimals; below
// 0, with as many as it takes to read back as v.
func FormatFixed(v float64, u Unit, decimals int) string {
	n := strconv.FormatFloat(v, 'f', max(decimals, -1), 64)
	if strings.Trim(n, "-0.") == "" {
		n = strings.TrimPrefix(n, "-")
	}
	symbol := u.Symbol()
	if u.def != nil && u.def.one != "" && v != 0 && math.Abs(v) <= 1 {
		symbol = u.def.one
	}
	if symbol == "" {
		return n
	}
	return n + " " + symbol
}

// String is the normal form: the shortest number that reads back as the value,
// and the unit's symbol. ParseFor with the unit's dimension gives the same value
// and unit again.
func (q Quantity) String() string { return FormatFixed(q.Value, q.Unit, -1) }
