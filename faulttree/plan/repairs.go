package plan

import (
	"math"
	"slices"
)

// repairPlan is a sequence of repairs, cut into blocks after each of which the
// complaint is tried, then handing on.
type repairPlan struct {
	steps []int // actions
	tries []int // how many steps are made before the 1st, 2nd ... try
	value float64
}

// base finds a good plan of repairs alone. The next repair is the one whose
// chance to cure, among what the repairs before it have left, is highest for
// its minutes; a repair counts together with others that it makes cheap by
// what it opens. Then the tries are placed: several repairs before one try pay
// where trying is dear.
func (ws *worlds) base(s *state) repairPlan {
	mass := s.mass()
	if mass <= 0 {
		return repairPlan{}
	}
	return ws.placed(s, ws.sequence(s, mass).steps)
}

// placed places the tries among repairs made in the given order, and ends the
// plan where handing on is cheaper.
func (ws *worlds) placed(s *state, steps []int) repairPlan {
	mass := s.mass()
	handOn := func(open Set) float64 { return ws.p.HandOn + ws.p.Openings.CloseAll(open) }
	// f[j]: the least cost of having made the first j repairs and tried.
	n := len(steps)
	f, from := make([]float64, n+1), make([]int, n+1)
	at := make([]*state, n+1)
	at[0] = s
	for j := 1; j <= n; j++ {
		f[j] = math.Inf(1)
		for i := max(0, j-maxBlock); i < j; i++ {
			if at[i] == nil {
				continue
			}
			cost, after, ok := ws.block(at[i], steps[i:j])
			if ok && f[i]+cost < f[j] {
				f[j], from[j], at[j] = f[i]+cost, i, after
			}
		}
	}
	best := repairPlan{value: mass * handOn(s.open)}
	end := 0
	for j := 1; j <= n; j++ {
		if at[j] == nil {
			continue
		}
		left := at[j].mass()
		if v := f[j] + left*handOn(at[j].open); v < best.value {
			best.value, end = v, j
		}
	}
	best.steps = steps[:end]
	for j := end; j > 0; j = from[j] {
		best.tries = append(best.tries, j)
	}
	slices.Reverse(best.tries)
	return best
}

// maxBlock is how many repairs at most are made before one try.
const maxBlock = 3

// block costs repairs that are made one after the other before one try.
func (ws *worlds) block(s *state, steps []int) (cost float64, after *state, ok bool) {
	mass := s.mass()
	at := s
	for _, a := range steps {
		next, minutes, err := ws.repair(at, a)
		if err != nil {
			return 0, nil, false
		}
		cost += mass * minutes
		at = next
	}
	persists, minutes, cured := ws.retry(at)
	return cost + mass*minutes + cured*ws.p.Openings.CloseAll(persists.open), persists, true
}

// planSteps bounds the repairs of a plan.
const planSteps = 8

// sequence orders repairs, each tried before the next is chosen.
func (ws *worlds) sequence(s *state, mass float64) repairPlan {
	var plan repairPlan
	for at := s; len(plan.steps) < planSteps; {
		best := ws.bestRate(at, ws.cures(at), 1e-9*mass)
		if best.n == 0 {
			break
		}
		for _, a := range best.first[:best.n] {
			next, _, err := ws.repair(at, a)
			if err != nil {
				return plan
			}
			plan.steps = append(plan.steps, a)
			at, _, _ = ws.retry(next)
		}
		if len(at.alive) == 0 || best.rate*ws.p.HandOn < 0.1*at.mass() {
			break // far from worth its minutes, and so are all that follow
		}
	}
	return plan
}

// cures is, by action, the mass that each repair alone would cure.
func (ws *worlds) cures(s *state) []float64 {
	out := make([]float64, len(ws.p.Actions))
	for _, a := range s.alive {
		for _, f := range a.w.fix {
			if f.mask&^a.mask == 0 || s.done[f.action] {
				continue
			}
			f.ways(a.mask, func(mask uint32, p float64) {
				if ws.look(a.w, mask).cured {
					out[f.action] += a.weight * p
				}
			})
		}
	}
	return out
}

