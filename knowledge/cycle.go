package knowledge

import "strings"

// edge leads from an event's owner to one that depends on it.
type edge struct {
	to  string
	pos Pos // of the reference that makes it
}

// acyclic reports cycles among conditions, symptoms and raised items, each at
// the reference that closes it, and whether there is none.
func (c *checker) acyclic() bool {
	out := make(map[string][]edge)
	var order []string
	seen := make(map[string]bool)
	for _, e := range c.events {
		if o := e.owner(); !seen[o] {
			seen[o] = true
			order = append(order, o)
		}
		for _, r := range e.raises() {
			if m := c.byID[r.Mode.ID]; m != nil && m.owner() != e.owner() {
				out[e.owner()] = append(out[e.owner()], edge{m.owner(), r.Mode.Pos})
			}
		}
		g := e.gate()
		if g == nil {
			continue
		}
		inputs := append([]Ref(nil), g.Unless...)
		for _, in := range g.From {
			inputs = append(inputs, in.Event)
		}
		for _, r := range inputs {
			if src := c.byID[r.ID]; src != nil {
				out[src.owner()] = append(out[src.owner()], edge{e.ID, r.Pos})
			}
		}
	}
	return c.noCycle(order, out, "works through to itself", "take one of these links out")
}

// noCycle walks the graph in depth and reports every edge that leads back into
// the path walked.
func (c *checker) noCycle(order []string, out map[string][]edge, what, mend string) bool {
	const grey, black = 1, 2
	colour := make(map[string]int)
	var path []string
	ok := true
	var visit func(id string)
	visit = func(id string) {
		colour[id] = grey
		path = append(path, id)
		for _, e := range out[id] {
			switch colour[e.to] {
			case grey:
				ok = false
				i := len(path) - 1
				for path[i] != e.to {
					i--
				}
				c.f.add(RuleCycle, e.pos, mend, "%s %s: %s", e.to, what, strings.Join(append(append([]string(nil), path[i:]...), e.to), " -> "))
			case 0:
				visit(e.to)
			}
		}
		path = path[:len(path)-1]
		colour[id] = black
	}
	for _, id := range order {
		if colour[id] == 0 {
			visit(id)
		}
	}
	return ok
}
