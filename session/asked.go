package session

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"narrows/faulttree/plan"
	"narrows/knowledge"
)

// pending is a check whose answer is awaited, place by place. What has been
// answered is in the journal already; a case that is left in the middle of a
// check loses only the question.
type pending struct {
	action  int
	places  []knowledge.Place // not answered yet, in order
	read    *pendingReading   // a reading whose corrections are being asked
	before  []Suspect         // as the check began, to say what it changed
	odd     *pendingReading   // a reading that is questioned
	oddWith string            // what a correction rests on, that is questioned
	paid    bool              // its minutes are in the journal
	warned  bool              // its cautions have been shown

	// of a timed check
	fresh    bool   // the next step begins it anew
	resumed  bool   // it is taken up where it was left, to be said once
	oddValue string // a value that is questioned
	kept     bool   // what its values make was questioned, and is to stand
}

// start begins an action that was picked.
func (c *Case) start(ctx context.Context, action int) (View, error) {
	a := c.b.actions[action]
	c.trying = false
	switch a.Kind {
	case plan.Try:
		return c.startTry(action), nil
	case plan.Repair:
		return c.startRepair(ctx, action)
	case plan.HandOn:
		return c.wrong("Handing the job on ends the case here; to do so: close handed on to ..."), nil
	}
	if _, _, err := c.b.openings.Reach(c.s.open, &a); err != nil {
		return c.wrong("%s cannot be done: %v.", capital(c.b.about[action].title), err), nil
	}
	before, err := c.suspects()
	if err != nil {
		return View{}, err
	}
	about := c.b.about[action]
	c.StopRanking() // numbers are answers from here on
	c.asked = &pending{action: action, before: before}
	for _, p := range about.places {
		if _, done := c.s.done[checkAt{about.id, placeKey(p)}]; !done {
			c.asked.places = append(c.asked.places, p)
		}
	}
	if len(c.asked.places) == 0 { // done before: all of it is done again
		c.asked.places = slices.Clone(about.places)
	}
	c.joinRun()
	c.noteChoice(action)
	return c.ask(), nil
}

// noteChoice remembers what was advised first when something else is chosen,
// so that the record shows both.
func (c *Case) noteChoice(action int) {
	c.moved = ""
	if c.offer != nil && len(c.offer.actions) > 0 && c.offer.actions[0] != action {
		c.moved = c.b.about[c.offer.actions[0]].title
	}
}

// ask shows the question that stands.
func (c *Case) ask() View {
	p := c.asked
	about := c.b.about[p.action]
	v := View{Kind: "ask"}
	if !p.warned {
		p.warned = true
		v.Cautions = c.cautions(about.work)
		if lines(v.Cautions) > inlineCautions {
			// A screen of their own: they are to be read, not scrolled past.
			return View{Kind: "caution", Cautions: v.Cautions, Hint: "read these; Enter goes on to: " + about.title}
		}
	}
	c.thinkAnswered()
	v.Ask = &Ask{Title: about.title}
	if !p.paid { // the steps are the same at every place
		v.Ask.Steps = about.work.Texts()
	}
	def := c.check(p.action)
	at := c.placeName(p.places[0])
	if why := c.misplaced(about.work); why != "" {
		v.Text = append(v.Text, capital(why)+".")
	}
	if access := c.accessWords(p.action); access != "" {
		v.Text = append(v.Text, access)
	}
	if steps, at, ok := c.proceeding(); ok {
		return c.askStep(v, steps, at)
	}
	if def.Timed() {
		v.Ask.Steps = texts(def.Steps, len(def.Steps))
	}
	switch {
	case def.Reading != nil && def.Reading.Derive != nil:
		return c.askWhole(v, def)
	case p.read != nil:
		v.Ask.Prompt, v.Hint = c.correctionAsk(p.read.missing(c.readingUse(placeOf(p.read.place))))
	case def.Reading != nil:
		use := c.readingUse(p.places[0])
		v.Ask.Prompt = "Reading" + prefixed(" at ", at) + ", in " + c.shownIn(use.Unit).Symbol() + " or any unit of the kind"
		if use.Limit != nil {
			v.Text = append(v.Text, "Sheet: "+c.limitWords(*use.Limit))
		}
		if use.Record {
			v.Text = append(v.Text, "Sheet: it gives no nominal value, so that readings are for the record and tell nothing of faults")
		}
		v.Text = append(v.Text, c.assumedWords(p.action, use))
		v.Text = append(v.Text, c.aroundWords(use)...)
		v.Hint = "type it as you would say it: " + use.Quantity.Example() + answerPlaces(p.places)
	default:
		for _, o := range def.Outcomes {
			v.Ask.Choices = append(v.Ask.Choices, o.Title)
		}
		v.Ask.Prompt = "What does it show" + prefixed(" at ", at) + "?"
		v.Hint = "a number or words" + answerPlaces(p.places) + "; cancel leaves the check"
	}
	return v
}

