package session

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
	"narrows/knowledge"
	"narrows/session/journal"
)

// percent writes a probability for people: never 0 % or 100 % where it is not
// certain.
func percent(p float64) string {
	switch {
	case math.IsNaN(p):
		return "?"
	case p == 0:
		return "0 %"
	case p < 0.01:
		return "under 1 %"
	case p > 0.99 && p < 1:
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// minutes writes a number of minutes.
func minutes(m float64) string {
	if m >= 90 {
		return fmt.Sprintf("%.0f h %02.0f min", math.Floor(m/60), math.Mod(math.Round(m), 60))
	}
	return fmt.Sprintf("%.0f min", m)
}

// suspects ranks every mode and cause: the likeliest cure first, then the
// likeliest to be present.
func (c *Case) suspects() ([]Suspect, error) {
	b, err := c.beliefs()
	if err != nil {
		return nil, err
	}
	var out []Suspect
	for _, e := range rank(c.b.e.Model(), b.post, b.cures) {
		d := c.b.e.Describe(e)
		s := Suspect{Event: d.ID, Place: placeKey(d.Place), Title: d.Title, Present: b.post.P(e), id: int32(e)}
		if b.cures != nil {
			s.Cures = b.cures.Mode(e)
		}
		out = append(out, s)
	}
	for i := range out {
		out[i].N = i + 1
	}
	return out, nil
}

// rank orders the modes and causes as they are listed: what cures alone most
// probably first, then what is likelier to be present. Cures within a percent
// of each other tell nothing apart, and cylinders alike differ in the last
// digits only: the first comes first then.
func rank(m *ft.Model, post *ft.Posterior, cures *ft.Cures) []ft.Event {
	var out []ft.Event
	for _, it := range m.Items() {
		out = append(out, it.Modes...)
	}
	cure := func(e ft.Event) float64 {
		if cures == nil {
			return 0
		}
		return math.Round(100 * cures.Mode(e))
	}
	slices.SortStableFunc(out, func(x, y ft.Event) int {
		return cmp.Or(cmp.Compare(cure(y), cure(x)),
			cmp.Compare(math.Round(1e9*post.P(y)), math.Round(1e9*post.P(x))), cmp.Compare(x, y))
	})
	return out
}

// shownSuspects is how many suspects a screen takes.
const shownSuspects = 6

func (c *Case) doSuspects(_ context.Context, rest string) (View, error) {
	v := View{Kind: "suspects"}
	most := 14
	if rest == "all" {
		most = math.MaxInt
	}
	err := c.addSuspects(&v, most)
	v.Hint = "why N explains one; fixed N records its repair; next says what to do"
	return v, err
}

func (c *Case) addSuspects(v *View, most int) error {
	list, err := c.suspects()
	if err != nil {
		return err
	}
	v.Suspects = list[:min(most, len(list))]
	b, err := c.beliefs()
	if err != nil {
		return err
	}
	best := 0.0
	for _, s := range c.s.belief.Complaint() {
		best = max(best, b.post.Unlisted(s))
	}
	v.Unlisted = best
	if b.cures != nil {
		sum := 0.0
		for _, s := range list {
			sum += s.Cures
		}
		v.Several = max(0, 1-sum)
	}
	return nil
}

// shownOptions is how many options a screen takes.
const shownOptions = 5

func (c *Case) nextView(adv *plan.Advice) *NextView {
	n := &NextView{Bound: adv.Bound}
	c.offer = &offer{advice: adv, mark: c.s.mark()}
	for _, o := range adv.Options[:min(shownOptions, len(adv.Options))] {
		c.offer.actions = append(c.offer.actions, o.Action)
		n.Options = append(n.Options, c.optionView(len(n.Options)+1, o))
	}
	if len(adv.Options) > 0 {
		n.Expected = adv.Options[0].Expected
		n.Why = c.reason(adv.Options[0], adv)
	}
	c.s.open.Each(func(i int) { n.Open = append(n.Open, c.b.openings[i].Name) })
	for _, w := range adv.WhileOpen[:min(shownOptions, len(adv.WhileOpen))] {
		n.While = append(n.While, fmt.Sprintf("%s (%s; %s once it is closed)", c.b.about[w.Action].title, minutes(w.Now), minutes(w.Later)))
	}
	if adv.First != ft.None {
		n.First = c.b.title(adv.First)
	}
	return n
}

func (c *Case) optionView(n int, o plan.Option) OptionView {
	a, about := c.b.actions[o.Action], c.b.about[o.Action]
	v := OptionView{N: n, Kind: a.Kind.String(), ID: about.id, Title: about.title, Minutes: o.Minutes, Expected: o.Expected, Saves: o.Saves, Cure: o.Cure}
	k := about.cost
	v.Work, v.Parts, v.Consumables, v.Risk, v.Found = k.work, k.parts, k.used, k.risk, k.found+k.fitted
	if len(about.places) == 1 {
		v.Place = placeKey(about.places[0])
	}
	if _, after, err := c.b.openings.Reach(c.s.open, &a); err == nil {
		(after &^ c.s.open).Each(func(i int) { v.Needs = append(v.Needs, c.b.openings[i].Name) })
	}
	if about.work != nil {
		for _, t := range about.work.Tools {
			if def, ok := c.b.e.Snapshot().Tool(t.ID); ok {
				v.Tools = append(v.Tools, def.Title)
			}
		}
	}
	for _, out := range o.Outcomes {
		v.Outcomes = append(v.Outcomes, OutcomeView{c.resultTitle(a, out), out.P, c.thenTitle(a, out)})
	}
	return v
}

// thenTitle says what an outcome of an action leads to.
func (c *Case) thenTitle(a plan.Action, out plan.Outcome) string {
	switch {
	case out.First >= 0:
		return c.b.about[out.First].title
	case a.Kind == plan.Try:
		return "close it as not reproduced, or go on as if it were there"
	}
	return "hand on"
}

func (c *Case) resultTitle(a plan.Action, out plan.Outcome) string {
	if a.Kind == plan.Try {
		return [...]string{"it shows", "it does not show"}[out.Results[0]]
	}
	checks := a.Checks
	var parts []string
	for i, r := range out.Results {
		ck := c.b.e.Model().Checks()[checks[i]]
		u, _ := c.b.e.CheckByID(checks[i])
		title := ck.Outcomes[r]
		if len(u.Def.Outcomes) > r {
			title = u.Def.Outcomes[r].Title
		}
		if len(checks) > 1 {
			title = u.Place.Member + " " + title
		}
		parts = append(parts, title)
	}
	return strings.Join(parts, ", ")
}

// changes lists the suspects whose chance to cure, or to be present, an entry
// has moved most.
func (c *Case) changes(before []Suspect) ([]Change, error) {
	now, err := c.suspects()
	if err != nil {
		return nil, err
	}
	was := make(map[int32]Suspect, len(before))
	for _, s := range before {
		was[s.id] = s
	}
	var out []Change
	for _, s := range now {
		if d := math.Abs(s.Present - was[s.id].Present); d >= 0.02 {
			out = append(out, Change{s.Title, was[s.id].Present, s.Present})
		}
	}
	slices.SortStableFunc(out, func(x, y Change) int {
		return cmp.Compare(math.Abs(y.After-y.Before), math.Abs(x.After-x.Before))
	})
	return out[:min(3, len(out))], nil
}

func (c *Case) doLog(context.Context, string) (View, error) {
	v := View{Kind: "log", Hint: "undo takes back the last entry that counts"}
	for _, e := range c.log.Entries() {
		v.Log = append(v.Log, LogLine{e.Seq, e.Time.Format("15:04:05"), c.entryWords(e), c.s.undone[e.Seq]})
	}
	return v, nil
}

func (c *Case) doHelp(_ context.Context, word string) (View, error) {
	v := View{Kind: "help"}
	if word != "" {
		h, ok := findVerb(strings.ToLower(word))
		if !ok {
			return c.wrong("There is no command %q.", word), nil
		}
		v.Text = []string{strings.TrimSpace(h.name + " " + h.args), capital(h.help) + "."}
		if len(h.also) > 0 {
			v.Text = append(v.Text, "Also: "+strings.Join(h.also, ", ")+".")
		}
		return v, nil
	}
	for _, h := range verbs() {
		if h.name == "complaint" || h.name == "cancel" || h.name == "unknown" || h.name == "shut" {
			continue
		}
		v.Text = append(v.Text, fmt.Sprintf("%-28s %s", strings.TrimSpace(h.name+" "+h.args), clip(h.help, 50)))
	}
	v.Hint = "a number picks from the list; Enter repeats; also complaint, unknown, shut, cancel"
	return v, nil
}

func clip(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n-1]) + "…"
}

