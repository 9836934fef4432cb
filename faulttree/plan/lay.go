package plan

import (
	"errors"
	"slices"
	"sync"

	ft "narrows/faulttree"
)

// poolChecks is how many checks at most have a place in the belief.
const poolChecks = 10

// roundChecks is how many checks are made before others are given places. Till
// then the same programs answer, which saves most of the time that advice takes.
const roundChecks = 4

// foresight looks ahead from a belief. All checks that it looks into have a
// place in the belief from the start, with findings that say nothing: so all
// their outcomes are computed by one program.
type foresight struct {
	p      *Problem
	ranked []screened // all checks that say something, in the order of the screen
	checks []screened // those with a place, in the same order
	belief *ft.Belief
	cures  *ft.Cures
	post   *ft.Posterior
	silent map[ft.CheckID]int       // the findings that an outcome takes the place of
	soFar  map[ft.CheckID][]float64 // what a reading that is repeated has said already, by row
	share  []float64                // by action, of a repair of many modes: see shares
	to     scope
}

// foresee gives the checks that promise most a place in the belief.
//
// Which they are is decided anew every few checks, from what was known then, or
// when those that promise most now are not among them.
func (p *Problem) foresee() (*foresight, error) {
	then, made := p.round()
	pool, err := p.pool(then, made)
	if err != nil {
		return nil, err
	}
	f, err := p.laid(pool)
	if err != nil {
		return nil, err
	}
	f.ranked = p.screen(f.post)
	if !serves(pool, f.ranked) {
		var fresh []int
		for _, s := range f.ranked[:min(poolChecks, len(f.ranked))] {
			fresh = append(fresh, s.action)
		}
		ranked := f.ranked
		if f, err = p.laid(fresh); err != nil {
			return nil, err
		}
		f.ranked = ranked
	}
	for _, s := range f.ranked {
		if f.has(s.action) {
			f.checks = append(f.checks, s)
		}
	}
	// The likelihoods of outcomes are at most those of the findings that say
	// nothing, so that the rounding error of what follows is no larger than it is
	// now, and need not be watched unless it was too large.
	if !f.cures.Cancelled() {
		f.belief = f.belief.Unbounded()
	}
	f.share = p.shares(f.cures)
	return f, nil
}

// serves tells whether what promises most now is in the pool: the first, and
// three of the first five.
func serves(pool []int, ranked []screened) bool {
	in := 0
	for i, s := range ranked[:min(5, len(ranked))] {
		if slices.Contains(pool, s.action) {
			in++
		} else if i == 0 {
			return false
		}
	}
	return in >= min(3, len(ranked))
}

// has tells whether all checks of an action have a place.
func (f *foresight) has(action int) bool {
	for _, c := range f.p.Actions[action].Checks {
		if _, ok := f.silent[c]; !ok {
			return false
		}
	}
	return true
}

// plan says how far to look with a budget.
func (f *foresight) plan(budget Budget) {
	f.to = reach(budget.Operations, float64(f.cures.Operations()))
	if budget.Depth < 2 {
		f.to.after = 0
	}
}

// round is the belief as it was when the present round of checks began, and the
// actions made in the round.
func (p *Problem) round() (*ft.Belief, map[int]bool) {
	of := make(map[ft.CheckID]int)
	for i, a := range p.Actions {
		for _, c := range a.Checks {
			if a.Again == nil {
				of[c] = i
			}
		}
	}
	b := p.Belief
	last, groups := -1, [][]ft.Placed(nil)
	for _, f := range b.Findings() {
		if i, ok := of[f.Check]; ok && f.Event == ft.None && f.Stage == b.Stage() {
			if i != last {
				groups, last = append(groups, nil), i
			}
			groups[len(groups)-1] = append(groups[len(groups)-1], f)
		}
	}
	made := make(map[int]bool)
	for _, g := range groups[len(groups)-len(groups)%roundChecks:] {
		for _, f := range g {
			made[of[f.Check]] = true
			if earlier, err := b.Retract(f.ID); err == nil {
				b = earlier
			}
		}
	}
	return b, made
}

