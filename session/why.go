package session

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	ft "narrows/faulttree"
)

// doWhy gives the weight of each finding on a suspect.
func (c *Case) doWhy(_ context.Context, words string) (View, error) {
	list, err := c.suspects()
	if err != nil {
		return View{}, err
	}
	e := ft.None
	var n int
	if _, err := fmt.Sscan(words, &n); err == nil && n >= 1 && n <= len(list) && len(strings.Fields(words)) == 1 {
		e = ft.Event(list[n-1].id)
	} else if words == "" && len(list) > 0 {
		e = ft.Event(list[0].id)
	} else if e = c.suspectNamed(words); e == ft.None {
		return c.wrong("No single suspect fits %q; suspects lists them with their numbers.", words), nil
	}
	x, err := c.explained(e)
	if err != nil {
		return View{}, err
	}
	weights := x.On(e)
	b, err := c.beliefs()
	if err != nil {
		return View{}, err
	}
	v := View{Kind: "why", Text: []string{capital(c.b.title(e)) + ": present " + percent(b.post.P(e))}}
	if b.cures != nil {
		v.Text[0] += ", putting it right alone cures in " + percent(b.cures.Mode(e))
	}
	if _, ok := c.b.e.Model().ModeOf(e); ok {
		v.Text = append(v.Text, "Before anything was found out: "+percent(c.prior(e))+".")
	}
	slices.SortStableFunc(weights, func(x, y ft.Weight) int { return cmp.Compare(math.Abs(y.Decibans), math.Abs(x.Decibans)) })
	if n := len(weights) - whyLines; n > 0 {
		weights = weights[:whyLines]
		v.Text = append(v.Text, fmt.Sprintf("The %d weightiest findings; %d say less.", whyLines, n))
	}
	for _, w := range weights {
		v.Why = append(v.Why, WeightView{c.s.entryOf[w.Finding.ID], c.findingWords(w.Finding), finite(w.Decibans), w.Words()})
	}
	v.Hint = "10 decibans are odds ten to one; each line is what leaving that finding out alone would change"
	return v, nil
}

// explained leaves out each finding in turn, once for all suspects.
func (c *Case) explained(e ft.Event) (*ft.Explanation, error) {
	if _, isMode := c.b.e.Model().ModeOf(e); !isMode {
		return c.s.belief.Explain(e)
	}
	b, err := c.beliefs()
	if err != nil {
		return nil, err
	}
	if b.explained == nil {
		b.explained, err = c.s.belief.Explain()
	}
	return b.explained, err
}

// whyLines is how many findings a screen takes.
const whyLines = 13

// prior is how likely a mode is on any engine brought in, before a word is said
// of this one.
func (c *Case) prior(e ft.Event) float64 {
	p, err := c.b.e.Model().NewBelief().Solve()
	if err != nil {
		return math.NaN()
	}
	return p.P(e)
}

// finite keeps an infinite weight writable.
func finite(x float64) float64 { return max(-999, min(999, x)) }

// suspectNamed finds one mode by words.
func (c *Case) suspectNamed(words string) ft.Event {
	name, at, hasPlace := c.cutPlace(words)
	var ns []named
	var of []ft.Event
	m := c.b.e.Model()
	for _, it := range m.Items() {
		for _, e := range it.Modes {
			d := c.b.e.Describe(e)
			if c.placeFits(d.Place, at, hasPlace) {
				ns, of = append(ns, named{d.ID, d.Title}), append(of, e)
			}
		}
	}
	if found := choose(name, ns); len(found) == 1 {
		return of[found[0]]
	}
	return ft.None
}
