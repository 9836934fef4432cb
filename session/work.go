package session

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
	"narrows/knowledge"
	"narrows/symptoms"
)

// worked lists the checks and repairs recorded so far.
func (c *Case) worked() []*knowledge.Work {
	var out []*knowledge.Work
	for _, e := range c.s.effective {
		switch e.Kind {
		case kindCheck:
			var p checked
			if json.Unmarshal(e.Payload, &p) == nil {
				if def, ok := c.b.e.Snapshot().Check(p.Check); ok {
					out = append(out, &def.Work)
				}
			}
		case kindRepair:
			var p repaired
			if json.Unmarshal(e.Payload, &p) == nil {
				if def, ok := c.b.e.Snapshot().Repair(p.Repair); ok {
					out = append(out, &def.Work)
				}
			}
		}
	}
	return out
}

// doSkip leaves a check out, with the reason.
func (c *Case) doSkip(ctx context.Context, rest string) (View, error) {
	action := -1
	if first, reason, _ := strings.Cut(rest, " "); rest == "" {
		switch {
		case c.asked != nil:
			action = c.asked.action
		case c.offer != nil && len(c.offer.actions) > 0:
			action = c.offer.actions[0]
		}
	} else if n, err := strconv.Atoi(first); err == nil {
		if c.offer != nil && n >= 1 && n <= len(c.offer.actions) {
			action, rest = c.offer.actions[n-1], reason
		}
	} else {
		a, v := c.action(plan.Check, rest)
		if a < 0 {
			return v, nil
		}
		action, rest = a, ""
	}
	if action < 0 || c.b.actions[action].Kind != plan.Check {
		return c.wrong("Which check? Give its number in the list, or its name."), nil
	}
	c.asked = nil
	for _, at := range c.b.about[action].places {
		if err := c.record(ctx, kindSkipped, skipped{c.b.about[action].id, placeKey(at), rest}); err != nil {
			return View{}, err
		}
	}
	return c.doNext(ctx, "")
}

// doNoticed enters something seen without a check: an event of the pack, or
// what a check would have shown.
func (c *Case) doNoticed(ctx context.Context, words string) (View, error) {
	if words == "" {
		return c.wrong("Noticed what? For instance: noticed earth strap loose; noticed wet plug on 2."), nil
	}
	before, err := c.suspects()
	if err != nil {
		return View{}, err
	}
	name, at, hasPlace := c.cutPlace(words)
	finds := c.noticeable(at, hasPlace)
	var ns []named
	for _, f := range finds {
		ns = append(ns, named{f.id, f.title})
	}
	found := choose(name, ns)
	switch {
	case len(found) == 0:
		return c.wrong("Nothing that this pack knows fits %q; note WORDS writes it into the record all the same.", words), nil
	case len(found) > 1:
		v := c.wrong("%q fits more than one thing.", words)
		for _, i := range found[:min(8, len(found))] {
			v.Text = append(v.Text, ns[i].title)
		}
		v.Hint = "say more of it, with its place: noticed " + ns[found[0]].title
		return v, nil
	}
	return c.enterNoticed(ctx, finds[found[0]], words, before)
}

// noticeable things are events, and outcomes of checks.
type noticeableThing struct {
	id, title string
	event     ft.Event
	check     *knowledge.CheckUse
	outcome   string
}

func (c *Case) noticeable(at knowledge.Place, hasPlace bool) []noticeableThing {
	var out []noticeableThing
	m := c.b.e.Model()
	for e := range ft.Event(m.Len()) {
		d := c.b.e.Describe(e)
		if d.Kind == knowledge.KindSymptom || !c.placeFits(d.Place, at, hasPlace) {
			continue
		}
		out = append(out, noticeableThing{id: d.ID, title: d.Title, event: e})
	}
	for _, u := range c.b.e.Checks() {
		if !c.placeFits(u.Place, at, hasPlace) {
			continue
		}
		for _, o := range u.Def.Outcomes {
			out = append(out, noticeableThing{id: u.Def.ID + " " + o.ID, title: u.Title + ": " + o.Title, event: ft.None, check: &u, outcome: o.ID})
		}
	}
	return out
}

