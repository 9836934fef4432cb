package plan

import (
	"context"
	"math"
	"sync"

	ft "narrows/faulttree"
)

// A complaint of several symptoms has several causes more often than not, and
// then no single repair ends it: a plan that counts only what ends all of it
// gives up too soon. So, where engines cannot be walked through, one symptom is
// worked on first, as a complaint of its own, and what the others will take is
// added roughly: where that is less to be expected than by a plan for all.

// part is one symptom of a complaint, as a complaint of its own.
type part struct {
	p     *Problem
	cures *ft.Cures
	base  Base
	// rough is what it will take when its turn comes: the checks that are made
	// till then bring the plan of repairs half the way down to its bound.
	rough float64
	share float64 // probability that it is still there once the part worked on is gone
}

// parts splits a complaint into those of its symptoms that are probably there.
func (p *Problem) parts() ([]*part, error) {
	complaint := p.Belief.Complaint()
	all, errs := make([]*part, len(complaint)), make([]error, len(complaint))
	var wg sync.WaitGroup
	for i, s := range complaint {
		q := *p
		var err error
		if q.Belief, err = p.Belief.Complaining(s); err != nil {
			return nil, err
		}
		all[i] = &part{p: &q}
		wg.Go(func() { errs[i] = all[i].weigh() })
	}
	post, err := p.Belief.Including(complaint...).Solve()
	wg.Wait()
	if err != nil {
		return nil, err
	}
	var out []*part
	for i, s := range complaint {
		if post.P(s) < 0.5 {
			continue
		}
		if errs[i] != nil {
			return nil, errs[i]
		}
		out = append(out, all[i])
	}
	return out, nil
}

func (x *part) weigh() (err error) {
	if x.cures, err = x.p.Belief.Cures(); err != nil {
		return err
	}
	if x.base, err = x.p.shown(x.p.Belief, x.cures, x.p.Open); err != nil {
		return err
	}
	low := min(x.p.bound(x.cures, x.p.Open), x.base.Expected)
	x.rough = (low + x.base.Expected) / 2
	return nil
}

// after is the probability that a part is still there once another is gone, as
// far as single modes tell: what they cure together, of all that they cure of
// the other.
func (x *part) after(other *part) float64 {
	both, all := 0.0, 0.0
	for _, it := range x.p.Belief.Model().Items() {
		for _, e := range it.Modes {
			c := other.cures.Mode(e)
			both += min(c, x.cures.Mode(e))
			all += c
		}
	}
	if all <= 0 {
		return 1
	}
	return 1 - both/all
}

// adviseParts looks ahead on the symptom that takes least. It reports false
// where that promises nothing against the plan for the whole complaint that the
// advice has.
func (p *Problem) adviseParts(ctx context.Context, budget Budget, adv *Advice) (bool, error) {
	parts, err := p.parts()
	if err != nil || len(parts) < 2 {
		return false, err
	}
	first, least := parts[0], math.Inf(1)
	for _, x := range parts {
		if x.base.Expected < least {
			first, least = x, x.base.Expected
		}
	}
	// A job that is handed on is handed on whole: what is left of it then takes no
	// more.
	rest, kept := 0.0, 1-first.base.Left
	for _, x := range parts {
		if x != first {
			still := x.after(first)
			rest += kept * still * x.rough
			kept *= 1 - still*x.base.Left
		}
	}
	// Where the whole can only be handed on, what checks will bring counts for the
	// part worked on as for the others: else it would be given up unseen.
	if len(adv.Base.Steps) == 0 {
		rest -= first.base.Expected - first.rough
	}
	all := first.base.Expected + rest
	if all >= adv.Base.Expected {
		return false, nil
	}
	f, err := first.p.foresee()
	if err != nil {
		return true, err
	}
	adv.WhileOpen = p.whileOpen(f.post)
	out, err := f.lookAhead(ctx, first.base, budget)
	if err != nil {
		return true, err
	}
	adv.First = first.p.Belief.Complaint()[0]
	adv.Unvalued, adv.Depth = out.unvalued, out.depth
	adv.Base = first.base
	adv.Base.Expected = all
	for _, o := range out.options {
		o.Expected += rest
		o.Saves = adv.Base.Expected - o.Expected
		for k := range o.Outcomes {
			o.Outcomes[k].Expected += rest
		}
		adv.Options = append(adv.Options, o)
	}
	return true, nil
}
