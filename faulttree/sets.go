package faulttree

import (
	"container/heap"
	"context"
	"errors"
	"fmt"
	"math/bits"
	"slices"
	"strings"
)

// FaultSet is a set of faults that are present together, nothing else of what
// the findings bear on being wrong.
type FaultSet struct {
	Events []Event // modes and causes present now, in order; empty: all is sound
	P      float64 // given all findings
}

// FaultSets are the most probable sets of simultaneous faults.
type FaultSets struct {
	Sets []FaultSet // the most probable first
	// About lists the modes and causes that the sets are about: those that
	// the findings rest on. Of the others nothing has been learnt.
	About []Event
	// Bound is the most that any set not listed can have. Where the search
	// came to its end it is no more than the last listed set's.
	Bound float64
	// Proven says that no set left out is likelier than one that is listed.
	Proven bool
}

// maxPasses bounds the work of LikelySets: where very many sets have nearly the
// same small probability, nobody is served by telling them apart.
const maxPasses = 1500

// negligible is the probability below which a set is not listed.
const negligible = 1e-12

// LikelySets finds the k most probable sets of faults given all findings,
// exactly, by branch and bound: the probability of a part of a set, which one
// pass gives, bounds that of every set with this part. Where the search is given
// up after a fixed number of passes, Proven is false and Bound says what may
// have been missed. Sets below 1e-12 are not listed.
func (b *Belief) LikelySets(ctx context.Context, k int) (*FaultSets, error) {
	if k < 1 || k > 1000 {
		return nil, fmt.Errorf("%d sets are asked for; ask for 1 to 1000", k)
	}
	q := b.evidence()
	s, err := b.likelySets(ctx, q, k)
	if errors.Is(err, errImpossible) {
		err = b.contradiction()
	}
	if err != nil || len(s.found) == k || s.floor <= negligible*s.total {
		return s.result(err)
	}
	// What would fill the list is too small to be told from rounding errors.
	safe := *q
	safe.positive = true
	certain, err := b.likelySets(ctx, &safe, k)
	if errors.Is(err, ErrEntangled) {
		s.bound = max(s.bound, s.floor)
		return s.result(nil)
	}
	return certain.result(err)
}

func (b *Belief) likelySets(ctx context.Context, q *question, k int) (*setSearch, error) {
	r, f, err := b.runSafely(q)
	if err != nil {
		return nil, err
	}
	defer r.release()
	s := &setSearch{m: b.m, r: r, base: slices.Clone(r.w), now: len(b.repairs), total: f, k: k, seen: make(map[string]bool)}
	s.floor = negligible * f
	if !r.positive {
		s.floor = max(s.floor, 10*r.bound())
	}
	for i, in := range b.bearing() {
		if in {
			s.items = append(s.items, ItemID(i))
		}
	}
	return s, s.search(ctx)
}

// bearing tells for every item whether the findings rest on it.
func (b *Belief) bearing() []bool {
	mark := make([]bool, len(b.m.events))
	for _, f := range b.findings {
		if f.Event != None {
			mark[f.Event] = true
			continue
		}
		for _, row := range b.m.checks[f.Check].Rows {
			mark[row.Event] = true
		}
	}
	out := make([]bool, len(b.m.items))
	for i := len(b.m.order) - 1; i >= 0; i-- {
		e := b.m.order[i]
		if !mark[e] {
			continue
		}
		if md, ok := b.m.ModeOf(e); ok {
			out[md.Item] = true
		}
		b.m.DependsOn(e, func(d Event) { mark[d] = true })
	}
	return out
}

// setSearch looks for sets, best first. A state of an item is 0 for sound and
// k for its k-th mode, at the present stage.
type setSearch struct {
	m      *Model
	r      *evaluation
	base   []float64 // leaf weights of the findings
	now    int
	total  float64
	floor  float64 // below it nothing is listed: negligible, or hidden by rounding
	items  []ItemID
	k      int
	found  []candidate // the k best so far, best first
	seen   map[string]bool
	open   partQueue
	passes int
	bound  float64
}

// candidate is a complete set.
type candidate struct {
	states []uint8 // by items of the search
	value  float64
}

// part is what is left open: the states that each item may still be in.
type part struct {
	may   []uint64
	value float64 // of the part that it was taken from, in its state: a bound
}

// partQueue gives out the part with the highest bound.
type partQueue []part

func (q partQueue) Len() int           { return len(q) }
func (q partQueue) Less(i, j int) bool { return q[i].value > q[j].value }
func (q partQueue) Swap(i, j int)      { q[i], q[j] = q[j], q[i] }
func (q *partQueue) Push(x any)        { *q = append(*q, x.(part)) }
func (q *partQueue) Pop() any {
	last := len(*q) - 1
	x := (*q)[last]
	*q = (*q)[:last]
	return x
}

