package plan

import (
	"cmp"
	"slices"

	ft "narrows/faulttree"
)

// state is a point in a plan: which worlds are still possible, with the chance
// of getting here with each; what was put right in each; what is open; and what
// was done. Values are minutes times chance, so that branches simply add up.
type state struct {
	open    Set
	alive   []alive
	done    []bool // by action
	untried bool   // something was put right since the complaint was last tried
	touched bool   // something was put right at all
}

type alive struct {
	w      *world
	weight float64
	mask   uint32 // what was put right
}

func (s *state) mass() float64 {
	sum := 0.0
	for _, a := range s.alive {
		sum += a.weight
	}
	return sum
}

func (ws *worlds) start() *state {
	s := &state{open: ws.p.Open, done: make([]bool, len(ws.p.Actions))}
	for _, w := range ws.list {
		s.alive = append(s.alive, alive{w, w.weight, 0})
	}
	return s
}

func (s *state) with(action int) *state {
	next := *s
	next.done = slices.Clone(s.done)
	next.done[action] = true
	return &next
}

// repair is the state after a repair, the complaint not yet tried, and the
// minutes that it takes, in the mean over what it finds.
func (ws *worlds) repair(s *state, action int) (next *state, minutes float64, err error) {
	act := &ws.p.Actions[action]
	move, at, err := ws.p.Openings.Reach(s.open, act)
	if err != nil {
		return nil, 0, err
	}
	next = s.with(action)
	next.open, next.untried, next.touched = at, true, true
	next.alive = make([]alive, 0, len(s.alive))
	more, mass := 0.0, 0.0
	for _, a := range s.alive {
		mass += a.weight
		i := slices.IndexFunc(a.w.fix, func(f fixing) bool { return f.action == action })
		if i < 0 {
			next.alive = append(next.alive, a)
			continue
		}
		more += a.weight * a.w.fix[i].more(a.mask)
		a.w.fix[i].ways(a.mask, func(mask uint32, p float64) {
			next.alive = append(next.alive, alive{a.w, a.weight * p, mask})
		})
	}
	minutes = move + act.Minutes
	if more > 0 {
		minutes += more / mass
	}
	return next, minutes, nil
}

// retry tries the complaint again: the minutes, what is open then, and the
// state in which it persists.
func (ws *worlds) retry(s *state) (persists *state, minutes, cured float64) {
	move, at, err := ws.p.Openings.Move(s.open, 0, ws.p.Openings.shutToRun())
	if err != nil {
		move, at = 0, s.open // nothing needs to be open to run
	}
	next := *s
	next.open, next.untried, next.alive = at, false, nil
	for _, a := range s.alive {
		if ws.look(a.w, a.mask).cured {
			cured += a.weight
		} else {
			next.alive = append(next.alive, a)
		}
	}
	return &next, move + ws.p.Recheck, cured
}

// outcome is a joint result of a check with the state that it leads to.
type outcome struct {
	results []int
	state   *state
	mass    float64
}

// check lists the joint results of a check.
func (ws *worlds) check(s *state, action int) (out []outcome, minutes float64, err error) {
	act := &ws.p.Actions[action]
	move, at, err := ws.p.Openings.Reach(s.open, act)
	if err != nil {
		return nil, 0, err
	}
	first := s.with(action)
	first.open = at
	total := s.mass()
	out = []outcome{{state: first, mass: total}}
	for _, c := range act.Checks {
		var next []outcome
		ck := act.check(ws.g.m, c)
		for _, o := range out {
			for k := range ck.Outcomes {
				if n := ws.given(o, &ck, ws.place[c], k); n.mass > 1e-9*total {
					next = append(next, n)
				}
			}
		}
		slices.SortStableFunc(next, func(a, b outcome) int {
			return cmp.Or(cmp.Compare(b.mass, a.mass), slices.Compare(a.results, b.results))
		})
		out = next
	}
	return out, move + act.Minutes, nil
}

// given adds one more result to a joint one.
func (ws *worlds) given(o outcome, ck *ft.Check, place, result int) outcome {
	n := *o.state
	n.alive = make([]alive, 0, len(o.state.alive))
	mass := 0.0
	for _, a := range o.state.alive {
		p := ck.Else[result]
		if row := int(ws.look(a.w, a.mask).rows[place]); row < len(ck.Rows) {
			p = ck.Rows[row].P[result]
		}
		if a.weight *= p; a.weight > 0 {
			n.alive = append(n.alive, a)
			mass += a.weight
		}
	}
	return outcome{append(slices.Clone(o.results), result), &n, mass}
}
