package faulttree_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
)

// The synthetic four-cylinder engine of testdata/engine: 266 causes, 49
// conditions, 7 voting gates, 16 symptoms, 150 checks; its exact posteriors
// for 20 sets of findings were computed by two independent junction-tree
// libraries.

type engineNode struct {
	Name   string   `json:"name"`
	Kind   string   `json:"kind"`
	States []string `json:"states"`
	Gate   struct {
		Type    string
		P, Leak float64
		K       int
		Links   []struct {
			Parent string
			P      float64
		}
		Parents []string
		Rows    [][]float64
	} `json:"gate"`
}

type engineSet struct {
	Evidence map[string]string  `json:"evidence"`
	P        float64            `json:"p_evidence"`
	Present  map[string]float64 `json:"p_cause_present"`
}

func readJSON(t testing.TB, path string, into any) {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, into))
}

type engine struct {
	m      *ft.Model
	checks map[string]ft.CheckID
	causes []ft.Event
	sets   []engineSet
}

func loadEngine(t testing.TB) engine {
	t.Helper()
	var net struct{ Nodes []engineNode }
	readJSON(t, "../testdata/engine/engine.json", &net)
	var ref struct{ Sets []engineSet }
	readJSON(t, "../testdata/engine/engine.reference.json", &ref)
	b := ft.NewBuilder()
	e := engine{checks: make(map[string]ft.CheckID), sets: ref.Sets}
	byName := make(map[string]ft.Event)
	for _, n := range net.Nodes {
		switch {
		case n.Kind == "test":
			e.checks[n.Name] = b.Check(ft.Check{Name: n.Name, Outcomes: n.States,
				Rows: []ft.Row{{Event: byName[n.Gate.Parents[0]], P: n.Gate.Rows[1]}}, Else: n.Gate.Rows[0]})
		case n.Gate.Type == "prior":
			byName[n.Name] = b.Cause(n.Name, n.Gate.P)
			e.causes = append(e.causes, byName[n.Name])
		case n.Kind == "cylinder_cause":
			ev := b.Cause(n.Name, n.Gate.Leak)
			for _, l := range n.Gate.Links {
				b.Raise(byName[l.Parent], ev, l.P)
			}
			byName[n.Name] = ev
			e.causes = append(e.causes, ev)
		default:
			byName[n.Name] = engineGate(b, n, byName)
		}
	}
	m, err := b.Build()
	require.NoError(t, err)
	e.m = m
	return e
}

func engineGate(b *ft.Builder, n engineNode, byName map[string]ft.Event) ft.Event {
	g := ft.Gate{Kind: ft.Or, Unlisted: n.Gate.Leak, Symptom: n.Kind == "symptom"}
	for _, l := range n.Gate.Links {
		g.Inputs = append(g.Inputs, ft.Input{Event: byName[l.Parent], Strength: l.P})
	}
	for _, p := range n.Gate.Parents {
		g.Kind, g.K = ft.Voting, n.Gate.K
		g.Inputs = append(g.Inputs, ft.Input{Event: byName[p], Strength: 1})
	}
	ev := b.Gate(n.Name)
	b.Define(ev, g)
	return ev
}

func (e engine) belief(t testing.TB, set engineSet) *ft.Belief {
	t.Helper()
	b := e.m.NewBelief()
	names := make([]string, 0, len(set.Evidence))
	for n := range set.Evidence {
		names = append(names, n)
	}
	slices.Sort(names)
	var complaint []ft.Event
	for _, n := range names {
		f := ft.Present(e.m.Find(n))
		if strings.HasPrefix(n, "test_") {
			c := e.checks[n]
			var err error
			f, err = e.m.Outcome(c, slices.Index(e.m.Checks()[c].Outcomes, set.Evidence[n]))
			require.NoError(t, err)
		} else {
			complaint = append(complaint, f.Event)
		}
		var err error
		b, err = b.Find(f)
		require.NoError(t, err)
	}
	b, err := b.Complaining(complaint...)
	require.NoError(t, err)
	return b
}

func TestEngineReference(t *testing.T) {
	e := loadEngine(t)
	require.Len(t, e.causes, 266)
	require.Len(t, e.sets, 20)
	for i, set := range e.sets {
		post := solve(t, e.belief(t, set))
		require.InEpsilon(t, set.P, math.Exp(post.LogEvidence()), 1e-10, "set %d", i)
		for _, c := range e.causes {
			require.InDelta(t, set.Present[e.m.Name(c)], post.P(c), 1e-10, "set %d, %s", i, e.m.Name(c))
		}
	}
}

// Cures are computed for every set too; single cures exclude one another, so
// that they add up to no more than one.
func TestEngineCures(t *testing.T) {
	e := loadEngine(t)
	for i, set := range e.sets {
		if testing.Short() && i > 3 {
			t.Skip("SKIPPED under -short: the sets after the fourth")
		}
		cures, err := e.belief(t, set).Cures()
		require.NoError(t, err, "set %d", i)
		sum := 0.0
		for _, c := range e.causes {
			sum += cures.Mode(c)
		}
		require.Greater(t, sum, .1, "set %d", i)
		require.LessOrEqual(t, sum, 1+exact, "set %d", i)
	}
}

// BenchmarkEngine: Compile orders and compiles anew, as after a complaint has
// changed; the others reuse what is compiled, as after every further finding.
func BenchmarkEngine(b *testing.B) {
	for i := range 4 {
		e := loadEngine(b)
		belief := e.belief(b, e.sets[i])
		var open []ft.CheckID
		for c, ck := range e.m.Checks() {
			if _, made := e.sets[i].Evidence[ck.Name]; !made {
				open = append(open, ft.CheckID(c))
			}
		}
		b.Run(fmt.Sprintf("Compile/set=%d", i), func(b *testing.B) {
			for b.Loop() {
				b.StopTimer()
				fresh := loadEngine(b)
				bel := fresh.belief(b, fresh.sets[i])
				b.StartTimer()
				_, err := bel.Solve()
				require.NoError(b, err)
			}
		})
		again(b, fmt.Sprintf("Posteriors/set=%d", i), func() error { _, err := belief.Solve(); return err })
		again(b, fmt.Sprintf("Cures/set=%d", i), func() error { _, err := belief.Cures(); return err })
		again(b, fmt.Sprintf("Sweep/set=%d", i), func() error { _, err := belief.Sweep(open...); return err })
	}
}

// again times what is compiled already.
func again(b *testing.B, name string, do func() error) {
	b.Run(name, func(b *testing.B) {
		require.NoError(b, do())
		for b.Loop() {
			require.NoError(b, do())
		}
	})
}

// BenchmarkEngineAllSymptoms: three symptoms present and thirteen absent, and
// five checks.
func BenchmarkEngineAllSymptoms(b *testing.B) {
	e := loadEngine(b)
	all := func(e engine) *ft.Belief {
		belief := e.belief(b, e.sets[0])
		for _, s := range e.m.Symptoms() {
			if _, known := e.sets[0].Evidence[e.m.Name(s)]; !known {
				var err error
				belief, err = belief.Find(ft.Absent(s))
				require.NoError(b, err)
			}
		}
		return belief
	}
	b.Run("Compile", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			fresh := all(loadEngine(b))
			b.StartTimer()
			_, err := fresh.Solve()
			require.NoError(b, err)
		}
	})
	belief := all(e)
	again(b, "Posteriors", func() error { _, err := belief.Solve(); return err })
}