// placeFits tells whether a thing stands where the words say: there, or at a
// place that serves it or is served by it under the same name.
func (c *Case) placeFits(of, said knowledge.Place, hasPlace bool) bool {
	if !hasPlace {
		return true
	}
	return of == said || of.Member == said.Member && slices.Contains(c.b.e.Related(said, of.Set), of)
}

func (c *Case) enterNoticed(ctx context.Context, f noticeableThing, words string, before []Suspect) (View, error) {
	var err error
	if f.check != nil {
		err = c.record(ctx, kindCheck, checked{Check: f.check.Def.ID, Results: []answer{{Place: placeKey(f.check.Place), Outcome: f.outcome}}})
	} else {
		d := c.b.e.Describe(f.event)
		err = c.record(ctx, kindNoticed, noticed{Event: d.ID, Place: placeKey(d.Place), Present: true, Words: words})
	}
	if err != nil {
		return View{}, err
	}
	v, err := c.after(ctx, before)
	v.Text = append([]string{"Noticed: " + f.title + "."}, v.Text...)
	if err == nil && f.event != ft.None {
		v.Text = append(v.Text, c.accounts(f.event)...)
	}
	return v, err
}

// accounts says plainly whether a find explains the complaint, so that the
// search does not stop at the first thing found.
func (c *Case) accounts(e ft.Event) []string {
	b, err := c.beliefs()
	if err != nil || b.cures == nil {
		return nil
	}
	if _, isMode := c.b.e.Model().ModeOf(e); !isMode {
		return nil
	}
	p := b.cures.Mode(e)
	switch {
	case p < 0.10:
		return []string{fmt.Sprintf("It does not account for the complaint: putting it right alone would cure in %s. Put it right, and go on looking.", percent(p))}
	case p < 0.60:
		return []string{fmt.Sprintf("It may not be all: putting it right alone would cure in %s.", percent(p))}
	}
	return []string{fmt.Sprintf("It would account for the complaint: putting it right alone would cure in %s.", percent(p))}
}

// doFixed records a repair named by a suspect's number or by words.
func (c *Case) doFixed(ctx context.Context, words string) (View, error) {
	if words == "" {
		return c.wrong("Fixed what? Give a suspect's number (suspects lists them), or the repair's name."), nil
	}
	if n, err := strconv.Atoi(words); err == nil {
		list, err := c.suspects()
		if err != nil {
			return View{}, err
		}
		if n < 1 || n > len(list) {
			return c.wrong("The suspects have the numbers 1 to %d.", len(list)), nil
		}
		action := c.repairOf(ft.Event(list[n-1].id))
		if action < 0 {
			return c.wrong("The pack knows no repair for %s.", list[n-1].Title), nil
		}
		return c.startRepair(ctx, action)
	}
	action, v := c.action(plan.Repair, words)
	if action < 0 {
		if e := c.suspectNamed(words); e != ft.None {
			if a := c.repairOf(e); a >= 0 {
				return c.startRepair(ctx, a)
			}
		}
		return v, nil
	}
	return c.startRepair(ctx, action)
}

// repairOf is the cheapest repair that fixes an event.
func (c *Case) repairOf(e ft.Event) int {
	best := -1
	for i, a := range c.b.actions {
		if a.Kind != plan.Repair || !slices.Contains(c.b.e.Model().Repairs()[a.Repair].Fixes, e) {
			continue
		}
		if best < 0 || a.Minutes < c.b.actions[best].Minutes {
			best = i
		}
	}
	return best
}

