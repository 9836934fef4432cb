package plan

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
)

// ErrTooLarge says that a problem has more to it than can be solved: too many
// engines or states, or repairs that leave new faults behind.
var ErrTooLarge = errors.New("the problem is too large to be solved exactly")

// maxStates bounds the states that Optimum looks at.
const maxStates = 4e6

// Optimum is the least expected minutes that any plan of the problem's actions
// can reach, by dynamic programming over what is known, made and open. It is for
// small problems, to measure plans against. Every action is done at most once;
// the complaint can be tried after any repair, and is tried before the job ends.
func (p *Problem) Optimum(ctx context.Context) (float64, error) {
	ws, err := p.newWorlds(true, 0)
	if err != nil {
		return 0, err
	}
	s := &solver{ws: ws, ctx: ctx, known: make(map[stateKey]worth)}
	v := s.value(ws.start(), past{}, math.Inf(1))
	return v, s.err
}

// PlanValue is the expected minutes of following the planner's own advice to the
// end, taking anew after every action: exactly, for small problems.
func (p *Problem) PlanValue(ctx context.Context, budget Budget) (float64, error) {
	ws, err := p.newWorlds(true, 0)
	if err != nil {
		return 0, err
	}
	s := &solver{ws: ws, ctx: ctx, known: make(map[stateKey]worth), budget: budget}
	v := s.follow(ws.start(), past{})
	return v, s.err
}

// solver remembers the value of states by what led to them: which checks came
// out how after which repairs, what was made and tried, what is open.
type solver struct {
	ws     *worlds
	ctx    context.Context
	known  map[stateKey]worth
	budget Budget
	err    error
}

// worth is the value of a state for each unit of mass, or what it is at least.
type worth struct {
	value float64
	least bool
}

// past sums up what has happened, in any order, as two sums of hashes.
type past [2]uint64

type stateKey struct {
	past    past
	open    Set
	untried bool
}

// and adds something that happened.
func (p past) and(what ...int) past {
	h := uint64(14695981039346656037)
	for _, x := range what {
		h = (h ^ uint64(x+1)) * 1099511628211
		h ^= h >> 29
		h *= 0xbf58476d1ce4e5b9
		h ^= h >> 32
	}
	return past{p[0] + h, p[1] + h*h*0x9e3779b97f4a7c15}
}

// Kinds of what happens.
const (
	wasFixed = iota
	wasTried
	cameOut
)

// made is the repairs of a state as a number.
func (s *solver) made(st *state) int {
	mask, k := 0, 0
	for a, done := range st.done {
		if s.ws.p.Actions[a].Kind == Repair {
			if done {
				mask |= 1 << k
			}
			k++
		}
	}
	return mask
}

// key is how a state is remembered. ok is false where nothing is left to be done
// about it, or no more can be remembered.
func (s *solver) key(st *state, h past, mass float64) (key stateKey, ok bool) {
	if mass < 1e-14 || s.err != nil {
		return key, false
	}
	if len(s.known) > maxStates {
		s.err = ErrTooLarge
	} else {
		s.err = s.ctx.Err()
	}
	return stateKey{h, st.open, st.untried}, s.err == nil
}

// value is what the best plan from a state expects. Where that is not below the
// limit it is only known that it is not: what is returned is at least the limit
// then, and no plan beats it.
func (s *solver) value(st *state, h past, limit float64) float64 {
	mass := st.mass()
	key, ok := s.key(st, h, mass)
	if !ok {
		return 0
	}
	if w, ok := s.known[key]; ok && (!w.least || w.value*mass >= limit) {
		return w.value * mass
	}
	p := s.ws.p
	best := mass * (p.HandOn + p.Openings.CloseAll(st.open))
	if !st.untried {
		best = min(best, s.ws.base(st).value)
	}
	for _, o := range s.openTo(st) {
		if o.least >= min(best, limit) {
			break // as are all that follow
		}
		best = min(best, s.doing(st, h, o, min(best, limit)))
	}
	if s.err == nil {
		s.known[key] = worth{min(best, limit) / mass, best >= limit}
	}
	if best >= limit {
		return limit
	}
	return best
}

// move is something that may be done in a state, with a bound on what it leads to.
type move struct {
	action  int // -1: trying the complaint
	least   float64
	spent   float64   // the part of it that is certain
	results []outcome // what it leads to
}

