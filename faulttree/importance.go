package faulttree

import (
	"cmp"
	"math"
	"slices"

	"narrows/faulttree/internal/diagram"
)

// Importance says what a primary event contributes to a top event of
// probability Q, before anything is known. Formulae as in NUREG-0492 and the
// NASA Fault Tree Handbook 2002 (from memory). Where Q is 0 the ratios to it
// are NaN.
type Importance struct {
	Basic
	Prior float64 // q, the probability of the event
	// Present and Absent are the probability of the top event if it is known that
	// the event is there (Q1), or that it is not (Q0). In a dependent model that
	// speaks for all that comes along with the event: its sources as well.
	Present, Absent float64
	Birnbaum        float64 // Q1 - Q0; below 0 where the event's absence helps
	Criticality     float64 // Birnbaum q / Q
	// FussellVesely is the probability that some minimal cut set with the event
	// is there, a link that may fail being a member of it, divided by Q. With
	// inverted inputs it may exceed 1. In a dependent model, where events are
	// not there by themselves, it has the form that is common in practice,
	// (Q - Q0) / Q.
	FussellVesely float64
	Achievement   float64 // risk achievement worth, Q1 / Q
	Reduction     float64 // risk reduction worth, Q / Q0; +Inf if Q0 is 0
	Posterior     float64 // q Q1 / Q: the probability of the event, the top event being there
}

// ratios fills in what follows from q, Q1, Q0 and the top event's probability.
func (i *Importance) ratios(top float64) {
	i.Birnbaum = i.Present - i.Absent
	i.Criticality = i.Birnbaum * i.Prior / top
	i.Achievement = i.Present / top
	i.Reduction = top / i.Absent
	i.Posterior = i.Prior * i.Present / top
}

// mostCritical sorts by criticality, equal ones as basics are: parts alike
// differ in their last digits by rounding alone.
func mostCritical(list []Importance) {
	rounded := func(x float64) float64 { return math.Round(x * 1e12) }
	slices.SortFunc(list, func(a, b Importance) int {
		if c := cmp.Compare(rounded(b.Criticality), rounded(a.Criticality)); c != 0 {
			return c
		}
		return compareBasics(a.Basic, b.Basic)
	})
}

// independent reports whether the basics are independent of one another: each
// item has but one mode below the top, and no mode of it has sources.
func (s *structure) independent() bool {
	seen := make(map[ItemID]bool)
	for _, b := range s.basics {
		md, ok := s.m.ModeOf(b.Event)
		if !ok {
			continue
		}
		if seen[md.Item] {
			return false
		}
		seen[md.Item] = true
		for _, e := range s.m.items[md.Item].Modes {
			if sibling, _ := s.m.ModeOf(e); len(sibling.Sources) > 0 {
				return false
			}
		}
	}
	return true
}

// priors returns the probability of each of the basics without any source: a
// mode's prior, less what the item's other modes take from it.
func (s *structure) priors() []float64 {
	out := make([]float64, len(s.basics))
	for i, b := range s.basics {
		if b.Unlisted {
			g, _ := s.m.GateOf(b.Event)
			out[i] = g.Unlisted
			continue
		}
		md, _ := s.m.ModeOf(b.Event)
		out[i] = md.Prior
		if modes := s.m.items[md.Item].Modes; len(modes) > 1 {
			sum := 0.0
			for _, e := range modes {
				sibling, _ := s.m.ModeOf(e)
				sum -= math.Log1p(-sibling.Prior)
			}
			out[i] = -math.Log1p(-md.Prior) / sum * -math.Expm1(-sum)
		}
	}
	return out
}

// measure computes P, its bounds and, if asked for, the importances of an
// independent structure, by the diagram in which each weak link has a variable
// of its own.
func (s *structure) measure(priors []float64, opt CutSetOptions, out *CutSets) error {
	t, strengths := s.tree(true)
	p := slices.Concat(priors, strengths)
	d, top, err := diagram.Compile(t, s.limit)
	if err != nil {
		return tooLarge(err)
	}
	z := diagram.NewFamilies(d, s.limit)
	cuts := z.Minimal(d, top)
	if err := z.Err(); err != nil {
		return tooLarge(err)
	}
	var list []Importance
	if opt.Importance {
		if list, err = s.importances(d, top, z, cuts, p); err != nil {
			return err
		}
	}
	out.P, out.Importance = d.Sweep(top).P(p), list
	out.RareEvent, out.UpperBound = z.Sum(cuts, p), z.Bound(cuts, p)
	return nil
}

// importances fills the list in, Q1 and Q0 by one pass of derivatives.
func (s *structure) importances(d *diagram.Functions, top diagram.Ref, z *diagram.Families, cuts diagram.Family, p []float64) ([]Importance, error) {
	slope := make([]float64, len(p))
	sweep := d.Sweep(top)
	q := sweep.Derive(p, slope)
	list := make([]Importance, len(s.basics))
	for i, b := range s.basics {
		e := Importance{Basic: b, Prior: p[i]}
		e.Present = clamp(q + float64((1-p[i])*slope[i]))
		e.Absent = clamp(q - float64(p[i]*slope[i]))
		if e.Absent < 1e-3*q { // the difference has lost digits
			p[i] = 0
			e.Absent = sweep.P(p)
			p[i] = e.Prior
		}
		e.ratios(q)
		e.Birnbaum = slope[i]
		e.FussellVesely = d.Sweep(d.SomeSet(z, z.Holding(cuts, i))).P(p) / q
		list[i] = e
	}
	if z.Err() != nil || d.Err() != nil {
		return nil, ErrTooLarge
	}
	mostCritical(list)
	return list, nil
}
