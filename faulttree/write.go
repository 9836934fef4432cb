package faulttree

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"narrows/faulttree/internal/circuit"
)

// encodings returns the ways to write the or gates that are tried: all as
// hubs; only those whose output nobody asks for; none. None of them is always
// the cheapest.
func encodings() []func(h *chain) bool {
	return []func(h *chain) bool{
		func(*chain) bool { return true },
		func(h *chain) bool { return h.output().card() == 1 },
		func(*chain) bool { return false },
	}
}

// choose picks the encoding and the order that cost least. Where many terms
// are to be compiled, only the encoding that is nearly always the best is
// tried.
func (c *compiler) choose(all bool) {
	var ways [][]pending
	var shapes []circuit.Shape
	for _, hub := range encodings() {
		fs := slices.Clone(c.facts)
		for _, h := range c.chain {
			if h.hub != nil && !c.q.positive && hub(h) {
				fs = append(fs, h.hubFactors()...)
			} else {
				fs = append(fs, h.factors()...)
			}
		}
		ways, shapes = append(ways, fs), append(shapes, c.shape(fs))
		if !all || c.q.positive {
			break
		}
	}
	most := math.Inf(1)
	if c.q.within > 0 {
		most = c.q.within
	}
	best, o := circuit.Choose(shapes, most)
	c.facts, c.order = ways[best], o
}

// eliminate writes all factors and sums out the variables.
func (c *compiler) eliminate(b *circuit.Builder) (circuit.Node, error) {
	net := &circuit.Network{Card: c.cards()}
	for _, f := range c.facts {
		if err := c.roomFor(f); err != nil {
			return circuit.Zero, err
		}
		net.Factors = append(net.Factors, c.write(b, f))
	}
	return circuit.Eliminate(b, net, c.order.Vars), nil
}

func (c *compiler) cards() []int {
	card := make([]int, len(c.vars))
	for i, v := range c.vars {
		card[i] = max(1, v.card())
	}
	return card
}

// shape is the network without its tables: who stands with whom.
func (c *compiler) shape(fs []pending) circuit.Shape {
	s := circuit.Shape{Card: c.cards(), Scopes: make([][]int32, len(fs))}
	for i, f := range fs {
		for _, v := range distinct(f.vars) {
			s.Scopes[i] = append(s.Scopes[i], v.id)
		}
	}
	return s
}

// roomFor refuses a single factor that would be too large to write down.
func (c *compiler) roomFor(f pending) error {
	size := 1.0
	var names []string
	for _, v := range distinct(f.vars) {
		size *= float64(v.card())
		names = append(names, c.m.Name(v.named))
	}
	if size > maxEntries {
		return fmt.Errorf("%w: %s would need a table of %.3g entries", ErrEntangled, strings.Join(names, ", "), size)
	}
	return nil
}

func distinct(vars []*variable) []*variable {
	out := make([]*variable, 0, len(vars))
	for _, v := range vars {
		if v.card() > 1 && !slices.Contains(out, v) {
			out = append(out, v)
		}
	}
	return out
}

// write turns a pending factor into a table. A variable may be named twice,
// and one that has a single value needs no place in the table.
func (c *compiler) write(b *circuit.Builder, f pending) circuit.Factor {
	vars := distinct(f.vars)
	out := circuit.Factor{}
	size := 1
	for _, v := range vars {
		out.Vars = append(out.Vars, v.id)
		size *= v.card()
	}
	place := make([]int, len(f.vars))
	for i, v := range f.vars {
		place[i] = slices.Index(vars, v)
	}
	digit, val := make([]int, len(vars)), make([]int, len(f.vars))
	out.Table = make([]circuit.Node, size)
	for row := range out.Table {
		for i, p := range place {
			if p >= 0 {
				val[i] = digit[p]
			}
		}
		out.Table[row] = f.at(b, val)
		for j := len(digit) - 1; j >= 0; j-- {
			if digit[j]++; digit[j] < vars[j].card() {
				break
			}
			digit[j] = 0
		}
	}
	return out
}
