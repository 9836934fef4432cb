package session

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	ft "narrows/faulttree"
)

// togetherSets is how many sets of faults are listed unless told otherwise.
const togetherSets = 6

// doTogether looks at the faults as a whole: the likeliest sets of them, whether
// those found account for the complaint, and how well the findings go together.
func (c *Case) doTogether(ctx context.Context, words string) (View, error) {
	n := togetherSets
	if words != "" {
		var err error
		if n, err = strconv.Atoi(words); err != nil || n < 1 || n > 50 {
			return c.wrong("together lists from 1 to 50 sets of faults, for instance: together 10."), nil
		}
	}
	if len(c.s.belief.Findings()) == 0 {
		return c.wrong("Nothing has been found out yet; say the complaint first."), nil
	}
	sets, err := c.s.belief.LikelySets(ctx, n)
	if err != nil {
		return View{}, err
	}
	v := View{Kind: "together"}
	for _, s := range sets.Sets {
		sv := SetView{P: s.P, Faults: []FaultView{}}
		for _, e := range s.Events {
			d := c.b.e.Describe(e)
			sv.Faults = append(sv.Faults, FaultView{d.ID, placeKey(d.Place), d.Title})
		}
		v.Sets = append(v.Sets, sv)
	}
	if !sets.Proven {
		v.Text = append(v.Text, fmt.Sprintf("Very many sets are nearly as likely; one that is not listed may have up to %s.", percent(sets.Bound)))
	}
	lines, err := c.foundAccounts()
	if err != nil {
		return View{}, err
	}
	v.Text = append(v.Text, lines...)
	if len(c.s.belief.Findings()) > 1 {
		k, err := c.s.belief.Conflict()
		if err != nil {
			return View{}, err
		}
		v.Conflict = &ConflictView{Bits: k.Bits, Words: k.Words()}
	}
	v.Hint = "each line is one way the engine may be, nothing else of what was looked at being wrong; why N explains one suspect"
	return v, nil
}

// foundFaults are the modes and causes that were seen to be there and are still.
func (c *Case) foundFaults(post *ft.Posterior) []ft.Event {
	var out []ft.Event
	m := c.b.e.Model()
	for _, f := range c.s.belief.Findings() {
		if f.Event == ft.None || f.Weight[1] != 0 || post.P(f.Event) < 0.5 {
			continue
		}
		if _, isMode := m.ModeOf(f.Event); isMode && !slices.Contains(out, f.Event) {
			out = append(out, f.Event)
		}
	}
	return out
}

// foundAccounts says whether the faults found so far, put right together, would
// end the complaint.
func (c *Case) foundAccounts() ([]string, error) {
	b, err := c.beliefs()
	if err != nil || b.cures == nil {
		return nil, err
	}
	found := c.foundFaults(b.post)
	if len(found) == 0 {
		return nil, nil
	}
	p, err := b.cures.Events(found...)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range found {
		names = append(names, c.b.title(e))
	}
	if len(found) == 1 {
		return c.accounts(found[0]), nil
	}
	what := fmt.Sprintf("Found so far: %s.", strings.Join(names, "; "))
	switch {
	case p < 0.10:
		return []string{what, fmt.Sprintf("All of them put right would end the complaint in %s only: go on looking.", percent(p))}, nil
	case p < 0.60:
		return []string{what, fmt.Sprintf("They may not be all: put right together they would end the complaint in %s.", percent(p))}, nil
	}
	return []string{what, fmt.Sprintf("Together they account for the complaint: put right, they would end it in %s.", percent(p))}, nil
}