// tryTable is what making and trying each repair costs from some openings.
type tryTable struct {
	minutes []float64 // by action, the try included; infinite where it cannot be done
	after   []Set     // what is open once it was tried
	make    []float64 // without the try
	during  []Set     // what is open while it is made
}

// tries costs every repair from the openings, once.
func (ws *worlds) tries(open Set) *tryTable {
	if t, ok := ws.costs[open]; ok {
		return t
	}
	n := len(ws.p.Actions)
	t := &tryTable{make([]float64, n), make([]Set, n), make([]float64, n), make([]Set, n)}
	for a := range ws.p.Actions {
		t.minutes[a], t.make[a] = math.Inf(1), math.Inf(1)
		act := &ws.p.Actions[a]
		if act.Kind != Repair || act.Barred != "" {
			continue
		}
		if m, after, err := ws.p.tryCost(act, open); err == nil {
			t.minutes[a], t.after[a] = max(m, 1e-9), after
			move, at, _ := ws.p.Openings.Reach(open, act)
			t.make[a], t.during[a] = move+act.Minutes, at
		}
	}
	ws.costs[open] = t
	return t
}

// bestRate is the run of repairs with the highest cured mass for its minutes.
func (ws *worlds) bestRate(s *state, cures []float64, least float64) (best runRate) {
	var cand []int
	from := ws.tries(s.open)
	for a, c := range cures {
		if c > least && !s.done[a] && !math.IsInf(from.minutes[a], 1) {
			cand = append(cand, a)
		}
	}
	for _, a := range cand {
		if r := ws.rate(from, a, cand, cures); r.rate > best.rate {
			best = r
		}
	}
	return best
}

// rate is the cured mass of a repair for its minutes, or of the best run of
// repairs that begins with it and goes on with what it has made cheaper: each
// tried by itself, or all in one visit before one try.
func (ws *worlds) rate(from *tryTable, action int, cand []int, cures []float64) runRate {
	alone := cures[action] / from.minutes[action]
	apart := run(cures, cand, action, alone, from.minutes, ws.tries(from.after[action]).minutes, from.minutes[action], 0)
	back := from.minutes[action] - from.make[action]
	visit := run(cures, cand, action, alone, from.make, ws.tries(from.during[action]).make, from.make[action], back)
	if visit.rate > apart.rate {
		return visit
	}
	return apart
}

// runRate is a run of repairs with its cured mass for the minutes.
type runRate struct {
	rate  float64
	first [4]int
	n     int
}

// run adds to a repair, one by one, those that are cheaper after it and raise
// the cured mass for the minutes; extra are minutes that are spent once.
func run(cures []float64, cand []int, action int, alone float64, before, after []float64, minutes, extra float64) runRate {
	gain := cures[action]
	best := runRate{rate: alone, n: 1}
	best.first[0] = action
	for best.n < len(best.first) {
		next, nextRate := -1, best.rate
		for _, a := range cand {
			if after[a] >= before[a] || slices.Contains(best.first[:best.n], a) {
				continue
			}
			if r := (gain + cures[a]) / max(1e-9, minutes+after[a]+extra); r > nextRate {
				next, nextRate = a, r
			}
		}
		if next < 0 {
			break
		}
		best.first[best.n] = next
		best.n++
		gain, minutes, best.rate = gain+cures[next], minutes+after[next], nextRate
	}
	return best
}

// tryCost is the minutes of a repair with its opening moves and the try after
// it, and what is open then.
func (p *Problem) tryCost(a *Action, open Set) (float64, Set, error) {
	move, at, err := p.Openings.Reach(open, a)
	if err != nil {
		return 0, open, err
	}
	back, after, err := p.Openings.Move(at, 0, p.Openings.shutToRun())
	if err != nil {
		return 0, open, err
	}
	return move + a.Minutes + back + p.Recheck, after, nil
}
