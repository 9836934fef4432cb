package plan

import (
	"cmp"
	"math"
	"slices"

	ft "narrows/faulttree"
)

// screened is a check with how much it says for its minutes.
type screened struct {
	action  int
	minutes float64
	after   Set
	rate    float64 // bits about its own rows, a minute
}

// screen orders the checks that can be done by what they say about the events
// that they look at, a minute: a check of something certain, or one whose
// outcomes do not depend on it, says nothing. It decides only which checks are
// valued, so it may take events as independent of one another; the values
// themselves are exact.
func (p *Problem) screen(post *ft.Posterior) []screened {
	rough := guess(p.Belief.Model(), post)
	var out []screened
	for i, a := range p.Actions {
		if a.Kind != Check || a.Barred != "" {
			continue
		}
		s := screened{action: i}
		var err error
		if s.minutes, s.after, err = p.Openings.Reach(p.Open, &a); err != nil {
			continue
		}
		s.minutes += a.Minutes
		info := 0.0
		for _, c := range a.Checks {
			info += says(a.check(p.Belief.Model(), c), rough)
		}
		s.rate = info / max(0.5, s.minutes)
		if info > 1e-6 {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b screened) int {
		return cmp.Or(cmp.Compare(b.rate, a.rate), a.action-b.action)
	})
	return out
}

// guess gives every event a probability: the posterior where it was
// computed, else what independent inputs would make of it.
func guess(m *ft.Model, post *ft.Posterior) []float64 {
	out := make([]float64, m.Len())
	for _, e := range m.Order() {
		out[e] = post.P(e)
		if g, ok := m.GateOf(e); ok && math.IsNaN(out[e]) {
			out[e] = gateRoughly(g, out)
		}
	}
	return out
}

func gateRoughly(g ft.Gate, p []float64) float64 {
	// count[k] is the probability that k inputs work through.
	count := []float64{1}
	for _, in := range g.Inputs {
		q := p[in.Event]
		if in.Inverted {
			q = 1 - q
		}
		q *= in.Strength
		next := make([]float64, len(count)+1)
		for k, c := range count {
			next[k] += c * (1 - q)
			next[k+1] += c * q
		}
		count = next
	}
	need := 1
	switch g.Kind {
	case ft.And:
		need = len(g.Inputs)
	case ft.Voting:
		need = g.K
	}
	on := 0.0
	for _, c := range count[need:] {
		on += c
	}
	return 1 - (1-on)*(1-g.Unlisted)
}

// says is the mutual information, in bits, between a check's outcome and the
// row that decides it, by the probabilities of its events.
func says(c ft.Check, p []float64) float64 {
	rows := make([]float64, 0, len(c.Rows)+1)
	left := 1.0
	for _, r := range c.Rows {
		rows = append(rows, left*p[r.Event])
		left -= left * p[r.Event]
	}
	return tells(c, append(rows, left))
}

// tells is the same by the probabilities of its rows, Else being the last.
func tells(c ft.Check, rows []float64) float64 {
	conditional := 0.0
	for r, q := range rows {
		conditional += q * entropy(odds(c, r))
	}
	return max(0, entropy(outcomes(c, rows))-conditional)
}

func entropy(p []float64) float64 {
	h := 0.0
	for _, x := range p {
		if x > 0 {
			h -= x * math.Log2(x)
		}
	}
	return h
}
