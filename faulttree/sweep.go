package faulttree

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Sweep says, for every outcome of some checks, how likely it is and what the
// belief would be after it, as if each check were made now by itself.
type Sweep struct {
	m      *Model
	modes  []float64 // by event: of modes and causes as things stand
	tables map[CheckID][]rowBelief
}

// rowBelief is a row of a check's table, or Else: how likely it decides, and
// the probability of each mode and cause together with that, by event.
type rowBelief struct {
	p     float64
	joint []float64
}

// Sweep computes what every outcome of the checks would do to every mode and
// cause. It takes one pass for each row of the checks' tables, shared between
// checks that look at the same events; what is left to the last row follows by
// subtraction, as long as that loses no digits.
func (b *Belief) Sweep(checks ...CheckID) (*Sweep, error) {
	for _, c := range checks {
		if c < 0 || int(c) >= len(b.m.checks) {
			return nil, fmt.Errorf("no check has the number %d", c)
		}
	}
	s := &sweeper{b: b, known: make(map[string]rowBelief)}
	out := &Sweep{m: b.m, tables: make(map[CheckID][]rowBelief)}
	var items, rest []CheckID
	for _, c := range checks {
		if r := b.m.reach(c); r == onItem || r == onNothing {
			items = append(items, c)
		} else {
			rest = append(rest, c)
		}
	}
	// Checks of items need nothing of the structure and go through the small
	// program, those of gates and several rows through one that has leaves for
	// them.
	if err := s.through(b, items, out); err != nil {
		return nil, err
	}
	err := s.through(b.Watching(rest...), rest, out)
	if errors.Is(err, ErrEntangled) && len(rest) > 1 {
		for _, c := range rest {
			if err = s.through(b.Watching(c), []CheckID{c}, out); err != nil {
				return nil, err
			}
		}
	}
	return out, err
}

// sweeper makes the passes of a sweep.
type sweeper struct {
	b     *Belief
	known map[string]rowBelief // rows of one program, by their leaves
	r     *evaluation
	f     float64
	base  []float64
	all   rowBelief
}

func (s *sweeper) through(b *Belief, checks []CheckID, out *Sweep) error {
	if len(checks) == 0 && out.modes != nil {
		return nil
	}
	q := b.question()
	r, f, err := b.runSafely(q)
	if errors.Is(err, errImpossible) {
		return b.contradiction()
	}
	if err != nil {
		return err
	}
	defer r.release()
	s.r, s.f, s.base = r, f, slices.Clone(r.w)
	clear(s.known)
	r.down()
	s.all = s.read(f)
	if out.modes == nil {
		out.modes = s.all.joint
	}
	for _, c := range checks {
		out.tables[c] = s.table(c)
	}
	return nil
}

// read takes the probabilities off the pass that was made.
func (s *sweeper) read(f float64) rowBelief {
	m, now := s.b.m, len(s.b.repairs)
	out := rowBelief{clamp(f / s.f), make([]float64, len(m.events))}
	for i, it := range m.items {
		for x, h := range s.r.prog.histories[i] {
			if st := h[now]; st > 0 {
				out.joint[it.Modes[st-1]] += clamp(s.r.mass(s.r.prog.items[i]+x) / s.f)
			}
		}
	}
	return out
}

// table finds the rows of one check: each that a leaf stands for by a pass, the
// last by what is left over.
func (s *sweeper) table(c CheckID) []rowBelief {
	rows := s.b.m.checks[c].Rows
	out := make([]rowBelief, 0, len(rows)+1)
	for i := range rows {
		out = append(out, s.row(c, i))
	}
	return append(out, s.rest(c, out))
}

// row makes the pass in which the i-th row decides, or finds it made.
func (s *sweeper) row(c CheckID, i int) rowBelief {
	keep, of := s.leaves(c, i)
	key := fmt.Sprint(keep, of)
	if k, ok := s.known[key]; ok {
		return k
	}
	copy(s.r.w, s.base)
	for leaf := of.from; leaf < of.to; leaf++ {
		if !slices.Contains(keep, leaf) {
			s.r.w[leaf] = 0
		}
	}
	f := s.r.up()
	s.r.down()
	out := s.read(f)
	s.known[key] = out
	return out
}

// leaves lists the leaves that stand for the i-th row, the last being Else, and
// the group that they are of.
func (s *sweeper) leaves(c CheckID, i int) (keep []int, of span) {
	m, now := s.b.m, len(s.b.repairs)
	rows := m.checks[c].Rows
	switch m.reach(c) {
	case onItem:
		md, _ := m.ModeOf(rows[0].Event)
		from, hs := s.r.prog.items[md.Item], s.r.prog.histories[md.Item]
		for x, h := range hs {
			row := len(rows)
			if h[now] > 0 {
				e := m.items[md.Item].Modes[h[now]-1]
				if k := slices.IndexFunc(rows, func(r Row) bool { return r.Event == e }); k >= 0 {
					row = k
				}
			}
			if row == i {
				keep = append(keep, from+x)
			}
		}
		return keep, span{from, from + len(hs)}
	case onGate:
		leaf := s.r.prog.gates[stagedEvent{rows[0].Event, now}]
		return []int{leaf + 1 - i}, span{leaf, leaf + 2}
	}
	leaf := s.r.prog.rows[stagedCheck{c, now}]
	return []int{leaf + i}, span{leaf, leaf + len(rows) + 1}
}

// lost is the share of the whole below which a difference has lost too many
// digits and is computed by a pass of its own.
const lost = 1e-4

func (s *sweeper) rest(c CheckID, rows []rowBelief) rowBelief {
	out := rowBelief{s.all.p, slices.Clone(s.all.joint)}
	for _, r := range rows {
		out.p -= r.p
		for e, x := range r.joint {
			out.joint[e] -= x
		}
	}
	if out.p < lost && len(rows) > 0 {
		return s.row(c, len(rows))
	}
	for e, x := range out.joint {
		out.joint[e] = max(0, x)
	}
	return out
}

// Outcome returns the probability of an outcome of a check of the sweep, and
// what the probability of each mode and cause would be after it, by event (0
// for gates). The beliefs are nil if the outcome is impossible; both are NaN and
// nil for a check that was not swept.
func (s *Sweep) Outcome(c CheckID, outcome int) (p float64, modes []float64) {
	rows, ok := s.tables[c]
	if !ok || outcome < 0 || outcome >= len(s.m.checks[c].Outcomes) {
		return math.NaN(), nil
	}
	ck := s.m.checks[c]
	modes = make([]float64, len(s.m.events))
	for i, r := range rows {
		l := ck.Else[outcome]
		if i < len(ck.Rows) {
			l = ck.Rows[i].P[outcome]
		}
		p += float64(l * r.p)
		for e, x := range r.joint {
			modes[e] += float64(l * x)
		}
	}
	if p <= 0 {
		return 0, nil
	}
	for e := range modes {
		modes[e] = clamp(modes[e] / p)
	}
	return clamp(p), modes
}
