package faulttree

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"
)

// Cures holds, for every repair made next and alone, the probability that no
// symptom of the complaint remains, given all findings.
type Cures struct {
	b      *Belief
	q      *question
	total  given     // probability of the findings
	repair []float64 // by repair; NaN for those of several items until asked for
	mode   []float64 // by event; NaN for gates
	none   bool      // no repair can end the complaint
	mu     sync.Mutex
}

// given is the probability of the findings as an evaluation gave it, with what
// other evaluations need to know to be measured against it.
type given struct {
	f, scale float64
	wide     bool
	ref      int32
	positive bool // in the form in which nothing cancels
}

// share is a value of an evaluation as a part of the findings' probability.
func (g given) share(r *evaluation, f float64) float64 {
	return clamp(f / g.f * math.Exp(r.scale-g.scale))
}

// like makes an evaluation wide if the findings' was, so that their values can
// be compared.
func (g given) like(r *evaluation) {
	if g.wide {
		r.widen(g.ref)
	}
}

// ErrNoComplaint says that no symptom has been named whose end would be a cure.
var ErrNoComplaint = errors.New("no complaint has been named, so there is nothing to cure")

// Cures computes the cure probability of every single repair. Single cures
// exclude one another where the complaint is known to be there, so that they
// then add up to at most one.
func (b *Belief) Cures() (*Cures, error) {
	if len(b.complaint) == 0 {
		return nil, ErrNoComplaint
	}
	total, err := b.probability()
	if err != nil {
		return nil, err
	}
	return b.curesOf(total)
}

// With computes the same for a belief that has other findings at the same places,
// when it is known how many times as probable all its findings are together.
func (c *Cures) With(b *Belief, times float64) (*Cures, error) {
	total := c.total
	total.f *= times * math.Exp(c.b.logIdle()-b.logIdle()) // what is idle is in no evaluation
	return b.curesOf(total)
}

// FitCures tells, in a fraction of the time that Cures takes, whether its program
// can be made: the error, if any, is that of Cures.
func (b *Belief) FitCures() error {
	if len(b.complaint) == 0 {
		return ErrNoComplaint
	}
	e, _ := b.m.programs.outlined(b.m, b.cureQuestion())
	return e.unfit
}

// ReadyCures makes the program of Cures beforehand.
func (b *Belief) ReadyCures() {
	if len(b.complaint) > 0 {
		b.m.programs.get(b.m, b.cureQuestion())
	}
}

func (b *Belief) cureQuestion() *question {
	q := b.evidence()
	q.cure = b.complaint
	return q
}

func (b *Belief) curesOf(total given) (*Cures, error) {
	q := b.cureQuestion()
	c := &Cures{b: b, q: q, total: total,
		repair: make([]float64, len(b.m.repairs)), mode: make([]float64, b.m.Len())}
	for e := range c.mode {
		if _, ok := b.m.ModeOf(Event(e)); !ok {
			c.mode[e] = math.NaN()
		}
	}
	return c, c.compute()
}

// probability of all findings together.
func (b *Belief) probability() (given, error) {
	r, f, err := b.runSafely(b.question())
	if errors.Is(err, errImpossible) {
		err = b.contradiction()
	}
	if err != nil {
		return given{}, err
	}
	defer r.release()
	return given{f, r.scale, r.wide, r.ref, r.positive}, nil
}

// compute runs one upward and one downward pass with every item left alone.
// The value is linear in the leaves of each single item, so the derivatives
// say what it would be had that item alone been repaired. Repairs of several
// items at once take an upward pass each, when they are asked for.
func (c *Cures) compute() error {
	m := c.b.m
	r, found, err := c.open()
	if errors.Is(err, errImpossible) {
		c.none = true
		return nil
	}
	if err != nil {
		return err
	}
	defer r.release()
	r.down()
	now, last := c.q.now(), c.q.now()+1
	for k := range m.repairs {
		does := m.effects[k]
		if len(does) > 1 {
			c.repair[k] = math.NaN()
			continue
		}
		item, t := does[0].item, does[0].does
		c.repair[k] = c.total.share(r, r.linear(item, found, func(h history) float64 { return t[h[now]][h[last]] }))
	}
	for i, it := range m.items {
		for s, e := range it.Modes {
			c.mode[e] = c.total.share(r, r.linear(ItemID(i), found, func(h history) float64 {
				if int(h[now]) == s+1 && h[last] == 0 {
					return 1
				}
				return 0
			}))
		}
	}
	return nil
}

// Operations is how many operations one pass of the computation takes: a
// measure of what a further question of the same kind costs that does not
// depend on the machine. 0 if nothing has to be computed.
func (c *Cures) Operations() int {
	e := c.b.m.programs.get(c.b.m, c.q)
	if e.err != nil || e.prog.impossible {
		return 0
	}
	return e.prog.circ.Size()
}

