package session

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	ft "narrows/faulttree"
)

// doTree shows the fault tree below a symptom.
func (c *Case) doTree(_ context.Context, words string) (View, error) {
	id := ""
	if words == "" {
		if all := c.complained(); len(all) > 0 {
			id = all[0]
		}
	} else {
		var v View
		if id, v = c.symptom(words); id == "" {
			return v, nil
		}
	}
	if id == "" {
		return c.wrong("Which symptom's tree? tree SYMPTOM."), nil
	}
	top := c.event(id)
	post, err := c.s.belief.Including(c.b.e.Model().Below(top)...).Solve()
	if err != nil {
		return View{}, err
	}
	// Thin branches are left out until the tree fits a screen.
	g := grower{c: c, post: post, path: map[ft.Event]bool{}}
	for g.least = 0.01; ; g.least *= 1.25 {
		g.lines = nil
		g.grow(top, 0, "")
		if len(g.lines) <= treeLines || g.least > 0.5 {
			break
		}
	}
	return View{Kind: "tree", Tree: g.lines,
		Hint: fmt.Sprintf("branches under %s are left out; why SUSPECT explains a leaf; check NAME looks at it", percent(g.least))}, nil
}

// treeLines is how many lines of a tree fit a screen.
const treeLines = 19

// grower lists a fault tree from a gate down.
type grower struct {
	c     *Case
	post  *ft.Posterior
	least float64 // branches less likely are left out
	path  map[ft.Event]bool
	lines []TreeLine
}

func (r *grower) grow(e ft.Event, depth int, note string) {
	c, post, path := r.c, r.post, r.path
	g, isGate := c.b.e.Model().GateOf(e)
	line := TreeLine{Depth: depth, Title: c.b.title(e), P: post.P(e), Note: note}
	if isGate {
		line.Gate = g.Kind.String()
		if g.Kind == ft.Voting {
			line.Gate = fmt.Sprintf("at least %d", g.K)
		}
	}
	r.lines = append(r.lines, line)
	if !isGate || path[e] || depth > 8 {
		return
	}
	path[e] = true
	defer delete(path, e)
	inputs := slices.Clone(g.Inputs)
	slices.SortStableFunc(inputs, func(x, y ft.Input) int { return cmp.Compare(post.P(y.Event), post.P(x.Event)) })
	for _, in := range inputs {
		if p := post.P(in.Event); p < r.least && !in.Inverted {
			continue
		}
		n := ""
		if in.Inverted {
			n = "absent"
		} else if in.Strength < 1 {
			n = fmt.Sprintf("works through %s", percent(in.Strength))
		}
		r.grow(in.Event, depth+1, n)
	}
	if u := post.Unlisted(e); u > 0.01 {
		r.lines = append(r.lines, TreeLine{Depth: depth + 1, Title: "something not in this pack", P: u})
	}
}
