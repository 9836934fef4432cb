package session

import (
	"context"
	"slices"

	"narrows/knowledge"
)

// means is a tool, or the chance to run the engine, that is or is not at hand.
type means struct {
	Tool string `json:"tool"` // runningHere for the chance to run the engine
	Have bool   `json:"have"`
}

// runningHere stands in the place of a tool for running the engine here.
const runningHere = "running"

// meansNames are what can be said to be missing.
func (c *Case) meansNames() []named {
	ns := []named{{runningHere, "running the engine here"}}
	for _, t := range c.b.e.Pack().Tools {
		ns = append(ns, named{t.ID, t.Title})
	}
	return ns
}

func (c *Case) meansTitle(id string) string {
	for _, n := range c.meansNames() {
		if n.id == id {
			return n.title
		}
	}
	return id
}

func (c *Case) doWithout(ctx context.Context, words string) (View, error) {
	return c.means(ctx, words, false)
}

func (c *Case) doWith(ctx context.Context, words string) (View, error) {
	return c.means(ctx, words, true)
}

// means records that a tool is not at hand, or is again; what needs it is not
// offered meanwhile.
func (c *Case) means(ctx context.Context, words string, have bool) (View, error) {
	if words == "" {
		v := c.wrong("Which tool? For instance: without compression gauge; without running, where the engine cannot be run.")
		for id := range c.s.lacking {
			v.Text = append(v.Text, "not at hand: "+c.meansTitle(id))
		}
		slices.Sort(v.Text)
		return v, nil
	}
	ns := c.meansNames()
	found := choose(words, ns)
	if len(found) != 1 {
		v := c.wrong("Which tool is meant by %q?", words)
		for i, n := range ns {
			if len(found) == 0 || slices.Contains(found, i) {
				v.Text = append(v.Text, n.title)
			}
		}
		return v, nil
	}
	id := ns[found[0]].id
	if c.s.lacking[id] != have {
		return c.wrong("It is so already: %s.", ns[found[0]].title), nil
	}
	if err := c.record(ctx, kindMeans, means{id, have}); err != nil {
		return View{}, err
	}
	v, err := c.here(ctx)
	what := "Not at hand: "
	if have {
		what = "At hand again: "
	}
	v.Text = append([]string{what + ns[found[0]].title + "."}, v.Text...)
	return v, err
}

// lacks says what is not at hand for some work; empty if nothing is missing.
func (c *Case) lacks(w *knowledge.Work) string {
	if w == nil {
		return ""
	}
	if w.Engine == knowledge.Running && c.s.lacking[runningHere] {
		return "the engine cannot be run here"
	}
	for _, t := range w.Tools {
		if c.s.lacking[t.ID] {
			return "no " + c.meansTitle(t.ID)
		}
	}
	return ""
}
