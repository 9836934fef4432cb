package circuit

import "slices"

// Factor is a table over variables; the last variable runs fastest. Entries
// are nodes of the builder that the network is compiled with.
type Factor struct {
	Vars  []int32
	Table []Node
}

// Network is a product of factors over discrete variables. Card[v] is the
// number of values of variable v.
type Network struct {
	Card    []int
	Factors []Factor
}

// Eliminate sums out all variables of the network in the given order and
// returns the node of the result.
func Eliminate(b *Builder, net *Network, order []int32) Node {
	e := elimination{b: b, card: net.Card, holding: make([][]int, len(net.Card))}
	result := One
	for _, f := range net.Factors {
		if len(f.Vars) == 0 {
			result = b.Mul(result, f.Table[0])
			continue
		}
		e.add(f)
	}
	for _, v := range order {
		if len(e.holding[v]) == 0 {
			continue // stands in no table
		}
		f := e.sumOut(v)
		if len(f.Vars) == 0 {
			result = b.Mul(result, f.Table[0])
		} else {
			e.add(f)
		}
	}
	return result
}

type elimination struct {
	b       *Builder
	card    []int
	factors []Factor
	holding [][]int // for each variable the factors that hold it, dead ones among them
}

func (e *elimination) add(f Factor) {
	i := len(e.factors)
	e.factors = append(e.factors, f)
	for _, v := range f.Vars {
		e.holding[v] = append(e.holding[v], i)
	}
}

// sumOut takes all factors with v, and returns the sum over v of their product.
func (e *elimination) sumOut(v int32) Factor {
	var fs []Factor
	for _, i := range e.holding[v] {
		if e.factors[i].Table != nil {
			fs = append(fs, e.factors[i])
			e.factors[i].Table = nil
		}
	}
	scope := union(fs, v)
	fs = e.gather(fs, float64(tableSize(e.card, scope))*float64(e.card[v]))
	out := Factor{Vars: scope, Table: make([]Node, tableSize(e.card, scope))}
	w := newWalk(e.card, scope, v, fs)
	for row := range out.Table {
		out.Table[row] = e.sumRow(fs, w)
		w.next()
	}
	return out
}

// gather multiplies small factors with each other first, as long as their
// product stays well below the table that all of them make together: the
// product then need not be formed anew for every row of that.
func (e *elimination) gather(fs []Factor, full float64) []Factor {
	for len(fs) > 2 {
		bestI, bestJ, least := -1, -1, full
		for j := range fs {
			for i := range fs[:j] {
				if size := e.together(fs[i], fs[j]); size < least {
					bestI, bestJ, least = i, j, size
				}
			}
		}
		if 2*least > full {
			break
		}
		fs[bestI] = e.product(fs[bestI], fs[bestJ])
		fs = slices.Delete(fs, bestJ, bestJ+1)
	}
	return fs
}

// together is the size of the product's table.
func (e *elimination) together(x, y Factor) float64 {
	size := float64(len(x.Table))
	for _, v := range y.Vars {
		if !slices.Contains(x.Vars, v) {
			size *= float64(e.card[v])
		}
	}
	return size
}

func (e *elimination) product(x, y Factor) Factor {
	fs := []Factor{x, y}
	scope := union(fs, -1)
	out := Factor{Vars: scope, Table: make([]Node, tableSize(e.card, scope))}
	w := newWalk(e.card, scope, -1, fs)
	for row := range out.Table {
		out.Table[row] = e.b.Mul(x.Table[w.at[0]], y.Table[w.at[1]])
		w.next()
	}
	return out
}

func (e *elimination) sumRow(fs []Factor, w *walk) Node {
	sum := Zero
	for x := 0; x < w.cardV; x++ {
		prod := One
		for k := range fs {
			prod = e.b.Mul(prod, fs[k].Table[w.at[k]+x*w.strideV[k]])
			if prod == Zero {
				break
			}
		}
		sum = e.b.Add(sum, prod)
	}
	return sum
}

func union(fs []Factor, without int32) []int32 {
	var scope []int32
	for _, f := range fs {
		for _, u := range f.Vars {
			if u != without && !slices.Contains(scope, u) {
				scope = append(scope, u)
			}
		}
	}
	slices.Sort(scope)
	return scope
}

func tableSize(card []int, vars []int32) int {
	n := 1
	for _, v := range vars {
		n *= card[v]
	}
	return n
}

// walk steps through the rows of a scope and keeps each factor's position; v is
// the variable apart from the scope, or -1.
type walk struct {
	card    []int   // of the scope
	digit   []int   // current row
	step    [][]int // step[k][j]: what factor k moves when digit j rises by one
	at      []int   // position of each factor with v = 0
	strideV []int
	cardV   int
}

func newWalk(card []int, scope []int32, v int32, fs []Factor) *walk {
	w := &walk{
		card: make([]int, len(scope)), digit: make([]int, len(scope)),
		step: make([][]int, len(fs)), at: make([]int, len(fs)),
		strideV: make([]int, len(fs)), cardV: 1,
	}
	if v >= 0 {
		w.cardV = card[v]
	}
	for j, u := range scope {
		w.card[j] = card[u]
	}
	for k, f := range fs {
		w.step[k] = make([]int, len(scope))
		stride := 1
		for i := len(f.Vars) - 1; i >= 0; i-- {
			if f.Vars[i] == v {
				w.strideV[k] = stride
			} else {
				w.step[k][slices.Index(scope, f.Vars[i])] = stride
			}
			stride *= card[f.Vars[i]]
		}
	}
	return w
}

func (w *walk) next() {
	for j := len(w.digit) - 1; j >= 0; j-- {
		w.digit[j]++
		if w.digit[j] < w.card[j] {
			for k := range w.at {
				w.at[k] += w.step[k][j]
			}
			return
		}
		for k := range w.at {
			w.at[k] -= w.step[k][j] * (w.card[j] - 1)
		}
		w.digit[j] = 0
	}
}