func (s *setSearch) search(ctx context.Context) error {
	all := part{value: s.total}
	for _, i := range s.items {
		n := len(s.m.items[i].Modes) + 1
		if n > 64 {
			return fmt.Errorf("%q has %d failure modes; at most 63 can be told apart in sets", s.m.items[i].Name, n-1)
		}
		all.may = append(all.may, 1<<n-1)
	}
	s.open = partQueue{all}
	for len(s.open) > 0 {
		if err := ctx.Err(); err != nil {
			return err
		}
		p := heap.Pop(&s.open).(part)
		if p.value < s.least() || s.passes >= maxPasses {
			s.bound = p.value
			return nil
		}
		s.expand(p)
	}
	return nil
}

// least is what a set must have to be among the k best, less what rounding may
// hide.
func (s *setSearch) least() float64 {
	if len(s.found) < s.k {
		return s.floor
	}
	return s.found[s.k-1].value * (1 - 1e-10)
}

// expand narrows a part to what may still be among the best, tries its most
// probable completion, and opens it at the item that says least for sure.
func (s *setSearch) expand(p part) {
	for {
		s.weigh(p.may)
		if s.r.up() < s.least() {
			s.passes++
			return
		}
		s.r.down()
		s.passes++
		if !s.narrow(p.may) {
			break
		}
	}
	best := make([]uint8, len(s.items))
	branch, lowest := -1, 0.0
	values := make([][]float64, len(s.items))
	for i := range s.items {
		values[i] = s.byState(i)
		top := 0.0
		for st, v := range values[i] {
			if p.may[i]>>st&1 != 0 && v > top {
				best[i], top = uint8(st), v
			}
		}
		if bits.OnesCount64(p.may[i]) > 1 && (branch < 0 || top < lowest) {
			branch, lowest = i, top
		}
	}
	s.complete(best)
	if branch < 0 {
		return
	}
	for st, v := range values[branch] {
		if p.may[branch]>>st&1 != 0 && v >= s.least() {
			next := part{may: slices.Clone(p.may), value: v}
			next.may[branch] = 1 << st
			heap.Push(&s.open, next)
		}
	}
}

// narrow drops the states that no set among the best can have; it reports
// whether it dropped any.
func (s *setSearch) narrow(may []uint64) bool {
	dropped := false
	for i := range s.items {
		for st, v := range s.byState(i) {
			if may[i]>>st&1 != 0 && v < s.least() {
				may[i] &^= 1 << st
				dropped = true
			}
		}
	}
	return dropped
}

// weigh keeps the leaves of the states that are allowed.
func (s *setSearch) weigh(may []uint64) {
	copy(s.r.w, s.base)
	for i, item := range s.items {
		from := s.r.prog.items[item]
		for x, h := range s.r.prog.histories[item] {
			if may[i]>>h[s.now]&1 == 0 {
				s.r.w[from+x] = 0
			}
		}
	}
}

// byState is the value of each state of the i-th item, all else being as it
// was weighed. States that were weighed out count as if they had not been.
func (s *setSearch) byState(i int) []float64 {
	item := s.items[i]
	from := s.r.prog.items[item]
	out := make([]float64, len(s.m.items[item].Modes)+1)
	for x, h := range s.r.prog.histories[item] {
		out[h[s.now]] += s.r.through(from+x, s.base[from+x])
	}
	return out
}

// complete values one set, and, at no further cost, all that differ from it in
// one item.
func (s *setSearch) complete(states []uint8) {
	if s.seen["done "+string(states)] {
		return
	}
	s.seen["done "+string(states)] = true
	may := make([]uint64, len(states))
	for i, st := range states {
		may[i] = 1 << st
	}
	s.weigh(may)
	value := s.r.up()
	s.r.down()
	s.passes++
	s.keep(states, value)
	for i := range s.items {
		for st, v := range s.byState(i) {
			if uint8(st) != states[i] && v >= s.least() {
				near := slices.Clone(states)
				near[i] = uint8(st)
				s.keep(near, v)
			}
		}
	}
}

func (s *setSearch) keep(states []uint8, value float64) {
	if s.seen[string(states)] || value < s.floor {
		return
	}
	s.seen[string(states)] = true
	c := candidate{slices.Clone(states), value}
	at, _ := slices.BinarySearchFunc(s.found, c, func(x, y candidate) int {
		switch {
		case x.value > y.value:
			return -1
		case x.value < y.value:
			return 1
		}
		return strings.Compare(string(x.states), string(y.states))
	})
	s.found = slices.Insert(s.found, at, c)
	if len(s.found) > s.k {
		s.found = s.found[:s.k]
	}
}

func (s *setSearch) result(err error) (*FaultSets, error) {
	if err != nil {
		return nil, err
	}
	out := &FaultSets{Proven: s.bound < s.least()}
	for _, c := range s.found {
		set := FaultSet{P: clamp(c.value / s.total)}
		for i, st := range c.states {
			if st > 0 {
				set.Events = append(set.Events, s.m.items[s.items[i]].Modes[st-1])
			}
		}
		slices.Sort(set.Events)
		out.Sets = append(out.Sets, set)
	}
	for _, i := range s.items {
		out.About = append(out.About, s.m.items[i].Modes...)
	}
	slices.Sort(out.About)
	if out.Bound = clamp(s.bound / s.total); out.Proven && len(out.Sets) == s.k {
		out.Bound = out.Sets[s.k-1].P
	}
	return out, nil
}