func prefixed(prefix, s string) string {
	if s == "" {
		return ""
	}
	return prefix + s
}

func answerPlaces(places []knowledge.Place) string {
	if len(places) < 2 {
		return ""
	}
	return fmt.Sprintf("; another place first: %s %s ...; one answer for all: all ...", places[1].Set, places[1].Member)
}

// check is the definition behind a check action.
func (c *Case) check(action int) *knowledge.Check {
	u, _ := c.b.e.CheckByID(c.b.actions[action].Checks[0])
	return u.Def
}

// inlineCautions is how many lines of cautions fit above a check's question.
const inlineCautions = 4

// lines is about how many lines of a screen the cautions take.
func lines(cs []CautionView) int {
	n := 0
	for _, k := range cs {
		n += 1 + (len(k.Title)+len(k.Text))/74
	}
	return n
}

// accessWords says what has to come off or go back on first.
func (c *Case) accessWords(action int) string {
	m, after, err := c.b.openings.Reach(c.s.open, &c.b.actions[action])
	if err != nil || m == 0 {
		return ""
	}
	var parts []string
	(after &^ c.s.open).Each(func(i int) { parts = append(parts, "open: "+c.b.openings[i].Name) })
	(c.s.open &^ after).Each(func(i int) { parts = append(parts, "put back: "+c.b.openings[i].Name) })
	return fmt.Sprintf("First (%s) %s.", minutes(m), strings.Join(parts, "; "))
}

// cautions are those that the work needs and no earlier work of this case has
// shown.
func (c *Case) cautions(w *knowledge.Work) []CautionView {
	if w == nil {
		return nil
	}
	var out []CautionView
	for _, r := range w.Cautions {
		if def, ok := c.b.e.Snapshot().Caution(r.ID); ok && !c.shown(r.ID) {
			out = append(out, CautionView{def.Title, def.Text})
		}
	}
	return out
}

// shown tells whether work that needs the caution has been recorded before.
func (c *Case) shown(caution string) bool {
	for _, w := range c.worked() {
		for _, r := range w.Cautions {
			if r.ID == caution {
				return true
			}
		}
	}
	return false
}

// answer takes a line as the answer to the check that is asked.
func (c *Case) answer(ctx context.Context, line string) (View, error) {
	p := c.asked
	if p.read != nil {
		return c.answerCorrection(ctx, line)
	}
	if def, at, ok := c.proceeding(); ok {
		return c.answerStep(ctx, line, def, at)
	}
	if r := c.check(p.action).Reading; r != nil {
		if r.Derive != nil {
			return c.answerWhole(ctx, line, c.check(p.action))
		}
		return c.answerReading(ctx, line)
	}
	places, rest := c.placed(line)
	i, v := c.outcome(c.check(p.action), rest)
	if i < 0 {
		return v, nil
	}
	id := c.check(p.action).Outcomes[i].ID
	var results []answer
	for _, at := range places {
		results = append(results, answer{Place: placeKey(at), Outcome: id})
	}
	return c.settle(ctx, places, results)
}

// placed takes a place, or "all", off the front or the end of an answer;
// without one the answer is for the place asked about.
func (c *Case) placed(line string) ([]knowledge.Place, string) {
	p := c.asked
	words := strings.Fields(line)
	if len(words) > 1 && (strings.EqualFold(words[0], "all") || strings.EqualFold(words[0], "others")) {
		return slices.Clone(p.places), strings.Join(words[1:], " ")
	}
	about := c.b.about[p.action]
	if len(about.places) > 1 {
		for n := min(3, len(words)-1); n > 0; n-- {
			if at, ok := c.placeIn(strings.Join(words[:n], " "), about.places); ok {
				return []knowledge.Place{at}, strings.Join(words[n:], " ")
			}
			if at, ok := c.placeIn(strings.TrimPrefix(strings.Join(words[len(words)-n:], " "), "on "), about.places); ok && n > 1 {
				return []knowledge.Place{at}, strings.Join(words[:len(words)-n], " ")
			}
		}
	}
	return p.places[:1:1], line
}

// placeIn reads a place that is one of the given ones.
func (c *Case) placeIn(words string, among []knowledge.Place) (knowledge.Place, bool) {
	at, err := c.b.e.ParsePlace(words, among[0].Set)
	return at, err == nil && slices.Contains(among, at)
}

