package plan

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// searcher looks ahead from a state: what each action costs plus what the best
// continuation after each of its outcomes costs, a plan of repairs alone
// standing for everything beyond the depth.
type searcher struct {
	ws      *worlds
	ctx     context.Context
	nodes   int // spent: worlds looked at in plans of repairs
	limit   int // of nodes; 0: none
	checks  int // checks looked into at a node
	repairs int // repairs tried at a node beside those of the base plan
}

// choice is an action with the value of doing it next.
type choice struct {
	action  int // -1: hand on
	value   float64
	minutes float64
	block   []int // of a repair: what is made before the complaint is tried
	results []outcome
	idle    bool // of a check: see Option
}

// spentAll says that the budget, or the caller's patience, is at an end.
func (s *searcher) spentAll() bool {
	return s.limit > 0 && s.nodes > s.limit || s.ctx.Err() != nil
}

func (s *searcher) base(st *state) repairPlan {
	s.nodes += len(st.alive)
	return s.ws.base(st)
}

// value is the least expected minutes from the state, looking depth actions
// ahead.
func (s *searcher) value(st *state, depth int) float64 {
	base := s.base(st)
	least := base.value
	if depth == 0 || len(st.alive) == 0 {
		return least
	}
	for _, c := range s.candidates(st, base) {
		if s.spentAll() {
			return least
		}
		least = min(least, s.act(st, c, depth, least).value)
	}
	return least
}

// act is the value of one action done next. It gives up, with an infinite
// value, once that exceeds the limit.
func (s *searcher) act(st *state, action, depth int, limit float64) choice {
	if s.ws.p.Actions[action].Kind == Repair {
		return s.actRepair(st, action, depth, limit)
	}
	c := choice{action: action, value: math.Inf(1)}
	results, minutes, err := s.ws.check(st, action)
	if err != nil {
		return c
	}
	c.minutes = minutes
	sum := st.mass() * minutes
	for _, o := range results {
		if sum >= limit {
			return c
		}
		sum += s.value(o.state, depth-1)
	}
	c.value, c.results = sum, results
	return c
}

// actRepair makes a repair and tries the complaint, or makes further repairs
// of the base plan first, whichever is better.
func (s *searcher) actRepair(st *state, action, depth int, limit float64) choice {
	best := choice{action: action, value: math.Inf(1)}
	next, minutes, err := s.ws.repair(st, action)
	if err != nil {
		return best
	}
	mass := st.mass()
	cost, block := mass*minutes, []int{action}
	best.minutes = minutes
	for {
		persists, m, cured := s.ws.retry(next)
		v := cost + mass*m + cured*s.ws.p.Openings.CloseAll(persists.open)
		if v < limit && len(persists.alive) > 0 {
			v += s.value(persists, depth-1)
		}
		if v < best.value {
			best.value, best.block = v, slices.Clone(block)
		}
		if len(block) == maxBlock || len(persists.alive) == 0 {
			return best
		}
		follow := s.base(persists)
		if len(follow.steps) == 0 {
			return best
		}
		// One more before the complaint is tried: what would come next anyway.
		if next, minutes, err = s.ws.repair(next, follow.steps[0]); err != nil {
			return best
		}
		cost += mass * minutes
		block = append(block, follow.steps[0])
		if cost >= min(limit, best.value) {
			return best
		}
	}
}

// rated is an action with what it promises a minute.
type rated struct {
	action int
	rate   float64
}

// mostPromising keeps the actions that promise most; the first of equals.
func mostPromising(rs []rated, most int) (actions []int) {
	slices.SortStableFunc(rs, func(x, y rated) int {
		return cmp.Or(cmp.Compare(y.rate, x.rate), x.action-y.action)
	})
	for _, r := range rs[:min(len(rs), most)] {
		actions = append(actions, r.action)
	}
	return actions
}

// candidates lists the actions worth looking into: the checks that say most for
// their minutes, and repairs.
func (s *searcher) candidates(st *state, base repairPlan) []int {
	mass := st.mass()
	from := s.ws.tries(st.open)
	var rs []rated
	for a, c := range s.ws.cures(st) {
		if c > 1e-4*mass && !st.done[a] {
			rs = append(rs, rated{a, c / from.minutes[a]})
		}
	}
	out := append(s.promising(st), mostPromising(rs, s.repairs)...)
	if len(base.steps) > 0 && !slices.Contains(out, base.steps[0]) {
		out = append(out, base.steps[0])
	}
	return out
}

// promising lists the checks that tell apart best, a minute, the worlds that ask
// for different repairs.
func (s *searcher) promising(st *state) []int {
	class := s.classes(st)
	var rs []rated
	for a := range s.ws.p.Actions {
		act := &s.ws.p.Actions[a]
		if act.Kind != Check || act.Barred != "" || st.done[a] || act.BeforeRepairs && st.touched {
			continue
		}
		move, _, err := s.ws.p.Openings.Reach(st.open, act)
		if err != nil {
			continue
		}
		if gain := s.ws.cuts(st, act, class); gain > 1e-9 {
			rs = append(rs, rated{a, gain / max(0.5, move+act.Minutes)})
		}
	}
	return mostPromising(rs, s.checks)
}

// classes gives every world the repair that is best for it: the one with the
// fewest minutes that cures alone, or -1 where handing on takes no more.
func (s *searcher) classes(st *state) []int {
	cost := s.ws.tries(st.open).minutes
	out := make([]int, len(st.alive))
	for i, al := range st.alive {
		out[i] = -1
		least := s.ws.p.HandOn
		for _, f := range al.w.fix {
			if f.mask&^al.mask == 0 || !s.ws.look(al.w, al.mask|f.mask).cured {
				continue
			}
			if m := cost[f.action] + f.more(al.mask); m < least {
				out[i], least = f.action, m
			}
		}
	}
	return out
}

// cuts is the weight of the edges between worlds of different classes that a
// check is expected to cut: an edge joins two worlds with the product of their
// chances (equivalence class edge cutting, Golovin, Krause & Ray 2010). A check
// of several places counts by the sum.
func (ws *worlds) cuts(st *state, act *Action, class []int) float64 {
	mass := st.mass()
	weigh := func(weight func(i int) float64) float64 {
		byClass := make(map[int]float64)
		var seen []int
		sum := 0.0
		for i := range st.alive {
			w := weight(i)
			if _, ok := byClass[class[i]]; !ok {
				seen = append(seen, class[i])
			}
			byClass[class[i]] += w
			sum += w
		}
		same := 0.0
		for _, c := range seen {
			same += byClass[c] * byClass[c]
		}
		return (sum*sum - same) / 2
	}
	whole := weigh(func(i int) float64 { return st.alive[i].weight / mass })
	gain := 0.0
	for _, c := range act.Checks {
		ck := act.check(ws.g.m, c)
		place := ws.place[c]
		left := 0.0
		for k := range ck.Outcomes {
			p := 0.0
			w := make([]float64, len(st.alive))
			for i, a := range st.alive {
				l := ck.Else[k]
				if row := int(ws.look(a.w, a.mask).rows[place]); row < len(ck.Rows) {
					l = ck.Rows[row].P[k]
				}
				w[i] = a.weight / mass * l
				p += w[i]
			}
			left += p * weigh(func(i int) float64 { return w[i] })
		}
		gain += whole - left
	}
	return gain
}
