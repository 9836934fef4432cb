package picture

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// most is the largest size of a number that is drawn; beyond it differences
// could overflow.
const most = 1e100

// Point is a value with its doubt.
type Point struct {
	Value float64 // in the picture's unit; of a size up to 1e100
	U     float64 // standard uncertainty in the same unit, 0 or more
	// Label is the value as it is to be written, with its unit ("118 psi"). Empty,
	// the value is written with four significant digits and the picture's unit.
	Label string
}

// Limits is the lowest and the highest value that is tolerated, in the picture's
// unit. A limit that is nil, or infinite towards its own side, is not there.
type Limits struct {
	Lowest, Highest *float64
	// The limits as they are to be written, with their unit; empty as in Point.
	LowestLabel, HighestLabel string
}

// Between gives limits from two numbers; an infinity stands for no limit.
func Between(lowest, highest float64) Limits {
	return Limits{Lowest: &lowest, Highest: &highest}.plain()
}

// plain is the limits without infinite ones.
func (l Limits) plain() Limits {
	if l.Lowest != nil && math.IsInf(*l.Lowest, -1) {
		l.Lowest = nil
	}
	if l.Highest != nil && math.IsInf(*l.Highest, 1) {
		l.Highest = nil
	}
	return l
}

func (l Limits) any() bool  { return l.Lowest != nil || l.Highest != nil }
func (l Limits) both() bool { return l.Lowest != nil && l.Highest != nil }

// side is -1 below the limits, 1 above them and 0 inside.
func (l Limits) side(v float64) int {
	switch {
	case l.Lowest != nil && v < *l.Lowest:
		return -1
	case l.Highest != nil && v > *l.Highest:
		return 1
	}
	return 0
}

// values is the limits that are there, rising.
func (l Limits) values() []float64 {
	var all []float64
	for _, v := range []*float64{l.Lowest, l.Highest} {
		if v != nil {
			all = append(all, *v)
		}
	}
	return all
}

// words is the limits in words: "at least 110 psi".
func (l Limits) words(unit string) string {
	switch {
	case l.both():
		return l.lowest(unit) + " to " + l.highest(unit)
	case l.Lowest != nil:
		return "at least " + l.lowest(unit)
	case l.Highest != nil:
		return "at most " + l.highest(unit)
	}
	return ""
}

func (l Limits) lowest(unit string) string  { return written(*l.Lowest, l.LowestLabel, unit) }
func (l Limits) highest(unit string) string { return written(*l.Highest, l.HighestLabel, unit) }

func (p Point) words(unit string) string { return written(p.Value, p.Label, unit) }

// reach is the ends of the whisker.
func (p Point) reach() (from, to float64) {
	return p.Value - float64(2*p.U), p.Value + float64(2*p.U)
}

// written is a value as the caller wrote it, else with its unit. Its blanks hold
// it together when lines are broken.
func written(v float64, label, unit string) string {
	if label == "" {
		label = number(v)
		if unit != "" {
			label += " " + unit
		}
	}
	if columns(label) > 16 {
		return label
	}
	return strings.ReplaceAll(label, " ", hard)
}

// number is a value with four significant digits; digits before the point are
// not rounded away below ten million, and zeros at the end are left out.
func number(v float64) string {
	size := math.Abs(v)
	if size != 0 && (size >= 1e7 || size < 1e-4) {
		mantissa, power, _ := strings.Cut(strconv.FormatFloat(v, 'e', 3, 64), "e")
		return trimmed(mantissa) + "e" + power
	}
	decimals := 0
	if size > 0 {
		decimals = max(3-int(math.Floor(math.Log10(size))), 0)
	}
	return trimmed(strconv.FormatFloat(v, 'f', decimals, 64))
}

// trimmed is a number in figures without zeros at the end and without -0.
func trimmed(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

func drawable(v float64) bool { return math.Abs(v) <= most } // NaN is not

// check says what is wrong with the value, naming it by what.
func (p Point) check(what string) error {
	switch {
	case math.IsNaN(p.Value) || math.IsInf(p.Value, 0):
		return fmt.Errorf("%s is %v and cannot be drawn; take the reading again", what, p.Value)
	case !drawable(p.Value):
		return fmt.Errorf("%s of %v is too large to be drawn; give it in a larger unit", what, p.Value)
	case !drawable(p.U) || p.U < 0:
		return fmt.Errorf("%s has a standard uncertainty of %v; give one of 0 or more", what, p.U)
	}
	return nil
}

// check says everything that is wrong with the limits, joined.
func (l Limits) check() error {
	l = l.plain()
	var all []error
	for i, v := range []*float64{l.Lowest, l.Highest} {
		if v != nil && !drawable(*v) {
			all = append(all, fmt.Errorf("the %s limit is %v and cannot be drawn; give a number, or leave it out", []string{"lowest", "highest"}[i], *v))
		}
	}
	if len(all) == 0 && l.both() && *l.Lowest > *l.Highest {
		all = append(all, fmt.Errorf("the lowest limit lies above the highest; exchange them"))
	}
	return errors.Join(all...)
}

// titled puts the picture's title before an error.
func titled(title string, errs ...error) error {
	if err := errors.Join(errs...); err != nil {
		return fmt.Errorf("picture %q: %w", title, err)
	}
	return nil
}

// key is what a sentence explains, and so which mark is drawn before it.
type key int

const (
	plainKey key = iota
	insideKey
	outsideKey
	whiskerKey
	zoneKey
	leftKey // arrows: beyond the frame
	rightKey
	downKey
	upKey
	uprightKey // a whisker that stands upright
	waitKey
)

// sentence is a line of words below a picture.
type sentence struct {
	key  key
	text string
	name string // of a wait: the letter that stands for it
}

func (l Limits) keyOf(v float64) key {
	if l.side(v) != 0 {
		return outsideKey
	}
	return insideKey
}

// place says where a value lies with respect to the limits.
func (l Limits) place(v float64) string {
	switch l.side(v) {
	case -1:
		return "below what is tolerated"
	case 1:
		return "above what is tolerated"
	}
	return "inside what is tolerated"
}
