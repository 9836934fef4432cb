package faulttree_test

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	ft "narrows/faulttree"
	"narrows/faulttree/internal/enumerate"
)

const exact = 1e-9

func near(t require.TestingT, want, got float64, msg ...any) {
	require.False(t, math.IsNaN(got), msg...)
	require.InDelta(t, want, got, exact, msg...)
}

// drawCase draws a model, findings, repairs that did not help, and what was
// found after each.
func drawCase(t *rapid.T) (small, *ft.Belief) {
	s := drawModel(t)
	b := s.m.NewBelief()
	all := rapid.Permutation(s.symptoms).Draw(t, "complaint")
	complaint := all[0]
	b, err := b.Complaining(all[:rapid.IntRange(1, len(all)).Draw(t, "symptoms complained of")]...)
	require.NoError(t, err)
	add := func(f ft.Finding) {
		b, err = b.Find(f)
		require.NoError(t, err)
	}
	for _, e := range b.Complaint() {
		if rapid.Bool().Draw(t, "seen") {
			add(ft.Present(e))
		} else {
			add(ft.Soft(e, rapid.Float64Range(0.5, 1).Draw(t, "said if there"), rapid.Float64Range(0.01, 0.2).Draw(t, "said if not")))
		}
	}
	for range rapid.IntRange(0, 2).Draw(t, "findings") {
		add(s.drawFinding(t))
	}
	for range rapid.IntRange(0, 2).Draw(t, "repairs made") {
		r := rapid.IntRange(0, len(s.m.Repairs())-1).Draw(t, "repair")
		b, err = b.Repaired(ft.RepairID(r))
		require.NoError(t, err)
		if rapid.Bool().Draw(t, "tried again") {
			add(ft.Present(complaint))
		}
		for range rapid.IntRange(0, 1).Draw(t, "findings after") {
			add(s.drawFinding(t))
		}
	}
	return s, b
}

// Posterior, cure probability and the belief after failed repairs equal brute
// force, over random models of the whole semantics.
func TestEqualsEnumeration(t *testing.T) {
	for _, part := range []string{"first", "second", "third"} { // 300 models at rapid's default of 100
		t.Run(part, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				s, b := drawCase(t)
				compareWithEnumeration(t, s, b)
			})
		})
	}
}

func compareWithEnumeration(t *rapid.T, s small, b *ft.Belief) {
	stage := b.Stage()
	now := make([]float64, s.m.Len())
	first := make([]float64, s.m.Len())
	evidence := 0.0
	enumerate.Worlds(s.m, b.Repairs(), func(w *enumerate.World) {
		p := w.P * enumerate.Likelihood(s.m, b.Findings(), w)
		evidence += p
		for e := range now {
			if w.Present[stage][e] {
				now[e] += p
			}
			if w.Present[0][e] {
				first[e] += p
			}
		}
	})
	post, err := b.Including(s.events...).Watching(allChecks(s.m)...).Solve()
	if evidence == 0 {
		var imp *ft.ImpossibleError
		require.ErrorAs(t, err, &imp)
		checkContradiction(t, s, b, imp)
		return
	}
	require.NoError(t, err)
	require.InEpsilon(t, evidence, math.Exp(post.LogEvidence()), exact)
	for _, e := range s.events {
		near(t, now[e]/evidence, post.P(e), s.m.Name(e))
		if _, ok := s.m.ModeOf(e); ok {
			near(t, first[e]/evidence, post.BroughtIn(e), s.m.Name(e))
		}
	}
	compareOutcomes(t, s, b, post)
	compareCures(t, s, b)
}

// The findings named as contradicting each other do, and all are needed.
func checkContradiction(t *rapid.T, s small, b *ft.Belief, imp *ft.ImpossibleError) {
	never := func(*enumerate.World) bool { return true }
	_, p := enumerate.Probability(s.m, b.Repairs(), imp.Findings, never)
	require.Zero(t, p)
	for i := range imp.Findings {
		rest := append(append([]ft.Placed(nil), imp.Findings[:i]...), imp.Findings[i+1:]...)
		_, p := enumerate.Probability(s.m, b.Repairs(), rest, never)
		require.Positive(t, p)
	}
}

func compareOutcomes(t *rapid.T, s small, b *ft.Belief, post *ft.Posterior) {
	for c, ck := range s.m.Checks() {
		got := post.Outcomes(ft.CheckID(c))
		require.Len(t, got, len(ck.Outcomes))
		for o := range ck.Outcomes {
			f, err := s.m.Outcome(ft.CheckID(c), o)
			require.NoError(t, err)
			with, err := b.Find(f)
			require.NoError(t, err)
			all := func(*enumerate.World) bool { return true }
			_, before := enumerate.Probability(s.m, b.Repairs(), b.Findings(), all)
			_, after := enumerate.Probability(s.m, b.Repairs(), with.Findings(), all)
			near(t, after/before, got[o], ck.Name)
		}
	}
}

