package knowledge

import (
	"fmt"
	"slices"
	"strings"
)

// What priors and strengths are usual; judgement. A prior is that of one fault at
// one position of an engine brought in, before its complaint is heard.
const (
	leastPrior    = 0.00001
	mostPrior     = 0.3
	leastStrength = 0.02
)

// pos is where an event is defined.
func (e *EventDef) pos() Pos {
	switch e.Kind {
	case KindCause:
		return e.Cause.Pos
	case KindMode:
		return e.Mode.Pos
	case KindCondition:
		return e.Condition.Pos
	}
	return e.Symptom.Pos
}

// reaches tells a fault that works through to no symptom.
func (a *adviser) reaches(e *EventDef) {
	todo, seen := []string{e.ID}, map[string]bool{e.ID: true}
	for i := 0; i < len(todo); i++ {
		if d := a.p.byID[todo[i]]; d != nil && d.Kind == KindSymptom {
			return
		}
		for _, x := range a.out[todo[i]] {
			if x.Kind != Prevents && !seen[x.To] {
				seen[x.To] = true
				todo = append(todo, x.To)
			}
		}
	}
	a.note(RuleReachesNoSymptom, e.pos(), "make it an input of what it causes, or take it out", "%s %s works through to no symptom", e.Kind, e.ID)
}

// repaired tells a mode that nothing puts right. Of causes only those count that
// feed something by themselves: one that only raises modes is in the past, and what
// it has left behind is repaired.
func (a *adviser) repaired(e *EventDef) {
	acts := e.Kind == KindMode || slices.ContainsFunc(a.out[e.ID], func(x *Edge) bool { return x.Kind == Feeds })
	if acts && len(a.fixes[e.ID]) == 0 {
		a.note(RuleNoRepair, e.pos(), "name it under fixes of a repair", "no repair puts %s right", e.ID)
	}
}

// alike tells the groups of causes and modes that no check tells apart: they stand
// at the same positions, lead to the same, and every check and history entry has the
// same row for them. With what strength they lead there is left out of account: it
// makes one of them likelier, and tells none from the other.
func (a *adviser) alike() {
	groups := make(map[string][]*EventDef)
	var order []string
	looks := a.looks()
	for _, e := range a.p.events {
		if e.Kind != KindCause && e.Kind != KindMode || len(a.out[e.ID]) == 0 {
			continue
		}
		sign := e.At + a.effects(e.ID) + looks[e.ID]
		if groups[sign] == nil {
			order = append(order, sign)
		}
		groups[sign] = append(groups[sign], e)
	}
	for _, sign := range order {
		if len(groups[sign]) > 1 {
			a.group(groups[sign])
		}
	}
}

func (a *adviser) group(list []*EventDef) {
	var ids []string
	same := true
	for _, e := range list {
		ids = append(ids, e.ID)
		same = same && slices.Equal(a.fixes[e.ID], a.fixes[list[0].ID])
	}
	names := strings.Join(ids[1:], ", ")
	if same {
		a.note(RuleAlikeSameRepair, list[0].pos(), "put them together, or let a check tell them apart", "no check tells %s from %s; the same repairs put them right", ids[0], names)
		return
	}
	a.note(RuleAlike, list[0].pos(), "add a check, or rows, that tell them apart", "no check tells %s from %s", ids[0], names)
}

// effects describes what an event leads to.
func (a *adviser) effects(id string) string {
	var out []string
	for _, x := range a.out[id] {
		out = append(out, fmt.Sprintf("|%s %s", x.Kind, x.To))
	}
	slices.Sort(out)
	return strings.Join(out, "")
}

// looks describes for each event what checks and history entries show of it.
func (a *adviser) looks() map[string]string {
	out := make(map[string]string)
	items := make(map[string]*Item)
	for _, it := range a.p.pack.Items {
		items[it.ID] = it
	}
	for i, k := range a.p.pack.Checks {
		for _, r := range k.Rows {
			out[r.Event.ID] += fmt.Sprintf("|check %d %v %s", i, r.P, r.True)
		}
		for _, f := range k.Fitted {
			for _, m := range items[f.ID].Modes {
				out[m.EventID()] += fmt.Sprintf("|fitted %d %s", i, f.ID)
			}
		}
	}
	for i, h := range a.p.pack.History {
		for _, s := range h.Said {
			out[s.Event.ID] += fmt.Sprintf("|said %d %v", i, s.Chance)
		}
	}
	return out
}

// String describes a population as written.
func (p *Population) String() string {
	switch {
	case p == nil:
		return ""
	case p.OfNominal:
		return fmt.Sprintf("nominal %v %v", p.FMean, p.FSD)
	}
	return p.Mean.Text + " " + p.SD.Text
}

// priors tells priors out of what is usual, unless a note says why, and those
// without a source.
func (a *adviser) priors() {
	p := a.p.pack
	for _, c := range p.Causes {
		a.prior("cause "+c.ID, &c.Entry, c.Prior, p.Source)
	}
	for _, it := range p.Items {
		sum := 0.0
		for _, m := range it.Modes {
			sum += m.Prior
			a.prior("mode "+m.EventID(), &m.Entry, m.Prior, it.Source, p.Source)
		}
		if sum > mostPrior && len(it.Modes) > 1 && it.Note == "" {
			a.note(RulePriorRange, it.Pos, "correct them, or say in a note why", "the priors of item %s add up to %.3g, more than is usual", it.ID, sum)
		}
	}
}

func (a *adviser) prior(what string, e *Entry, prior float64, around ...string) {
	if (prior < leastPrior || prior > mostPrior) && e.Note == "" {
		a.note(RulePriorRange, e.Pos, "correct it, or say in a note why", "the prior of %s is %g; usual are 0.00001 to 0.3", what, prior)
	}
	if !sourced(append(around, e.Source)...) {
		a.note(RuleNoSource, e.Pos, `add source; "judgement" is one`, "the prior of %s does not say what it rests on", what)
	}
}

// strengths tells inputs that hardly ever work through.
func (a *adviser) strengths() {
	for _, e := range a.p.events {
		for _, x := range a.in[e.ID] {
			if x.Kind == Feeds && x.Strength < leastStrength {
				a.note(RuleStrengthRange, x.Pos, "leave it out, or correct it", "%s takes %s with strength %g, below %g", e.ID, x.From, x.Strength, leastStrength)
			}
		}
	}
}
