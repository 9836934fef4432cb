package session

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"narrows/knowledge"
	"narrows/session/journal"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// Units that things are shown in, by quantity: the user's choice, else the sheet's,
// else the check's own. They are for showing alone: what is recorded and weighed
// stays in the check's unit.

// unitsChosen is a unit to show a quantity in; without a unit, as the sheet has it.
type unitsChosen struct {
	Quantity quantity.Dimension `json:"quantity"`
	Unit     quantity.Unit      `json:"unit,omitzero"`
}

func (f *folder) onUnits(e journal.Entry) error {
	var p unitsChosen
	if err := json.Unmarshal(e.Payload, &p); err != nil {
		return err
	}
	if p.Unit.IsZero() {
		delete(f.s.units, p.Quantity)
	} else {
		f.s.units[p.Quantity] = p.Unit
	}
	return nil
}

func (c *Case) unitsWords(p unitsChosen) string {
	if p.Unit.IsZero() {
		return fmt.Sprintf("%s is shown as the sheet has it", p.Quantity)
	}
	return fmt.Sprintf("%s is shown in %s", p.Quantity, p.Unit)
}

// chosenUnit is the unit to show a quantity in that the user or the sheet has
// chosen; ok is false if neither has.
func (c *Case) chosenUnit(d quantity.Dimension) (u quantity.Unit, ok bool) {
	if d == quantity.TemperatureDifference {
		if u, ok = c.chosenUnit(quantity.Temperature); ok {
			return u.Difference(), true
		}
	}
	if u, ok = c.s.units[d]; ok {
		return u, true
	}
	return c.sheetUnit(d)
}

func (c *Case) sheetUnit(d quantity.Dimension) (quantity.Unit, bool) {
	for _, x := range c.b.e.Sheet().Units {
		if x.In.Dimension() == d {
			return x.In, true
		}
	}
	return quantity.Unit{}, false
}

// shownIn is the unit to show what has the unit u in.
func (c *Case) shownIn(u quantity.Unit) quantity.Unit {
	if s, ok := c.chosenUnit(u.Dimension()); ok {
		return s
	}
	return u
}

// inWords writes a value for people; one that the unit cannot show stays in its own.
func (c *Case) inWords(v float64, u quantity.Unit, digits int) string {
	to := c.shownIn(u)
	if x, err := (quantity.Quantity{Value: v, Unit: u}).In(to); err == nil {
		return quantity.Format(x, to, digits)
	}
	return quantity.Format(v, u, digits)
}

// uncertain writes a standard uncertainty behind a value in the unit.
func (c *Case) uncertain(u float64, in quantity.Unit) string {
	return " (standard uncertainty " + c.inWords(u, in.Difference(), 2) + ")"
}

func (c *Case) estimateWords(e measure.Estimate) string {
	return c.inWords(e.Value, e.Unit, 4) + c.uncertain(e.U, e.Unit)
}

// limitWords says a limit; as the sheet has it where no other unit was chosen.
func (c *Case) limitWords(l measure.Limit) string {
	u, ok := c.chosenUnit(l.Dimension())
	if !ok {
		return l.String()
	}
	if s, err := l.Shown(u, 4); err == nil {
		return s.String()
	}
	return l.String()
}

// limitOfReading says the limit that a reading was judged by.
func (c *Case) limitOfReading(check string, at knowledge.Place, r *reading) string {
	if u, ok := c.b.e.Check(check, at); ok {
		if use, ok := c.b.e.Reading(u); ok && use.Limit != nil && use.Limit.String() == r.Limit {
			return c.limitWords(*use.Limit)
		}
	}
	return r.Limit
}

// readingWords says what a check read at a place and how it was judged.
func (c *Case) readingWords(check string, at knowledge.Place, r *reading) string {
	u, err := quantity.ParseUnit(r.Unit)
	if err != nil {
		return r.Typed
	}
	s := r.Typed + c.alsoShown(r, u)
	if r.Instrument != "" {
		s += " with the " + lower(c.meansTitle(r.Instrument))
	}
	if r.changed() {
		s += ", corrected " + c.inWords(r.Corrected, u, 4)
	}
	if w := r.warmth(); w != "" {
		s += ", engine " + w
	}
	s += c.uncertain(r.Uncertainty, u)
	if r.Verdict != "" {
		s += fmt.Sprintf(": %s; limit %s", r.Verdict, c.limitOfReading(check, at, r))
	}
	return s
}

