package faulttree_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
)

// named lists the sets by the names of their members.
func named(m *ft.Model, sets []ft.CutSet) [][]string {
	var out [][]string
	for _, s := range sets {
		var names []string
		for _, b := range s.Members {
			name := m.Name(b.Event)
			if b.Unlisted {
				name = "unlisted at " + name
			}
			names = append(names, name)
		}
		out = append(out, names)
	}
	return out
}

func askCutSets(t *testing.T, m *ft.Model, top ft.Event, opt ft.CutSetOptions) *ft.CutSets {
	t.Helper()
	c, err := m.CutSets(top, opt)
	require.NoError(t, err)
	return c
}

// Each rule leaves out what it says and counts it. The sets of the pressure
// tank (see TestPublishedPressureTank) have the products 3e-5, 5e-6, 1e-8, 3e-9
// and 3e-9.
func TestCutSetsLeftOut(t *testing.T) {
	tr := pressureTank(3e-5)
	m, top := build(t, tr.b), tr.at["E1"]
	c := askCutSets(t, m, top, ft.CutSetOptions{MaxOrder: 1})
	require.Equal(t, [][]string{{"K2"}, {"T"}}, named(m, c.Sets))
	require.EqualValues(t, 3, c.OverOrder)
	require.EqualValues(t, 5, c.Total)
	for _, limit := range []int{0, 5} { // walked through whole, or best first
		c = askCutSets(t, m, top, ft.CutSetOptions{Above: 5e-9, Limit: limit})
		require.Equal(t, [][]string{{"K2"}, {"T"}, {"R", "S"}}, named(m, c.Sets))
		require.EqualValues(t, 2, c.NotAbove)
		require.Zero(t, c.OverOrder+c.BeyondLimit)
	}
	c = askCutSets(t, m, top, ft.CutSetOptions{Limit: 1})
	require.Equal(t, [][]string{{"K2"}}, named(m, c.Sets))
	require.EqualValues(t, 4, c.BeyondLimit)
	require.Zero(t, c.OverOrder+c.NotAbove)
	require.Nil(t, c.Importance, "nobody asked for it")
}

// Voting gates by the definition of IEC 61025 (from memory): the sum over the
// ways to have so many; a cut set for each choice of two.
func TestCutSetsOfVoting(t *testing.T) {
	for _, c := range []struct {
		in   []float64
		want float64
		sets uint64
	}{
		{[]float64{.1, .1, .1}, .028, 3},
		{[]float64{.1, .2, .3}, .098, 3},
		{[]float64{.1, .1, .1, .1}, .0523, 6},
	} {
		priors, in := make(map[string]float64), []string(nil)
		for i, q := range c.in {
			n := fmt.Sprint("e", i)
			priors[n], in = q, append(in, n)
		}
		tr := newTree(priors)
		tr.gate("top", ft.Voting, 2, in...)
		_, cs := tr.cutSets(t, "top")
		require.InDelta(t, c.want, cs.P, 1e-15)
		require.Equal(t, []uint64{0, 0, c.sets}, cs.ByOrder)
	}
}

// Something unlisted is a cut set by itself; two modes of an item never are one
// together; a weak link takes from P and its bounds but not from the sets.
func TestCutSetsOfItems(t *testing.T) {
	b := ft.NewBuilder()
	jet := b.Item("jet")
	blocked, worn := b.Mode(jet, "blocked", .1), b.Mode(jet, "worn", .2)
	pump := b.Cause("pump", .5)
	two := b.Gate("two of three")
	b.Define(two, ft.Gate{Kind: ft.Voting, K: 2, Inputs: []ft.Input{{Event: blocked, Strength: 1}, {Event: worn, Strength: 1}, {Event: pump, Strength: .5}}})
	top := b.Gate("top")
	b.Define(top, ft.Gate{Symptom: true, Unlisted: .01, Inputs: []ft.Input{{Event: two, Strength: 1}}})
	alone := b.Gate("alone")
	b.Define(alone, ft.Gate{Symptom: true, Unlisted: .01, Inputs: []ft.Input{{Event: pump, Strength: .5}}})
	m := build(t, b)

	c := askCutSets(t, m, top, ft.CutSetOptions{})
	require.Equal(t, [][]string{{"worn", "pump"}, {"blocked", "pump"}, {"unlisted at top"}}, named(m, c.Sets))
	require.False(t, c.Independent)
	require.True(t, math.IsNaN(c.RareEvent) && math.IsNaN(c.UpperBound))
	// By hand: the item is not sound with 1 - .9 .8 = .28, which its modes share;
	// the pump works through with .5 .5.
	require.InDelta(t, 1-.99*(1-.28*.25), c.P, 1e-12)
	require.InDelta(t, .28*.5, c.Sets[0].P+c.Sets[1].P, 1e-12)

	c = askCutSets(t, m, alone, ft.CutSetOptions{})
	require.True(t, c.Independent)
	require.InDelta(t, 1-.99*.75, c.P, 1e-15)
	require.InDelta(t, .01+.25, c.RareEvent, 1e-15)
	require.InDelta(t, 1-.99*.75, c.UpperBound, 1e-15, "sets that share nothing are independent")
	require.Equal(t, [][]string{{"pump"}, {"unlisted at alone"}}, named(m, c.Sets))
	require.InDelta(t, .5, c.Sets[0].P, 1e-15)
}

// Minimal solutions where inputs are inverted, by hand: of x and not y it is
// {x}, of not y alone the empty set.
func TestCutSetsWithInvertedInputs(t *testing.T) {
	b := ft.NewBuilder()
	x, y := b.Cause("x", .1), b.Cause("y", .2)
	top, quiet := b.Gate("x without y"), b.Gate("no y")
	without := ft.Input{Event: y, Strength: 1, Inverted: true}
	b.Define(top, ft.Gate{Kind: ft.And, Inputs: []ft.Input{{Event: x, Strength: 1}, without}})
	b.Define(quiet, ft.Gate{Inputs: []ft.Input{without}})
	m := build(t, b)
	c := askCutSets(t, m, top, ft.CutSetOptions{Importance: true})
	require.Equal(t, [][]string{{"x"}}, named(m, c.Sets))
	require.InDelta(t, .08, c.P, 1e-15)
	require.InDelta(t, .1, c.UpperBound, 1e-15)
	require.InDelta(t, -.1, importanceOf(t, m, c, "y").Birnbaum, 1e-15)
	c = askCutSets(t, m, quiet, ft.CutSetOptions{})
	require.Equal(t, [][]string{nil}, named(m, c.Sets))
	require.Equal(t, []uint64{1}, c.ByOrder)
	require.InDelta(t, .8, c.P, 1e-15)
}

func TestCutSetsAskedWrongly(t *testing.T) {
	tr := pressureTank(3e-5)
	m := build(t, tr.b)
	for _, e := range []ft.Event{tr.at["T"], ft.None} {
		_, err := m.CutSets(e, ft.CutSetOptions{})
		require.ErrorContains(t, err, "is no gate; cut sets are those of a symptom or another gate")
	}
	for _, opt := range []ft.CutSetOptions{{MaxOrder: -1}, {Limit: -1}, {Above: -.1}, {Above: 1}, {Above: math.NaN()}} {
		_, err := m.CutSets(tr.at["E1"], opt)
		require.ErrorContains(t, err, "none may be negative")
	}
}
