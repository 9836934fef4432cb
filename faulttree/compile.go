package faulttree

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"narrows/faulttree/internal/circuit"
)

// maxEntries bounds the table entries that one compilation may make: a few
// seconds of work and a few hundred megabytes.
const maxEntries = 8e7

// ErrEntangled is in the chain of errors for a model that cannot be compiled
// within bounds; the text names the events that stand together.
var ErrEntangled = errors.New("the events depend on each other too closely to compute exactly")

// EntangledError says why; it wraps ErrEntangled.
type EntangledError struct {
	Entries float64 // table entries that the program would take, or more
	why     string
}

func (e *EntangledError) Error() string { return ErrEntangled.Error() + ": " + e.why }

func (e *EntangledError) Unwrap() error { return ErrEntangled }

// program is a compiled question: the circuit, and which leaf stands for what.
type program struct {
	circ       *circuit.Program
	histories  [][]history         // by item
	items      []int               // by item: the leaf of its first history
	gates      map[stagedEvent]int // two leaves: absent, present
	unlisted   map[Event]int       // two leaves: not at work, at work
	rows       map[stagedCheck]int // a leaf for each row, then Else
	leaves     int
	logPrior   []float64 // by leaf: of an item's history if nothing raises it, else 0
	impossible bool      // the hard answers alone exclude one another
}

// outline is a question on its way to a program: the leaves are laid out, and how
// to write the network of every signed term is decided. How much that will be is
// known then, in a fraction of the time.
type outline struct {
	out  *program
	nets []*compiler
}

// outline lays out the leaves and chooses how to write every signed term.
func (m *Model) outline(q *question) (*outline, error) {
	if q.stages() > maxStages {
		return nil, fmt.Errorf("%d repairs in one belief; at most %d can be told apart", len(q.repairs), maxStages-2)
	}
	p := m.layOut(q)
	steady := m.steady(q)
	ds, ok := q.demands(steady)
	if !ok {
		p.impossible = true
		return &outline{p, nil}, nil
	}
	var nets []*compiler
	cost := 0.0
	sum := m.terms(q, ds)
	for _, t := range sum {
		c := newCompiler(m, q, p, steady, t)
		if !c.prepare() {
			continue
		}
		c.choose(len(sum) == 1)
		nets = append(nets, c)
		if cost += c.order.Cost; cost > q.entries() {
			return nil, c.entangled(cost)
		}
	}
	return &outline{p, nets}, nil
}

// write writes the networks of all signed terms into one circuit.
func (o *outline) write() (*program, error) {
	p := o.out
	if p.impossible {
		return p, nil
	}
	b := circuit.NewBuilder(p.leaves)
	root := circuit.Zero
	for _, c := range o.nets {
		n, err := c.eliminate(b)
		if err != nil {
			return nil, err
		}
		root = b.Add(root, b.Mul(c.coefficient(b), n))
	}
	p.impossible = root == circuit.Zero
	p.circ = b.Finish(root)
	return p, nil
}

// coefficient is what the term's value is multiplied with.
func (c *compiler) coefficient(b *circuit.Builder) circuit.Node {
	n := b.Const(c.term.sign)
	for _, s := range c.term.settled {
		leaves := c.out.gates[s.at]
		x := b.Leaf(leaves + 1)
		if s.extra {
			x = b.Add(b.Leaf(leaves), b.Mul(b.Const(-1), x))
		}
		n = b.Mul(n, x)
	}
	return n
}

// asked lists the gates with leaves of their own in this term.
func (c *compiler) asked() []stagedEvent {
	return slices.DeleteFunc(c.q.asked(), func(s stagedEvent) bool {
		return slices.ContainsFunc(c.term.settled, func(x settledSoft) bool { return x.at == s })
	})
}

