package faulttree

import (
	"errors"
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

// Words says the weight in words: 1 deciban is about the least change that a
// person feels (Good, from memory), 10 are odds ten to one, 20 a hundred to one.
func (w Weight) Words() string {
	side := "for it"
	if w.Decibans < 0 {
		side = "against it"
	}
	switch a := math.Abs(w.Decibans); {
	case a < 1:
		return "says nearly nothing"
	case a < 5:
		return "a little " + side
	case a < 10:
		return "clearly " + side
	case a < 20:
		return "strongly " + side
	case a < 100:
		return "very strongly " + side
	}
	return "decides " + side
}

// Explanation holds the weight of every finding on every mode and cause, and on
// the gates that were asked for, each finding left out in turn.
type Explanation struct {
	findings []Placed
	all      *Posterior
	without  []*Posterior
}

// Explain leaves out each finding in turn. Besides modes and causes it answers
// the given events.
func (b *Belief) Explain(events ...Event) (*Explanation, error) {
	for _, e := range events {
		if !b.m.has(e) {
			return nil, fmt.Errorf("the model has no event %d", e)
		}
	}
	asked := b.Including(events...)
	all, err := asked.Solve()
	if err != nil {
		return nil, err
	}
	x := &Explanation{findings: b.findings, all: all}
	for _, f := range b.findings {
		less, err := asked.Retract(f.ID)
		if err != nil {
			return nil, err
		}
		post, err := less.Solve()
		if err != nil {
			return nil, err
		}
		x.without = append(x.without, post)
	}
	return x, nil
}

// On returns the weight of each finding on the event, in order of entry.
func (x *Explanation) On(e Event) []Weight {
	out := make([]Weight, 0, len(x.findings))
	for i, f := range x.findings {
		p := x.without[i].P(e)
		out = append(out, Weight{Finding: f, Decibans: decibans(x.all.P(e), p), Without: p})
	}
	return out
}

func decibans(with, without float64) float64 {
	if with == without {
		return 0 // also where both are 0 or both 1
	}
	return 10 * (logOdds10(with) - logOdds10(without))
}

func logOdds10(p float64) float64 { return math.Log10(p) - math.Log10(1-p) }

// Conflict says how surprising the findings are together.
type Conflict struct {
	// Bits is the base-2 logarithm of the product of the findings' own
	// probabilities, each taken alone, over the probability of all of them
	// together (the conflict measure of Jensen and others 1990, from memory).
	// Negative: they support each other, as the marks of one fault do. Positive:
	// they are rarer together than by chance, because one of them misleads, or
	// because a rare fault is behind them.
	Bits float64
	// Alone is the natural logarithm of each finding's own probability, in order
	// of entry.
	Alone []float64
	// Together is the natural logarithm of the probability of all findings.
	Together float64
}

// Words says the conflict in words.
func (c Conflict) Words() string {
	switch {
	case len(c.Alone) < 2:
		return "nothing to compare"
	case c.Bits <= -1:
		return "the findings support each other"
	case c.Bits < 1:
		return "the findings neither support nor gainsay each other"
	case c.Bits < 4:
		return "the findings are a little odd together"
	case c.Bits < 8:
		return "the findings are odd together: look again at what decides most"
	}
	return "the findings hardly go together: one may be wrong, or something rare or not listed is at work"
}

// Conflict measures how surprising the findings are together. Repairs count as
// made when each finding is taken alone.
func (b *Belief) Conflict() (Conflict, error) {
	var c Conflict
	all, err := b.logEvidence()
	if err != nil {
		return c, err
	}
	c.Together = all
	sum := 0.0
	for _, f := range b.findings {
		alone := *b
		alone.findings = []Placed{f}
		p, err := alone.logEvidence()
		if err != nil {
			return c, err
		}
		c.Alone = append(c.Alone, p)
		sum += p
	}
	c.Bits = (sum - all) / math.Ln2
	return c, nil
}

// logEvidence is the natural logarithm of the probability of all findings, and
// of nothing else.
func (b *Belief) logEvidence() (float64, error) {
	r, f, err := b.runSafely(b.evidence())
	if errors.Is(err, errImpossible) {
		err = b.contradiction()
	}
	if err != nil {
		return 0, err
	}
	defer r.release()
	return r.log(f) + b.logIdle(), nil
}