// openTo lists what may be done, the lowest bound first.
func (s *solver) openTo(st *state) []move {
	p := s.ws.p
	mass := st.mass()
	var out []move
	add := func(m move) {
		m.least = m.spent
		for _, o := range m.results {
			m.least += s.least(o.state)
		}
		out = append(out, m)
	}
	if st.untried {
		persists, minutes, cured := s.ws.retry(st)
		add(move{action: -1, spent: mass*minutes + cured*p.Openings.CloseAll(persists.open), results: []outcome{{state: persists}}})
	}
	for a := range p.Actions {
		act := &p.Actions[a]
		if st.done[a] || act.Barred != "" {
			continue
		}
		switch {
		case act.Kind == Repair && s.concerns(st, a):
			if next, minutes, err := s.ws.repair(st, a); err == nil {
				add(move{action: a, spent: mass * minutes, results: []outcome{{state: next}}})
			}
		case act.Kind == Check && !st.untried && !(act.BeforeRepairs && st.touched):
			// One that cannot be done, or would say nothing, is left out.
			if results, minutes, err := s.ws.check(st, a); err == nil && len(results) > 1 {
				add(move{action: a, spent: mass * minutes, results: results})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b move) int { return cmp.Compare(a.least, b.least) })
	return out
}

// doing is what a move expects, or at least the limit.
func (s *solver) doing(st *state, h past, m move, limit float64) float64 {
	sum := m.least
	for _, o := range m.results {
		if sum >= limit {
			return sum
		}
		then := h
		switch {
		case m.action < 0:
			then = h.and(wasTried, s.made(st))
		case s.ws.p.Actions[m.action].Kind == Repair:
			then = h.and(wasFixed, m.action)
		default:
			then = h.and(append([]int{cameOut, m.action, s.made(st)}, o.results...)...)
		}
		least := s.least(o.state)
		sum += s.value(o.state, then, limit-sum+least) - least
	}
	return sum
}

// least is a bound that no plan from the state can beat: each engine needs the
// cheapest repair that cures it, from what is open now and with one try, or any
// two that change it, or handing on; and all is closed in the end. What is done
// beside that opens and closes no less.
func (s *solver) least(st *state) float64 {
	p := s.ws.p
	from := s.ws.tries(st.open)
	shut := p.Openings.CloseAll(st.open)
	sum := 0.0
	for _, al := range st.alive {
		least := p.HandOn + shut
		if s.ws.look(al.w, al.mask).cured {
			if st.untried {
				sum += al.weight * min(p.Recheck+shut, least)
			}
			continue
		}
		first, second := math.Inf(1), math.Inf(1) // the two with the least work
		for _, f := range al.w.fix {
			if f.mask&^al.mask == 0 || st.done[f.action] {
				continue
			}
			if s.ws.look(al.w, al.mask|f.mask).cured {
				least = min(least, from.minutes[f.action]+p.Openings.CloseAll(from.after[f.action]))
			}
			if work := p.Actions[f.action].Minutes; work < first {
				first, second = work, first
			} else {
				second = min(second, work)
			}
		}
		sum += al.weight * min(least, first+second+p.Recheck+shut)
	}
	return sum
}

// concerns tells whether a repair would change any of the worlds.
func (s *solver) concerns(st *state, action int) bool {
	return slices.ContainsFunc(st.alive, func(a alive) bool {
		return slices.ContainsFunc(a.w.fix, func(f fixing) bool { return f.action == action && f.mask&^a.mask != 0 })
	})
}

// follow is the value of taking the planner's advice, again and again.
func (s *solver) follow(st *state, h past) float64 {
	mass := st.mass()
	key, ok := s.key(st, h, mass)
	if !ok {
		return 0
	}
	w, ok := s.known[key]
	if !ok {
		w = worth{value: s.advised(st, h, mass) / mass}
		s.known[key] = w
	}
	return w.value * mass
}

// advised is the value of the planner's advice in a state.
func (s *solver) advised(st *state, h past, mass float64) float64 {
	p := s.ws.p
	c := s.ws.decide(s.ctx, st, s.budget).best()
	switch {
	case c.action < 0:
		return mass * (p.HandOn + p.Openings.CloseAll(st.open))
	case p.Actions[c.action].Kind == Repair:
		next, cost := st, 0.0
		for _, a := range c.block {
			var minutes float64
			var err error
			if next, minutes, err = s.ws.repair(next, a); err != nil {
				s.err = err
				return 0
			}
			cost += mass * minutes
			h = h.and(wasFixed, a)
		}
		persists, minutes, cured := s.ws.retry(next)
		return cost + mass*minutes + cured*p.Openings.CloseAll(persists.open) + s.follow(persists, h.and(wasTried, s.made(next)))
	}
	results, minutes, err := s.ws.check(st, c.action)
	if err != nil {
		s.err = err
		return 0
	}
	sum := mass * minutes
	for _, o := range results {
		sum += s.follow(o.state, h.and(append([]int{cameOut, c.action, s.made(st)}, o.results...)...))
	}
	return sum
}
