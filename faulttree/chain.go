package faulttree

import (
	"slices"

	"narrows/faulttree/internal/circuit"
)

// chain is a gate taken apart: its inputs are folded one by one, so that no
// table holds more than one input and two partial results.
//
// An or gate can also be written as a hub: one variable z that runs over the
// gate's possible results, each link saying how likely what it passes stays
// within z, and the output weighing the values of z by the Moebius function of
// their inclusion. With one stage that is P(yes) = 1 - (1-leak) prod(1 - s x),
// the signed form of a noisy or (Diez & Galan 2003, "Efficient computation for
// the noisy MAX", for the idea). A hub makes narrower tables than a chain where
// the output is little asked for, but its signed sum cancels.
type chain struct {
	gate  Event
	rule  chainRule
	links []link
	part  []*variable // part[j]: result after link j; the last one is the output
	hub   *variable   // nil where the gate is not an or
	// results are all that the output could be before any answer was known.
	results []stageBits
	// counts marks a chain whose last part keeps its count, for several gates
	// to read.
	counts bool
}

// link is one input on its way into a chain.
type link struct {
	from     *variable
	bits     func(int) stageBits
	strength float64
	inverted bool
}

// each calls f for what the link may pass on when its input has value x: the
// whole history with probability strength, nothing otherwise.
func (l *link) each(x int, mask stageBits, f func(passed stageBits, p float64)) {
	b := l.bits(x)
	if l.inverted {
		b = ^b
	}
	b &= mask
	if b == 0 || l.strength == 1 {
		f(b, 1)
		return
	}
	f(b, l.strength)
	f(0, 1-l.strength)
}

// next folds a passed history into value p of the part before link j (p is
// ignored for the first) and returns the key of the part after it.
func (h *chain) next(j, p int, passed stageBits) uint64 {
	code := h.rule.start()
	if j > 0 {
		code = h.part[j-1].codes[p]
	}
	code = h.rule.step(code, passed)
	if j == len(h.links)-1 && !h.counts {
		return uint64(h.rule.result(code))
	}
	return code
}

// before is the number of values of the part before link j.
func (h *chain) before(j int) int {
	if j == 0 {
		return 1
	}
	return h.part[j-1].card()
}

// value finds the value of part j with the given key, or -1.
func (h *chain) value(j int, key uint64) int {
	if j == len(h.links)-1 && !h.counts {
		return slices.Index(h.part[j].bits, stageBits(key))
	}
	return slices.Index(h.part[j].codes, key)
}

// makeGates builds the chains of all gates that matter and lists what each
// part of them can be.
func (c *compiler) makeGates() {
	tallies := c.tallies()
	for _, e := range c.m.order {
		g, ok := c.m.simplified(e)
		if !ok || c.need[e] == 0 {
			continue
		}
		rule := chainRule{kind: g.Kind, k: g.K, mask: c.need[e]}
		var links []link
		if t, ok := tallies[e]; ok {
			links = []link{c.reads(t, g)}
			rule = chainRule{kind: Or, mask: rule.mask}
			g.Kind = Or
		} else {
			links = c.linksOf(g)
		}
		if g.Unlisted > 0 {
			extra := c.unlisted(e, g.Unlisted)
			if g.Kind != Or {
				base := c.newChain(e, rule, links)
				links = []link{{from: base, bits: func(x int) stageBits { return base.bits[x] }, strength: 1}}
				rule = chainRule{kind: Or, mask: rule.mask}
			}
			links = append(links, extra)
		}
		c.gate[e] = c.newChain(e, rule, links)
		c.restrict(e)
	}
}

// unlisted makes the variable of something outside the model that produces the
// symptom; it is at work at every stage or at none.
func (c *compiler) unlisted(e Event, prior float64) link {
	v := c.newVariable(variable{bits: []stageBits{0, ^stageBits(0)}, named: e})
	leaves, asked := c.out.unlisted[e]
	c.add(pending{[]*variable{v}, func(b *circuit.Builder, val []int) circuit.Node {
		p, at := 1-prior, 0
		if v.bits[val[0]] != 0 {
			p, at = prior, 1
		}
		if !asked {
			return b.Const(p)
		}
		return b.Mul(b.Const(p), b.Leaf(leaves+at))
	}})
	return link{from: v, bits: func(x int) stageBits { return v.bits[x] }, strength: 1}
}

// linksOf are the ways into a gate.
func (c *compiler) linksOf(g Gate) []link {
	var out []link
	for _, in := range g.Inputs {
		v, bits := c.state(in.Event)
		out = append(out, link{v, bits, in.Strength, in.Inverted})
	}
	return out
}

// newChain lists the reachable partial results link by link and returns the
// variable of the output.
func (c *compiler) newChain(e Event, rule chainRule, links []link) *variable {
	h := &chain{gate: e, rule: rule, links: links}
	c.list(h)
	if rule.kind == Or && len(links) > 1 {
		h.hub = c.newVariable(variable{named: e, bits: slices.Clone(h.output().bits)})
	}
	return h.output()
}

