package circuit

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
)

// Ordering is an elimination order with its cost: the sum over the steps of
// the number of table entries, the variable itself included.
type Ordering struct {
	Vars   []int32
	Cost   float64
	Widest []int32 // the variables that stand together in the largest table
	most   float64 // the entries of that table
}

// score rates a variable for elimination; the lowest goes next.
type score func(g *graph, v int32) float64

// Shape is a network without its tables: the number of values of each variable,
// and which variables stand together.
type Shape struct {
	Card   []int
	Scopes [][]int32
}

// Choose finds the cheapest of several ways to write the same network, and an
// elimination order for it. What can go at no loss goes first: variables whose
// neighbours all stand together anyway. For the core that is left several
// greedy rules are tried, none of them the best on all networks; on the
// cheapest way they are tried again with their choices shaken, as long as that
// is cheap beside the elimination itself. Orders of a cost far above most, which
// are of no use, are not improved. The same networks always get the same order.
func Choose(shapes []Shape, most float64) (which int, o Ordering) {
	which = -1
	limit := math.Inf(1)
	var best *search
	for i, shape := range shapes {
		s := newSearch(shape, limit)
		if s.unshaken(tooDear * most) {
			which, best, limit = i, s, s.total()
		}
	}
	if best.total() <= tooDear*most {
		best.shake()
	}
	return which, best.ordering()
}

// search looks for an order: the peel is settled, greedy runs are tried one
// after the other for the core.
type search struct {
	peel   Ordering
	name   []int32 // of the core's variables
	core   *graph
	work   *graph
	random *rand.Rand
	best   Ordering
	limit  float64 // no run may cost as much
	spent  float64 // ratings made
}

func newSearch(shape Shape, limit float64) *search {
	g := newGraph(shape.Card, shape.Scopes)
	s := &search{}
	s.peel.peel(g)
	s.core, s.name = g.compact(s.peel.Vars)
	s.random = rand.New(rand.NewPCG(1, uint64(len(s.name))))
	s.limit = limit - s.peel.Cost
	return s
}

func rules() []score { return []score{(*graph).weight, (*graph).fill, (*graph).weightedFill} }

// tooDear is how many times too dear an order is that no shaking will mend.
const tooDear = 4

// unshaken tries every rule once; it reports whether one of them stays below
// the limit.
func (s *search) unshaken(most float64) bool {
	found := false
	for _, rule := range rules() {
		found = s.try(rule, 0) || found
		if s.limit > min(hopeless, 25*most) {
			break // the dearer rules find nothing that much better
		}
	}
	return found
}

// hopeless is the cost beyond which no better order is looked for: the rules
// differ by some orders of magnitude, not by as many as would help.
const hopeless = 1e20

// worth says how many ratings of a variable an order of that cost is worth; one
// is about as dear as two table entries. An order beyond all hope is not worth
// any.
func worth(cost float64) float64 {
	if cost > 1e10 {
		return 0
	}
	return min(1e6, max(min(20000, 2*cost), cost/4))
}

func (s *search) shake() {
	if len(s.name) == 0 {
		return // the peel has left nothing to order
	}
	strength := [...]float64{0.02, 0.1, 0.3}
	rules := rules()
	for k := 0; s.spent < worth(s.total()); k++ {
		s.try(rules[k%len(rules)], strength[k/len(rules)%len(strength)])
	}
}

func (s *search) total() float64 { return s.peel.Cost + s.best.Cost }

// ordering puts the peel and the best order of the core together.
func (s *search) ordering() Ordering {
	o := Ordering{Vars: slices.Clone(s.peel.Vars), Cost: s.total(), Widest: s.peel.Widest, most: s.peel.most}
	rename := func(vars []int32) (out []int32) {
		for _, v := range vars {
			out = append(out, s.name[v])
		}
		return out
	}
	o.Vars = append(o.Vars, rename(s.best.Vars)...)
	if s.best.most > o.most {
		o.Widest, o.most = rename(s.best.Widest), s.best.most
	}
	return o
}

// peel eliminates simplicial variables, those whose neighbours are joined
// already, until none is left.
func (o *Ordering) peel(g *graph) {
	n := len(g.card)
	done := make([]bool, n)
	queue := make([]int32, n)
	for v := range queue {
		queue[v] = int32(v)
	}
	for len(queue) > 0 {
		v := queue[0]
		queue = queue[1:]
		if done[v] || !g.simplicial(v) {
			continue
		}
		size := math.Exp2(g.weight(v))
		o.Cost += size
		o.note(g, v, size)
		near := g.list[v]
		g.eliminate(v)
		done[v] = true
		o.Vars = append(o.Vars, v)
		queue = append(queue, near...)
	}
}

// note remembers the largest table.
func (o *Ordering) note(g *graph, v int32, size float64) {
	if size > o.most {
		o.most = size
		o.Widest = append(append(o.Widest[:0], v), g.list[v]...)
	}
}

// try makes one greedy run and keeps it if it is the cheapest so far.
func (s *search) try(rule score, shake float64) bool {
	s.work = s.core.copyTo(s.work)
	o := s.greedy(rule, shake)
	if o == nil {
		return false
	}
	s.best, s.limit = *o, o.Cost
	return true
}

