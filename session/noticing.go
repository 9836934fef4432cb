package session

import (
	"context"
	"fmt"
	"slices"

	ft "narrows/faulttree"
	"narrows/knowledge"
)

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

type noticeableThing struct {
	id, title string
	event     ft.Event
	check     *knowledge.CheckUse
	outcome   string
}

// noticeable things are events, and outcomes of checks.
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
		if b, err := c.beliefs(); err == nil && len(c.foundFaults(b.post)) > 1 {
			lines, err := c.foundAccounts()
			if err != nil {
				return v, err
			}
			v.Text = append(v.Text, lines...)
		}
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
