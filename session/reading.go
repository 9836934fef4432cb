package session

import (
	"context"
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
		if _, ok := r.entered[name]; !ok && !knowledge.Surrounding(name) {
			return name
		}
	}
	return ""
}

// answerReading takes a reading as it was said, with its place if one is
// named, and asks for what its corrections need.
func (c *Case) answerReading(ctx context.Context, line string) (View, error) {
	p := c.asked
	if odd := p.odd; odd != nil && isKept(line, odd.line) {
		p.odd = nil
		odd.kept, p.read = true, odd
		return c.finishReading(ctx)
	}
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
	p.odd = nil
	p.read = &pendingReading{place: placeKey(places[0]), raw: q, typed: typed, line: line, entered: c.around(use)}
	if c.b.about[c.asked.action].finer == "" {
		p.read.with = c.chosen(use)
	}
	if p.read.missing(use) != "" {
		return c.ask(), nil
	}
	return c.finishReading(ctx)
}

// isKept tells whether a reading that was questioned is to stand.
func isKept(line, odd string) bool {
	switch strings.ToLower(line) {
	case "yes", "y", "keep", "keep it":
		return true
	}
	return strings.EqualFold(strings.Join(strings.Fields(line), " "), strings.Join(strings.Fields(odd), " "))
}

// slips are the usual ways of mistyping a reading: its sign, ten times too much or
// too little, another unit.
func slips(q quantity.Quantity, of quantity.Dimension) []quantity.Quantity {
	out := []quantity.Quantity{{Value: -q.Value, Unit: q.Unit}, {Value: q.Value / 10, Unit: q.Unit}, {Value: q.Value * 10, Unit: q.Unit}}
	for _, u := range of.Units() {
		if u != q.Unit {
			out = append(out, quantity.Quantity{Value: q.Value, Unit: u})
		}
	}
	return out
}

// questioned asks for a reading again that, corrected, is far from anything that
// the part could read, before it is recorded.
func (c *Case) questioned(use knowledge.ReadingUse, r *pendingReading, rec *reading) (View, bool) {
	if r.kept || use.Record { // nothing is known of what it could read
		return View{}, false
	}
	var instead []quantity.Quantity
	var values []float64
	for _, s := range slips(r.raw, use.Quantity) {
		// One that cannot be corrected, or would be less than nothing then, cannot
		// have been meant.
		x, err := weigh(use, &pendingReading{raw: s, entered: r.entered, with: r.with})
		if err == nil && (x.Corrected >= 0 || x.Value < 0) {
			instead, values = append(instead, s), append(values, x.Corrected)
		}
	}
	meant, ask := use.Model.Questionable(rec.Corrected, rec.Uncertainty, values...)
	if !ask {
		return View{}, false
	}
	var likely []quantity.Quantity
	for _, i := range meant {
		likely = append(likely, instead[i])
	}
	why := r.typed + " is far from anything that a sound or a faulty part reads, and is not recorded yet."
	if len(likely) > 0 {
		why = r.typed + " may be a slip, and is not recorded yet."
	}
	return c.askSlip(why, likely), true
}

// askSlip asks for a number again, for the reason given, and offers what may have been
// meant, the likeliest first.
func (c *Case) askSlip(why string, likely []quantity.Quantity) View {
	v := View{Kind: "ask", Text: []string{why}, Ask: &Ask{Title: c.b.about[c.asked.action].title, Prompt: "Is that what it reads?"}}
	var was []string
	for _, q := range likely[:min(3, len(likely))] {
		was = append(was, q.String())
	}
	if len(was) > 0 {
		v.Text = append(v.Text, "Was it "+strings.Join(was, ", or ")+"?")
	}
	v.Hint = "type it anew; yes, or the same again, keeps it; cancel leaves the check"
	return v
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
	if v, ask := c.questioned(use, r, rec); ask {
		c.asked.odd = r
		return v, nil
	}
	rec.Instrument = about.finer
	if r.with != nil {
		rec.Instrument = r.with.Title
	}
	return c.settleReadings(ctx, []answer{{Place: r.place, Reading: rec}})
}

// settleReadings records readings of the check that is asked, and says first what
// each shows, then what they show together. With several each is told with its place.
func (c *Case) settleReadings(ctx context.Context, results []answer) (View, error) {
	action := c.asked.action
	about := c.b.about[action]
	var places []knowledge.Place
	for _, r := range results {
		places = append(places, placeOf(r.Place))
	}
	v, err := c.settle(ctx, places, results)
	if err != nil || v.Error != "" {
		return v, err
	}
	var said []string
	say := func(s string) {
		if s != "" {
			said = append(said, s)
		}
	}
	warmth := false
	for i, r := range results {
		if r.Reading.Verdict != "" {
			s := c.readingWords(about.id, places[i], r.Reading)
			if len(results) > 1 {
				s = c.placeName(places[i]) + " " + s
			}
			say(s)
		}
		say(c.joinedWords(about.id, places[i]))
		say(c.settlingWords(about.id, places[i]))
		warmth = warmth || r.Reading.warmth() != ""
	}
	if warmth {
		say(c.warmthWords(about.id))
	}
	if c.asked == nil || c.asked.action != action { // the last of its places
		say(c.siblingsWords(about.id))
	}
	v.Text = append(said, v.Text...)
	return v, nil
}

// weigh turns a reading into what is recorded of it: raw, corrections,
// corrected value, judgement, and the likelihood under each row of the check.
func weigh(use knowledge.ReadingUse, r *pendingReading) (*reading, error) {
	taken, err := r.taken(use)
	if err != nil {
		return nil, err
	}
	out := &reading{Typed: r.typed, Unit: use.Unit.Code(), Value: taken.Value}
	for _, name := range use.Corrections {
		in, ok := r.entered[name]
		if !ok {
			continue // nothing was said of it
		}
		var typed string
		if taken, typed, err = corrected(taken, name, in); err != nil {
			return nil, err
		}
		out.Corrections = append(out.Corrections, correction{name, typed, taken.Value})
	}
	if taken.Shares() {
		out.Components = taken.Components
	}
	return out, out.judge(use, taken)
}

// judge weighs and judges the corrected reading.
func (r *reading) judge(use knowledge.ReadingUse, taken measure.Reading) (err error) {
	r.Corrected, r.Uncertainty = taken.Value, taken.U
	if r.Likelihood, err = use.Model.Of(taken.Estimate); err != nil {
		return err
	}
	if use.Limit != nil {
		verdict, err := measure.Judge(taken, *use.Limit)
		if err != nil {
			return err
		}
		r.Verdict, r.Conformance, r.Limit = verdict.State.String(), verdict.P, use.Limit.String()
	}
	return nil
}
