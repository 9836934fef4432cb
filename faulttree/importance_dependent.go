package faulttree

import (
	"errors"
	"fmt"
)

// measureByBelief computes P and, if asked for, the importances of a
// structure whose events depend on one another, and returns the probability of
// each of the basics by itself. If the belief cannot be computed these are the
// bare priors, and the error says why.
func (s *structure) measureByBelief(opt CutSetOptions, out *CutSets) ([]float64, error) {
	own := s.priors()
	p, err := s.m.NewBelief().Including(s.top).Solve()
	if err != nil {
		return own, err
	}
	out.P = p.P(s.top)
	for i, b := range s.basics {
		if !b.Unlisted {
			own[i] = p.P(b.Event)
		}
	}
	if opt.Importance {
		_, out.Importance, err = s.m.dependentImportance(s.top)
	}
	return own, err
}

// dependentImportance computes the probability of the top event and the
// importance of each primary event below it, the most critical first, whatever
// ties the events to one another. What is known of the top event given another
// event follows from the reverse by Bayes's rule, so that one belief in which
// the top event is there says it of all.
func (m *Model) dependentImportance(top Event) (q float64, list []Importance, err error) {
	s := m.below(top)
	before := m.NewBelief().Including(top)
	for _, b := range s.basics {
		if b.Unlisted {
			before = before.Including(b.Event)
		}
	}
	prior, err := before.Solve()
	if err != nil {
		return 0, nil, err
	}
	q = prior.P(top)
	after, err := before.Find(Present(top))
	if err != nil {
		return 0, nil, err
	}
	given, err := after.Solve()
	var impossible *ImpossibleError
	if err != nil && !errors.As(err, &impossible) {
		return 0, nil, fmt.Errorf("with the top event present: %w", err)
	}
	for _, b := range s.basics {
		i := Importance{Basic: b, Prior: prior.of(b)}
		if given != nil {
			posterior := given.of(b)
			i.Present = clamp(posterior * q / i.Prior)
			i.Absent = clamp((1 - posterior) * q / (1 - i.Prior))
		}
		i.ratios(q)
		i.FussellVesely = (q - i.Absent) / q
		list = append(list, i)
	}
	mostCritical(list)
	return q, list, nil
}

// of returns the probability of a primary event.
func (p *Posterior) of(b Basic) float64 {
	if b.Unlisted {
		return p.Unlisted(b.Event)
	}
	return p.P(b.Event)
}
