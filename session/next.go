package session

import (
	"context"
	"strconv"
)

// offerHint stands below an offer.
const offerHint = "a number picks; Enter repeats; check, noticed, fixed, why, tree, help"

// doNext ranks what to do and shows it with the suspects; with a number it
// explains that one of the list. Where a ranking is on its way it waits for it.
func (c *Case) doNext(ctx context.Context, words string) (View, error) {
	if err := c.await(ctx); err != nil {
		return View{}, err
	}
	if n, err := strconv.Atoi(words); err == nil {
		return c.explainOption(n), nil
	}
	return c.whatNext(ctx)
}

// whatNext shows the suspects with what to do next, or with the mark that this
// is still to be ranked.
func (c *Case) whatNext(ctx context.Context) (View, error) {
	if c.s.untried {
		return c.askRetry(), nil
	}
	c.asked, c.trying = nil, false
	v := View{Kind: "next"}
	if err := c.addSuspects(&v, shownSuspects); err != nil {
		return v, err
	}
	switch {
	case c.s.cured:
		v.Hint = "the complaint is gone; close ends the case"
		return v, nil
	case c.later && c.list() != nil: // nothing has changed since it was ranked
		v.Next = c.nextView(c.list().advice)
	case c.later:
		var err error
		if v.Next, err = c.demand(); err != nil {
			return v, err
		}
		if v.Next == nil {
			v.Ranking = true
			return v, nil
		}
	default:
		adv, err := c.rank(ctx, c.problem())
		if err != nil {
			return v, err
		}
		v.Next = c.nextView(adv)
	}
	v.Hint = offerHint
	return v, nil
}
