package faulttree

import (
	"cmp"
	"math"
	"slices"
)

// list lists the sets asked for with their probabilities, and counts what is
// left out. own holds the probability of each of the basics by itself.
func (s *structure) list(f family, own []float64, opt CutSetOptions, out *CutSets) error {
	found := s.choose(f, own, opt)
	ties := s.m.newTies()
	for _, set := range found {
		c := CutSet{}
		for _, i := range set {
			c.Members = append(c.Members, s.basics[i])
		}
		var err error
		if c.P, err = s.joint(c.Members, own, ties, out.Independent); err != nil {
			c.P, out.Trouble = math.NaN(), err
		}
		out.Sets = append(out.Sets, c)
	}
	slices.SortFunc(out.Sets, func(a, b CutSet) int {
		if c := cmp.Compare(b.P, a.P); c != 0 {
			return c
		}
		if c := cmp.Compare(len(a.Members), len(b.Members)); c != 0 {
			return c
		}
		return slices.CompareFunc(a.Members, b.Members, compareBasics)
	})
	if out.ByOrder != nil {
		left := out.Total - out.OverOrder - uint64(len(found))
		if opt.Limit > 0 && len(found) == opt.Limit {
			out.BeyondLimit = left
		} else {
			out.NotAbove = left
		}
	}
	return tooLarge(f.z.Err())
}

// choose walks through the sets, each of ascending places in basics.
func (s *structure) choose(f family, own []float64, opt CutSetOptions) [][]int {
	var found [][]int
	take := func(set []int) {
		set = slices.Clone(set)
		slices.Sort(set)
		found = append(found, set)
	}
	if opt.Limit == 0 {
		above := opt.Above
		if above == 0 {
			above = -1 // a product may underflow
		}
		for set := range f.z.Each(f.sets, own, above) {
			take(set)
		}
		return found
	}
	for set, p := range f.z.Likeliest(f.sets, own) {
		if opt.Above > 0 && p <= opt.Above {
			break
		}
		take(set)
		if len(found) == opt.Limit {
			break
		}
	}
	return found
}

// joint is the probability that all members are present.
func (s *structure) joint(members []Basic, own []float64, t *ties, independent bool) (float64, error) {
	p := 1.0
	var tied []Event
	for _, b := range members {
		if b.Unlisted || independent || !t.tied(b.Event, members) {
			p *= own[s.place[b]]
		} else {
			tied = append(tied, b.Event)
		}
	}
	if len(tied) == 0 {
		return p, nil
	}
	belief := s.m.NewBelief()
	for _, e := range tied {
		var err error
		if belief, err = belief.Find(Present(e)); err != nil {
			return 0, err
		}
	}
	post, err := belief.Solve()
	if err != nil {
		return 0, err
	}
	return p * math.Exp(post.LogEvidence()), nil
}

// ties tells which modes depend on one another, by the items that they rest
// on: their own and those of all sources.
type ties struct {
	m     *Model
	rests map[Event]map[ItemID]bool
}

func (m *Model) newTies() *ties { return &ties{m, make(map[Event]map[ItemID]bool)} }

// tied reports whether e and another of the members rest on something common.
func (t *ties) tied(e Event, members []Basic) bool {
	for _, b := range members {
		if b.Unlisted || b.Event == e {
			continue
		}
		other := t.on(b.Event)
		for item := range t.on(e) {
			if other[item] {
				return true
			}
		}
	}
	return false
}

func (t *ties) on(e Event) map[ItemID]bool {
	if items, ok := t.rests[e]; ok {
		return items
	}
	items, seen := make(map[ItemID]bool), make(map[Event]bool)
	var visit func(e Event)
	visit = func(e Event) {
		if seen[e] {
			return
		}
		seen[e] = true
		if md, ok := t.m.ModeOf(e); ok {
			items[md.Item] = true
		}
		t.m.DependsOn(e, visit)
	}
	visit(e)
	t.rests[e] = items
	return items
}
