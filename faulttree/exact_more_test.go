package faulttree_test

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	ft "narrows/faulttree"
	"narrows/faulttree/internal/enumerate"
)

// drawPossible draws a case whose findings are possible together.
func drawPossible(t *rapid.T) (small, *ft.Belief) {
	s, b := drawCase(t)
	if _, p := enumerate.Probability(s.m, b.Repairs(), b.Findings(), func(*enumerate.World) bool { return true }); p == 0 {
		t.Skip("the findings contradict each other")
	}
	return s, b
}

// The k most probable sets of faults equal those of brute force: in their
// probabilities one by one, and each set in its own.
func TestLikelySetsEqualEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, b := drawPossible(t)
		k := rapid.IntRange(1, 12).Draw(t, "k")
		got, err := b.LikelySets(context.Background(), k)
		require.NoError(t, err)
		require.True(t, got.Proven)
		byKey, total := make(map[string]float64), 0.0
		enumerate.Worlds(s.m, b.Repairs(), func(w *enumerate.World) {
			p := w.P * enumerate.Likelihood(s.m, b.Findings(), w)
			var in []ft.Event
			for _, e := range got.About {
				if w.Present[b.Stage()][e] {
					in = append(in, e)
				}
			}
			byKey[fmt.Sprint(in)] += p
			total += p
		})
		var want []float64
		for _, p := range byKey {
			if p > 1e-12*total {
				want = append(want, p/total)
			}
		}
		slices.SortFunc(want, func(x, y float64) int { return cmp.Compare(y, x) })
		require.Len(t, got.Sets, min(k, len(want)))
		for i, set := range got.Sets {
			near(t, want[i], set.P, "rank %d", i)
			near(t, byKey[fmt.Sprint(append([]ft.Event(nil), set.Events...))]/total, set.P, "set %d", i)
		}
	})
}

// What the sets are about covers all that the findings bear on: the rest keeps
// the probability that it has without them.
func TestSetsAreAboutAllThatIsLearnt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawModel(t)
		b, err := s.m.NewBelief().Find(s.drawFinding(t))
		require.NoError(t, err)
		sets, err := b.LikelySets(context.Background(), 1)
		if errors.As(err, new(*ft.ImpossibleError)) {
			t.Skip("no engine can be so")
		}
		require.NoError(t, err)
		post, err := b.Solve()
		require.NoError(t, err)
		before, err := s.m.NewBelief().Solve()
		require.NoError(t, err)
		for _, e := range s.modes {
			md, _ := s.m.ModeOf(e)
			raised := slices.ContainsFunc(s.m.Items()[md.Item].Modes, func(e ft.Event) bool {
				sib, _ := s.m.ModeOf(e)
				return len(sib.Sources) > 0
			})
			if !slices.Contains(sets.About, e) && !raised {
				near(t, before.P(e), post.P(e))
			}
		}
	})
}

// A sweep gives, for every outcome of every check, what enumeration gives once
// the outcome is entered as a finding.
func TestSweepEqualsEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, b := drawPossible(t)
		sweep, err := b.Sweep(allChecks(s.m)...)
		require.NoError(t, err)
		for c, ck := range s.m.Checks() {
			for o := range ck.Outcomes {
				f, err := s.m.Outcome(ft.CheckID(c), o)
				require.NoError(t, err)
				with, err := b.Find(f)
				require.NoError(t, err)
				all := func(*enumerate.World) bool { return true }
				_, before := enumerate.Probability(s.m, b.Repairs(), b.Findings(), all)
				_, after := enumerate.Probability(s.m, b.Repairs(), with.Findings(), all)
				p, modes := sweep.Outcome(ft.CheckID(c), o)
				near(t, after/before, p, "%s %d", ck.Name, o)
				for _, e := range s.modes {
					want, _ := enumerate.Probability(s.m, b.Repairs(), with.Findings(), func(w *enumerate.World) bool { return w.Present[b.Stage()][e] })
					near(t, want, modes[e], "%s %d %s", ck.Name, o, s.m.Name(e))
				}
			}
		}
	})
}

// Putting right a set of faults without fail equals enumeration over a model
// in which a repair does just that; the conflict measure equals its definition;
// what is unlisted is answered.
func TestAccountConflictAndUnlisted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, b := drawPossible(t)
		compareConflict(t, s, b)
		post, err := b.Solve()
		require.NoError(t, err)
		for _, e := range b.Complaint() {
			require.False(t, math.IsNaN(post.Unlisted(e)))
		}
		cures, err := b.Cures()
		require.NoError(t, err)
		for r, rep := range s.m.Repairs() {
			if rep.Success < 1 || len(rep.Introduces) > 0 {
				continue
			}
			made := append(append([]ft.RepairID(nil), b.Repairs()...), ft.RepairID(r))
			want, _ := enumerate.Probability(s.m, made, b.Findings(), func(w *enumerate.World) bool {
				return !slices.ContainsFunc(b.Complaint(), func(e ft.Event) bool { return w.Present[b.Stage()+1][e] })
			})
			got, err := cures.Events(rep.Fixes...)
			require.NoError(t, err)
			near(t, want, got)
		}
	})
}

func compareConflict(t *rapid.T, s small, b *ft.Belief) {
	got, err := b.Conflict()
	require.NoError(t, err)
	all := func(*enumerate.World) bool { return true }
	_, together := enumerate.Probability(s.m, b.Repairs(), b.Findings(), all)
	product := 1.0
	for _, f := range b.Findings() {
		_, p := enumerate.Probability(s.m, b.Repairs(), []ft.Placed{f}, all)
		product *= p
	}
	require.InDelta(t, math.Log2(product/together), got.Bits, 1e-8)
	require.NotEmpty(t, got.Words())
}
