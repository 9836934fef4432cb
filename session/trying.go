package session

import (
	"context"
	"slices"
	"strings"

	"narrows/faulttree/plan"
	"narrows/knowledge"
)

// Seeing the complaint for oneself, where it has only been told of.

// seeIt names the action.
const seeIt = "see_it"

// told lists the symptoms of the complaint that nobody has seen or tried yet.
func (c *Case) told() []string {
	var out []string
	for _, st := range c.s.stated {
		if st.State == "present" && !st.Verified && !c.s.unseen[st.Symptom] {
			out = append(out, st.Symptom)
		}
	}
	return out
}

// tryBarred says why the complaint cannot be tried as it was told.
func (c *Case) tryBarred() string {
	work := &knowledge.Work{Engine: knowledge.Running, Sites: c.b.e.Pack().Recheck.Sites}
	switch {
	case c.s.complaint == nil:
		return "no complaint has been told of"
	case len(c.told()) == 0:
		return "it has been seen or tried"
	case c.s.belief.Stage() > 0:
		return "something has been repaired since it was told of"
	case c.lacks(work) != "":
		return c.lacks(work)
	}
	return c.misplaced(work)
}

// startTry asks for the complaint to be tried.
func (c *Case) startTry(action int) View {
	c.noteChoice(action)
	c.trying = true
	v := View{Kind: "try", Ask: &Ask{Title: capital(c.b.about[action].title), Prompt: "Does it show?"}}
	for _, id := range c.told() {
		v.Ask.Steps = append(v.Ask.Steps, "bring it about, in the regime and load that were told of: "+c.symptomTitle(id))
	}
	if access := c.accessWords(action); access != "" {
		v.Text = append(v.Text, access)
	}
	v.Hint = "seen (all of it); seen SYMPTOM, for a part of it; unseen, if it did not show"
	return v
}

// tried is the minutes of a try that is being recorded, and what was advised
// first instead of it; nothing of the kind if what was seen was seen by the way.
func (c *Case) tried() (minutes float64, advised string) {
	if !c.trying {
		return 0, ""
	}
	advised, c.trying, c.moved = c.moved, false, ""
	return c.retryMinutes(), advised
}

// doUnseen records that the complaint was tried and did not show. It may be there
// all the same.
func (c *Case) doUnseen(ctx context.Context, words string) (View, error) {
	ids := c.told()
	if words != "" {
		id, v := c.symptom(words)
		if id == "" {
			return v, nil
		}
		if !slices.Contains(ids, id) {
			return c.wrong("%s is not in the complaint as it was told, or has been seen or tried before.", capital(c.symptomTitle(id))), nil
		}
		ids = []string{id}
	}
	switch {
	case len(ids) == 0:
		return c.wrong("Nothing in the complaint is still to be seen; after a repair say gone or still."), nil
	case c.s.belief.Stage() > 0:
		return c.wrong("Something has been repaired since the complaint was told of; say gone or still."), nil
	}
	before, err := c.suspects()
	if err != nil {
		return View{}, err
	}
	if !c.trying { // it was not picked, and has been tried all the same
		c.trying, c.moved = true, ""
	}
	p := unseen{Symptoms: ids}
	p.Minutes, p.Advised = c.tried()
	if err := c.record(ctx, kindUnseen, p); err != nil {
		return View{}, err
	}
	v, err := c.after(ctx, before)
	v.Text = append([]string{"Not seen at one try: it may come and go. Cold, warm, under load, as the owner has it; then go on, or close the case as not reproduced."}, v.Text...)
	return v, err
}

// see adds the action to the bench.
func (b *bench) see() {
	r := b.e.Pack().Recheck
	title := "see the complaint for yourself"
	b.add(plan.Action{Kind: plan.Try, Name: title, Minutes: r.Minutes, Running: true, Shows: r.Shows}, actionAbout{id: seeIt, title: title})
}

// unseenWords says an entry of that kind.
func (c *Case) unseenWords(u unseen) string {
	var titles []string
	for _, id := range u.Symptoms {
		titles = append(titles, c.symptomTitle(id))
	}
	return "tried and not seen: " + strings.Join(titles, ", ")
}
