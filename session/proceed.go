package session

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"narrows/knowledge"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// WaitView is a wait that goes on.
type WaitView struct {
	Title string        `json:"title"`
	Until time.Time     `json:"until"`
	Left  time.Duration `json:"-"`
	Whole time.Duration `json:"-"`
	// The same in whole seconds.
	LeftSeconds  int `json:"left_seconds"`
	WholeSeconds int `json:"whole_seconds"`
}

// Wait is the wait that goes on in the check that is asked; ok is false if none does.
func (c *Case) Wait() (w WaitView, ok bool) {
	def, at, ok := c.proceeding()
	if !ok || at.begun.IsZero() {
		return WaitView{}, false
	}
	step := def.Steps[at.step]
	until := at.begun.Add(step.Wait)
	left := until.Sub(c.log.Now())
	return WaitView{Title: step.Text, Until: until, Left: left, Whole: step.Wait,
		LeftSeconds: int(math.Ceil(left.Seconds())), WholeSeconds: int(step.Wait.Seconds())}, true
}

// askStep shows the step at which a timed check stands.
func (c *Case) askStep(v View, def *knowledge.Check, at stop) View {
	step := def.Steps[at.step]
	u := c.underway()
	if c.asked.resumed {
		c.asked.resumed = false
		v.Text = append(v.Text, "Taken up again where it was left; restart begins the check anew.")
	}
	v.Text = append(v.Text, c.tookWords(def, u)...)
	// What is to be done between the stop before and this one; with the first
	// place of a value only.
	if step.Take == nil || at.place == c.b.about[c.asked.action].places[0] {
		v.Ask.Steps = texts(def.Steps, at.step)
	}
	switch {
	case step.Take != nil:
		v.Ask.Prompt = step.Text + prefixed(" at ", c.placeName(at.place)) + ", in " + c.shownIn(step.Take.In).Symbol() + " or any unit of the kind"
		v.Hint = "type it, as " + step.Take.In.Dimension().Example() + orNothing(def, step.Take) + "; undo takes back the value before; cancel leaves the check and keeps what was read"
		if l := c.limitOf(step.Take); l != nil {
			v.Text = append(v.Text, "Sheet: "+c.limitWords(*l))
		}
		if i := u.lastWait(def.Steps, at.step); i >= 0 {
			if late := c.log.Now().Sub(u.waits[i].at.Add(def.Steps[i].Wait)); late > graceAfter(def.Steps[i].Wait) {
				v.Text = append(v.Text, fmt.Sprintf("The wait was over %s ago. Where that spoils it, again waits anew and restart begins from the first step.", span(late)))
			}
		}
	case at.begun.IsZero():
		v.Ask.Prompt = fmt.Sprintf("Wait %s: %s", span(step.Wait), step.Text)
		v.Hint = "wait begins it; cancel leaves the check and keeps what was read"
	default:
		w, _ := c.Wait()
		v.Wait = &w
		v.Ask.Prompt = fmt.Sprintf("%s: %s of %s left", step.Text, span(w.Left), span(w.Whole))
		v.Hint = "anything else can be entered meanwhile; early goes on before its time, again begins the wait anew"
	}
	return v
}

// orNothing says how a value is left out that the reading is not made of.
func orNothing(def *knowledge.Check, t *knowledge.Take) string {
	if def.Makes(t.Name) {
		return ""
	}
	return "; " + noMark + " if it is not read"
}

// graceAfter is how long after its end a wait is not spoken of.
func graceAfter(wait time.Duration) time.Duration { return max(time.Minute, wait/5) }

// texts are the steps in words between the stop before a step and the step.
func texts(steps []knowledge.Step, at int) []string {
	from := at
	for from > 0 && steps[from-1].Wait == 0 && steps[from-1].Take == nil {
		from--
	}
	var out []string
	for _, s := range steps[from:at] {
		out = append(out, s.Text)
	}
	return out
}

func (c *Case) placeName(at knowledge.Place) string {
	if at == (knowledge.Place{}) {
		return ""
	}
	return c.b.e.PlaceTitle(at)
}

func (c *Case) limitOf(t *knowledge.Take) *measure.Limit {
	if l := c.b.e.Sheet().Limit(t.Limit.ID); l != nil {
		return &l.Of
	}
	return nil
}