// findingWords says a finding in words.
func (c *Case) findingWords(f ft.Placed) string {
	seq := c.s.entryOf[f.ID]
	i := slices.IndexFunc(c.s.effective, func(e journal.Entry) bool { return e.Seq == seq })
	s := ""
	switch {
	case f.Event != ft.None && f.Hard():
		s = c.b.title(f.Event) + ": " + presence(f.Weight[1] == 0)
	case f.Event != ft.None:
		s = c.b.title(f.Event) + ": stated " + presence(f.Weight[0] > f.Weight[1])
	case i >= 0 && c.s.effective[i].Kind == kindComplaint:
		s = strings.TrimPrefix(c.b.e.Model().Checks()[f.Check].Name, "history:")
		for _, h := range c.b.e.Pack().History {
			if h.ID == s {
				s = "said: " + h.Title
			}
		}
	case i >= 0 && c.s.effective[i].Kind == kindPart:
		s = c.entryWords(c.s.effective[i])
	case i >= 0:
		u, _ := c.b.e.CheckByID(f.Check)
		s = u.Title + ": " + c.answerAt(c.s.effective[i], u)
	}
	if f.Stage > 0 {
		s += fmt.Sprintf(" (after repair %d)", f.Stage)
	}
	return s
}

// answerAt is what a check's entry says at one place.
func (c *Case) answerAt(e journal.Entry, u knowledge.CheckUse) string {
	var p checked
	if json.Unmarshal(e.Payload, &p) != nil {
		return "?"
	}
	for _, a := range p.Results {
		if a.Place == placeKey(u.Place) {
			return c.answerWords(u.Def, a)
		}
	}
	return "?"
}

func (c *Case) answerWords(def *knowledge.Check, a answer) string {
	if a.Reading != nil {
		return c.readingWords(def.ID, placeOf(a.Place), a.Reading)
	}
	for _, o := range def.Outcomes {
		if o.ID == a.Outcome {
			return o.Title
		}
	}
	return a.Outcome
}