// Cancelled tells whether signed sums cancelled too far in the probability of the
// findings or of the cures, so that a form without them was taken.
func (c *Cures) Cancelled() bool { return c.total.positive || c.q.positive }

// open runs the question with nothing repaired and leaves it after its upward
// pass. Where signed sums cancel too far against the probability of the
// findings, it asks anew in the form in which nothing cancels, if that can be
// compiled.
func (c *Cures) open() (r *evaluation, found []float64, err error) {
	if r, err = c.b.run(c.q); err != nil {
		return nil, nil, err
	}
	c.total.like(r)
	found = slices.Clone(r.w)
	r.repairing(found, c.q, c.b.m.made(nil))
	if c.b.unbounded {
		r.up()
		return r, found, nil
	}
	if bound := r.bound(); bound <= c.q.accuracy()*c.total.f || c.q.positive {
		return r, found, nil
	}
	safe := *c.q
	safe.positive = true
	if _, err := c.b.run(&safe); errors.Is(err, ErrEntangled) {
		return r, found, nil
	}
	r.release()
	c.q = &safe
	return c.open()
}

// linear sums, over the histories of one item, derivative times likelihood
// times the chance of the history under a repair.
func (r *evaluation) linear(item ItemID, found []float64, chance func(history) float64) float64 {
	from, sum := r.prog.items[item], 0.0
	for x, h := range r.prog.histories[item] {
		if p := chance(h); p > 0 {
			sum += float64(r.through(from+x, found[from+x]) * p)
		}
	}
	return sum
}

// made is what a set of repairs, made one after the other, does to each item;
// nil where it leaves it alone.
func (m *Model) made(set []RepairID) func(ItemID) transition {
	return func(item ItemID) (t transition) {
		for _, k := range set {
			if u := m.onItem(k, item); u != nil && t != nil {
				t = t.then(u)
			} else if u != nil {
				t = u
			}
		}
		return t
	}
}

// righted is what putting right a set of modes, without fail, does to each item.
func (m *Model) righted(set []Event) func(ItemID) transition {
	return func(item ItemID) (t transition) {
		modes := m.items[item].Modes
		for k, e := range modes {
			if slices.Contains(set, e) {
				if t == nil {
					t = identity(len(modes) + 1)
				}
				t[k+1][0], t[k+1][k+1] = 1, 0
			}
		}
		return t
	}
}

// repairing sets the leaves for what is done to the items before the complaint
// is tried again.
func (r *evaluation) repairing(found []float64, q *question, does func(ItemID) transition) {
	copy(r.w, found)
	now, last := q.now(), q.now()+1
	for i, from := range r.prog.items {
		t := does(ItemID(i))
		for x, h := range r.prog.histories[i] {
			switch {
			case t != nil:
				r.w[from+x] *= t[h[now]][h[last]]
			case h[now] != h[last]:
				r.w[from+x] = 0
			}
		}
	}
}

// Repair returns the probability that the repair, made next and alone, ends
// the complaint. A repair of several items takes a pass of its own when first
// asked for.
func (c *Cures) Repair(r RepairID) float64 {
	c.mu.Lock()
	defer c.mu.Unlock()
	if math.IsNaN(c.repair[r]) {
		c.repair[r] = c.after(c.b.m.made([]RepairID{r}))
	}
	return c.repair[r]
}

// Mode returns the probability that the mode or cause is present and that
// putting it right, alone and without fail, ends the complaint; NaN for gates.
func (c *Cures) Mode(e Event) float64 { return c.mode[e] }

// Set returns the probability that the complaint is gone after all repairs of
// the set, made in that order.
func (c *Cures) Set(set ...RepairID) (float64, error) {
	for _, k := range set {
		if k < 0 || int(k) >= len(c.b.m.repairs) {
			return 0, fmt.Errorf("no repair has the number %d", k)
		}
	}
	if len(set) == 1 {
		return c.Repair(set[0]), nil
	}
	return c.after(c.b.m.made(set)), nil
}

// Events returns the probability that the complaint is gone once all the modes
// and causes of the set are put right together, without fail. Asked of the
// faults found so far it says whether they account for the whole complaint.
func (c *Cures) Events(set ...Event) (float64, error) {
	for _, e := range set {
		if _, ok := c.b.m.ModeOf(e); !ok {
			return 0, fmt.Errorf("%q cannot be put right: it is no failure mode or cause", c.b.m.Name(e))
		}
	}
	return c.after(c.b.m.righted(set)), nil
}

// after runs the compiled question for what is done to the items.
func (c *Cures) after(does func(ItemID) transition) float64 {
	if c.none {
		return 0
	}
	r, err := c.b.run(c.q)
	if err != nil {
		return 0 // cannot be: the question was compiled in compute
	}
	defer r.release()
	c.total.like(r)
	r.repairing(slices.Clone(r.w), c.q, does)
	return c.total.share(r, r.up())
}
