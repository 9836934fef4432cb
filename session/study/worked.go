package study

import (
	"context"
	"errors"
	"fmt"
	"slices"

	ft "narrows/faulttree"
)

// Worked is a worked case: a complaint, the faults behind it, and what checks
// show.
type Worked struct {
	ID, Title       string
	Present, Absent []ft.Event // symptoms
	History         []ft.Finding
	Causes          []ft.Event         // modes and common causes; nothing else is wrong
	Shows           map[ft.CheckID]int // outcomes of the engine as brought in
	MinutesAtMost   *float64           // nil: nothing is expected
	RankAtMost      *int               // nil: nothing is expected
	RankAtEndAtMost *int               // nil: nothing is expected
	Missed          []string           // words of the complaint that were not understood

	told []string // the circumstances behind History
}

// Account is how a worked case went.
type Account struct {
	Case   string        `json:"case"`
	Title  string        `json:"title,omitempty"`
	Policy string        `json:"policy"`
	Rank   int           `json:"rank"` // of the truth before anything is done
	Steps  []AccountStep `json:"steps"`
	Result
	// RankThen is the rank of the truth when the first repair is begun or the
	// job handed on; it is what rank_at_most is held against.
	RankThen int `json:"rank_then"`
	// RankEnd is the rank of the truth when the last repair is begun or the job handed
	// on; it is what rank_at_end_at_most is held against.
	RankEnd int      `json:"rank_end"`
	Missed  []string `json:"missed,omitempty"`
	Failed  []string `json:"failed,omitempty"` // expectations, in words
}

// AccountStep is one thing that was done.
type AccountStep struct {
	Action  string   `json:"action"`
	Results []string `json:"results,omitempty"`
	Minutes float64  `json:"minutes"` // with opening moves, and trying the complaint
	Still   bool     `json:"still,omitempty"`
	Rank    int      `json:"rank,omitempty"` // of the truth then; 0 once nothing of it is left, or the complaint is gone
}

// Play plays a worked case by a policy.
func (g *Ground) Play(ctx context.Context, w *Worked, pol Policy) (*Account, error) {
	eng, err := g.stage(w)
	if err != nil {
		return nil, err
	}
	known := slices.Clone(w.History)
	for _, e := range w.Absent {
		known = append(known, ft.Absent(e))
	}
	b, err := g.begin(eng, w.Present, known...)
	if err != nil {
		return nil, err
	}
	a := &Account{Case: w.ID, Title: w.Title, Policy: pol.ID(), Steps: []AccountStep{}, Missed: w.Missed}
	if a.Rank, a.FirstRight, err = g.rank(b.belief, eng.left); err != nil {
		return nil, err
	}
	a.RankThen, a.RankEnd = a.Rank, a.Rank
	for over, right := false, a.FirstRight; !over; {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		made, repaired := len(b.history.Steps), b.history.Repaired
		if over, err = b.step(ctx, pol); err != nil {
			return nil, err
		}
		if len(b.history.Steps) > made {
			s := g.accountStep(b.history.Steps[made])
			if !b.r.Cured {
				if s.Rank, _, err = g.rank(b.belief, eng.left); err != nil {
					return nil, err
				}
			}
			a.Steps = append(a.Steps, s)
			if s.Rank > 0 {
				a.RankEnd = s.Rank
			}
			if !repaired && !b.history.Repaired {
				a.RankThen = s.Rank
			}
		}
		a.Result = b.r
		a.FirstRight = right
	}
	a.judge(w)
	return a, nil
}

func (g *Ground) accountStep(s Step) AccountStep {
	out := AccountStep{Action: g.actions[s.Action].Name, Minutes: s.Minutes, Still: len(s.Left) > 0}
	for i, c := range g.actions[s.Action].Checks {
		out.Results = append(out.Results, g.outcomeTitle(c, s.Results[i]))
	}
	return out
}

// outcomeTitle names an outcome for people.
func (g *Ground) outcomeTitle(c ft.CheckID, k int) string {
	if u, ok := g.bench.Engine().CheckByID(c); ok && k < len(u.Def.Outcomes) {
		return u.Def.Outcomes[k].Title
	}
	return g.model.Checks()[c].Outcomes[k]
}

// rank is the place, in the list of suspects, of the first of the given causes;
// 0 where none is given or the belief cannot be computed. first tells whether
// the suspect that most probably cures alone is one of them.
func (g *Ground) rank(b *ft.Belief, causes []ft.Event) (rank int, first bool, err error) {
	if len(causes) == 0 {
		return 0, false, nil
	}
	post, err := b.Solve()
	if err == nil {
		var cures *ft.Cures
		if cures, err = b.Cures(); err == nil {
			list := g.bench.Suspects(post, cures)
			in := func(e ft.Event) bool { return slices.Contains(causes, e) }
			return slices.IndexFunc(list, in) + 1, in(firstSuspect(g.model, cures)), nil
		}
	}
	if errors.Is(err, ft.ErrEntangled) {
		err = nil
	}
	return 0, false, err
}

