package faulttree_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
)

// Many improbable findings together have a probability far below the smallest
// float64; by hand, each of n separate gates over two causes a and b is there
// with a + b - ab, and one of its causes then with a / (a + b - ab).
func TestEvidenceBelowTheRangeOfFloats(t *testing.T) {
	const n, p, q = 200, 1e-4, 2e-4
	b := ft.NewBuilder()
	var fs []ft.Finding
	var causes, gates []ft.Event
	for i := range n {
		x, y, g := b.Cause(fmt.Sprint("a", i), p), b.Cause(fmt.Sprint("b", i), q), b.Gate(fmt.Sprint("g", i))
		b.Define(g, ft.Gate{Inputs: []ft.Input{{Event: x, Strength: 1}, {Event: y, Strength: 1}}})
		causes, gates, fs = append(causes, x), append(gates, g), append(fs, ft.Present(g))
	}
	top := b.Gate("symptom")
	b.Define(top, ft.Gate{Symptom: true, Unlisted: .01, Inputs: []ft.Input{{Event: gates[0], Strength: .5}, {Event: gates[1], Strength: .25}}})
	m := build(t, b)
	one := p + q - p*q
	belief, err := believe(t, m, fs...).Complaining(top)
	require.NoError(t, err)
	post := solve(t, belief)
	require.InEpsilon(t, n*math.Log(one), post.LogEvidence(), 1e-12)
	for _, e := range causes {
		near(t, p/one, post.P(e))
	}
	cures, err := belief.Cures()
	require.NoError(t, err)
	// Nothing is known of the symptom: it stays away where nothing else brings
	// it about. With a alone behind its gate, putting a right ends the gate.
	ends := (p*(1-q) + p*q*.5) / one
	near(t, ends*.99*.75, cures.Mode(causes[0]))
}

// Two thousand readings of likelihood ratio 2 and size 1e-5, and as many seen
// faults.
func TestManyFindingsOnItems(t *testing.T) {
	b := ft.NewBuilder()
	x := b.Cause("x", 1e-3)
	var fs []ft.Finding
	for range 2000 {
		fs = append(fs, ft.Soft(x, 2e-5, 1e-5))
	}
	want := 2000*math.Log(2e-5) + math.Log(1e-3)
	for i := range 300 {
		fs = append(fs, ft.Present(b.Cause(fmt.Sprint("seen", i), 1e-4)))
		want += math.Log(1e-4)
	}
	post := solve(t, believe(t, build(t, b), fs...))
	near(t, 1, post.P(x))
	require.InEpsilon(t, want, post.LogEvidence(), 1e-12)
	// What speaks against a thing seen beyond doubt changes nothing of it.
	fs = append(fs, ft.Absent(x))
	post = solve(t, believe(t, build(t, rebuilt(300)), fs...))
	require.Zero(t, post.P(x))
}

func rebuilt(seen int) *ft.Builder {
	b := ft.NewBuilder()
	b.Cause("x", 1e-3)
	for i := range seen {
		b.Cause(fmt.Sprint("seen", i), 1e-4)
	}
	return b
}
