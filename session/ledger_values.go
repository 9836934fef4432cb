package session

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"narrows/knowledge"
	"narrows/symptoms/quantity"
)

// numbers reads one number, or one for each of n positions in their order.
func (c *Case) numbers(e *knowledge.LedgerEntry, said string, n int, one bool) ([]ledgerValue, View) {
	if one {
		v, err := numberSaid(e, said)
		if err != nil {
			return nil, c.ledgerWrong(e, "%s.", numberWords(e, err))
		}
		return []ledgerValue{v}, View{}
	}
	ways := waysToPart(said, n)
	var found [][]ledgerValue
	var fault error
	for _, texts := range ways {
		values, err := numbersSaid(e, texts)
		if err != nil {
			if fault == nil {
				fault = err
			}
			continue
		}
		if !slices.ContainsFunc(found, func(have []ledgerValue) bool { return slices.EqualFunc(have, values, sameNumber) }) {
			found = append(found, values)
		}
	}
	switch {
	case len(found) == 1:
		return found[0], View{}
	case len(found) > 1:
		return nil, c.ledgerWrong(e, "%q can be read in two ways; put a comma and a space between the positions.", said)
	case fault != nil:
		return nil, c.ledgerWrong(e, "%s.", numberWords(e, fault))
	}
	return nil, c.ledgerWrong(e, "%s stands at %d positions (%s); give one number for each in their order with a comma and a space between, %s for one that was not read, or one with its place.",
		capital(e.Title), n, c.positions(c.b.e.Places(e.At.ID)), noMark)
}

func sameNumber(a, b ledgerValue) bool {
	return a.Value == b.Value && a.Unit == b.Unit && a.Typed == b.Typed
}

func numberSaid(e *knowledge.LedgerEntry, text string) (ledgerValue, error) {
	q, err := quantity.ParseFor(text, e.In.Dimension())
	if err != nil {
		return ledgerValue{}, err
	}
	return ledgerValue{Typed: text, Value: q.Value, Unit: q.Unit.Code()}, nil
}

// numbersSaid reads the texts of all positions. A number without a unit has that of
// the next that has one, or else of the last before it.
func numbersSaid(e *knowledge.LedgerEntry, texts []string) ([]ledgerValue, error) {
	unit := ""
	for i, s := range texts { // "- turns" was not read, and tells the unit of the others
		if number, u := cutUnit(s); number == noMark {
			texts[i], unit = noMark, u
		}
	}
	for i := len(texts) - 1; i >= 0; i-- {
		if _, u := cutUnit(texts[i]); u != "" {
			unit = u
		} else if texts[i] != noMark && unit != "" {
			texts[i] += " " + unit
		}
	}
	unit = ""
	for i, s := range texts {
		if _, u := cutUnit(s); u != "" {
			unit = u
		} else if s != noMark && unit != "" {
			texts[i] += " " + unit
		}
	}
	out := make([]ledgerValue, len(texts))
	for i, s := range texts {
		if s == noMark {
			out[i].Typed = noMark
			continue
		}
		var err error
		if out[i], err = numberSaid(e, s); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// cutUnit parts a number from the unit behind it; one not read has none.
func cutUnit(s string) (number, unit string) {
	if s == noMark {
		return s, ""
	}
	at := strings.IndexFunc(s, func(r rune) bool {
		return !unicode.IsDigit(r) && !unicode.Is(unicode.No, r) && !strings.ContainsRune(" .,/+-−", r)
	})
	if at < 0 {
		return s, ""
	}
	return strings.TrimSpace(s[:at]), s[at:]
}

// waysToPart are the ways in which a text can be parted into n numbers: at commas
// with a space behind them or semicolons, at spaces, or at bare commas.
func waysToPart(said string, n int) [][]string {
	var ways [][]string
	add := func(parts []string) {
		for i := range parts {
			parts[i] = strings.TrimSpace(parts[i])
		}
		if len(parts) == n && !slices.Contains(parts, "") {
			ways = append(ways, parts)
		}
	}
	marked := strings.ReplaceAll(said, ", ", ";")
	if add(strings.Split(marked, ";")); len(ways) > 0 || strings.Contains(marked, ";") {
		return ways
	}
	add(atSpaces(said))
	add(strings.Split(said, ","))
	return ways
}

// atSpaces puts the words of a text together to numbers: a fraction goes with a whole
// number before it, a unit with what it stands behind.
func atSpaces(said string) []string {
	var out []string
	whole := false // the last word is a whole number, and a fraction may follow
	for _, w := range strings.Fields(said) {
		first, _ := utf8.DecodeRuneInString(strings.TrimLeft(w, "-+−"))
		vulgar := unicode.Is(unicode.No, first)
		number := unicode.IsDigit(first) || vulgar || first == '.' || w == noMark
		fraction := vulgar || strings.Contains(w, "/") && number
		switch {
		case len(out) > 0 && (!number || fraction && whole):
			out[len(out)-1] += " " + w
		default:
			out = append(out, w)
		}
		whole = number && !fraction && strings.Trim(w, "0123456789") == ""
	}
	return out
}

// numberWords says what is wrong with a number of the ledger.
func numberWords(e *knowledge.LedgerEntry, err error) string {
	var q *quantity.Error
	if !errors.As(err, &q) {
		return capital(strings.TrimSuffix(err.Error(), "."))
	}
	switch q.Kind {
	case quantity.WrongDimension, quantity.NoUnit:
		return fmt.Sprintf("%s; %s is %s, to be typed with its unit, such as %s", capital(q.Problem), e.Title, e.In.Dimension().Noun(), e.In.Dimension().Example())
	}
	return capital(q.Problem) + "; " + strings.TrimSuffix(q.Advice, ".")
}

// gradesSaid reads one grade, or one for each of n positions in their order.
func (c *Case) gradesSaid(e *knowledge.LedgerEntry, said string, n int, one bool) ([]ledgerValue, View) {
	texts := []string{said}
	if !one {
		texts = strings.FieldsFunc(said, func(r rune) bool { return r == ',' || r == ';' })
		if len(texts) != n {
			texts = strings.Fields(said)
		}
		if len(texts) != n {
			return nil, c.ledgerWrong(e, "At which position? Say it behind the grade, or on all; or give one for each of %s, with commas between and %s for one not looked at.", c.positions(c.b.e.Places(e.At.ID)), noMark)
		}
	}
	out := make([]ledgerValue, len(texts))
	for i, s := range texts {
		s = strings.TrimSpace(s)
		out[i].Typed = s
		if s == noMark && !one {
			continue
		}
		id, ok := gradeOf(e, s)
		if !ok {
			v := c.ledgerWrong(e, "%q is no grade of %s.", s, e.Title)
			for _, g := range e.Grades {
				v.Text = append(v.Text, g.Title)
			}
			return nil, v
		}
		out[i].Grade = id
	}
	return out, View{}
}