// greedy returns nil once a run costs as much as the best so far.
func (s *search) greedy(rule score, shake float64) *Ordering {
	g := s.work
	n := len(g.card)
	rate := func(v int32) float64 {
		s.spent++
		x := rule(g, v)
		if shake > 0 {
			x += math.Abs(x) * shake * s.random.Float64()
		}
		return x
	}
	scores, stamp := make([]float64, n), make([]int, n)
	done := make([]bool, n)
	for v := range scores {
		scores[v] = rate(int32(v))
	}
	o := Ordering{Vars: make([]int32, 0, n)}
	for round := 1; round <= n; round++ {
		v := lowest(scores, done)
		size := math.Exp2(g.weight(v))
		if o.Cost += size; o.Cost >= s.limit {
			return nil
		}
		o.note(g, v, size)
		near := g.list[v]
		g.eliminate(v)
		done[v] = true
		o.Vars = append(o.Vars, v)
		g.rescore(scores, stamp, round, near, rate)
	}
	return &o
}

// graph is the interaction graph of what is left: variables that share a
// factor are neighbours.
type graph struct {
	card  []int
	log   []float64
	adj   [][]uint64
	list  [][]int32 // neighbours in the same order at every run
	words int
}

func emptyGraph(card []int) *graph {
	n := len(card)
	g := &graph{card: card, log: make([]float64, n), adj: make([][]uint64, n), list: make([][]int32, n), words: (n + 63) / 64}
	all := make([]uint64, n*g.words)
	for v := range g.adj {
		g.adj[v] = all[v*g.words : (v+1)*g.words]
		g.log[v] = math.Log2(float64(card[v]))
	}
	return g
}

func newGraph(card []int, scopes [][]int32) *graph {
	g := emptyGraph(card)
	for _, scope := range scopes {
		for i, u := range scope {
			for _, v := range scope[:i] {
				g.join(u, v)
			}
		}
	}
	return g
}

// compact returns the graph without the variables that are gone, and what its
// variables were called before.
func (g *graph) compact(gone []int32) (*graph, []int32) {
	number := make([]int32, len(g.card))
	for _, v := range gone {
		number[v] = -1
	}
	var name []int32
	var card []int
	for v, c := range g.card {
		if number[v] == 0 {
			number[v] = int32(len(name))
			name, card = append(name, int32(v)), append(card, c)
		}
	}
	out := emptyGraph(card)
	for i, v := range name {
		for _, u := range g.list[v] {
			out.join(int32(i), number[u])
		}
	}
	return out, name
}

// copyTo copies the graph into room used before, or nil.
func (g *graph) copyTo(h *graph) *graph {
	if h == nil {
		h = emptyGraph(g.card)
	}
	for v := range g.adj {
		copy(h.adj[v], g.adj[v])
		h.list[v] = append(h.list[v][:0], g.list[v]...)
	}
	return h
}

func (g *graph) has(u, v int32) bool { return g.adj[u][v>>6]>>(uint(v)&63)&1 != 0 }

func (g *graph) join(u, v int32) {
	if u == v || g.has(u, v) {
		return
	}
	g.adj[u][v>>6] |= 1 << (uint(v) & 63)
	g.adj[v][u>>6] |= 1 << (uint(u) & 63)
	g.list[u] = append(g.list[u], v)
	g.list[v] = append(g.list[v], u)
}

// simplicial tells whether all neighbours of v are joined to each other.
func (g *graph) simplicial(v int32) bool {
	for _, u := range g.list[v] {
		if g.missing(u, v) > 0 {
			return false
		}
	}
	return true
}

// weight is the logarithm of the table made by eliminating v.
func (g *graph) weight(v int32) float64 {
	w := g.log[v]
	for _, u := range g.list[v] {
		w += g.log[u]
	}
	return w
}

// fill is the number of neighbour pairs that elimination would join, the
// table's size deciding between equals.
func (g *graph) fill(v int32) float64 {
	missing := 0
	for _, u := range g.list[v] {
		missing += g.missing(u, v)
	}
	return float64(missing) + g.weight(v)/1024
}

func (g *graph) weightedFill(v int32) float64 {
	sum := 0.0
	for i, u := range g.list[v] {
		for _, t := range g.list[v][:i] {
			if !g.has(u, t) {
				sum += float64(g.log[u] * g.log[t])
			}
		}
	}
	return sum + g.weight(v)/1024
}

// missing counts the neighbours of v that u does not know; both directions of
// each pair are counted.
func (g *graph) missing(u, v int32) int {
	n := 0
	for k, w := range g.adj[v] {
		n += bits.OnesCount64(w &^ g.adj[u][k])
	}
	return n - 1 // u itself
}

func (g *graph) eliminate(v int32) {
	for i, u := range g.list[v] {
		for _, t := range g.list[v][:i] {
			g.join(u, t)
		}
	}
	for _, u := range g.list[v] {
		g.adj[u][v>>6] &^= 1 << (uint(v) & 63)
		for i, t := range g.list[u] {
			if t == v {
				g.list[u] = append(g.list[u][:i], g.list[u][i+1:]...)
				break
			}
		}
	}
}

func lowest(s []float64, done []bool) int32 {
	best := int32(-1)
	for v, x := range s {
		if !done[v] && (best < 0 || x < s[best]) {
			best = int32(v)
		}
	}
	return best
}

// rescore rates anew what an elimination may have changed: the neighbours, and
// theirs.
func (g *graph) rescore(s []float64, stamp []int, round int, near []int32, rate func(int32) float64) {
	touch := func(v int32) {
		if stamp[v] != round {
			stamp[v] = round
			s[v] = rate(v)
		}
	}
	for _, u := range near {
		touch(u)
		for _, t := range g.list[u] {
			touch(t)
		}
	}
}