// startRepair records a repair as made and asks for the complaint to be tried.
func (c *Case) startRepair(ctx context.Context, action int) (View, error) {
	a := c.b.actions[action]
	m, _, err := c.b.openings.Reach(c.s.open, &a)
	if err != nil {
		return c.wrong("%s cannot be done: %v.", capital(c.b.about[action].title), err), nil
	}
	b, err := c.beliefs()
	if err != nil {
		return View{}, err
	}
	cautions := c.cautions(c.b.about[action].work)
	rec := repaired{Repair: c.b.about[action].id, Place: placeKey(c.b.about[action].places[0]), Minutes: m + a.Minutes}
	if b.cures != nil {
		rec.Cure = b.cures.Repair(a.Repair)
	}
	c.asked, c.offer = nil, nil // what was offered was offered for the engine before the repair
	if err := c.record(ctx, kindRepair, rec); err != nil {
		return View{}, err
	}
	v := c.askRetry()
	v.Cautions = cautions
	v.Text = append([]string{fmt.Sprintf("Recorded: %s. Before it, its chance to cure alone was %s.", c.b.about[action].title, percent(rec.Cure))}, v.Text...)
	return v, nil
}

// askRetry asks for the complaint to be tried again.
func (c *Case) askRetry() View {
	v := View{Kind: "retry", Ask: &Ask{Title: "Try the complaint again, in the same regime and load", Prompt: "Is it gone?"}}
	for _, st := range c.s.stated {
		if st.State == "present" {
			v.Ask.Choices = append(v.Ask.Choices, st.Title)
		}
	}
	v.Hint = "gone; still (all of it); or what is left of it: still at idle. undo takes the repair back"
	return v
}

// retry answers the question whether the complaint is gone.
func (c *Case) retry(ctx context.Context, line string) (View, error) {
	switch strings.ToLower(line) {
	case "gone", "yes", "y", "cured":
		return c.doGone(ctx, "")
	case "still", "still there", "no", "n", "same", "no change":
		return c.doStill(ctx, "")
	}
	return c.doStill(ctx, line)
}

func (c *Case) doGone(ctx context.Context, _ string) (View, error) {
	if !c.s.untried {
		return c.wrong("Nothing has been repaired since the complaint was last tried."), nil
	}
	r := retried{Cured: true, Minutes: c.retryMinutes()}
	for _, id := range c.complained() {
		r.Symptoms = append(r.Symptoms, verified{id, false})
	}
	if err := c.record(ctx, kindRetried, r); err != nil {
		return View{}, err
	}
	v := View{Kind: "cured", Text: []string{"The complaint is gone after the repair."}}
	v.Hint = "close ends the case and writes the report; undo if it is not so"
	return v, nil
}

func (c *Case) retryMinutes() float64 {
	m, _, err := c.b.openings.Reach(c.s.open, &plan.Action{Running: true})
	if err != nil {
		m = 0
	}
	return m + c.b.e.Pack().Recheck.Minutes
}

// doStill records that the complaint persists, whole or in part.
func (c *Case) doStill(ctx context.Context, words string) (View, error) {
	if !c.s.untried {
		return c.wrong("Nothing has been repaired since the complaint was last tried."), nil
	}
	r := retried{Minutes: c.retryMinutes(), Words: words}
	left := c.leftOf(words)
	if len(left) == 0 {
		v := c.wrong("%q names nothing of the complaint that is still there.", words)
		v.Hint = "still (all of it); what of it is left: still stumbles at idle; or gone"
		return v, nil
	}
	for _, id := range c.complained() {
		// What is left is named; the rest of the complaint is gone then.
		r.Symptoms = append(r.Symptoms, verified{id, slices.Contains(left, id)})
	}
	before, err := c.suspects()
	if err != nil {
		return View{}, err
	}
	if err := c.record(ctx, kindRetried, r); err != nil {
		return View{}, err
	}
	return c.after(ctx, before)
}

