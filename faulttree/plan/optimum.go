package plan

import (
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
	s := &solver{ws: ws, ctx: ctx, known: make(map[stateKey]float64)}
	v := s.value(ws.start(), past{})
	return v, s.err
}

// PlanValue is the expected minutes of following the planner's own advice to the
// end, taking anew after every action: exactly, for small problems.
func (p *Problem) PlanValue(ctx context.Context, budget Budget) (float64, error) {
	ws, err := p.newWorlds(true, 0)
	if err != nil {
		return 0, err
	}
	s := &solver{ws: ws, ctx: ctx, known: make(map[stateKey]float64), budget: budget}
	v := s.follow(ws.start(), past{})
	return v, s.err
}

// solver remembers the value of states by what led to them: which checks came
// out how after which repairs, what was made and tried, what is open.
type solver struct {
	ws     *worlds
	ctx    context.Context
	known  map[stateKey]float64 // for each unit of mass
	budget Budget
	err    error
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

func (s *solver) remember(st *state, h past, compute func(mass float64) float64) float64 {
	mass := st.mass()
	if mass < 1e-14 || s.err != nil {
		return 0
	}
	key := stateKey{h, st.open, st.untried}
	if v, ok := s.known[key]; ok {
		return v * mass
	}
	if len(s.known) > maxStates {
		s.err = ErrTooLarge
		return 0
	}
	if s.err = s.ctx.Err(); s.err != nil {
		return 0
	}
	v := compute(mass)
	s.known[key] = v / mass
	return v
}

func (s *solver) value(st *state, h past) float64 {
	return s.remember(st, h, func(mass float64) float64 {
		p := s.ws.p
		best := mass * (p.HandOn + p.Openings.CloseAll(st.open))
		if st.untried {
			persists, minutes, cured := s.ws.retry(st)
			best = min(best, mass*minutes+cured*p.Openings.CloseAll(persists.open)+s.value(persists, h.and(wasTried, s.made(st))))
		} else {
			best = min(best, s.ws.base(st).value)
		}
		for a := range p.Actions {
			act := &p.Actions[a]
			if st.done[a] || act.Barred != "" {
				continue
			}
			switch {
			case act.Kind == Repair && s.concerns(st, a):
				next, minutes, err := s.ws.repair(st, a)
				if err == nil && mass*minutes+s.least(next) < best {
					best = min(best, mass*minutes+s.value(next, h.and(wasFixed, a)))
				}
			case act.Kind == Check && !st.untried && !(act.BeforeRepairs && st.touched):
				best = min(best, s.check(st, h, a, best))
			}
		}
		return best
	})
}

// least is a bound that no plan from the state can beat: each engine needs at
// least the cheapest repair that cures it, everything open, and one try; or
// any two, or handing on.
func (s *solver) least(st *state) float64 {
	p := s.ws.p
	cheapest := p.HandOn
	for a := range p.Actions {
		if p.Actions[a].Kind == Repair && p.Actions[a].Barred == "" {
			cheapest = min(cheapest, p.Actions[a].Minutes+p.Recheck)
		}
	}
	sum := 0.0
	for _, al := range st.alive {
		if s.ws.look(al.w, al.mask).cured {
			if st.untried {
				sum += al.weight * min(p.Recheck, p.HandOn)
			}
			continue
		}
		one := math.Inf(1)
		for _, f := range al.w.fix {
			if f.mask&^al.mask != 0 && s.ws.look(al.w, al.mask|f.mask).cured {
				one = min(one, p.Actions[f.action].Minutes+p.Recheck)
			}
		}
		if math.IsInf(one, 1) {
			one = cheapest
		}
		sum += al.weight * min(one, p.HandOn)
	}
	return sum
}

// concerns tells whether a repair would change any of the worlds.
func (s *solver) concerns(st *state, action int) bool {
	return slices.ContainsFunc(st.alive, func(a alive) bool {
		return slices.ContainsFunc(a.w.fix, func(f fixing) bool { return f.action == action && f.mask&^a.mask != 0 })
	})
}

func (s *solver) check(st *state, h past, a int, best float64) float64 {
	results, minutes, err := s.ws.check(st, a)
	if err != nil || len(results) < 2 {
		return math.Inf(1) // it cannot be done, or would say nothing
	}
	sum := st.mass() * minutes
	for _, o := range results {
		sum += s.least(o.state)
	}
	for _, o := range results {
		if sum >= best {
			return math.Inf(1)
		}
		sum += s.value(o.state, h.and(append([]int{cameOut, a, s.made(st)}, o.results...)...)) - s.least(o.state)
	}
	return sum
}

// follow is the value of taking the planner's advice, again and again.
func (s *solver) follow(st *state, h past) float64 {
	return s.remember(st, h, func(mass float64) float64 {
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
	})
}
