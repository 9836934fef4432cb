package session

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
	"narrows/symptoms"
)

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
	rec := repaired{Repair: c.b.about[action].id, Place: placeKey(c.b.about[action].places[0]), Minutes: m + c.labour(action, b.post)}
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
	if why := c.notAt(c.b.e.Pack().Recheck.Sites); why != "" {
		v.Text = append(v.Text, capital(why)+", to be tried again; at PLACE says where it stands then.")
	}
	c.thinkStill()
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
		r.Symptoms = append(r.Symptoms, verified{Symptom: id})
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
		r.Symptoms = append(r.Symptoms, verified{Symptom: id, Present: slices.Contains(left, id)})
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