// tookWords says what has been read on the way.
func (c *Case) tookWords(def *knowledge.Check, u *underway) []string {
	if u == nil {
		return nil
	}
	var out []string
	for i, s := range def.Steps {
		var parts []string
		for _, at := range c.b.about[c.asked.action].places {
			if t := u.values[valueAt{i, placeKey(at)}]; t != nil {
				parts = append(parts, strings.TrimSpace(c.placeName(at)+" "+t.words()))
			}
		}
		if len(parts) > 0 {
			out = append(out, s.Text+": "+strings.Join(parts, ", "))
		}
	}
	return out
}

func (t *took) words() string {
	s := t.Typed
	if s == noMark {
		return "not read"
	}
	if t.Waited > 0 {
		s += ", " + span(time.Duration(t.Waited*float64(time.Second))) + " after the wait began"
	}
	if t.Verdict != "" {
		s += " (" + t.Verdict + "; limit " + t.Limit + ")"
	}
	return s
}

// span writes a length of time as people say it: "5 min", "4 min 10 s", "2 h".
func span(d time.Duration) string {
	d = d.Round(time.Second)
	h, m, s := int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60
	var parts []string
	if h > 0 {
		parts = append(parts, fmt.Sprintf("%d h", h))
	}
	if m > 0 {
		parts = append(parts, fmt.Sprintf("%d min", m))
	}
	if (s > 0 || len(parts) == 0) && h == 0 {
		parts = append(parts, fmt.Sprintf("%d s", s))
	}
	return strings.Join(parts, " ")
}

// answerStep takes a line as what a step asks for.
func (c *Case) answerStep(ctx context.Context, line string, def *knowledge.Check, at stop) (View, error) {
	step := def.Steps[at.step]
	switch {
	case step.Take != nil:
		return c.takeValue(ctx, line, def, at)
	case at.begun.IsZero():
		return c.wrong("The wait has not been begun: %s. wait begins it.", step.Text), nil
	}
	w, _ := c.Wait()
	return c.wrong("%s of %s are left. early goes on before its time, and the record says so.", capital(span(w.Left)), span(w.Whole)), nil
}

// takeValue records a value read on the way.
func (c *Case) takeValue(ctx context.Context, line string, def *knowledge.Check, at stop) (View, error) {
	t := def.Steps[at.step].Take
	odd := c.asked.oddValue
	kept := odd != "" && isKept(line, odd)
	if kept {
		line = odd
	}
	places := []knowledge.Place{at.place}
	typed := line
	q, err := quantity.ParseFor(line, t.In.Dimension())
	if err != nil {
		if at, rest := c.placedAmong(line, at.place); rest != line {
			if x, fault := quantity.ParseFor(rest, t.In.Dimension()); fault == nil || rest == noMark {
				places, typed, q, err = at, rest, x, fault
			}
		}
	}
	if typed == noMark {
		if def.Makes(t.Name) {
			return c.wrong("The reading of this check is made of this value; skip leaves the whole check out."), nil
		}
		return c.recordStep(ctx, stepped{Step: at.step, Took: &took{Name: t.Name, Title: def.Steps[at.step].Text, Place: placeKey(places[0]), Typed: noMark}})
	}
	if err != nil {
		return c.wrong("%s.", strings.TrimSuffix(capital(err.Error()), ".")), nil
	}
	value, with, err := c.taken(t, q)
	if err != nil {
		return c.wrong("%s.", strings.TrimSuffix(capital(err.Error()), ".")), nil
	}
	if v, ask := c.outside(t, q, value); ask && !kept {
		c.asked.oddValue = line
		return v, nil
	}
	c.asked.oddValue = ""
	rec := &took{Name: t.Name, Title: def.Steps[at.step].Text, Place: placeKey(places[0]), Typed: typed,
		Unit: t.In.Code(), Value: value.Value, Uncertainty: value.U, Instrument: with}
	if value.Shares() {
		rec.Components = value.Components
	}
	u := c.underway()
	if i := u.lastWait(def.Steps, at.step); i >= 0 {
		rec.Waited = c.log.Now().Sub(u.waits[i].at).Round(time.Second).Seconds()
	}
	if l := c.limitOf(t); l != nil {
		if verdict, err := measure.Judge(value, *l); err == nil {
			rec.Verdict, rec.Limit = verdict.State.String(), l.String()
		}
	}
	return c.recordStep(ctx, stepped{Step: at.step, Took: rec})
}

