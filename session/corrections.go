package session

import (
	"context"
	"fmt"
	"strings"

	"narrows/knowledge"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// What corrections ask for, and what they make of a reading.

// heightDoubt is the standard uncertainty of a height that is told, in m: people know
// it roughly. Judgement.
const heightDoubt = 20

// correctionAsk is the question for what a correction needs, with its hint.
func (c *Case) correctionAsk(name string) (prompt, hint string) {
	hint = "type it with its unit; cancel leaves the check"
	switch name {
	case knowledge.CorrectLeads:
		return "Resistance of the leads, shorted together", hint
	}
	return "Temperature of the part", hint
}

// answerCorrection takes what a correction needs.
func (c *Case) answerCorrection(ctx context.Context, line string) (View, error) {
	r := c.asked.read
	use := c.readingUse(placeOf(r.place))
	name := r.missing(use)
	odd := c.asked.oddWith
	kept := odd != "" && isKept(line, odd)
	if kept {
		line = odd
	}
	q, err := c.corrective(name, line)
	if err != nil {
		v := c.wrong("%s.", strings.TrimSuffix(capital(err.Error()), "."))
		_, v.Hint = c.correctionAsk(name)
		return v, nil
	}
	if why := unlikely(name, q, r.raw); why != "" && !kept {
		c.asked.oddWith = line
		v := View{Kind: "ask", Ask: &Ask{Title: c.b.about[c.asked.action].title, Prompt: "Is that so?"}}
		v.Text = []string{capital(why) + "."}
		v.Hint = "type it anew; yes, or the same again, keeps it; cancel leaves the check"
		return v, nil
	}
	c.asked.oddWith = ""
	r.entered[name] = q
	if r.missing(use) != "" {
		return c.ask(), nil
	}
	return c.finishReading(ctx)
}

// What a correction's input lies within without a question: the temperature of a
// part that is worked on, in degC, and the resistance of test leads, in ohm.
// Judgement.
const (
	coldest, hottest      = -10.0, 50.0
	leastLeads, mostLeads = 0.02, 1.0
	leadsShare            = 0.5 // of the reading
)

// unlikely says why what a correction rests on may be a slip; "" where it is usual.
func unlikely(name string, q, reading quantity.Quantity) string {
	base := q.Base()
	switch name {
	case knowledge.CorrectCopper20:
		if base < coldest || base > hottest {
			return q.String() + " is an unusual temperature for a part that is worked on"
		}
	case knowledge.CorrectLeads:
		switch {
		case base < leastLeads || base > mostLeads:
			return q.String() + " is unusual for test leads; a few tenths of an ohm are usual"
		case base > leadsShare*reading.Base() && base <= reading.Base(): // more is refused
			return q.String() + " for the leads is more than half of what was read"
		}
	}
	return ""
}

// corrective reads the answer to a correction's question.
func (c *Case) corrective(name, line string) (quantity.Quantity, error) {
	switch name {
	case knowledge.CorrectLeads:
		q, err := quantity.ParseFor(line, quantity.Resistance)
		if err == nil && q.Value < 0 {
			err = fmt.Errorf("leads have no resistance below 0; short them together and read again")
		}
		return q, err
	}
	return quantity.ParseFor(line, quantity.Temperature)
}

// The answers to warmth.
const warm, cold = "warm", "cold"

// corrected makes one correction, and says what it rests on as it is recorded.
func corrected(r measure.Reading, name string, q quantity.Quantity) (measure.Reading, string, error) {
	in := measure.Input{Quantity: q}
	var err error
	switch name {
	case knowledge.CorrectWarmth:
		return r, q.Text, nil
	case knowledge.CorrectLeads:
		r, err = r.SubtractLeads(in)
	case knowledge.CorrectAltitude:
		if in.U, err = metres(heightDoubt); err == nil {
			r, err = r.ToSeaLevel(in)
		}
	default:
		r, err = r.CopperTo20(in)
	}
	return r, q.String(), err
}

func metres(v float64) (quantity.Quantity, error) {
	m, err := quantity.ParseUnit("m")
	if err != nil {
		return quantity.Quantity{}, err
	}
	return quantity.New(v, m)
}

// correctionWords says how a correction was made; "" for what changes no number.
func correctionWords(k correction) string {
	switch k.Name {
	case knowledge.CorrectLeads:
		return "less leads of " + k.Typed
	case knowledge.CorrectAltitude:
		return "from " + k.Typed + " above the sea referred to sea level"
	case knowledge.CorrectWarmth:
		return ""
	}
	return "copper at " + k.Typed + " referred to 20 °C"
}

// warmth is how warm the engine was at a reading, or "".
func (r *reading) warmth() string {
	for _, k := range r.Corrections {
		if k.Name == knowledge.CorrectWarmth {
			return k.Typed
		}
	}
	return ""
}

// changed tells whether a correction has changed the number.
func (r *reading) changed() bool {
	for _, k := range r.Corrections {
		if k.Name != knowledge.CorrectWarmth {
			return true
		}
	}
	return false
}

// warmthWords says that what a check has read at its places was not all read at one
// warmth; "" where it was. That such readings are to be compared at one warmth is
// common practice, no source.
func (c *Case) warmthWords(check string) string {
	var at [2][]string // places read warm and cold
	for _, u := range c.b.e.ChecksOf(check) {
		for _, r := range c.s.readings[checkAt{check, placeKey(u.Place)}] {
			name := "the engine"
			if u.Place.Set != "" {
				name = c.b.e.PlaceTitle(u.Place)
			}
			switch r.warmth() {
			case warm:
				at[0] = append(at[0], name)
			case cold:
				at[1] = append(at[1], name)
			}
		}
	}
	if len(at[0]) == 0 || len(at[1]) == 0 {
		return ""
	}
	return fmt.Sprintf("Read at different warmth (warm: %s; cold: %s); compare readings at one warmth, so read those again that differ.",
		strings.Join(at[0], ", "), strings.Join(at[1], ", "))
}