// staged is the engine of a worked case. It is the most probable one of those
// that have just the given faults and the complaint: what the file does not say
// is answered by the model, exactly.
type staged struct {
	g     *Ground
	truth *ft.Belief // all faults and symptoms known
	left  []ft.Event // causes still there
	shows map[ft.CheckID]int
	stale map[ft.CheckID]bool // a repair has changed what the check looks at
}

func (g *Ground) stage(w *Worked) (*staged, error) {
	s := &staged{g: g, truth: g.model.NewBelief(), left: slices.Clone(w.Causes), shows: w.Shows, stale: make(map[ft.CheckID]bool)}
	for _, it := range g.model.Items() {
		for _, e := range it.Modes {
			if err := s.know(e, slices.Contains(w.Causes, e)); err != nil {
				return nil, err
			}
		}
	}
	for _, e := range w.Present {
		if err := s.know(e, true); err != nil {
			return nil, err
		}
	}
	for _, e := range w.Absent {
		if err := s.know(e, false); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func (s *staged) know(e ft.Event, present bool) error {
	f := ft.Absent(e)
	if present {
		f = ft.Present(e)
	}
	next, err := s.truth.Find(f)
	if err == nil {
		s.truth = next
	}
	return err
}

func (s *staged) outcome(c ft.CheckID) (int, error) {
	if k, ok := s.shows[c]; ok && !s.stale[c] {
		return k, nil
	}
	post, err := s.truth.Watching(c).Solve()
	if err != nil {
		return 0, err
	}
	return likeliest(post.Outcomes(c)), nil
}

// repair succeeds and leaves nothing behind.
func (s *staged) repair(r ft.RepairID) (mended bool, err error) {
	if s.truth, err = s.truth.Repaired(r); err != nil {
		return false, err
	}
	rep := &s.g.model.Repairs()[r]
	for _, e := range rep.Fixes {
		if i := slices.Index(s.left, e); i >= 0 {
			s.left, mended = slices.Delete(s.left, i, i+1), true
		}
		if err := s.know(e, false); err != nil {
			return false, err
		}
	}
	for _, in := range rep.Introduces {
		if slices.Contains(s.left, in.Mode) {
			continue
		}
		if err := s.know(in.Mode, false); err != nil {
			return false, err
		}
	}
	for _, i := range s.g.bench.Stirs(r) {
		for _, c := range s.g.actions[i].Checks {
			s.stale[c] = true
		}
	}
	return mended, nil
}

func (s *staged) there(fault ft.Event) bool { return slices.Contains(s.left, fault) }

// symptom tells whether the symptom is more probably there than not; from then
// on it is so.
func (s *staged) symptom(e ft.Event) (bool, error) {
	post, err := s.truth.Including(e).Solve()
	if err != nil {
		return false, err
	}
	there := post.P(e) >= 0.5
	return there, s.know(e, there)
}

// judge holds the account against what was expected.
func (a *Account) judge(w *Worked) {
	if !a.Cured {
		a.Failed = append(a.Failed, "the job was handed on")
	}
	if w.MinutesAtMost != nil && a.Minutes > *w.MinutesAtMost {
		a.Failed = append(a.Failed, fmt.Sprintf("it took %.4g minutes; at most %.4g are expected", a.Minutes, *w.MinutesAtMost))
	}
	if w.RankAtMost != nil && (a.RankThen > *w.RankAtMost || a.RankThen == 0) {
		a.Failed = append(a.Failed, fmt.Sprintf("the truth ranked %d when repairs began; at most %d is expected", a.RankThen, *w.RankAtMost))
	}
	if w.RankAtEndAtMost != nil && (a.RankEnd > *w.RankAtEndAtMost || a.RankEnd == 0) {
		a.Failed = append(a.Failed, fmt.Sprintf("the truth ranked %d by the end; at most %d is expected", a.RankEnd, *w.RankAtEndAtMost))
	}
	if w.MinutesAtMost == nil && w.RankAtMost == nil && w.RankAtEndAtMost == nil {
		a.Failed = nil
	}
}

// Tally is how the worked cases of a file went by one policy.
type Tally struct {
	Policy string `json:"policy"`
	Cases  int    `json:"cases"`
	Cured  int    `json:"cured"`
	// Second is in how many the truth ranked first or second by the end, SecondThen in
	// how many when the first repair was begun.
	Second     int     `json:"first_or_second_by_end"`
	SecondThen int     `json:"first_or_second_before_repairs"`
	Minutes    float64 `json:"minutes"` // of all
	Failed     int     `json:"failed"`  // cases that did not meet what was expected
}

// Add counts one more account.
func (t *Tally) Add(a *Account) {
	upper := func(rank int) int {
		if rank == 1 || rank == 2 {
			return 1
		}
		return 0
	}
	t.Cases++
	t.Second += upper(a.RankEnd)
	t.SecondThen += upper(a.RankThen)
	t.Minutes += a.Minutes
	if a.Cured {
		t.Cured++
	}
	if len(a.Failed) > 0 {
		t.Failed++
	}
}