// placedAmong takes a place off an answer; without one it is for the place asked
// about.
func (c *Case) placedAmong(line string, at knowledge.Place) ([]knowledge.Place, string) {
	all := c.asked.places
	c.asked.places = append([]knowledge.Place{at}, slices.DeleteFunc(slices.Clone(c.b.about[c.asked.action].places), func(p knowledge.Place) bool { return p == at })...)
	for _, word := range []string{"on ", "at "} {
		line = strings.TrimPrefix(line, word)
	}
	places, rest := c.placed(line)
	if words := strings.Fields(line); rest == line && len(words) > 1 && words[0] == at.Member {
		rest = strings.Join(words[1:], " ") // the only place, named all the same
	}
	c.asked.places = all
	return places[:1], rest
}

// taken is a value as a measurement in the check's unit, with the instrument chosen
// for its kind, or as the check assumes.
func (c *Case) taken(t *knowledge.Take, q quantity.Quantity) (r measure.Reading, with string, err error) {
	q, err = q.To(t.In)
	if err != nil {
		return r, "", err
	}
	in := measure.Instrument{Noise: t.Uncertainty.Quantity}
	if x, ok := c.s.using[t.In.Dimension()]; ok {
		with = x.Title
		if in, err = x.Figures.Instrument(x.Title, t.In); err != nil {
			return r, "", err
		}
	}
	r, err = measure.Take(in, q)
	return r, with, err
}

// reading is the value as it was recorded.
func (t *took) reading(unit measure.Unit) measure.Reading {
	r := measure.Reading{Raw: []quantity.Quantity{{Text: t.Typed, Value: t.Value, Unit: unit}}, Components: t.Components}
	r.Value, r.U, r.Unit = t.Value, t.Uncertainty, unit
	return r
}

// outside asks for a value again that is outside of what can be read there at all.
func (c *Case) outside(t *knowledge.Take, q quantity.Quantity, value measure.Reading) (View, bool) {
	can := func(x float64) bool {
		lowest, err := t.Lowest.In(t.In)
		below := err == nil && !t.Lowest.Unit.IsZero() && x < lowest
		highest, err := t.Highest.In(t.In)
		above := err == nil && !t.Highest.Unit.IsZero() && x > highest
		return !below && !above
	}
	if can(value.Value) {
		return View{}, false
	}
	var likely []quantity.Quantity
	for _, s := range slips(q, t.In.Dimension()) {
		if x, err := s.In(t.In); err == nil && can(x) {
			likely = append(likely, s)
		}
	}
	return c.askSlip(q.Text+" is outside of what can be expected here, and is not recorded yet.", likely), true
}

// recordStep records a step of the check that is asked, and goes on.
func (c *Case) recordStep(ctx context.Context, rec stepped) (View, error) {
	p := c.asked
	scope := c.b.scope(p.action)
	rec.Check, rec.Scope, rec.Fresh = scope.check, scope.place, p.fresh
	if !p.paid {
		m, _, err := c.b.openings.Reach(c.s.open, &c.b.actions[p.action])
		if err != nil {
			return View{}, err
		}
		rec.Minutes, rec.Advised = m+c.labour(p.action, nil), c.moved
	}
	if err := c.record(ctx, kindStep, rec); err != nil {
		return View{}, err
	}
	p.paid, p.fresh, c.moved = true, false, ""
	if _, _, ok := c.proceeding(); ok {
		return c.ask(), nil
	}
	return c.steppedThrough(ctx)
}

// steppedThrough goes on when all steps are done: to the reading that they make, or
// to what remains to be asked.
func (c *Case) steppedThrough(ctx context.Context) (View, error) {
	def := c.check(c.asked.action)
	if def.Reading == nil || def.Reading.Derive == nil {
		return c.ask(), nil
	}
	return c.derive(ctx, def)
}

// derive makes the readings out of the values of the steps, and records them.
func (c *Case) derive(ctx context.Context, def *knowledge.Check) (View, error) {
	p := c.asked
	about := c.b.about[p.action]
	u := c.underway()
	var results []answer
	for _, at := range about.places {
		use := c.readingUse(at)
		rec, err := derived(def, use, u, at)
		if err != nil {
			v := c.wrong("%s.", strings.TrimSuffix(capital(err.Error()), "."))
			v.Hint = "undo takes the last value back; restart begins the check anew"
			return v, nil
		}
		if _, far := use.Model.Questionable(rec.Corrected, rec.Uncertainty); far && !p.kept && !use.Record {
			v := c.askWhole(View{Kind: "ask", Ask: &Ask{Title: about.title}}, def)
			said := strings.TrimSpace(c.placeName(at) + " " + rec.Typed)
			v.Text = append([]string{capital(said) + " is far from anything that a sound or a faulty part shows, and is not recorded yet."}, v.Text...)
			return v, nil
		}
		results = append(results, answer{Place: placeKey(at), Reading: rec})
	}
	return c.settleReadings(ctx, results)
}

