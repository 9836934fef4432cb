package faulttree

import (
	"errors"
	"slices"
	"sync"

	"narrows/faulttree/internal/circuit"
)

// A finding touches the structure of the computation only if it is a hard
// answer about a symptom; everything else is a weight on leaves. reach says
// where a check's likelihood goes.
type reach uint8

const (
	onNothing reach = iota // no rows
	onItem                 // every row is a mode of the same item
	onGate                 // one row, a gate
	onChain                // anything else
)

func (m *Model) reach(c CheckID) reach {
	rows := m.checks[c].Rows
	if len(rows) == 0 {
		return onNothing
	}
	first, isMode := m.ModeOf(rows[0].Event)
	if !isMode {
		if len(rows) == 1 {
			return onGate
		}
		return onChain
	}
	for _, r := range rows[1:] {
		if md, ok := m.ModeOf(r.Event); !ok || md.Item != first.Item {
			return onChain
		}
	}
	return onItem
}

func (m *Model) symptom(e Event) bool {
	g, ok := m.GateOf(e)
	return ok && g.Symptom
}

// question lists what the belief's program must answer.
func (b *Belief) question() *question {
	q := b.evidence()
	want := make([]bool, b.m.Len())
	for _, e := range b.include {
		want[e] = true
	}
	for _, id := range b.watch {
		switch b.m.reach(id) {
		case onChain:
			q.addChain(stagedCheck{id, q.now()})
		case onGate:
			want[b.m.checks[id].Rows[0].Event] = true
		}
	}
	for _, e := range b.m.gateEv {
		if want[e] {
			q.answer = append(q.answer, e)
		}
		if want[e] || slices.Contains(b.complaint, e) {
			q.outside = append(q.outside, e)
		}
	}
	// What is asked about has leaves for findings too: whether there are any
	// changes no structure.
	q.soft = slices.DeleteFunc(q.soft, func(s stagedEvent) bool {
		return s.stage == q.now() && slices.Contains(q.answer, s.event)
	})
	slices.SortFunc(q.chains, func(a, b stagedCheck) int {
		if a.check != b.check {
			return int(a.check - b.check)
		}
		return a.stage - b.stage
	})
	return q
}

// evidence lists what the findings alone ask of the structure.
func (b *Belief) evidence() *question {
	q := &question{repairs: b.repairs}
	for _, f := range b.findings {
		switch {
		case f.Event == None && b.m.reach(f.Check) == onChain:
			q.addChain(stagedCheck{f.Check, f.Stage})
		case f.Event == None && b.m.reach(f.Check) == onGate:
			q.soft = append(q.soft, stagedEvent{b.m.checks[f.Check].Rows[0].Event, f.Stage})
		case f.Event == None:
		case b.m.symptom(f.Event) && f.Hard():
			q.hard = append(q.hard, hardAnswer{f.Event, f.Stage, f.Weight[1] == 0})
		default:
			if _, isGate := b.m.GateOf(f.Event); isGate {
				q.soft = append(q.soft, stagedEvent{f.Event, f.Stage})
			}
		}
	}
	slices.SortFunc(q.soft, func(a, b stagedEvent) int {
		if a.event != b.event {
			return int(a.event - b.event)
		}
		return a.stage - b.stage
	})
	q.soft = slices.Compact(q.soft)
	return q
}

func (q *question) addChain(k stagedCheck) {
	if !slices.Contains(q.chains, k) {
		q.chains = append(q.chains, k)
	}
}

// cache keeps the programs of a model; the oldest goes first.
type cache struct {
	mu    sync.Mutex
	byKey map[string]*cached
	keys  []string
}

type cached struct {
	once sync.Once
	prog *program
	err  error
	pool sync.Pool
}

const cacheSize = 24

func (c *cache) get(m *Model, q *question) *cached {
	key := q.key()
	c.mu.Lock()
	e, ok := c.byKey[key]
	if !ok {
		e = &cached{}
		c.byKey[key] = e
		c.keys = append(c.keys, key)
		if len(c.keys) > cacheSize {
			delete(c.byKey, c.keys[0])
			c.keys = c.keys[1:]
		}
	}
	c.mu.Unlock()
	e.once.Do(func() { e.prog, e.err = m.compile(q) })
	return e
}

// evaluation is one use of a program: leaf weights and room for the passes.
type evaluation struct {
	owner *cached
	prog  *program
	w     []float64
	ws    *workspace
	der   []float64
}

