package faulttree

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// manyPositives is a two-layer model of 30 causes with priors .001 to .02 and
// 30 % of the links to m symptoms, all present: the case in which signed sums
// are known to lose digits as symptoms pile up (relative error 4e-12 with 4
// positives, 1e-9 with 8, 5e-8 with 12; measured outside this project against
// 80-digit arithmetic).
func manyPositives(t *testing.T, positives int, r *rand.Rand) *Belief {
	b := NewBuilder()
	var causes []Event
	for i := range 30 {
		causes = append(causes, b.Cause(fmt.Sprint("cause", i), .001+.019*r.Float64()))
	}
	var tops []Event
	for k := range positives {
		top := b.Gate(fmt.Sprint("symptom", k))
		g := Gate{Symptom: true, Unlisted: .001}
		for _, c := range causes {
			if r.Float64() < .3 {
				g.Inputs = append(g.Inputs, Input{Event: c, Strength: .05 + .85*r.Float64()})
			}
		}
		if len(g.Inputs) == 0 {
			g.Inputs = []Input{{Event: causes[0], Strength: .5}}
		}
		b.Define(top, g)
		tops = append(tops, top)
	}
	m, err := b.Build()
	require.NoError(t, err)
	belief := m.NewBelief()
	for _, e := range tops {
		belief, err = belief.Find(Present(e))
		require.NoError(t, err)
	}
	return belief
}

// The bound on the rounding error holds, and is generous: the signed form
// agrees with the form in which nothing cancels far better than it promises.
func TestSignedSums(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, positives := range []int{2, 4, 6, 8} {
		b := manyPositives(t, positives, r)
		q := b.question()
		signed, err := b.run(q)
		require.NoError(t, err)
		f, bound := signed.prog.circ.UpBounded(signed.ws.s, signed.w)
		q.positive = true
		whole, err := b.run(q)
		require.NoError(t, err)
		want := whole.up()
		require.Positive(t, want)
		require.LessOrEqual(t, math.Abs(f-want), bound+1e-14*want, "%d positives: the bound does not hold", positives)
		require.LessOrEqual(t, math.Abs(f-want), bound/20+1e-13*want, "%d positives: the bound is not generous", positives)
		t.Logf("%d positives: error %.1e, bound %.1e", positives, math.Abs(f-want)/want, bound/want)
	}
}

// The chain of partial ors and the signed hub give the same three posteriors
// (methods of Diez & Galan 2003; the case is made up for the formula of
// Heckerman 1989 and was computed outside this project, by the formula and by
// enumeration).
func TestChainAndHubAgree(t *testing.T) {
	b := NewBuilder()
	var d []Event
	for i, p := range []float64{.10, .05, .02} {
		d = append(d, b.Cause(fmt.Sprint("d", i+1), p))
	}
	link := func(i int, s float64) Input { return Input{Event: d[i], Strength: s} }
	var f []Event
	for k, in := range [][]Input{{link(0, .8), link(1, .6)}, {link(0, .5), link(2, .9)}, {link(0, .3), link(1, .7), link(2, .4)}} {
		e := b.Gate(fmt.Sprint("f", k+1))
		b.Define(e, Gate{Symptom: true, Unlisted: []float64{.01, .02, .01}[k], Inputs: in})
		f = append(f, e)
	}
	m, err := b.Build()
	require.NoError(t, err)
	belief := m.NewBelief()
	for _, x := range []Finding{Present(f[0]), Present(f[1]), Absent(f[2])} {
		belief, err = belief.Find(x)
		require.NoError(t, err)
	}
	for _, positive := range []bool{false, true} {
		q := belief.question()
		q.positive = positive
		r, total, err := belief.runSafely(q)
		require.NoError(t, err)
		r.down()
		post := belief.posterior(q, r, total)
		require.InEpsilon(t, .0279842629790592, total, 1e-12)
		for i, want := range []float64{.9820213070676, .0262616932799, .0283183849427} {
			require.InDelta(t, want, post.P(d[i]), 1e-12)
		}
		r.release()
	}
}
