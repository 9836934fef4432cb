package faulttree_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
)

// The polybox of de Kleer & Williams 1987, "Diagnosing multiple faults",
// Artificial Intelligence 32:97 (circuit and printed .323 from memory, the other
// values recomputed outside this project): three multipliers and two adders,
//
//	X = A*C (M1), Y = B*D (M2), Z = C*E (M3), F = X+Y (A1), G = Y+Z (A2)
//
// with A=3 B=2 C=2 D=3 E=3. All sound, X=Y=Z=6 and F=G=12; seen are F=10 and
// G=12. Each component is faulty with .01, and how a faulty one behaves is not
// said.
var polyboxParts = []string{"A1", "A2", "M1", "M2", "M3"}

// values is the m of the paper: how many values a quantity may have.
const values = 16

// prediction says that the components named, all sound, and what was seen
// before, leave only this value to a quantity. With no components named nothing
// predicts the value; it is only told apart from others.
type prediction struct {
	value string
	sound string
}

// quantity is a place to measure. Two predictions of different values hold
// together only where what was seen before is impossible, so that the order of
// the rows never matters.
type quantity struct {
	name  string
	by    []prediction
	check ft.CheckID
}

// The predictions of each quantity, by hand from the circuit: forward from the
// inputs, and backward from what was seen.
func polyboxQuantities() (before, afterF, afterFG []quantity) {
	before = []quantity{{name: "F", by: []prediction{{"12", "A1 M1 M2"}, {"10", ""}}}}
	afterF = []quantity{ // F=10: with A1, X and Y add up to 10
		{name: "G", by: []prediction{{"12", "A2 M2 M3"}, {"10", "A1 A2 M1 M3"}}},
		{name: "X", by: []prediction{{"6", "M1"}, {"4", "A1 M2"}}},
		{name: "Y", by: []prediction{{"6", "M2"}, {"4", "A1 M1"}}},
		{name: "Z", by: []prediction{{"6", "M3"}}},
	}
	afterFG = []quantity{ // G=12 too: with A2, Y and Z add up to 12
		{name: "X", by: []prediction{{"6", "M1"}, {"4", "A1 M2"}, {"4", "A1 A2 M3"}}},
		{name: "Y", by: []prediction{{"6", "M2"}, {"4", "A1 M1"}, {"6", "A2 M3"}}},
		{name: "Z", by: []prediction{{"6", "M3"}, {"6", "A2 M2"}, {"8", "A1 A2 M1"}}},
	}
	return before, afterF, afterFG
}

// outcomes are the values that anything predicts, and any other.
func (q quantity) outcomes() []string {
	var out []string
	for _, p := range q.by {
		if !slices.Contains(out, p.value) {
			out = append(out, p.value)
		}
	}
	return append(out, "another value")
}

// declare makes the check of the quantity: a value that is predicted has
// chance 1, and where none is, each value has chance 1/16.
func (q *quantity) declare(b *ft.Builder, parts map[string]ft.Event, when string) {
	outcomes := q.outcomes()
	c := ft.Check{Name: q.name + when, Outcomes: outcomes, Else: make([]float64, len(outcomes))}
	for i := range outcomes {
		c.Else[i] = 1. / values
	}
	c.Else[len(outcomes)-1] = float64(values-len(outcomes)+1) / values
	for _, p := range q.by {
		if p.sound == "" {
			continue
		}
		g := ft.Gate{Kind: ft.And}
		for _, name := range strings.Fields(p.sound) {
			g.Inputs = append(g.Inputs, ft.Input{Event: parts[name], Strength: 1, Inverted: true})
		}
		e := b.Gate(fmt.Sprintf("%s%s: %s sound", q.name, when, p.sound))
		b.Define(e, g)
		row := ft.Row{Event: e, P: make([]float64, len(outcomes))}
		row.P[slices.Index(outcomes, p.value)] = 1
		c.Rows = append(c.Rows, row)
	}
	q.check = b.Check(c)
}

type polybox struct {
	m               *ft.Model
	afterF, afterFG []quantity
	seenF, seenFG   *ft.Belief
}

func newPolybox(t *testing.T) polybox {
	b := ft.NewBuilder()
	parts := make(map[string]ft.Event)
	for _, name := range polyboxParts {
		parts[name] = b.Cause(name, .01)
	}
	before, afterF, afterFG := polyboxQuantities()
	before[0].declare(b, parts, "")
	for i := range afterF {
		afterF[i].declare(b, parts, " after F")
	}
	for i := range afterFG {
		afterFG[i].declare(b, parts, " after F and G")
	}
	p := polybox{m: build(t, b), afterF: afterF, afterFG: afterFG}
	p.seenF = p.m.NewBelief()
	for _, name := range polyboxParts {
		// Nothing is learnt by it, but candidates are then about every part.
		var err error
		p.seenF, err = p.seenF.Find(ft.Soft(parts[name], 1, 1))
		require.NoError(t, err)
	}
	p.seenF = p.see(t, p.seenF, before[0], "10")
	p.seenFG = p.see(t, p.seenF, afterF[0], "12")
	return p
}

func (p polybox) see(t *testing.T, b *ft.Belief, q quantity, value string) *ft.Belief {
	f, err := p.m.Outcome(q.check, slices.Index(q.outcomes(), value))
	require.NoError(t, err)
	b, err = b.Find(f)
	require.NoError(t, err)
	return b
}