// askWhole asks whether what has been read is to make the reading.
func (c *Case) askWhole(v View, def *knowledge.Check) View {
	v.Text = append(v.Text, c.tookWords(def, c.underway())...)
	v.Ask.Prompt = "Is that what was read?"
	v.Hint = "yes makes the reading of it; undo takes the last value back; restart begins the check anew"
	return v
}

// answerWhole takes the answer to askWhole.
func (c *Case) answerWhole(ctx context.Context, line string, def *knowledge.Check) (View, error) {
	if !isKept(line, "yes") {
		return c.wrong("All values are read. yes makes the reading of them; undo takes the last one back."), nil
	}
	c.asked.kept = true
	return c.derive(ctx, def)
}

// derived is the reading at one place that the values of the steps make.
func derived(def *knowledge.Check, use knowledge.ReadingUse, u *underway, at knowledge.Place) (*reading, error) {
	var from []measure.Reading
	out := &reading{}
	var said []string
	for _, name := range def.Reading.Derive.From {
		i := slices.IndexFunc(def.Steps, func(s knowledge.Step) bool { return s.Take != nil && s.Take.Name == name.ID })
		t := u.values[valueAt{i, placeKey(at)}]
		from = append(from, t.reading(def.Steps[i].Take.In))
		said = append(said, t.Typed)
	}
	r, err := measure.Derive(def.Reading.Derive.How, from...)
	if err != nil {
		return nil, err
	}
	if r, err = r.In(use.Unit); err != nil {
		return nil, err
	}
	out.Typed = fmt.Sprintf("%s of %s: %s", def.Reading.Derive.How, strings.Join(said, " and "), quantity.Format(r.Value, use.Unit, 3))
	out.Unit, out.Value = use.Unit.Code(), r.Value
	for i, s := range def.Steps {
		if s.Take != nil {
			if t := u.values[valueAt{i, placeKey(at)}]; t != nil {
				out.Took = append(out.Took, *t)
			}
		}
	}
	return out, out.judge(use, r)
}

// WaitVerb is the verb that begins a wait.
const WaitVerb = "wait"

// The verbs of timed checks.

func (c *Case) doWait(ctx context.Context, _ string) (View, error) {
	def, at, ok := c.proceeding()
	switch {
	case !ok || def.Steps[at.step].Wait == 0:
		return c.noWait(), nil
	case !at.begun.IsZero():
		return c.ask(), nil
	}
	return c.recordStep(ctx, stepped{Step: at.step})
}

func (c *Case) noWait() View {
	return c.wrong("Nothing is to be waited for; a timed check says when wait begins.")
}

func (c *Case) doEarly(ctx context.Context, _ string) (View, error) {
	_, at, ok := c.proceeding()
	if !ok || at.begun.IsZero() {
		return c.noWait(), nil
	}
	return c.recordStep(ctx, stepped{Step: at.step, Early: true})
}

// doAgain begins the last wait anew, where nothing has been read since.
func (c *Case) doAgain(ctx context.Context, _ string) (View, error) {
	def, at, ok := c.proceeding()
	if !ok {
		return c.noWait(), nil
	}
	u := c.underway()
	step := at.step
	if at.begun.IsZero() {
		step = u.lastWait(def.Steps, at.step)
	}
	if step < 0 {
		return c.noWait(), nil
	}
	for i := step; i < len(def.Steps); i++ {
		for _, p := range c.b.about[c.asked.action].places {
			if u.values[valueAt{i, placeKey(p)}] != nil {
				return c.wrong("Values have been read since that wait; undo takes them back, restart begins the check anew."), nil
			}
		}
	}
	return c.recordStep(ctx, stepped{Step: step})
}

// doRestart begins the check that is asked from its first step.
func (c *Case) doRestart(_ context.Context, _ string) (View, error) {
	if c.asked == nil || !c.check(c.asked.action).Timed() {
		return c.wrong("No timed check is being asked."), nil
	}
	p := c.asked
	p.fresh, p.resumed, p.oddValue, p.kept = true, false, "", false
	return c.ask(), nil
}
