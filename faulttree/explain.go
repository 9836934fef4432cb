package faulttree

import (
	"fmt"
	"math"
)

// Weight is the weight of evidence of one finding on one event: by how much
// the event's log-odds fall when that finding alone is left out.
type Weight struct {
	Finding Placed
	// Decibans is ten times the base-10 logarithm of the ratio of the odds with
	// and without the finding (Good 1950, "Probability and the Weighing of
	// Evidence", from memory). Positive speaks for the event; infinite where
	// the finding decides.
	Decibans float64
	Without  float64 // the event's probability with the finding left out
}

// Explain returns the weight of each finding on the event, in order of entry.
func (b *Belief) Explain(e Event) ([]Weight, error) {
	if !b.m.has(e) {
		return nil, fmt.Errorf("the model has no event %d", e)
	}
	asked := b.Including(e)
	all, err := asked.Solve()
	if err != nil {
		return nil, err
	}
	out := make([]Weight, 0, len(b.findings))
	for _, f := range b.findings {
		less, err := asked.Retract(f.ID)
		if err != nil {
			return nil, err
		}
		post, err := less.Solve()
		if err != nil {
			return nil, err
		}
		out = append(out, Weight{Finding: f, Decibans: decibans(all.P(e), post.P(e)), Without: post.P(e)})
	}
	return out, nil
}

func decibans(with, without float64) float64 {
	if with == without {
		return 0 // also where both are 0 or both 1
	}
	return 10 * (logOdds10(with) - logOdds10(without))
}

func logOdds10(p float64) float64 { return math.Log10(p) - math.Log10(1-p) }