// candidates are all sets of faulty components that may be, as names in order,
// with their probabilities.
func (p polybox) candidates(t *testing.T, b *ft.Belief) (names []string, chances []float64) {
	sets, err := b.LikelySets(t.Context(), 1<<len(polyboxParts))
	require.NoError(t, err)
	require.True(t, sets.Proven)
	require.Len(t, sets.About, len(polyboxParts))
	for _, s := range sets.Sets {
		var set []string
		for _, e := range s.Events {
			set = append(set, p.m.Name(e))
		}
		slices.Sort(set)
		names, chances = append(names, strings.Join(set, " ")), append(chances, s.P)
	}
	return names, chances
}

// minimal keeps the sets that hold no other.
func minimal(sets []string) []string {
	var out []string
	for _, s := range sets {
		holdsAnother := slices.ContainsFunc(sets, func(other string) bool {
			return other != s && !slices.ContainsFunc(strings.Fields(other), func(x string) bool { return !strings.Contains(s, x) })
		})
		if !holdsAnother {
			out = append(out, s)
		}
	}
	slices.Sort(out)
	return out
}

// entropy is in bit.
func entropy(chances []float64) float64 {
	h := 0.0
	for _, p := range chances {
		if p > 0 {
			h -= p * math.Log2(p)
		}
	}
	return h
}

// gain is the entropy over the candidates less what is expected to be left of
// it once the quantity is measured, in bit.
func (p polybox) gain(t *testing.T, b *ft.Belief, q quantity) float64 {
	_, now := p.candidates(t, b)
	gain := entropy(now)
	for o, chance := range solve(t, b.Watching(q.check)).Outcomes(q.check) {
		if chance == 0 {
			continue
		}
		_, then := p.candidates(t, p.see(t, b, q, q.outcomes()[o]))
		gain -= chance * entropy(then)
	}
	return gain
}

// score is the same by the paper's formula: with p_v the chances of the n
// values predicted, and U that nothing is predicted,
//
//	sum of p_v ln p_v + U ln U - n (U/m) ln(U/m)
//
// in nat, the smaller the better: the expected entropy less the present one.
func (p polybox) score(t *testing.T, b *ft.Belief, q quantity) float64 {
	post := solve(t, b.Watching(q.check))
	outcomes, rows := post.Outcomes(q.check), post.Rows(q.check)
	u, n := rows[len(rows)-1], float64(len(outcomes)-1)
	s := u*math.Log(u) - n*u/values*math.Log(u/values)
	for _, pv := range outcomes[:len(outcomes)-1] {
		s += pv * math.Log(pv)
	}
	return s
}

const sixDigits = 1e-6

func (p polybox) compare(t *testing.T, b *ft.Belief, want []chance) {
	names, chances := p.candidates(t, b)
	for _, w := range want {
		i := slices.Index(names, w.name)
		require.GreaterOrEqual(t, i, 0, "%s is no candidate", w.name)
		require.InDelta(t, w.p, chances[i], sixDigits, w.name)
	}
}

// gains are published expected gains of measuring each quantity, in bit, that
// of the one to be measured next first.
type gains []struct {
	name string
	bit  float64
}

func (p polybox) compareGains(t *testing.T, b *ft.Belief, quantities []quantity, want gains) {
	require.Len(t, quantities, len(want))
	best := 0.0
	for i, w := range want {
		q := quantities[slices.IndexFunc(quantities, func(q quantity) bool { return q.name == w.name })]
		got := p.gain(t, b, q)
		require.InDelta(t, w.bit, got, sixDigits, "gain of %s", q.name)
		require.InDelta(t, got, -p.score(t, b, q)/math.Ln2, exact, "score of %s", q.name)
		if i == 0 {
			best = got
		} else {
			require.Less(t, got, best, "%s is to be measured next", want[0].name)
		}
	}
}

// F=10 alone: one of A1, M1, M2, which the paper prints with .323 each.
func TestPublishedPolyboxOneSymptom(t *testing.T) {
	p := newPolybox(t)
	names, chances := p.candidates(t, p.seenF)
	require.Equal(t, []string{"A1", "M1", "M2"}, minimal(names))
	p.compare(t, p.seenF, []chance{{"A1", .323422}, {"M1", .323422}, {"M2", .323422}})
	require.InDelta(t, 1.827835, entropy(chances), sixDigits)
	post := solve(t, p.seenF)
	for _, w := range []chance{{"A1", .336689}, {"M1", .336689}, {"M2", .336689}, {"M3", .01}, {"A2", .01}} {
		require.InDelta(t, w.p, post.P(p.m.Find(w.name)), sixDigits, w.name)
	}
	p.compareGains(t, p.seenF, p.afterF, gains{{"G", 1.037621}, {"X", .959358}, {"Y", .959358}, {"Z", .073248}})
}

// F=10 and G=12: the minimal diagnoses of the paper, and X to be measured next.
func TestPublishedPolyboxTwoSymptoms(t *testing.T) {
	p := newPolybox(t)
	names, chances := p.candidates(t, p.seenFG)
	require.Equal(t, []string{"A1", "A2 M2", "M1", "M2 M3"}, minimal(names))
	require.ElementsMatch(t, []string{"A1", "M1"}, names[:2], "the most probable")
	p.compare(t, p.seenFG, []chance{{"A1", .496225}, {"M1", .496225}, {"A1 M1", .005012}, {"M2 M3", .000313}})
	require.InDelta(t, 1.071352, entropy(chances), sixDigits)
	p.compareGains(t, p.seenFG, p.afterFG, gains{{"X", 1.033015}, {"Y", .007804}, {"Z", .004345}})
}
