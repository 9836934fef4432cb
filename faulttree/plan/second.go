package plan

import (
	"cmp"
	"context"
	"slices"

	ft "narrows/faulttree"
)

// further is the prospect, roughly, if one more check may be made.
func (f *foresight) further(ctx context.Context, at ahead) (prospect, error) {
	alone := singles(f.p.Belief.Model(), at.cures)
	least, first := f.roughly(alone, at.open)
	v := prospect{least, least, first}
	post, err := at.belief.Solve()
	if err != nil {
		return v, err
	}
	for _, s := range f.promising(at, post) {
		if err := ctx.Err(); err != nil {
			return v, err
		}
		e, err := f.second(ctx, at, s, alone, post, v.plain)
		if err != nil {
			return v, err
		}
		if e < v.least {
			v.least, v.first = e, s.action
		}
	}
	return v, nil
}

// promising are the checks, not made yet, that say most for their minutes as
// things stand.
func (f *foresight) promising(at ahead, post *ft.Posterior) []screened {
	m := f.p.Belief.Model()
	var out []screened
	for _, s := range f.checks {
		act := &f.p.Actions[s.action]
		move, after, err := f.p.Openings.Reach(at.open, act)
		if err != nil || slices.Contains(at.made, s.action) {
			continue
		}
		s.minutes, s.after = move+act.Minutes, after
		s.rate = 0
		for _, c := range act.Checks {
			s.rate += tells(act.check(m, c), post.Rows(c)) / max(0.5, s.minutes)
		}
		if s.rate > 1e-4 {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b screened) int {
		return cmp.Or(cmp.Compare(b.rate, a.rate), a.action-b.action)
	})
	return out[:min(len(out), f.to.breadth.checks)]
}

// second is the expected minutes, roughly, if one more check is made and repairs
// follow.
//
// What cures alone is linear in the row that decides the check: so it is asked
// for the rows but the likeliest, which follows by subtraction, and every outcome
// is a mix of the rows.
func (f *foresight) second(ctx context.Context, at ahead, s screened, alone []float64, post *ft.Posterior, without float64) (float64, error) {
	act := &f.p.Actions[s.action]
	if len(act.Checks) > 1 {
		o, err := f.check(ctx, at, s, without, f.to.results, f.nearly)
		return o.Expected, err
	}
	c := act.Checks[0]
	rows := post.Rows(c)
	joint, err := f.byRow(at, c, alone, rows)
	if err != nil {
		return 0, err
	}
	ck := act.check(f.p.Belief.Model(), c)
	expected := s.minutes
	given := make([]float64, len(alone))
	for k, p := range outcomes(ck, rows) {
		if p < seldom {
			continue
		}
		clear(given)
		for r, q := range joint {
			chance := odds(ck, r)[k]
			for e, x := range q {
				given[e] += x * chance / p
			}
		}
		least, _ := f.roughly(given, s.after)
		expected += p * least
	}
	return expected, nil
}

// seldom is up to which probability an outcome or a row is left out of account.
const seldom = 1e-6

// byRow is, by row of a check, the probability that the row decides and that a
// mode or cause cures alone.
func (f *foresight) byRow(at ahead, c ft.CheckID, alone, rows []float64) ([][]float64, error) {
	likeliest := 0
	for r, p := range rows {
		if p > rows[likeliest] {
			likeliest = r
		}
	}
	out := make([][]float64, len(rows))
	rest := slices.Clone(alone)
	for r, p := range rows {
		if r == likeliest || p < seldom {
			continue
		}
		only := make([]float64, len(rows))
		only[r] = 1
		b, err := f.found(at.belief, c, only)
		if err != nil {
			return nil, err
		}
		given, err := at.cures.With(b, p)
		if err != nil {
			return nil, err
		}
		out[r] = singles(f.p.Belief.Model(), given)
		for e := range out[r] {
			out[r][e] *= p
			rest[e] = max(0, rest[e]-out[r][e])
		}
	}
	out[likeliest] = rest
	return out, nil
}
