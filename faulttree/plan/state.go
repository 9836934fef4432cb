package plan

import (
	"math"
	"slices"
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

// repair is the state after a repair, the complaint not yet tried.
func (ws *worlds) repair(s *state, action int) (next *state, minutes float64, err error) {
	act := &ws.p.Actions[action]
	move, at, err := ws.p.Openings.Reach(s.open, act)
	if err != nil {
		return nil, 0, err
	}
	next = s.with(action)
	next.open, next.untried, next.touched = at, true, true
	next.alive = slices.Clone(s.alive)
	for i := range next.alive {
		a := &next.alive[i]
		for _, f := range a.w.fix {
			if f.action == action {
				a.mask |= f.mask
			}
		}
	}
	return next, move + act.Minutes, nil
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

// check lists the joint results of a check; those beyond the most likely are
// left out, and their mass is given as rest.
func (ws *worlds) check(s *state, action, most int) (out []outcome, minutes, rest float64, err error) {
	act := &ws.p.Actions[action]
	move, at, err := ws.p.Openings.Reach(s.open, act)
	if err != nil {
		return nil, 0, 0, err
	}
	first := s.with(action)
	first.open = at
	total := s.mass()
	open := []outcome{{state: first, mass: total}}
	for _, c := range act.Checks {
		ck := &ws.g.m.Checks()[c]
		place := ws.place[c]
		var next []outcome
		for _, o := range open {
			for k := range ck.Outcomes {
				n := *o.state
				n.alive = make([]alive, 0, len(o.state.alive))
				mass := 0.0
				for _, a := range o.state.alive {
					p := ck.Else[k]
					if row := int(ws.look(a.w, a.mask).rows[place]); row < len(ck.Rows) {
						p = ck.Rows[row].P[k]
					}
					if a.weight *= p; a.weight > 0 {
						n.alive = append(n.alive, a)
						mass += a.weight
					}
				}
				if mass > 1e-9*total {
					next = append(next, outcome{append(slices.Clone(o.results), k), &n, mass})
				}
			}
		}
		slices.SortStableFunc(next, func(a, b outcome) int {
			switch {
			case a.mass > b.mass:
				return -1
			case a.mass < b.mass:
				return 1
			}
			return slices.Compare(a.results, b.results)
		})
		if most > 0 && len(next) > most {
			next = next[:most]
		}
		open = next
	}
	rest = total
	for _, o := range open {
		rest -= o.mass
	}
	return open, move + act.Minutes, max(0, rest), nil
}

// repairPlan is a sequence of repairs, cut into blocks after each of which the
// complaint is tried, then handing on.
type repairPlan struct {
	steps []int // actions
	tries []int // how many steps are made before the 1st, 2nd ... try
	value float64
	left  float64 // mass that is handed on
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
	best := repairPlan{value: mass * handOn(s.open), left: mass}
	end := 0
	for j := 1; j <= n; j++ {
		if at[j] == nil {
			continue
		}
		left := at[j].mass()
		if v := f[j] + left*handOn(at[j].open); v < best.value {
			best.value, best.left, end = v, left, j
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
			if f.mask&^a.mask != 0 && !s.done[f.action] && ws.look(a.w, a.mask|f.mask).cured {
				out[f.action] += a.weight
			}
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