// layOut lists the histories of the items and reserves all leaves.
func (m *Model) layOut(q *question) *program {
	p := &program{
		gates: make(map[stagedEvent]int), unlisted: make(map[Event]int), rows: make(map[stagedCheck]int),
		items: make([]int, len(m.items)), histories: make([][]history, len(m.items)),
	}
	reserve := func(n int) int {
		p.leaves += n
		return p.leaves - n
	}
	for i, it := range m.items {
		p.histories[i] = histories(len(it.Modes)+1, m.itemSteps(q, ItemID(i)))
		p.items[i] = reserve(len(p.histories[i]))
	}
	for _, s := range q.asked() {
		p.gates[s] = reserve(2)
	}
	for _, e := range q.outside {
		if g, _ := m.GateOf(e); g.Unlisted > 0 {
			p.unlisted[e] = reserve(2)
		}
	}
	for _, k := range q.chains {
		p.rows[k] = reserve(len(m.checks[k.check].Rows) + 1)
	}
	p.logPrior = make([]float64, p.leaves)
	for i := range m.items {
		r, steps := newRisks(m, ItemID(i)), m.itemSteps(q, ItemID(i))
		for x, h := range p.histories[i] {
			p.logPrior[p.items[i]+x] = math.Log(r.probability(int(h[0]), func(int) bool { return false }) * h.chance(steps))
		}
	}
	return p
}

// asked lists the gates, with the stage, that have leaves of their own.
func (q *question) asked() []stagedEvent {
	out := slices.Clone(q.soft)
	for _, e := range q.answer {
		if s := (stagedEvent{e, q.now()}); !slices.Contains(q.soft, s) {
			out = append(out, s)
		}
	}
	return out
}

// itemSteps lists what the repairs do to an item, stage by stage.
func (m *Model) itemSteps(q *question, item ItemID) []transition {
	var steps []transition
	for _, r := range q.repairs {
		steps = append(steps, m.onItem(RepairID(r), item))
	}
	if q.cure != nil {
		steps = append(steps, m.anyRepair(item))
	}
	return steps
}

// anyRepair allows every change that some sequence of repairs makes, with
// chance 1: the leaves then say which repairs they are. Every mode may become
// sound.
func (m *Model) anyRepair(item ItemID) transition {
	t := identity(len(m.items[item].Modes) + 1)
	for k := range t {
		t[k][0] = 1
	}
	for r := range m.repairs {
		u := m.onItem(RepairID(r), item)
		for i := range u {
			for j, p := range u[i] {
				if p > 0 {
					t[i][j] = 1
				}
			}
		}
	}
	for k := range t { // transitive closure
		for i := range t {
			for j := range t {
				if t[i][k] > 0 && t[k][j] > 0 {
					t[i][j] = 1
				}
			}
		}
	}
	return t
}

// compiler turns one signed term of a question into a network of small
// factors.
type compiler struct {
	m      *Model
	q      *question
	out    *program
	steady []bool
	term   signed
	need   []stageBits // by event: stages at which it matters; 0: not at all
	melted []stageBits // by event: a symptom that falls apart into its inputs, and when it is absent
	vars   []*variable
	item   []*variable // by item
	gate   map[Event]*variable
	chain  []*chain
	origin map[*variable]*variable // what a source was at stage 0, apart from what became of it
	facts  []pending
	order  circuit.Ordering
}

// variable is one variable of the network. Its values are histories, stage
// bits or partial results of a chain; exactly one of the slices is filled.
type variable struct {
	id    int32
	hist  []history
	leaf  []int // with hist: the leaf of each value
	bits  []stageBits
	codes []uint64
	named Event // for messages: the event it stands for, or belongs to
}

func (v *variable) card() int { return max(len(v.hist), len(v.bits), len(v.codes)) }

// pending is a factor to be written once the builder exists.
type pending struct {
	vars []*variable
	at   func(b *circuit.Builder, val []int) circuit.Node
}