// alsoShown is the reading in the unit chosen, where it was typed in another.
func (c *Case) alsoShown(r *reading, u quantity.Unit) string {
	to, ok := c.chosenUnit(u.Dimension())
	if !ok {
		return ""
	}
	if q, err := quantity.ParseFor(r.Typed, u.Dimension()); err == nil && q.Unit == to || err != nil && u == to {
		return ""
	}
	return ", " + c.inWords(r.Value, u, 4)
}

// doUnits chooses the unit that a quantity is shown in.
func (c *Case) doUnits(ctx context.Context, words string) (View, error) {
	if words == "" {
		return c.unitsView(), nil
	}
	p, err := parseUnits(words)
	if err != nil {
		if c.s.complaint == nil {
			return c.doComplaint(ctx, "units "+words)
		}
		v := c.wrong("%s.", strings.TrimSuffix(capital(err.Error()), "."))
		v.Hint = "for instance: units pressure bar; units pressure as the sheet"
		return v, nil
	}
	if !slices.Contains(c.quantitiesRead(), p.Quantity) {
		v := c.wrong("No check of this pack reads %s.", p.Quantity.Noun())
		v.Hint = "units lists what is read"
		return v, nil
	}
	if c.s.units[p.Quantity] == p.Unit {
		return c.wrong("It is so already: %s.", c.unitsWords(p)), nil
	}
	if err := c.record(ctx, kindUnits, p); err != nil {
		return View{}, err
	}
	v, err := c.here(ctx)
	v.Text = append([]string{capital(c.unitsWords(p)) + "."}, v.Text...)
	return v, err
}

// parseUnits reads "pressure bar", "pressure as the sheet", or "bar" alone.
func parseUnits(words string) (unitsChosen, error) {
	low := strings.ToLower(strings.ReplaceAll(words, "_", " "))
	of, n := quantity.Dimension(""), 0
	for _, d := range quantity.Dimensions() {
		if strings.HasPrefix(low+" ", string(d)+" ") && len(d) > n {
			of, n = d, len(d)
		}
	}
	rest := strings.TrimSpace(words[n:])
	switch strings.ToLower(rest) {
	case "as the sheet", "as sheet", "sheet", "as on the sheet":
		if of == "" {
			return unitsChosen{}, fmt.Errorf("the quantity is missing")
		}
		return unitsChosen{Quantity: of}, nil
	case "":
		return unitsChosen{}, fmt.Errorf("the unit is missing")
	}
	if of == "" {
		u, err := quantity.ParseUnit(rest)
		if err != nil {
			return unitsChosen{}, err
		}
		return unitsChosen{u.Dimension(), u}, nil
	}
	// Behind a number the short spellings of the quantity do as well.
	q, err := quantity.ParseFor("1 "+strings.TrimPrefix(rest, "in "), of)
	return unitsChosen{of, q.Unit}, err
}

// unitsView lists what is shown in which unit.
func (c *Case) unitsView() View {
	v := View{Kind: "units", Hint: "units QUANTITY UNIT chooses another for showing; units QUANTITY as the sheet takes it back"}
	for _, d := range c.quantitiesRead() {
		s := capital(string(d)) + ": "
		if u, ok := c.s.units[d]; ok {
			s += u.String() + ", chosen here"
		} else if u, ok := c.sheetUnit(d); ok {
			s += u.String() + ", as the sheet has it"
		} else {
			s += "as each check reads it"
		}
		v.Text = append(v.Text, s)
	}
	return v
}

// unitNames are what can follow the verb.
func (c *Case) unitNames() []named {
	var ns []named
	for _, d := range c.quantitiesRead() {
		for _, u := range d.Units() {
			ns = append(ns, named{string(d) + " " + u.String(), string(d) + " " + u.String()})
		}
		s := string(d) + " as the sheet"
		ns = append(ns, named{s, s})
	}
	return ns
}
