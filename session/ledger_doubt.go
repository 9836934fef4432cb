package session

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"narrows/knowledge"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// doubt is a line of the ledger that is questioned before it is recorded.
type doubt struct {
	line ledgerLine
	rec  ledgered
	ask  View
}

// From which factor on a number is asked for again: off what is usual or off the
// other positions, which vary, and off the bounds of the sheet. Judgement.
const (
	timesOff      = 5
	timesOffLimit = 8
)

// doubtLedger asks again for numbers that can hardly be meant.
func (c *Case) doubtLedger(l ledgerLine, p ledgered) (View, bool) {
	c.doubt = nil
	if !l.entry.Counts() {
		return View{}, false
	}
	var said []string
	for i, x := range p.Values {
		q, err := x.quantity()
		if err != nil {
			continue
		}
		meant, odd := c.oddNumber(l.entry, p, i, q)
		if !odd {
			continue
		}
		at := placeOf(x.Place)
		s := fmt.Sprintf("%s at %s is far from what is read there, and is not recorded yet.", x.Typed, c.b.e.PlaceTitle(at))
		if n := min(3, len(meant)); n > 0 {
			s += " Was it " + strings.Join(meant[:n], ", or ") + "?"
		}
		said = append(said, s)
	}
	if len(said) == 0 {
		return View{}, false
	}
	v := View{Kind: "ask", Text: said, Ask: &Ask{Title: l.entry.Title, Prompt: "Is that what it is?"}}
	v.Hint = "type it anew; yes, or the same again, keeps it; cancel leaves it out"
	c.doubt = &doubt{line: l, rec: p, ask: v}
	return v, true
}

// oddNumber tells whether one of the values can hardly be meant, and what may be.
func (c *Case) oddNumber(e *knowledge.LedgerEntry, p ledgered, i int, q quantity.Quantity) (meant []string, odd bool) {
	v, err := q.In(e.In)
	if err != nil {
		return nil, false
	}
	var instead []quantity.Quantity
	var values []float64
	for _, s := range slips(q, e.In.Dimension()) {
		if x, err := s.In(e.In); err == nil && (x >= 0 || v < 0 && signed(e.In.Dimension())) {
			instead, values = append(instead, s), append(values, x)
		}
	}
	if u, ok := c.b.e.Check(e.Check.ID, placeOf(p.Values[i].Place)); ok {
		if use, ok := c.b.e.Reading(u); ok && use.Unit == e.In && !use.Record {
			likely, odd := use.Model.Questionable(v, use.Uncertainty, values...)
			for _, k := range likely {
				meant = append(meant, instead[k].String())
			}
			return meant, odd
		}
	}
	lowest, highest, times := c.about(e, p, i)
	far := func(x, times float64) bool {
		return x != 0 && lowest > 0 && (x > float64(times*highest) || x < lowest/times)
	}
	if v < 0 && !signed(e.In.Dimension()) || far(v, times) {
		odd = true
	}
	for k, x := range values {
		if odd && lowest > 0 && x != 0 && !far(x, 2) {
			meant = append(meant, instead[k].String())
		}
	}
	return meant, odd
}

// signed tells whether a quantity of the kind can be below 0.
func signed(d quantity.Dimension) bool {
	return slices.Contains([]quantity.Dimension{quantity.Temperature, quantity.TemperatureDifference, quantity.Angle, quantity.Pressure, quantity.Voltage, quantity.Current}, d)
}

// about is what a number of an entry should be about, in its unit: the sheet's limit,
// else what is usual, else the middle of the other positions; 0 where nothing tells.
func (c *Case) about(e *knowledge.LedgerEntry, p ledgered, i int) (lowest, highest, times float64) {
	if l := c.ledgerLimit(e); l != nil {
		if lowest, highest, err := l.Bounds(e.In); err == nil {
			b := measureBand(lowest, highest)
			return b[0], b[1], timesOffLimit
		}
	}
	if !e.Usual.IsZero() {
		if v, err := e.Usual.In(e.In); err == nil {
			return v, v, timesOff
		}
	}
	var others []float64
	for k, x := range p.Values {
		if q, err := x.quantity(); err == nil && k != i {
			if v, err := q.In(e.In); err == nil {
				others = append(others, v)
			}
		}
	}
	for _, at := range c.b.e.Places(e.At.ID) {
		key := ledgerAt{e.ID, placeKey(at)}
		if slices.ContainsFunc(p.Values, func(x ledgerValue) bool { return x.Place == key.place }) {
			continue
		}
		if w, ok := c.s.ledger.now(key); ok {
			others = append(others, w.Value)
		}
	}
	if len(others) == 0 {
		return 0, 0, timesOff
	}
	slices.Sort(others)
	middle := (others[(len(others)-1)/2] + others[len(others)/2]) / 2
	return middle, middle, timesOff
}

// measureBand is the bounds of a limit, the one that is there for one that is not.
func measureBand(lowest, highest float64) [2]float64 {
	if math.IsInf(lowest, -1) {
		lowest = highest
	}
	if math.IsInf(highest, 1) {
		highest = lowest
	}
	return [2]float64{lowest, highest}
}

// doubted answers the question about a line of the ledger; done is false where the
// line is none of its business.
func (c *Case) doubted(ctx context.Context, cmd Command) (v View, done bool, err error) {
	d := c.doubt
	verb, _ := findVerb(cmd.Verb)
	switch {
	case cmd.Verb == "cancel":
		c.doubt = nil
		return View{Kind: "parts", Text: []string{"Left out; nothing was recorded."}, Hint: "Enter goes on"}, true, nil
	case cmd.Verb == "" && cmd.Rest == "":
		return d.ask, true, nil
	case cmd.Verb == "" && isKept(cmd.Rest, d.line.said), (cmd.Verb == "found" || cmd.Verb == "left") && d.line.left == (cmd.Verb == "left") && isKept(cmd.Rest, d.line.words):
		c.doubt = nil
		v, err := c.recordLedger(ctx, d.rec)
		return v, true, err
	case cmd.Verb != "":
		if !verb.after || cmd.Verb == "undo" { // what only looks leaves the question open
			c.doubt = nil
		}
		return View{}, false, nil
	}
	l := d.line
	l.words, l.said = cmd.Rest, cmd.Rest
	if rest, at, ok := c.cutPlace(cmd.Rest); ok {
		l.said, l.at, l.all = rest, &at, false
	}
	v, err = c.enterLedger(ctx, l)
	if err == nil && v.Error != "" {
		c.doubt = d
		v.Hint = d.ask.Hint
	}
	return v, true, err
}

// estimate is a number of the ledger in the entry's unit, with what the last place
// typed leaves open as its uncertainty.
func (v ledgerValue) estimate(e *knowledge.LedgerEntry) (measure.Estimate, error) {
	q, err := v.quantity()
	if err != nil {
		return measure.Estimate{}, err
	}
	r, err := measure.Take(measure.Instrument{}, q)
	if err != nil {
		return measure.Estimate{}, err
	}
	return r.Estimate.In(e.In)
}
