package faulttree

import (
	"fmt"
	"slices"
)

// tally is a count of present inputs that several gates share: one cylinder
// down, two down, all down ask the same inputs and differ only in how many
// they want. Counted once, the gates read the count.
type tally struct {
	first Event // the first gate in order of dependence
	most  int   // no gate wants more
	mask  stageBits
	gates int
	votes bool
	count *variable
}

// tallies finds the gates that can share a count, by gate. Their inputs all
// pass for certain: a link that may fail is each gate's own.
func (c *compiler) tallies() map[Event]*tally {
	byInputs := make(map[string]*tally)
	out := make(map[Event]*tally)
	for _, e := range c.m.order {
		g, ok := c.m.simplified(e)
		if !ok || c.need[e] == 0 || len(g.Inputs) < 3 || slices.ContainsFunc(g.Inputs, func(in Input) bool { return in.Strength < 1 }) {
			continue
		}
		key := fmt.Sprint(g.Inputs)
		t := byInputs[key]
		if t == nil {
			t = &tally{first: e}
			byInputs[key] = t
		}
		t.gates++
		t.votes = t.votes || g.Kind == Voting
		t.most = max(t.most, wants(g))
		t.mask |= c.need[e]
		out[e] = t
	}
	for e, t := range out {
		if t.gates < 2 || !t.votes {
			delete(out, e)
		}
	}
	return out
}

// wants is how many inputs at least make the gate's output present.
func wants(g Gate) int {
	switch g.Kind {
	case Voting:
		return g.K
	case And:
		return len(g.Inputs)
	}
	return 1
}

// reads is the link that reads a gate's output off the shared count.
func (c *compiler) reads(t *tally, g Gate) link {
	rule := chainRule{kind: Voting, k: t.most, mask: t.mask}
	if t.count == nil {
		h := &chain{gate: t.first, rule: rule, links: c.linksOf(g), counts: true}
		c.list(h)
		t.count = h.output()
	}
	k := uint64(wants(g))
	v := t.count
	return link{from: v, bits: func(x int) stageBits { return rule.reached(v.codes[x], k) }, strength: 1}
}
