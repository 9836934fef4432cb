package quantity

import (
	"math"
	"math/big"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Sizes outside these are no readings; inside, every conversion is finite.
const (
	largest  = 1e15  // not included
	smallest = 1e-15 // of anything but zero
	maxText  = 80    // bytes of text that are looked at
)

// number is a number as typed.
type number struct {
	value float64
	step  float64 // size of the last place typed
	text  string
}

// scanNumber reads the number at the start of s and gives what follows it.
func scanNumber(s string) (number, string, *Error) {
	s = strings.TrimSpace(s)
	body, negative := cutSign(s)
	run := body[:span(body, "0123456789.,")]
	rest := body[len(run):]
	var n number
	var err *Error
	if f, after, ok := scanFraction(run, rest); ok {
		n, err = f.number(s)
		rest = after
	} else {
		exponent := exponentLength(rest)
		n, err = decimal(run, rest[:exponent], s)
		rest = rest[exponent:]
	}
	if err != nil {
		return number{}, "", err
	}
	if negative && n.value != 0 {
		n.value = -n.value
	}
	n.text = strings.TrimSpace(s[:len(s)-len(rest)])
	if e := checkSize(n.value, n.text); e != nil {
		return number{}, "", e
	}
	return n, strings.TrimSpace(rest), nil
}

// cutSign takes the sign off, be it a hyphen or a true minus.
func cutSign(s string) (body string, negative bool) {
	for _, minus := range []string{"-", "\u2212", "\u2013"} {
		if strings.HasPrefix(s, minus) {
			return strings.TrimSpace(s[len(minus):]), true
		}
	}
	return strings.TrimSpace(strings.TrimPrefix(s, "+")), false
}

// span is how many bytes at the start of s are among chars.
func span(s, chars string) int {
	n := 0
	for n < len(s) && strings.IndexByte(chars, s[n]) >= 0 {
		n++
	}
	return n
}

// exponentLength is the length of a power of ten at the start of s: "e3".
func exponentLength(s string) int {
	if s == "" || (s[0] != 'e' && s[0] != 'E') {
		return 0
	}
	n := 1
	if n < len(s) && (s[n] == '-' || s[n] == '+') {
		n++
	}
	digits := span(s[n:], "0123456789")
	if digits == 0 {
		return 0
	}
	return n + digits
}

// decimal reads digits with points or commas, and an exponent.
func decimal(run, exponent, typed string) (number, *Error) {
	if strings.Trim(run, ".,") == "" {
		return number{}, noNumber(typed)
	}
	plain, err := plainDigits(run, exponent, typed)
	if err != nil {
		return number{}, err
	}
	v, parseErr := strconv.ParseFloat(plain+exponent, 64)
	if parseErr != nil || (v == 0 && strings.Trim(plain, "0.") != "") {
		return number{}, outOfRange(run + exponent)
	}
	places := 0
	if at := strings.IndexByte(plain, '.'); at >= 0 {
		places = len(plain) - at - 1
	}
	step, _ := strconv.ParseFloat("1e-"+strconv.Itoa(places), 64)
	if exponent != "" {
		power, _ := strconv.ParseFloat("1"+exponent, 64)
		step *= power
	}
	return number{value: v, step: step}, nil
}

// plainDigits turns decimal commas and signs between thousands into the plain
// form. One comma before exactly three digits could be either and is refused.
func plainDigits(run, exponent, typed string) (string, *Error) {
	commas, points := strings.Count(run, ","), strings.Count(run, ".")
	last := max(strings.LastIndexByte(run, ','), strings.LastIndexByte(run, '.'))
	switch {
	case commas == 0 && points <= 1:
		return run, nil
	case commas == 1 && points == 0:
		whole, part := run[:last], run[last+1:]
		if part == "" {
			break
		}
		if len(part) == 3 && isGrouped(run, ",") {
			return "", ambiguousComma(whole, part, exponent, typed)
		}
		return whole + "." + part, nil
	case commas == 0 || points == 0: // one sign, several times
		if sign := string(run[last]); isGrouped(run, sign) {
			return strings.ReplaceAll(run, sign, ""), nil
		}
	case strings.Count(run, string(run[last])) == 1: // thousands, then a decimal sign
		other := ","
		if run[last] == ',' {
			other = "."
		}
		if whole := run[:last]; isGrouped(whole, other) {
			return strings.ReplaceAll(whole, other, "") + "." + run[last+1:], nil
		}
	}
	return "", &Error{
		Kind: BadNumber, Text: typed,
		Problem: "the points and commas of " + shown(run) + " do not make one number",
		Advice:  "type it with one decimal point and nothing between thousands",
	}
}

// isGrouped says whether s can be digits in groups of three, parted by sign:
// "1,234" can, "0,123" cannot.
func isGrouped(s, sign string) bool {
	if strings.HasPrefix(s, "0") {
		return false
	}
	groups := strings.Split(s, sign)
	for i, g := range groups {
		if len(g) > 3 || len(g) == 0 || (i > 0 && len(g) != 3) {
			return false
		}
	}
	return true
}

// fraction is "1/2", "2 1/4", "2¼" or "¼".
type fraction struct {
	whole, over, under string
}

// vulgar is what the single signs for fractions mean.
func vulgar(r rune) (over, under string, ok bool) {
	const signs = "½⅓⅔¼¾⅛⅜⅝⅞"
	parts := [...]string{"12", "13", "23", "14", "34", "18", "38", "58", "78"}
	at := utf8.RuneCountInString(signs[:max(strings.IndexRune(signs, r), 0)])
	if r == utf8.RuneError || !strings.ContainsRune(signs, r) {
		return "", "", false
	}
	return parts[at][:1], parts[at][1:], true
}

// scanFraction looks for a fraction made of the digits in run and what
// follows.
func scanFraction(run, rest string) (f fraction, after string, ok bool) {
	if strings.ContainsAny(run, ".,") {
		return fraction{}, rest, false
	}
	r, size := utf8.DecodeRuneInString(strings.TrimLeft(rest, " "))
	if over, under, found := vulgar(r); found {
		return fraction{run, over, under}, strings.TrimLeft(rest, " ")[size:], true
	}
	f.over, after = run, rest
	if strings.HasPrefix(rest, " ") { // mixed: the digits so far are the whole
		next := strings.TrimLeft(rest, " ")
		n := span(next, "0123456789")
		f.whole, f.over, after = run, next[:n], next[n:]
	}
	if f.over == "" || !strings.HasPrefix(after, "/") {
		return fraction{}, rest, false
	}
	n := span(after[1:], "0123456789")
	if f.under = after[1 : 1+n]; n == 0 {
		return fraction{}, rest, false
	}
	return f, after[1+n:], true
}

// number is the fraction's value, rounded once; its step is one part of it.
func (f fraction) number(typed string) (number, *Error) {
	zero := strings.Trim(f.under, "0") == ""
	if zero || len(f.whole)+len(f.over)+len(f.under) > 40 {
		return number{}, &Error{
			Kind: BadNumber, Text: typed, Problem: shown(typed) + " holds no fraction that can be read",
			Advice: "type it as 2 1/4 or 2.25",
		}
	}
	under := digits(f.under)
	whole := new(big.Rat).SetInt(digits(f.whole))
	parts := new(big.Rat).SetFrac(digits(f.over), under)
	v, _ := parts.Add(parts, whole).Float64()
	step, _ := new(big.Rat).SetFrac(big.NewInt(1), under).Float64()
	return number{value: v, step: step}, nil
}

// digits is the number of decimal digits as typed, zeros in front included; 0
// for none.
func digits(s string) *big.Int {
	n := new(big.Int)
	if s != "" {
		n.SetString(s, 10)
	}
	return n
}

// checkSize refuses what is not finite or of a size that no reading has.
func checkSize(v float64, text string) *Error {
	if size := math.Abs(v); size < largest && (size >= smallest || size == 0) {
		return nil
	}
	return outOfRange(text)
}

func outOfRange(text string) *Error {
	return &Error{
		Kind: OutOfRange, Text: text, Problem: shown(text) + " is not a number of a size that is read on an instrument",
		Advice: "type what the instrument shows, between 1e-15 and 1e15",
	}
}

func noNumber(typed string) *Error {
	e := &Error{
		Kind: NoNumber, Text: typed, Problem: shown(typed) + " does not start with a number",
		Advice: "type the number first, then the unit, as 118 psi",
	}
	if strings.TrimSpace(typed) == "" {
		e.Problem = "there is no number"
	}
	return e
}

func ambiguousComma(whole, part, exponent, typed string) *Error {
	before, unit, _ := strings.Cut(typed, whole+","+part)
	as := func(number string) string {
		return shown(before + number + exponent + strings.TrimPrefix(unit, exponent))
	}
	return &Error{
		Kind: AmbiguousNumber, Text: typed,
		Problem: shown(typed) + " can be read in two ways",
		Advice:  "type " + as(whole+"."+part) + " or " + as(whole+part),
	}
}