func (c *compiler) list(h *chain) {
	e, rule, links := h.gate, h.rule, h.links
	for j := range links {
		var keys []uint64
		for p := range h.before(j) {
			for x := range links[j].from.card() {
				links[j].each(x, rule.mask, func(passed stageBits, _ float64) {
					if k := h.next(j, p, passed); !slices.Contains(keys, k) {
						keys = append(keys, k)
					}
				})
			}
		}
		slices.Sort(keys)
		v := variable{named: e}
		if j == len(links)-1 && !h.counts {
			for _, k := range keys {
				v.bits = append(v.bits, stageBits(k))
			}
		} else {
			v.codes = keys
		}
		h.part = append(h.part, c.newVariable(v))
	}
	c.chain = append(c.chain, h)
}

func (h *chain) output() *variable { return h.part[len(h.part)-1] }

// restrict drops what the demands exclude.
func (c *compiler) restrict(e Event) {
	for _, d := range c.term.demands {
		if d.event == e {
			v := c.gate[e]
			v.bits = slices.DeleteFunc(v.bits, func(b stageBits) bool {
				return b&d.present != d.present || b&d.absent != 0
			})
		}
	}
}

// prune removes, from the tops down, every value that no allowed value above
// can come from. A symptom known to be absent thereby dissolves its whole
// chain. It reports whether anything is left.
func (c *compiler) prune() bool {
	for i := len(c.chain) - 1; i >= 0; i-- {
		h := c.chain[i]
		for j := len(h.links) - 1; j >= 0; j-- {
			c.pruneStep(h, j)
		}
		if h.hub != nil {
			h.pruneHub()
		}
	}
	for _, v := range c.vars {
		if v.card() == 0 {
			return false
		}
	}
	return true
}

func (c *compiler) pruneStep(h *chain, j int) {
	l := &h.links[j]
	usedP := make([]bool, h.before(j))
	usedX := make([]bool, l.from.card())
	for p := range usedP {
		for x := range usedX {
			l.each(x, h.rule.mask, func(passed stageBits, _ float64) {
				if h.value(j, h.next(j, p, passed)) >= 0 {
					usedP[p], usedX[x] = true, true
				}
			})
		}
	}
	if j > 0 {
		h.part[j-1].retain(usedP)
	}
	l.from.retain(usedX)
}

func (v *variable) retain(used []bool) {
	v.hist, v.leaf = keep(v.hist, used), keep(v.leaf, used)
	v.bits, v.codes = keep(v.bits, used), keep(v.codes, used)
}

func keep[T any](s []T, used []bool) []T {
	if s == nil {
		return nil
	}
	out := make([]T, 0, len(s))
	for i, x := range s {
		if used[i] {
			out = append(out, x)
		}
	}
	return out
}

// factorGates writes the leaves of the gates that are asked about or that
// findings bear on.
func (c *compiler) factorGates() {
	for _, s := range c.asked() {
		v, leaves := c.gate[s.event], c.out.gates[s]
		c.add(pending{[]*variable{v}, func(b *circuit.Builder, val []int) circuit.Node {
			return b.Leaf(leaves + int(v.bits[val[0]]>>s.stage&1))
		}})
	}
}

// factorMelted lets each absent or gate fall apart: no input works through.
func (c *compiler) factorMelted() {
	for _, e := range c.m.order {
		w := c.melted[e]
		if w == 0 {
			continue
		}
		g, _ := c.m.simplified(e)
		c.add(pending{nil, func(b *circuit.Builder, _ []int) circuit.Node { return b.Const(1 - g.Unlisted) }})
		for _, in := range g.Inputs {
			v, bits := c.state(in.Event)
			l := link{v, bits, in.Strength, in.Inverted}
			tell := c.telling(in, w)
			c.add(pending{[]*variable{v}, func(b *circuit.Builder, val []int) circuit.Node {
				sum := 0.0
				l.each(val[0], tell, func(passed stageBits, p float64) {
					if passed == 0 {
						sum += p
					}
				})
				return b.Const(sum)
			}})
		}
	}
}

// factors writes the gate as a chain, one factor a link.
func (h *chain) factors() []pending {
	var out []pending
	for j := range h.links {
		out = append(out, h.factorLink(j))
	}
	return out
}

func (h *chain) factorLink(j int) pending {
	l := &h.links[j]
	next := h.part[j]
	key := func(n int) uint64 {
		if next.codes != nil {
			return next.codes[n]
		}
		return uint64(next.bits[n])
	}
	vars := []*variable{l.from, next}
	if j > 0 {
		vars = append(vars, h.part[j-1])
	}
	return pending{vars, func(b *circuit.Builder, val []int) circuit.Node {
		p := 0
		if j > 0 {
			p = val[2]
		}
		sum := 0.0
		l.each(val[0], h.rule.mask, func(passed stageBits, chance float64) {
			if h.next(j, p, passed) == key(val[1]) {
				sum += chance
			}
		})
		return b.Const(sum)
	}}
}