func newCompiler(m *Model, q *question, p *program, steady []bool, t signed) *compiler {
	return &compiler{m: m, q: q, out: p, steady: steady, term: t, gate: make(map[Event]*variable), origin: make(map[*variable]*variable)}
}

// prepare makes the variables and the factors that do not depend on how gates
// are written. It reports false if the term is impossible.
func (c *compiler) prepare() bool {
	c.findNeeds()
	c.makeItems()
	c.makeGates()
	if !c.prune() {
		return false
	}
	c.factorItems()
	c.factorGates()
	c.factorMelted()
	c.factorChecks()
	return true
}

// findNeeds marks every gate that a finding or an answer rests on with the
// stages at which it matters, and the symptoms that fall apart.
func (c *compiler) findNeeds() {
	c.need = make([]stageBits, c.m.Len())
	c.melted = make([]stageBits, c.m.Len())
	for _, s := range c.asked() {
		c.need[s.event] |= 1 << s.stage
	}
	for _, k := range c.q.chains {
		for _, r := range c.m.checks[k.check].Rows {
			c.need[r.Event] |= 1 << k.stage
		}
	}
	for _, md := range c.m.modes {
		for _, s := range md.Sources {
			c.need[s.Event] |= 1
		}
	}
	c.placeDemands()
	for i := len(c.m.order) - 1; i >= 0; i-- {
		e := c.m.order[i]
		g, ok := c.m.simplified(e)
		if !ok {
			continue
		}
		if w := c.melted[e]; w != 0 && c.need[e] != 0 {
			// Something above needs it after all.
			c.need[e] |= w
			c.melted[e] = 0
		}
		for _, in := range g.Inputs {
			c.need[in.Event] |= c.need[e]
			if w := c.melted[e]; w != 0 {
				c.need[in.Event] |= c.telling(in, w)
			}
		}
	}
}

// placeDemands decides for each demand whether its gate stays a variable.
func (c *compiler) placeDemands() {
	for _, d := range c.term.demands {
		g, _ := c.m.simplified(d.event)
		if d.present == 0 && g.Kind == Or && c.need[d.event] == 0 {
			c.melted[d.event] = d.absent
		} else {
			c.need[d.event] |= d.present | d.absent
		}
	}
}

// telling is the stages of an input that tell whether it is absent throughout
// w: for one that can only end, the first of them.
func (c *compiler) telling(in Input, w stageBits) stageBits {
	if c.steady[in.Event] && !in.Inverted {
		return first(w)
	}
	return w
}

func (c *compiler) newVariable(v variable) *variable {
	v.id = int32(len(c.vars))
	c.vars = append(c.vars, &v)
	return &v
}

func (c *compiler) makeItems() {
	c.item = make([]*variable, len(c.m.items))
	for i, it := range c.m.items {
		v := variable{hist: c.out.histories[i], named: it.Modes[0]}
		for x := range v.hist {
			v.leaf = append(v.leaf, c.out.items[i]+x)
		}
		c.item[i] = c.newVariable(v)
	}
}

// state returns the variable of an event and the stages at which each of its
// values means that the event is present.
func (c *compiler) state(e Event) (*variable, func(int) stageBits) {
	if md, ok := c.m.ModeOf(e); ok {
		v := c.item[md.Item]
		s := uint8(slices.Index(c.m.items[md.Item].Modes, e) + 1)
		return v, func(x int) stageBits { return v.hist[x].bits(s) }
	}
	v := c.gate[e]
	return v, func(x int) stageBits { return v.bits[x] }
}

func (c *compiler) add(f pending) { c.facts = append(c.facts, f) }

func (c *compiler) entangled(cost float64) error {
	var names []string
	for _, v := range c.order.Widest {
		if n := c.m.Name(c.vars[v].named); !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	slices.Sort(names)
	return &EntangledError{cost, fmt.Sprintf("about %.3g table entries, %.3g allowed; these stand together: %s",
		cost, c.q.entries(), strings.Join(names, ", "))}
}
