package session

import (
	"fmt"
	"strings"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
	"narrows/knowledge"
)

// bench is what a case knows of its engine: the built knowledge with the
// actions and openings in the planner's terms. It never changes.
type bench struct {
	e        *knowledge.Engine
	openings plan.Openings // as minutes are spent
	weighed  plan.Openings // as they are planned with, wear and all
	opening  map[string]int
	actions  []plan.Action
	about    []actionAbout // by action
	stirs    [][]int       // by repair
}

// actionAbout says which work stands behind an action.
type actionAbout struct {
	id     string
	places []knowledge.Place // of a check: one for each of its model checks
	work   *knowledge.Work   // nil for handing on
	title  string
	cost   cost
	again  float64 // of a reading taken again: its standard uncertainty, in the check's unit
	finer  string  // the better instrument that it is taken with
}

func newBench(e *knowledge.Engine) (*bench, error) {
	b := &bench{e: e, opening: make(map[string]int)}
	pack := e.Pack()
	if len(pack.Openings) > 64 {
		return nil, fmt.Errorf("the pack has %d openings; at most 64 can be planned with", len(pack.Openings))
	}
	for i, o := range pack.Openings {
		b.opening[o.ID] = i
	}
	for _, o := range pack.Openings {
		b.openings = append(b.openings, plan.Opening{Name: o.Title, Open: o.Open, Close: o.Close, Needs: b.set(o.Needs), ShutToRun: o.ShutToRun})
		b.weighed = append(b.weighed, b.openings[len(b.openings)-1])
		b.weighed[len(b.weighed)-1].Wear = o.Wear
	}
	for _, c := range pack.Checks {
		b.addCheck(c)
	}
	for _, u := range e.Repairs() {
		k := b.repairCost(u.Def)
		a := b.action(plan.Repair, u.Title, &u.Def.Work)
		a.Minutes, a.Repair, a.Found = k.planned(), u.ID, k.ifFound(e.Model().Repairs()[u.ID].Fixes)
		b.add(a, actionAbout{id: u.Def.ID, places: []knowledge.Place{u.Place}, work: &u.Def.Work, title: u.Title, cost: k})
	}
	if h := pack.HandingOn; h.Minutes > 0 {
		b.add(plan.Action{Kind: plan.HandOn, Name: h.Title, Minutes: h.Minutes}, actionAbout{id: "hand_on", title: h.Title})
	}
	b.see()
	for _, c := range pack.Checks {
		if c.Reading != nil {
			b.addAgain(c)
		}
	}
	b.stirs = stirs(e.Model(), b.actions)
	return b, nil
}

func (b *bench) add(a plan.Action, about actionAbout) {
	b.actions = append(b.actions, a)
	b.about = append(b.about, about)
}

func (b *bench) set(refs []knowledge.Ref) plan.Set {
	var s plan.Set
	for _, r := range refs {
		s |= plan.Of(b.opening[r.ID])
	}
	return s
}

func (b *bench) action(k plan.Kind, title string, w *knowledge.Work) plan.Action {
	return plan.Action{Kind: k, Name: title, Minutes: b.cost(w).planned(), Need: b.set(w.Opens), Shut: b.set(w.Shut), Running: w.Engine == knowledge.Running}
}

// addCheck adds a check as one action for all places, or as one for each.
func (b *bench) addCheck(c *knowledge.Check) {
	uses := b.e.ChecksOf(c.ID)
	if c.Each || len(uses) == 1 {
		for _, u := range uses {
			a := b.action(plan.Check, u.Title, &c.Work)
			a.Checks = []ft.CheckID{u.ID}
			b.add(a, actionAbout{id: c.ID, places: []knowledge.Place{u.Place}, work: &c.Work, title: u.Title, cost: b.cost(&c.Work)})
		}
		return
	}
	a := b.action(plan.Check, c.Title, &c.Work)
	about := actionAbout{id: c.ID, work: &c.Work, title: c.Title, cost: b.cost(&c.Work)}
	for _, u := range uses {
		a.Checks = append(a.Checks, u.ID)
		about.places = append(about.places, u.Place)
	}
	if len(uses) > 0 {
		b.add(a, about)
	}
}

// find returns the action of a check or repair at a place; a check of all
// places in one go is found by any of them.
func (b *bench) find(k plan.Kind, id string, at knowledge.Place) int {
	for i, a := range b.about {
		if b.actions[i].Kind != k || a.id != id {
			continue
		}
		for _, p := range a.places {
			if p == at {
				return i
			}
		}
	}
	return -1
}

// placeKey writes a place as it stands in the journal.
func placeKey(p knowledge.Place) string {
	if p == (knowledge.Place{}) {
		return ""
	}
	return p.Set + ":" + p.Member
}

func placeOf(key string) knowledge.Place {
	set, member, ok := strings.Cut(key, ":")
	if !ok {
		return knowledge.Place{}
	}
	return knowledge.Place{Set: set, Member: member}
}

// title of an event for people.
func (b *bench) title(e ft.Event) string { return b.e.Describe(e).Title }
