package diagram

import (
	"container/heap"
	"iter"
	"slices"
)

// Each walks through the sets of f whose product of p is above the given
// bound, in the order of the variables; with a nil p through all. A set is
// ascending in the store's order, with its product (1 without p), and is only
// good until the next.
func (z *Families) Each(f Family, p []float64, above float64) iter.Seq2[[]int, float64] {
	return func(yield func([]int, float64) bool) {
		w := walk{z: z, p: p, above: above, yield: yield}
		if p != nil {
			w.best = z.best(f, p)
		}
		w.from(int32(f), 1)
	}
}

type walk struct {
	z     *Families
	p     []float64
	best  []float64
	above float64
	set   []int
	yield func([]int, float64) bool
}

// slack keeps rounding from cutting a branch that reaches the bound.
const slack = 1 - 1e-12

func (w *walk) from(f int32, product float64) bool {
	if f == 0 || w.best != nil && product*w.best[f] < w.above*slack {
		return true
	}
	if f == 1 {
		return w.p != nil && product <= w.above || w.yield(w.set, product)
	}
	n := w.z.nodes[f]
	v := int(w.z.order[n.level])
	q := product
	if w.p != nil {
		q *= w.p[v]
	}
	w.set = append(w.set, v)
	more := w.from(n.high, q)
	w.set = w.set[:len(w.set)-1]
	return more && w.from(n.low, product)
}

// best returns the largest product of a set, for every node below f.
func (z *Families) best(f Family, p []float64) []float64 {
	best := make([]float64, max(int32(f)+1, terminals))
	best[1] = 1
	for _, at := range z.below(int32(f)) {
		n := z.nodes[at]
		best[at] = max(best[n.low], p[z.order[n.level]]*best[n.high])
	}
	return best
}

// Likeliest walks through the sets of f by falling product of p, equal ones in
// a fixed order. With every p the same and below 1 that is in order of size. A set is
// ascending in the store's order. It works only for the sets taken: each costs
// as many steps as there are nodes on its way through the diagram.
func (z *Families) Likeliest(f Family, p []float64) iter.Seq2[[]int, float64] {
	return func(yield func([]int, float64) bool) {
		s := search{z: z, p: p, best: z.best(f, p)}
		s.push(int32(f), 1, -1)
		for len(s.open) > 0 {
			at := heap.Pop(&s).(partial)
			if !s.follow(at, yield) {
				return
			}
		}
	}
}

// search is best first: the bound of what is open is exact, so that every way
// followed leads to the next set.
type search struct {
	z     *Families
	p     []float64
	best  []float64
	open  []partial
	picks []pick // variables taken, each with the one before it
	made  int
}

type pick struct {
	v      int
	before int
}

type partial struct {
	bound, product float64
	node           int32
	last           int // in picks
	number         int // by age, for a fixed order of equal ones
}

func (s *search) push(node int32, product float64, last int) {
	if node == 0 {
		return
	}
	s.made++
	heap.Push(s, partial{product * s.best[node], product, node, last, s.made})
}

// follow goes on to the best set below, and leaves the other branches open.
func (s *search) follow(at partial, yield func([]int, float64) bool) bool {
	for at.node >= terminals {
		n := s.z.nodes[at.node]
		v := int(s.z.order[n.level])
		taken := at.product * s.p[v]
		if s.best[n.low] == 0 && n.low == 0 || taken*s.best[n.high] >= at.product*s.best[n.low] {
			s.push(n.low, at.product, at.last)
			s.picks = append(s.picks, pick{v, at.last})
			at.node, at.product, at.last = n.high, taken, len(s.picks)-1
			continue
		}
		s.picks = append(s.picks, pick{v, at.last})
		s.push(n.high, taken, len(s.picks)-1)
		at.node = n.low
	}
	var set []int
	for i := at.last; i >= 0; i = s.picks[i].before {
		set = append(set, s.picks[i].v)
	}
	slices.Reverse(set)
	return yield(set, at.product)
}

func (s *search) Len() int { return len(s.open) }
func (s *search) Less(i, j int) bool {
	a, b := &s.open[i], &s.open[j]
	if a.bound != b.bound {
		return a.bound > b.bound
	}
	return a.number < b.number
}
func (s *search) Swap(i, j int) { s.open[i], s.open[j] = s.open[j], s.open[i] }
func (s *search) Push(x any)    { s.open = append(s.open, x.(partial)) }
func (s *search) Pop() any {
	last := s.open[len(s.open)-1]
	s.open = s.open[:len(s.open)-1]
	return last
}
