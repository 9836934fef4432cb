package faulttree

import (
	"math"
	"slices"

	"narrows/faulttree/internal/circuit"
)

// factorItems writes the factor of each item: its first state given what
// raises it, what the repairs did to it, and its leaves.
func (c *compiler) factorItems() {
	for i, v := range c.item {
		steps := c.m.itemSteps(c.q, ItemID(i))
		leaf := func(b *circuit.Builder, x int) circuit.Node {
			return b.Mul(b.Const(v.hist[x].chance(steps)), b.Leaf(v.leaf[x]))
		}
		r := newRisks(c.m, ItemID(i))
		if len(r.sources) > 6 && len(r.hazard) == 1 {
			c.factorRaised(v, r, leaf)
			continue
		}
		vars := []*variable{v}
		var bits []func(int) stageBits
		for _, s := range r.sources {
			sv, sb := c.source(s)
			vars, bits = append(vars, sv), append(bits, sb)
		}
		c.add(pending{vars, func(b *circuit.Builder, val []int) circuit.Node {
			present := func(k int) bool { return bits[k](val[k+1])&1 != 0 }
			p := r.probability(int(v.hist[val[0]][0]), present)
			return b.Mul(b.Const(p), leaf(b, val[0]))
		}})
	}
}

// source is state for an event as a source of modes, of which only stage 0
// matters. Where the event's variable tells more than that, a variable of its
// own for stage 0 keeps the rest out of the tables of what it raises.
func (c *compiler) source(e Event) (*variable, func(int) stageBits) {
	v, bits := c.state(e)
	if v.card() <= 2 {
		return v, bits
	}
	if md, ok := c.m.ModeOf(e); ok && len(c.m.items[md.Item].Modes) > 1 {
		return v, bits
	}
	o, ok := c.origin[v]
	if !ok {
		o = c.newVariable(variable{bits: []stageBits{0, 1}, named: e})
		c.origin[v] = o
		c.add(pending{[]*variable{v, o}, func(_ *circuit.Builder, val []int) circuit.Node {
			if bits(val[0])&1 == o.bits[val[1]] {
				return circuit.One
			}
			return circuit.Zero
		}})
	}
	return o, func(x int) stageBits { return o.bits[x] }
}

// factorRaised takes apart the item with one mode and many sources: with one
// mode competing risks are a noisy OR, which folds one source at a time.
func (c *compiler) factorRaised(v *variable, r risks, leaf func(*circuit.Builder, int) circuit.Node) {
	own := c.newVariable(variable{bits: []stageBits{0, 1}, named: v.named})
	c.add(pending{[]*variable{own}, func(b *circuit.Builder, val []int) circuit.Node {
		stay := math.Exp(-r.hazard[0])
		if val[0] == 0 {
			return b.Const(stay)
		}
		return b.Const(1 - stay)
	}})
	links := []link{{from: own, bits: func(x int) stageBits { return own.bits[x] }, strength: 1}}
	for k, s := range r.sources {
		sv, sb := c.source(s)
		links = append(links, link{sv, sb, 1 - math.Exp(-r.raise[k][0]), false})
	}
	first := c.newChain(v.named, chainRule{kind: Or, mask: 1}, links)
	c.chain[len(c.chain)-1].pruneHub()
	c.add(pending{[]*variable{v, first}, func(b *circuit.Builder, val []int) circuit.Node {
		if (v.hist[val[0]][0] != 0) != (first.bits[val[1]] != 0) {
			return circuit.Zero
		}
		return leaf(b, val[0])
	}})
}

// risks are the competing hazards of an item's modes.
type risks struct {
	hazard  []float64   // spontaneous, by mode: -ln(1-prior)
	sources []Event     // distinct, in order
	raise   [][]float64 // raise[k][m]: hazard that source k adds to mode m
}

func newRisks(m *Model, item ItemID) risks {
	modes := m.items[item].Modes
	r := risks{hazard: make([]float64, len(modes))}
	for k, e := range modes {
		md, _ := m.ModeOf(e)
		r.hazard[k] = -math.Log1p(-md.Prior)
		for _, s := range md.Sources {
			i := slices.Index(r.sources, s.Event)
			if i < 0 {
				i = len(r.sources)
				r.sources = append(r.sources, s.Event)
				r.raise = append(r.raise, make([]float64, len(modes)))
			}
			r.raise[i][k] += -math.Log1p(-s.Weight)
		}
	}
	return r
}

// probability of a state (0 sound, k the k-th mode) with the given sources
// present: P(mode) = h/H (1-exp(-H)), P(sound) = exp(-H), where H sums the
// hazards h of all modes.
func (r *risks) probability(state int, present func(source int) bool) float64 {
	total, own := 0.0, 0.0
	for k, h := range r.hazard {
		for i := range r.sources {
			if present(i) {
				h += r.raise[i][k]
			}
		}
		total += h
		if k == state-1 {
			own = h
		}
	}
	if state == 0 {
		return math.Exp(-total)
	}
	return own / total * -math.Expm1(-total)
}

// factorChecks writes the chains of checks with several rows: "none of the
// rows so far holds" is carried along, and the row that decides has a leaf.
func (c *compiler) factorChecks() {
	for _, k := range c.q.chains {
		rows := c.m.checks[k.check].Rows
		var open *variable
		for i, r := range rows {
			open = c.factorRow(k, r, c.out.rows[k]+i, open, i == len(rows)-1)
		}
	}
}

// factorRow writes one row; open is the variable that says whether no earlier
// row held (nil for the first row). It returns the variable for the next row.
func (c *compiler) factorRow(k stagedCheck, r Row, leaf int, open *variable, last bool) *variable {
	v, bits := c.state(r.Event)
	vars := []*variable{v}
	if open != nil {
		vars = append(vars, open)
	}
	var after *variable
	if !last {
		after = c.newVariable(variable{bits: []stageBits{0, 1}, named: r.Event})
		vars = append(vars, after)
	}
	c.add(pending{vars, func(b *circuit.Builder, val []int) circuit.Node {
		wasOpen := open == nil || val[1] == 1
		holds := bits(val[0])>>k.stage&1 != 0
		isOpen := wasOpen && !holds
		if !last && (val[len(val)-1] == 1) != isOpen {
			return circuit.Zero
		}
		switch {
		case wasOpen && holds:
			return b.Leaf(leaf)
		case isOpen && last:
			return b.Leaf(leaf + 1)
		}
		return circuit.One
	}})
	return after
}

// Sources returns the events that can raise any mode of the item, each once.
func (m *Model) Sources(item ItemID) []Event { return newRisks(m, item).sources }

// Chances returns the probability of each state of an item as brought in, 0
// being sound and k its k-th mode, given which of its sources are present.
func (m *Model) Chances(item ItemID, present func(Event) bool) []float64 {
	r := newRisks(m, item)
	out := make([]float64, len(r.hazard)+1)
	for st := range out {
		out[st] = r.probability(st, func(source int) bool { return present(r.sources[source]) })
	}
	return out
}