// outcome finds the outcome that an answer names by number, words or place in
// the list.
func (c *Case) outcome(def *knowledge.Check, words string) (int, View) {
	if n, err := strconv.Atoi(strings.TrimSpace(words)); err == nil {
		if n >= 1 && n <= len(def.Outcomes) {
			return n - 1, View{}
		}
		return -1, c.wrong("This check has the outcomes 1 to %d.", len(def.Outcomes))
	}
	var ns []named
	for _, o := range def.Outcomes {
		ns = append(ns, named{o.ID, o.Title})
	}
	switch found := choose(words, ns); len(found) {
	case 1:
		return found[0], View{}
	case 0:
		return -1, c.wrong("%q is no outcome of this check.", words)
	default:
		return -1, c.wrong("%q fits more than one outcome; give its number.", words)
	}
}

// settle records answers and goes to the next place, or shows what the check
// changed.
func (c *Case) settle(ctx context.Context, places []knowledge.Place, results []answer) (View, error) {
	p := c.asked
	rec := checked{Check: c.b.about[p.action].id, Results: results, Advised: c.moved}
	if !p.paid {
		m, _, err := c.b.openings.Reach(c.s.open, &c.b.actions[p.action])
		if err != nil {
			return View{}, err
		}
		rec.Minutes = m + c.labour(p.action, nil)
	}
	if err := c.record(ctx, kindCheck, rec); err != nil {
		return View{}, err
	}
	p.paid, c.moved, p.read = true, "", nil
	p.places = slices.DeleteFunc(p.places, func(at knowledge.Place) bool { return slices.Contains(places, at) })
	if len(p.places) > 0 {
		return c.ask(), nil
	}
	before := p.before
	c.asked = nil
	return c.after(ctx, before)
}

// after shows what an entry changed, and what to do next.
func (c *Case) after(ctx context.Context, before []Suspect) (View, error) {
	v, err := c.whatNext(ctx)
	if err != nil {
		return v, err
	}
	v.Changed, err = c.changes(before)
	return v, err
}

func (c *Case) doCancel(ctx context.Context, _ string) (View, error) {
	if c.asked == nil && !c.trying {
		return c.wrong("No check is being asked."), nil
	}
	c.asked, c.trying = nil, false
	return c.here(ctx)
}

// doCheck starts any check by name.
func (c *Case) doCheck(ctx context.Context, words string) (View, error) {
	if _, err := strconv.Atoi(words); err == nil {
		if err := c.await(ctx); err != nil {
			return View{}, err
		}
	}
	action, v := c.action(plan.Check, words)
	if action < 0 {
		return v, nil
	}
	return c.start(ctx, action)
}

// action finds a check or repair by a number of the list, or by words and
// place.
func (c *Case) action(k plan.Kind, words string) (int, View) {
	if n, err := strconv.Atoi(words); err == nil && c.list() != nil && n >= 1 && n <= len(c.list().actions) {
		if i := c.list().actions[n-1]; c.b.actions[i].Kind == k {
			return i, View{}
		}
	}
	name, at, hasPlace := c.cutPlace(words)
	var ns []named
	var of []int
	for i, a := range c.b.about {
		if c.b.actions[i].Kind != k || c.b.actions[i].Again != nil || hasPlace && !slices.Contains(a.places, at) {
			continue
		}
		ns = append(ns, named{a.id, a.title})
		of = append(of, i)
	}
	found := choose(name, ns)
	switch {
	case len(found) == 1:
		return of[found[0]], View{}
	case len(found) == 0:
		return -1, c.wrong("No %s of this pack fits %q.", k, words)
	}
	v := c.wrong("%q fits more than one %s.", words, k)
	for _, f := range found[:min(8, len(found))] {
		v.Text = append(v.Text, ns[f].title)
	}
	v.Hint = "say more of its name, or its place"
	return -1, v
}

// cutPlace takes a place off the end of words: "wet plug on 2", "float height
// carb 3". A bare number needs "on" or "at" before it.
func (c *Case) cutPlace(words string) (rest string, at knowledge.Place, ok bool) {
	fields := strings.Fields(words)
	for n := min(3, len(fields)-1); n > 0; n-- {
		tail := fields[len(fields)-n:]
		head := fields[:len(fields)-n]
		if n > 1 && (tail[0] == "on" || tail[0] == "at" || tail[0] == "of") {
			tail = tail[1:]
		} else if n == 1 && !strings.Contains(tail[0], ":") {
			continue
		}
		if at, ok := c.anyPlace(strings.Join(tail, " ")); ok {
			return strings.Join(head, " "), at, true
		}
	}
	return words, knowledge.Place{}, false
}

// anyPlace reads a place of any set; where several sets have the member the
// first of the pack is meant, and related places are tried by the caller.
func (c *Case) anyPlace(words string) (knowledge.Place, bool) {
	if at, err := c.b.e.ParsePlace(words); err == nil {
		return at, true
	}
	for _, s := range c.b.e.Pack().Sets {
		if at, err := c.b.e.ParsePlace(words, s.ID); err == nil {
			return at, true
		}
	}
	return knowledge.Place{}, false
}