// pool is the checks that say most for their minutes to a belief, be everything
// closed or open already, whatever is open now. Those made since are among them.
func (p *Problem) pool(b *ft.Belief, made map[int]bool) ([]int, error) {
	q := *p
	q.Belief, q.Actions, q.Open = b, slices.Clone(p.Actions), 0
	for i := range made {
		q.Actions[i].Barred = ""
	}
	for i := range q.Actions {
		if q.Actions[i].Refused {
			q.Actions[i].Barred = "" // it keeps its place, and the programs stay the same
		}
	}
	_, post, err := q.overview(b)
	if err != nil {
		return nil, err
	}
	closed := q.screen(post)
	q.Openings = nil
	for i := range q.Actions {
		q.Actions[i].Need, q.Actions[i].Shut, q.Actions[i].Running = 0, 0, false
	}
	var out []int
	add := func(ranked []screened, most int) {
		for _, s := range ranked {
			if len(out) < most && !slices.Contains(out, s.action) {
				out = append(out, s.action)
			}
		}
	}
	add(closed, poolChecks*2/3)
	add(q.screen(post), poolChecks)
	return out, nil
}

// laid makes room for checks in the belief, and computes what is believed now.
// As many have a place as leave the programs small; in a belief that needs large
// ones by itself, fewer.
func (p *Problem) laid(actions []int) (*foresight, error) {
	takes := make(map[int]float64) // table entries, about, for so many checks
	for _, size := range sizes() {
		for n := len(actions); n >= min(size.least, len(actions)) && n > 0; n = n * 3 / 5 {
			if takes[n] > hopeless*size.entries {
				continue
			}
			f, err := p.laidOut(actions[:n], p.Belief.Within(size.entries))
			if !errors.Is(err, ft.ErrEntangled) {
				return f, err
			}
			if too := (*ft.EntangledError)(nil); errors.As(err, &too) {
				takes[n] = too.Entries
			}
		}
	}
	return p.laidOut(nil, p.Belief)
}

// hopeless is from how many times as many table entries as are allowed, found in
// a first attempt, on another attempt with the same checks is not made.
const hopeless = 2

// size is how many checks at least are to have a place in programs of so many
// table entries.
type size struct {
	entries float64
	least   int
}

// sizes are tried one after the other. A program of the first is run a thousand
// times while someone waits.
func sizes() []size { return []size{{2e5, 5}, {5e5, 2}, {2e6, 2}, {1e7, 1}} }

func (p *Problem) laidOut(actions []int, in *ft.Belief) (*foresight, error) {
	f := &foresight{p: p, belief: in, silent: make(map[ft.CheckID]int), soFar: make(map[ft.CheckID][]float64)}
	if err := f.lay(actions); err != nil {
		return nil, err
	}
	return f, f.compute()
}

// lay makes room for the checks of the actions, those made already included so
// that the programs stay the same when one is.
func (f *foresight) lay(actions []int) error {
	m := f.p.Belief.Model()
	for _, i := range actions {
		for _, c := range f.p.Actions[i].Checks {
			f.belief = f.belief.Watching(c)
			if _, ok := f.silent[c]; ok || f.p.Actions[i].Barred != "" && !f.p.Actions[i].Refused {
				continue
			}
			if a := f.p.Actions[i].Again; a != nil {
				f.silent[c], f.soFar[c] = a.Finding, said(f.belief, a.Finding)
				continue
			}
			b, err := f.belief.Find(ft.Reading(c, slices.Repeat([]float64{1}, len(m.Checks()[c].Rows)+1)))
			if err != nil {
				return err
			}
			all := b.Findings()
			f.silent[c] = all[len(all)-1].ID
			f.belief = b
		}
	}
	return nil
}

// said is the likelihoods of a finding of a check.
func said(b *ft.Belief, finding int) []float64 {
	for _, f := range b.Findings() {
		if f.ID == finding {
			return f.Weight
		}
	}
	return nil
}

// compute makes the two programs that looking ahead takes, side by side, and
// computes what is believed now.
func (f *foresight) compute() (err error) {
	if err := f.belief.FitCures(); err != nil {
		return err
	}
	var ready sync.WaitGroup
	ready.Go(f.belief.ReadyCures)
	f.belief, f.post, err = f.p.overview(f.belief)
	if ready.Wait(); err == nil {
		f.cures, err = f.belief.Cures()
	}
	return err
}

// overview is what is believed about the modes and, where that can be computed,
// about all gates that the complaint is made of; and the belief that was asked.
func (p *Problem) overview(b *ft.Belief) (asked *ft.Belief, post *ft.Posterior, err error) {
	asked = b.Including(p.below()...)
	post, err = asked.Solve()
	if errors.Is(err, ft.ErrEntangled) {
		asked = b
		post, err = b.Solve()
	}
	return asked, post, err
}

// below are all gates that the complaint is made of.
func (p *Problem) below() []ft.Event {
	var gates []ft.Event
	for _, s := range p.Belief.Complaint() {
		gates = append(gates, p.Belief.Model().Below(s)...)
	}
	return gates
}
