package circuit

import (
	"math"
	"math/bits"
)

// Ordering is an elimination order with its cost: the sum over the steps of
// the number of table entries, the variable itself included.
type Ordering struct {
	Vars   []int32
	Cost   float64
	Widest []int32 // the variables that stand together in the largest table
}

// score rates a variable for elimination; the lowest goes next.
type score func(g *graph, v int32) float64

// Order finds an elimination order for variables with the given numbers of
// values, of which those in one scope stand together. It tries several greedy
// rules and keeps the cheapest order: none is best on all networks.
func Order(card []int, scopes [][]int32) Ordering {
	var best Ordering
	for i, rule := range []score{(*graph).weight, (*graph).fill, (*graph).weightedFill} {
		o := greedy(newGraph(card, scopes), rule)
		if i == 0 || o.Cost < best.Cost {
			best = o
		}
	}
	return best
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

func newGraph(card []int, scopes [][]int32) *graph {
	n := len(card)
	g := &graph{card: card, log: make([]float64, n), adj: make([][]uint64, n), list: make([][]int32, n), words: (n + 63) / 64}
	all := make([]uint64, n*g.words)
	for v := range g.adj {
		g.adj[v] = all[v*g.words : (v+1)*g.words]
		g.log[v] = math.Log2(float64(card[v]))
	}
	for _, scope := range scopes {
		for i, u := range scope {
			for _, v := range scope[:i] {
				g.join(u, v)
			}
		}
	}
	return g
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

func greedy(g *graph, rule score) Ordering {
	n := len(g.card)
	s := make([]float64, n)
	done := make([]bool, n)
	stamp := make([]int, n)
	for v := range s {
		s[v] = rule(g, int32(v))
	}
	o := Ordering{Vars: make([]int32, 0, n)}
	most := 0.0
	for round := 1; round <= n; round++ {
		v := lowest(s, done)
		size := math.Exp2(g.weight(v))
		o.Cost += size
		if size > most {
			most = size
			o.Widest = append(append(o.Widest[:0], v), g.list[v]...)
		}
		near := g.list[v]
		g.eliminate(v)
		done[v] = true
		o.Vars = append(o.Vars, v)
		g.rescore(s, stamp, round, near, rule)
	}
	return o
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
func (g *graph) rescore(s []float64, stamp []int, round int, near []int32, rule score) {
	touch := func(v int32) {
		if stamp[v] != round {
			stamp[v] = round
			s[v] = rule(g, v)
		}
	}
	for _, u := range near {
		touch(u)
		for _, t := range g.list[u] {
			touch(t)
		}
	}
}
