package diagnosability

import (
	"cmp"
	"slices"

	"narrows/faulttree"
)

// ToldApart is the highest chance of error at which two states of an engine,
// equally likely before, count as told apart by a set of checks in the soft
// reading: one in ten. Judgement: such an error costs a repair in vain, and most
// checks of the trade are wrong about as often as that by themselves.
const ToldApart = 0.1

// pair gathers, check by check, how well two states of an engine are told apart.
// Checks that look through the same doubtful gate are no independent witnesses: if
// the link does not work through, all of them miss the fault. So checks that hang
// together through such gates, under either state, make one cluster, and of each
// cluster only the check that tells most counts. What is left is independent given
// the state, and its coefficients multiply.
type pair struct {
	clusters []cluster
	single   float64 // the largest distance of any one check
}

type cluster struct {
	gates []faulttree.Event
	best  float64 // the least coefficient of a check
}

// add takes in a check that shows a and b of the two states.
func (p *pair) add(a, b *view) {
	c := cluster{best: coefficient(a.cells, b.cells)}
	p.single = max(p.single, variation(a.cells, b.cells))
	c.gates = append(append(c.gates, a.doubt...), b.doubt...)
	rest := p.clusters[:0]
	for _, k := range p.clusters {
		if !slices.ContainsFunc(k.gates, func(g faulttree.Event) bool { return slices.Contains(c.gates, g) }) {
			rest = append(rest, k)
			continue
		}
		c.best = min(c.best, k.best)
		c.gates = append(c.gates, k.gates...)
	}
	slices.Sort(c.gates)
	c.gates = slices.Compact(c.gates)
	p.clusters = append(rest, c)
}

// wrong bounds the chance that the best decision between the two is wrong: by the
// one best check it is (1 - distance)/2 exactly, by all of them at most half the
// product of the coefficients.
func (p *pair) wrong() float64 {
	all := 0.5
	for _, c := range p.clusters {
		all *= c.best
	}
	return min(all, (1-p.single)/2)
}

// weighed is the soft reading of every level.
func (x *Matrix) weighed(levels []Level) []reading {
	out := make([]reading, len(levels))
	for i := range out {
		out[i] = reading{make([]bool, len(x.Faults)), make([][]int, len(x.Faults))}
	}
	sound := make([]view, len(x.Checks))
	for c := range sound {
		sound[c] = view{looks: x.Checks[c].sound}
	}
	order := x.byAccess()
	for f := range x.Faults {
		x.compare(levels, order, x.views[f], sound, func(level int, apart bool) { out[level].detected[f] = apart })
		for g := range f {
			x.compare(levels, order, x.views[f], x.views[g], func(level int, apart bool) {
				if !apart {
					out[level].others[f] = append(out[level].others[f], g)
					out[level].others[g] = append(out[level].others[g], f)
				}
			})
		}
	}
	return out
}

// byAccess are the checks in the order in which levels take them in.
func (x *Matrix) byAccess() []int {
	order := make([]int, len(x.Checks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(x.Checks[a].Access, x.Checks[b].Access) })
	return order
}

// compare says at every level whether two states are told apart.
func (x *Matrix) compare(levels []Level, order []int, a, b []view, say func(level int, apart bool)) {
	var p pair
	done := 0
	for i, l := range levels {
		for ; done < len(order) && x.Checks[order[done]].Access <= l.Access; done++ {
			if c := order[done]; a[c].seen || b[c].seen {
				p.add(&a[c], &b[c])
			}
		}
		say(i, p.wrong() <= ToldApart)
	}
}