// leftOf lists the symptoms of the complaint that the words say are still
// there; all of them if the words add nothing. A regime alone will do: "at
// idle" is what of the complaint is at idle.
func (c *Case) leftOf(words string) []string {
	all := c.complained()
	switch strings.ToLower(words) {
	case "", "there", "the same", "all", "all of it", "no change":
		return all
	}
	var left []string
	add := func(text string, only string) {
		for _, st := range c.b.e.Lexicon().Read(text).Standing() {
			if st.State == symptoms.Present && slices.Contains(all, st.Symptom) && (only == "" || only == st.Symptom) {
				left = append(left, st.Symptom)
			}
		}
	}
	add(words, "")
	if len(left) > 0 || len(c.b.e.Lexicon().Read(words).Standing()) > 0 {
		return left // none, if the words name another trouble
	}
	for _, id := range all {
		// With the trouble put before them the words must be understood whole:
		// "stumbles smells of fish" says nothing about stumbling.
		trouble, _, _ := strings.Cut(c.symptomTitle(id), " ")
		if text := trouble + " " + words; len(c.b.e.Lexicon().Read(text).Missed) == 0 {
			add(text, id)
		}
	}
	return left
}

func (c *Case) doOpen(ctx context.Context, words string) (View, error) {
	return c.access(ctx, words, true)
}

func (c *Case) doShut(ctx context.Context, words string) (View, error) {
	return c.access(ctx, words, false)
}

func (c *Case) access(ctx context.Context, words string, open bool) (View, error) {
	var ns []named
	for _, o := range c.b.e.Pack().Openings {
		ns = append(ns, named{o.ID, o.Title})
	}
	found := choose(words, ns)
	if len(found) != 1 {
		v := c.wrong("Which opening is meant by %q?", words)
		for _, n := range ns {
			v.Text = append(v.Text, n.title)
		}
		return v, nil
	}
	if c.s.open.Has(c.b.opening[ns[found[0]].id]) == open {
		return c.wrong("It is so already: %s.", ns[found[0]].title), nil
	}
	if err := c.record(ctx, kindAccess, access{ns[found[0]].id, open}); err != nil {
		return View{}, err
	}
	return c.here(ctx)
}

func (c *Case) doNote(ctx context.Context, words string) (View, error) {
	if words == "" {
		return c.wrong("Note what? note WORDS writes them into the record."), nil
	}
	if err := c.record(ctx, kindNote, note{words}); err != nil {
		return View{}, err
	}
	return View{Kind: "note", Text: []string{"Noted."}, Hint: "Enter goes on"}, nil
}

// doUndo takes back the last entry that still counts.
func (c *Case) doUndo(ctx context.Context, _ string) (View, error) {
	n := len(c.s.effective)
	if n == 0 || c.s.effective[n-1].Kind == kindOpened {
		return c.wrong("There is nothing to take back."), nil
	}
	last := c.s.effective[n-1]
	if err := c.record(ctx, kindUndo, undo{last.Seq}); err != nil {
		return View{}, err
	}
	c.asked = nil
	v, err := c.here(ctx)
	v.Text = append([]string{"Taken back: " + c.entryWords(last) + "."}, v.Text...)
	return v, err
}

func (c *Case) doClose(ctx context.Context, words string) (View, error) {
	if c.s.untried {
		v := c.askRetry()
		v.Error = "A repair has been made and the complaint not tried since; try it first."
		return v, nil
	}
	if err := c.record(ctx, kindClosed, closed{Cured: c.s.cured, Words: words}); err != nil {
		return View{}, err
	}
	c.asked = nil
	v := View{Kind: "closed", Done: true, Report: c.ID}
	v.Text = []string{"The case is closed."}
	if !c.s.cured {
		v.Text = []string{"The case is closed without a cure."}
	}
	return v, nil
}

func (c *Case) doQuit(context.Context, string) (View, error) {
	return View{Kind: "quit", Done: true, Text: []string{"Everything entered is kept; the case can be taken up again."}}, nil
}
