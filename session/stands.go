package session

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"narrows/knowledge"
	"narrows/session/journal"
)

// stands says where the engine stands from now on.
type stands struct {
	Place string `json:"place"` // one of the pack's places
}

func (f *folder) onPlace(e journal.Entry) error {
	var p stands
	if err := json.Unmarshal(e.Payload, &p); err != nil {
		return err
	}
	at, ok := f.b.e.Snapshot().Site(p.Place)
	if !ok {
		return fmt.Errorf("the pack has no place %q", p.Place)
	}
	f.s.stands = at
	return nil
}

// doAt records where the engine stands; what cannot be done there is not
// offered meanwhile. Words that name no place may be an answer or a complaint
// that begins so: at idle it stumbles.
func (c *Case) doAt(ctx context.Context, words string) (View, error) {
	if words == "" {
		return c.whereabouts(View{Kind: "places"}), nil
	}
	found := c.sitesNamed(words)
	switch {
	case len(found) == 0 && (c.s.complaint == nil || c.asked != nil || c.s.untried):
		return c.free(ctx, "at "+words)
	case len(found) == 0:
		return c.whereabouts(c.wrong("No place of this pack is called %q.", words)), nil
	case len(found) > 1:
		v := c.wrong("%q fits more than one place.", words)
		for _, s := range found {
			v.Text = append(v.Text, s.Title+" ("+siteName(s)+")")
		}
		return v, nil
	case c.s.stands != nil && c.s.stands.ID == found[0].ID:
		return c.wrong("It is so already: the engine stands %s.", found[0].Title), nil
	}
	if err := c.record(ctx, kindPlace, stands{found[0].ID}); err != nil {
		return View{}, err
	}
	v, err := c.here(ctx)
	v.Text = append([]string{"The engine stands " + found[0].Title + "."}, v.Text...)
	return v, err
}

// whereabouts adds where the engine stands, and where it can.
func (c *Case) whereabouts(v View) View {
	sites := c.b.e.Pack().Sites
	switch {
	case len(sites) == 0:
		v.Text = append(v.Text, "This pack names no places: all of its work can be done anywhere.")
		return v
	case c.s.stands == nil:
		v.Text = append(v.Text, "Where the engine stands was not said; nothing is left out for it.")
	default:
		v.Text = append(v.Text, "The engine stands "+c.s.stands.Title+".")
	}
	for _, s := range sites {
		v.Text = append(v.Text, "at "+siteName(s)+": "+s.Title)
	}
	v.Hint = "at " + siteName(sites[0]) + " says that it stands " + sites[0].Title + "; undo takes it back"
	return v
}

// siteName is what a place is called for short.
func siteName(s *knowledge.Site) string {
	if len(s.Phrases) > 0 {
		return s.Phrases[0].ID
	}
	return s.ID
}

func (c *Case) siteNames() []named {
	var ns []named
	for _, s := range c.b.e.Pack().Sites {
		ns = append(ns, named{s.ID, siteName(s)})
	}
	return ns
}

func (c *Case) siteTitle(id string) string {
	if s, ok := c.b.e.Snapshot().Site(id); ok {
		return s.Title
	}
	return id
}

// sitesNamed are the places that the words may mean: the one called just so,
// else those of which every word is known. With or without water is what keeps
// an engine whole, so that a word more is never passed over.
func (c *Case) sitesNamed(words string) []*knowledge.Site {
	want := bare(words)
	if len(want) == 0 {
		return nil
	}
	var near []*knowledge.Site
	for _, s := range c.b.e.Pack().Sites {
		called := [][]string{bare(s.Title), bare(s.ID)}
		for _, p := range s.Phrases {
			called = append(called, bare(p.ID))
		}
		if slices.ContainsFunc(called, func(name []string) bool { return slices.Equal(name, want) }) {
			return []*knowledge.Site{s}
		}
		if slices.ContainsFunc(called, func(name []string) bool { return allAlike(want, name) }) {
			near = append(near, s)
		}
	}
	return near
}

// bare are the words of a place without those that only join it on.
func bare(words string) []string {
	return slices.DeleteFunc(tokens(words), func(w string) bool {
		return slices.Contains([]string{"on", "in", "at", "a", "an", "the", "its"}, w)
	})
}

func allAlike(want, name []string) bool {
	return !slices.ContainsFunc(want, func(w string) bool {
		return !slices.ContainsFunc(name, func(n string) bool { return alike(w, n) > 0.7 })
	})
}

// misplaced says why work cannot be done where the engine stands; "" if it can.
func (c *Case) misplaced(w *knowledge.Work) string {
	if w == nil {
		return ""
	}
	return c.notAt(w.Sites)
}

// notAt says that what needs one of the places cannot be done where the engine
// stands: "" if it can, if it needs none, or if nothing was said of where it is.
func (c *Case) notAt(places []knowledge.Ref) string {
	at := c.s.stands
	if at == nil || len(places) == 0 || slices.ContainsFunc(places, func(r knowledge.Ref) bool { return r.ID == at.ID }) {
		return ""
	}
	var need []string
	for _, r := range places {
		need = append(need, c.siteTitle(r.ID))
	}
	return "not " + at.Title + ": it needs the engine " + strings.Join(need, " or ")
}
