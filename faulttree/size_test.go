package faulttree_test

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
)

// fleet is a tree of n events: groups of causes behind conditions, the
// conditions behind systems, the systems behind one symptom; each group has a
// common cause that raises its members. Its probability follows by hand, level
// by level, since the groups are independent of one another.
func fleet(groups, members, systems int) (*ft.Builder, ft.Event, float64) {
	const prior, weight, common, strength, unlisted = 1e-4, .3, 1e-3, .5, 1e-3
	b := ft.NewBuilder()
	top := b.Gate("symptom")
	symptom := ft.Gate{Symptom: true, Unlisted: unlisted}
	silent := 1 - unlisted
	for s := range systems {
		sys := b.Gate(fmt.Sprint("system", s))
		system := ft.Gate{}
		quiet := 1.0 // no condition works through to the system
		for g := range groups {
			cause := b.Cause(fmt.Sprint("common", s, ".", g), common)
			cond := b.Gate(fmt.Sprint("condition", s, ".", g))
			gate := ft.Gate{}
			for m := range members {
				e := b.Cause(fmt.Sprint("cause", s, ".", g, ".", m), prior)
				b.Raise(cause, e, weight)
				gate.Inputs = append(gate.Inputs, ft.Input{Event: e, Strength: strength})
			}
			b.Define(cond, gate)
			system.Inputs = append(system.Inputs, ft.Input{Event: cond, Strength: strength})
			none := (1-common)*math.Pow(1-prior*strength, float64(members)) +
				common*math.Pow(1-(1-(1-prior)*(1-weight))*strength, float64(members))
			quiet *= 1 - (1-none)*strength
		}
		b.Define(sys, system)
		symptom.Inputs = append(symptom.Inputs, ft.Input{Event: sys, Strength: strength})
		silent *= 1 - (1-quiet)*strength
	}
	b.Define(top, symptom)
	return b, top, 1 - silent
}

// Five thousand events of tree-like coupling compile and answer.
func TestFiveThousandEvents(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED: takes long with -short's companions, the race detector among them")
	}
	b, top, want := fleet(40, 10, 10)
	m := build(t, b)
	require.Greater(t, m.Len(), 4800)
	begun := time.Now()
	require.InEpsilon(t, want, solve(t, m.NewBelief().Including(top)).P(top), 1e-9)
	belief, err := believe(t, m, ft.Present(top)).Complaining(top)
	require.NoError(t, err)
	require.InEpsilon(t, want, math.Exp(solve(t, belief).LogEvidence()), 1e-9)
	cures, err := belief.Cures()
	require.NoError(t, err)
	sum := 0.0
	for e := range ft.Event(m.Len()) {
		if _, ok := m.ModeOf(e); ok {
			sum += cures.Mode(e)
		}
	}
	require.Greater(t, sum, 0.1)
	require.LessOrEqual(t, sum, 1.0)
	require.Less(t, time.Since(begun), 30*time.Second) // a few seconds, on slow machines too
}

// A model in which everything hangs together is refused at once, with the
// events that stand together and what it would cost, and takes no memory.
func TestTooEntangledIsRefused(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED: a matter of time and memory, which -short does not measure")
	}
	const n = 80
	b := ft.NewBuilder()
	var causes []ft.Event
	for i := range n {
		causes = append(causes, b.Cause(fmt.Sprint("cause", i), .1))
	}
	var tops []ft.Event
	for s := range n {
		g := ft.Gate{Kind: ft.Voting, K: 12, Symptom: true, Unlisted: .01}
		for i := range n / 2 {
			g.Inputs = append(g.Inputs, ft.Input{Event: causes[(s*7+i*(s+1))%n], Strength: .5})
		}
		g.Inputs = dedupe(g.Inputs)
		g.K = min(g.K, len(g.Inputs))
		e := b.Gate(fmt.Sprint("symptom", s))
		b.Define(e, g)
		tops = append(tops, e)
	}
	m := build(t, b)
	belief := m.NewBelief()
	for _, e := range tops {
		var err error
		belief, err = belief.Find(ft.Present(e))
		require.NoError(t, err)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	begun := time.Now()
	_, err := belief.Solve()
	require.ErrorIs(t, err, ft.ErrEntangled)
	require.Less(t, time.Since(begun), 5*time.Second)
	runtime.ReadMemStats(&after)
	require.Less(t, after.Sys-before.Sys, uint64(1<<30))
	require.Contains(t, err.Error(), "cause")
	require.Regexp(t, `about [0-9.e+]+ table entries`, err.Error())
}

func dedupe(in []ft.Input) []ft.Input {
	seen := make(map[ft.Event]bool)
	var out []ft.Input
	for _, x := range in {
		if !seen[x.Event] {
			seen[x.Event] = true
			out = append(out, x)
		}
	}
	return out
}

// One model answers many readers at once, each as if alone.
func TestConcurrentReaders(t *testing.T) {
	e := loadEngine(t)
	alone := make([]float64, len(e.sets))
	for i, set := range e.sets {
		alone[i] = solve(t, e.belief(t, set)).P(e.causes[i])
	}
	var wg sync.WaitGroup
	errs := make(chan error, 4*len(e.sets))
	for range 4 {
		for i, set := range e.sets {
			belief := e.belief(t, set)
			wg.Go(func() {
				post, err := belief.Solve()
				if err == nil && post.P(e.causes[i]) != alone[i] {
					err = errors.New("another answer than alone")
				}
				errs <- err
			})
		}
	}
	wg.Wait()
	close(errs)
	for err := range errs {
		require.NoError(t, err)
	}
}