type workspace struct {
	s *circuit.Scratch
	w []float64
}

// run compiles the question, or finds it compiled, and sets the leaf weights
// to the findings.
func (b *Belief) run(q *question) (*evaluation, error) {
	e := b.m.programs.get(b.m, q)
	if e.err != nil {
		return nil, e.err
	}
	if e.prog.impossible {
		return nil, errImpossible
	}
	ws, ok := e.pool.Get().(*workspace)
	if !ok {
		ws = &workspace{e.prog.circ.NewScratch(), make([]float64, e.prog.circ.Leaves())}
	}
	r := &evaluation{owner: e, prog: e.prog, w: ws.w, ws: ws}
	b.weigh(q, r)
	return r, nil
}

// accuracy is the bound on the relative rounding error beyond which signed sums
// count as having cancelled too far. The bound adds up the worst case of every
// operation; rounding errors partly cancel, and the errors seen are smaller by
// two orders of magnitude and more (TestSignedSums).
const accuracy = 2e-8

// runSafely runs the question and, where its signed sums cancel too far, asks
// it again in the form in which nothing cancels, if that can be compiled. It
// leaves the evaluation after its upward pass, with the value.
func (b *Belief) runSafely(q *question) (*evaluation, float64, error) {
	r, err := b.run(q)
	if err != nil {
		return nil, 0, err
	}
	f, bound := r.prog.circ.UpBounded(r.ws.s, r.w)
	if bound <= accuracy*f {
		return r, f, nil
	}
	safe := *q
	safe.positive = true
	s, err := b.run(&safe)
	switch {
	case err == nil:
		r.release()
		return s, s.up(), nil
	case errors.Is(err, ErrEntangled) && f > bound:
		return r, f, nil
	case errors.Is(err, ErrEntangled):
		err = errImpossible
	}
	r.release()
	return nil, 0, err
}

func (r *evaluation) release() { r.owner.pool.Put(r.ws) }

func (r *evaluation) up() float64 { return r.prog.circ.Up(r.ws.s, r.w) }

func (r *evaluation) down() { r.der = r.prog.circ.Down(r.ws.s) }

// mass is the part of the value that goes through a leaf.
func (r *evaluation) mass(leaf int) float64 { return float64(r.w[leaf] * r.der[leaf]) }

// weigh sets every leaf to the likelihood of the findings.
func (b *Belief) weigh(q *question, r *evaluation) {
	for i := range r.w {
		r.w[i] = 1
	}
	for _, f := range b.findings {
		if f.Event == None {
			b.weighCheck(f, r)
			continue
		}
		if md, ok := b.m.ModeOf(f.Event); ok {
			state := uint8(slices.Index(b.m.items[md.Item].Modes, f.Event) + 1)
			r.weighItem(md.Item, f.Stage, func(s uint8) float64 {
				if s == state {
					return f.Weight[0]
				}
				return f.Weight[1]
			})
			continue
		}
		if b.m.symptom(f.Event) && f.Hard() {
			continue // built into the structure; its weight is 1
		}
		r.weighGate(f.Event, f.Stage, f.Weight)
	}
}

func (b *Belief) weighCheck(f Placed, r *evaluation) {
	rows := b.m.checks[f.Check].Rows
	switch b.m.reach(f.Check) {
	case onItem:
		md, _ := b.m.ModeOf(rows[0].Event)
		modes := b.m.items[md.Item].Modes
		r.weighItem(md.Item, f.Stage, func(s uint8) float64 {
			for i, row := range rows {
				if s > 0 && modes[s-1] == row.Event {
					return f.Weight[i]
				}
			}
			return f.Weight[len(rows)]
		})
	case onGate:
		r.weighGate(rows[0].Event, f.Stage, f.Weight)
	case onChain:
		from := r.prog.rows[stagedCheck{f.Check, f.Stage}]
		for i, w := range f.Weight {
			r.w[from+i] *= w
		}
	}
}

func (r *evaluation) weighItem(item ItemID, stage int, weight func(state uint8) float64) {
	from := r.prog.items[item]
	for x, h := range r.prog.histories[item] {
		r.w[from+x] *= weight(h[stage])
	}
}

func (r *evaluation) weighGate(e Event, stage int, weight []float64) {
	leaves := r.prog.gates[stagedEvent{e, stage}]
	r.w[leaves+1] *= weight[0]
	r.w[leaves] *= weight[1]
}
