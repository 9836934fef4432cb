package session

import (
	"context"
	"fmt"
	"strings"

	"narrows/knowledge"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// readingUse is how the check that is asked reads at a place.
func (c *Case) readingUse(at knowledge.Place) knowledge.ReadingUse {
	u, _ := c.b.e.Check(c.b.about[c.asked.action].id, at)
	use, _ := c.b.e.Reading(u)
	return use
}

// missing is the next correction that has to be asked for, or "".
func (r *pendingReading) missing(use knowledge.ReadingUse) string {
	for _, name := range use.Corrections {
		if _, ok := r.entered[name]; !ok {
			return name
		}
	}
	return ""
}

func correctionQuestion(name string) string {
	if name == knowledge.CorrectLeads {
		return "Resistance of the leads, shorted together"
	}
	return "Temperature of the part"
}

func correctionKind(name string) quantity.Dimension {
	if name == knowledge.CorrectLeads {
		return quantity.Resistance
	}
	return quantity.Temperature
}

// answerReading takes a reading as it was said, with its place if one is
// named, and asks for what its corrections need.
func (c *Case) answerReading(ctx context.Context, line string) (View, error) {
	p := c.asked
	places, typed := p.places[:1:1], line
	use := c.readingUse(places[0])
	q, err := quantity.ParseFor(typed, use.Quantity)
	if err != nil {
		var rest string
		if places, rest = c.placed(line); rest != line {
			typed = rest
			use = c.readingUse(places[0])
			q, err = quantity.ParseFor(rest, use.Quantity)
		}
	}
	if err != nil {
		return c.wrong("%s.", strings.TrimSuffix(capital(err.Error()), ".")), nil
	}
	if len(places) > 1 {
		return c.wrong("One reading cannot stand for all places; give each its own."), nil
	}
	p.read = &pendingReading{place: placeKey(places[0]), raw: q, typed: typed, entered: map[string]quantity.Quantity{}}
	if p.read.missing(use) != "" {
		return c.ask(), nil
	}
	return c.finishReading(ctx)
}

// answerCorrection takes what a correction needs.
func (c *Case) answerCorrection(ctx context.Context, line string) (View, error) {
	r := c.asked.read
	use := c.readingUse(placeOf(r.place))
	name := r.missing(use)
	q, err := quantity.ParseFor(line, correctionKind(name))
	if err != nil {
		return c.wrong("%s.", strings.TrimSuffix(capital(err.Error()), ".")), nil
	}
	r.entered[name] = q
	if r.missing(use) != "" {
		return c.ask(), nil
	}
	return c.finishReading(ctx)
}

// finishReading corrects, judges and weighs a reading, and records it.
func (c *Case) finishReading(ctx context.Context) (View, error) {
	r := c.asked.read
	at := placeOf(r.place)
	c.asked.read = nil
	about := c.b.about[c.asked.action]
	use := c.readingUse(at)
	if about.finer != "" {
		use.Uncertainty = about.again
	}
	rec, err := weigh(use, r)
	if err != nil {
		return c.wrong("%s.", strings.TrimSuffix(capital(err.Error()), ".")), nil
	}
	rec.Instrument = about.finer
	v, err := c.settle(ctx, []knowledge.Place{at}, []answer{{Place: r.place, Reading: rec}})
	if err != nil || v.Error != "" {
		return v, err
	}
	var said []string
	if rec.Verdict != "" {
		said = append(said, readingWords(rec))
	}
	if s := c.joinedWords(about.id, at); s != "" {
		said = append(said, s)
	}
	v.Text = append(said, v.Text...)
	return v, nil
}

// weigh turns a reading into what is recorded of it: raw, corrections,
// corrected value, judgement, and the likelihood under each row of the check.
func weigh(use knowledge.ReadingUse, r *pendingReading) (*reading, error) {
	noise, err := quantity.New(use.Uncertainty, use.Unit.Difference())
	if err != nil {
		return nil, err
	}
	taken, err := measure.Take(measure.Instrument{Noise: noise}, r.raw)
	if err != nil {
		return nil, err
	}
	if taken, err = taken.In(use.Unit); err != nil {
		return nil, err
	}
	out := &reading{Typed: r.typed, Unit: use.Unit.Code(), Value: taken.Value}
	for _, name := range use.Corrections {
		in := measure.Input{Quantity: r.entered[name]}
		if name == knowledge.CorrectLeads {
			taken, err = taken.SubtractLeads(in)
		} else {
			taken, err = taken.CopperTo20(in)
		}
		if err != nil {
			return nil, err
		}
		out.Corrections = append(out.Corrections, correction{name, r.entered[name].String(), taken.Value})
	}
	out.Corrected, out.Uncertainty = taken.Value, taken.U
	if out.Likelihood, err = use.Model.Of(taken.Estimate); err != nil {
		return nil, err
	}
	if use.Limit != nil {
		verdict, err := measure.Judge(taken, *use.Limit)
		if err != nil {
			return nil, err
		}
		out.Verdict, out.Conformance, out.Limit = verdict.State.String(), verdict.P, use.Limit.String()
	}
	return out, nil
}

// readingWords says what was read and how it was judged.
func readingWords(r *reading) string {
	u, err := quantity.ParseUnit(r.Unit)
	if err != nil {
		return r.Typed
	}
	s := r.Typed
	if len(r.Corrections) > 0 {
		s += fmt.Sprintf(", corrected %s", quantity.Format(r.Corrected, u, 4))
	}
	s += uncertain(r.Uncertainty, u)
	if r.Verdict != "" {
		s += fmt.Sprintf(": %s; limit %s", r.Verdict, r.Limit)
	}
	return s
}

func uncertain(u float64, in quantity.Unit) string {
	return fmt.Sprintf(" (standard uncertainty %s)", quantity.Format(u, in.Difference(), 2))
}

func estimateWords(e measure.Estimate) string {
	return quantity.Format(e.Value, e.Unit, 4) + uncertain(e.U, e.Unit)
}
