package session

import (
	"fmt"
	"strings"

	"narrows/faulttree/plan"
)

// reason says in a sentence or two why an option stands where it does, against
// the obvious other way: going straight to the repair that promises most.
func (c *Case) reason(o plan.Option, adv *plan.Advice) string {
	a := c.b.actions[o.Action]
	title := capital(c.b.about[o.Action].title)
	switch a.Kind {
	case plan.HandOn:
		return fmt.Sprintf("%s: %s all in all; the best plan of repairs expects %s.", title, minutes(o.Expected), minutes(adv.Base.Expected))
	case plan.Repair:
		s := fmt.Sprintf("%s: %s, and it ends the complaint in %s.", title, minutes(o.Minutes), percent(o.Cure))
		if len(o.Block) > 1 {
			s += " Before the complaint is tried: " + c.actionTitles(o.Block[1:]) + "."
		}
		return s
	}
	s := fmt.Sprintf("%s first: %s, and %s", title, minutes(o.Minutes), strings.TrimSpace(minutes(o.Saves)+" less to be expected than by repairing at once"))
	if o.Saves < 0.5 {
		s = fmt.Sprintf("%s: %s, and it changes no decision enough to be worth them", title, minutes(o.Minutes))
	}
	if len(adv.Base.Steps) > 0 {
		step := adv.Base.Steps[0]
		s += fmt.Sprintf("; %s now would cost %s and end the complaint in %s", lower(c.b.about[step.Action].title), minutes(step.Minutes), percent(step.Cure))
	}
	return s + "."
}

func (c *Case) actionTitles(actions []int) string {
	var out []string
	for _, a := range actions {
		out = append(out, c.b.about[a].title)
	}
	return strings.Join(out, "; ")
}

// results says what each outcome of an option would lead to.
func (c *Case) results(o plan.Option) []string {
	var out []string
	a := c.b.actions[o.Action]
	for _, r := range o.Outcomes {
		out = append(out, fmt.Sprintf("%s (%s): then %s, %s expected from there.", capital(c.resultTitle(a, r)), percent(r.P), lower(c.thenTitle(a, r)), minutes(r.Expected)))
	}
	return out
}

// explainOption answers next N: what an offered action would do, and why it
// stands where it does.
func (c *Case) explainOption(n int) View {
	list := c.list()
	if list == nil || list.advice == nil || n < 1 || n > len(list.actions) {
		return c.wrong("There is no number %d in the list; next shows it.", n)
	}
	o := list.advice.Options[n-1]
	v := View{Kind: "option", Text: []string{c.reason(o, list.advice)}}
	if s := c.costWords(o.Action); s != "" {
		v.Text = append(v.Text, s)
	}
	v.Text = append(v.Text, c.results(o)...)
	if len(o.Outcomes) == 0 && c.b.actions[o.Action].Kind == plan.Check {
		v.Text = append(v.Text, "Its outcomes were not looked into.")
	}
	v.Hint = fmt.Sprintf("%d does it; next shows the list again", n)
	return v
}