func compareCures(t *rapid.T, s small, b *ft.Belief) {
	cures, err := b.Cures()
	require.NoError(t, err)
	last := b.Stage() + 1
	cured := func(w *enumerate.World) bool {
		for _, e := range b.Complaint() {
			if w.Present[last][e] {
				return false
			}
		}
		return true
	}
	for r := range s.m.Repairs() {
		made := append(append([]ft.RepairID(nil), b.Repairs()...), ft.RepairID(r))
		want, _ := enumerate.Probability(s.m, made, b.Findings(), cured)
		near(t, want, cures.Repair(ft.RepairID(r)), "repair %d", r)
		one, err := cures.Set(ft.RepairID(r))
		require.NoError(t, err)
		near(t, want, one, "repair %d as a set", r)
	}
	if len(s.m.Repairs()) > 1 {
		compareSet(t, s, b, cures)
	}
}

// A set of two repairs equals two stages without a look in between.
func compareSet(t *rapid.T, s small, b *ft.Belief, cures *ft.Cures) {
	last := b.Stage() + 2
	made := append(append([]ft.RepairID(nil), b.Repairs()...), 1, 0)
	want, _ := enumerate.Probability(s.m, made, b.Findings(), func(w *enumerate.World) bool {
		for _, e := range b.Complaint() {
			if w.Present[last][e] {
				return false
			}
		}
		return true
	})
	got, err := cures.Set(1, 0)
	require.NoError(t, err)
	near(t, want, got, "set of two")
}

// Order of findings never matters, a retracted finding leaves no trace, and
// scaling a likelihood changes nothing but the evidence.
func TestFindingsCommuteAndRetract(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawModel(t)
		b := s.m.NewBelief()
		fs := []ft.Finding{s.drawFinding(t), s.drawFinding(t), s.drawFinding(t)}
		solve := func(fs ...ft.Finding) *ft.Posterior {
			x := b
			var err error
			for _, f := range fs {
				x, err = x.Find(f)
				require.NoError(t, err)
			}
			post, err := x.Including(s.events...).Solve()
			var imp *ft.ImpossibleError
			if errors.As(err, &imp) {
				return nil
			}
			require.NoError(t, err)
			return post
		}
		a, c := solve(fs[0], fs[1], fs[2]), solve(fs[2], fs[0], fs[1])
		require.Equal(t, a == nil, c == nil)
		if a == nil {
			return
		}
		scaled := fs[1]
		scaled.Weight = append([]float64(nil), scaled.Weight...)
		for i := range scaled.Weight {
			scaled.Weight[i] *= 0.5
		}
		d := solve(fs[0], scaled, fs[2])
		require.Equal(t, a.LogEvidence(), c.LogEvidence(), "to the last digit")
		for _, e := range s.events {
			require.Equal(t, a.P(e), c.P(e), "to the last digit")
			near(t, a.P(e), d.P(e))
		}
		requireRetractIsExact(t, s, b, fs)
	})
}

func requireRetractIsExact(t *rapid.T, s small, b *ft.Belief, fs []ft.Finding) {
	var err error
	for _, f := range fs[:2] {
		b, err = b.Find(f)
		require.NoError(t, err)
	}
	before, err := b.Including(s.events...).Solve()
	require.NoError(t, err)
	more, err := b.Find(fs[2])
	require.NoError(t, err)
	_, err = more.Including(s.events...).Solve()
	require.NoError(t, err)
	less, err := more.Retract(2)
	require.NoError(t, err)
	after, err := less.Including(s.events...).Solve()
	require.NoError(t, err)
	for _, e := range s.events {
		require.Equal(t, before.P(e), after.P(e), "to the last digit")
	}
}

func allChecks(m *ft.Model) []ft.CheckID {
	var out []ft.CheckID
	for c := range m.Checks() {
		out = append(out, ft.CheckID(c))
	}
	return out
}

// Several findings on one thing add up the same whichever came first, or was
// taken back and entered again: to the last digit.
func TestFindingsOnOneThingCommuteExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := ft.NewBuilder()
		x := b.Cause("x", .1)
		m, err := b.Build()
		require.NoError(t, err)
		var fs []ft.Finding
		for range rapid.IntRange(2, 6).Draw(t, "findings") {
			fs = append(fs, ft.Soft(x, rapid.Float64Range(.01, 1).Draw(t, "if present"), rapid.Float64Range(.01, 1).Draw(t, "if absent")))
		}
		first := m.NewBelief()
		for _, f := range fs {
			first, err = first.Find(f)
			require.NoError(t, err)
		}
		again, err := first.Retract(0)
		require.NoError(t, err)
		again, err = again.Find(fs[0])
		require.NoError(t, err)
		p, err := first.Solve()
		require.NoError(t, err)
		q, err := again.Solve()
		require.NoError(t, err)
		require.Equal(t, p.P(x), q.P(x))
		require.Equal(t, p.LogEvidence(), q.LogEvidence())
	})
}
