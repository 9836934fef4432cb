package faulttree_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	ft "narrows/faulttree"
)

// FuzzBelief asks everything of random models too large to enumerate, with any
// findings at all, extreme ones among them: no panic, no NaN, no probability
// outside [0,1], no error but those that are meant.
func FuzzBelief(f *testing.F) {
	f.Add([]byte("narrows"))
	f.Fuzz(rapid.MakeFuzz(askEverything))
}

// The same for rapid's own draws, in every test run.
func TestAskEverything(t *testing.T) { rapid.Check(t, askEverything) }

func askEverything(t *rapid.T) {
	s := drawModelOf(t, size{causes: 4, items: 12, modes: 3, gates: 14, inputs: 6, checks: 6, repairs: 5, choices: 200})
	b := s.m.NewBelief()
	must := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	var err error
	b, err = b.Complaining(rapid.SampledFrom(s.symptoms).Draw(t, "complaint"))
	must(err)
	for range rapid.IntRange(0, 12).Draw(t, "steps") {
		if b.Stage() < 4 && rapid.IntRange(0, 4).Draw(t, "repair or finding") == 0 {
			b, err = b.Repaired(ft.RepairID(rapid.IntRange(0, len(s.m.Repairs())-1).Draw(t, "repair")))
		} else {
			b, err = b.Find(s.drawAnyFinding(t))
		}
		must(err)
	}
	askBelief(t, s, b)
	_, err = s.m.CutSets(rapid.SampledFrom(s.symptoms).Draw(t, "top"), ft.CutSetOptions{Limit: 5, Importance: true})
	if !errors.Is(err, ft.ErrTooLarge) {
		must(err)
	}
}

func askBelief(t *rapid.T, s small, b *ft.Belief) {
	within := func(what string, p float64) {
		if !(p >= 0 && p <= 1) {
			t.Fatalf("%s is %v", what, p)
		}
	}
	meant := func(err error) bool {
		if err != nil && !errors.Is(err, ft.ErrEntangled) && !errors.As(err, new(*ft.ImpossibleError)) {
			t.Fatal(err)
		}
		return err == nil
	}
	post, err := b.Including(s.events...).Watching(allChecks(s.m)...).Solve()
	if !meant(err) {
		return
	}
	for _, e := range s.events {
		within(s.m.Name(e), post.P(e))
	}
	if l := post.LogEvidence(); math.IsNaN(l) || math.IsInf(l, 0) {
		t.Fatalf("the logarithm of the evidence is %v", l)
	}
	for c := range s.m.Checks() {
		sum := 0.0
		for _, p := range post.Outcomes(ft.CheckID(c)) {
			within("an outcome", p)
			sum += p
		}
		if math.Abs(sum-1) > 1e-6 {
			t.Fatalf("the outcomes of a check add up to %v", sum)
		}
	}
	if cures, err := b.Cures(); meant(err) {
		for r := range s.m.Repairs() {
			within("a cure", cures.Repair(ft.RepairID(r)))
		}
		for _, e := range s.modes {
			within("a cure", cures.Mode(e))
		}
	}
	if sets, err := b.LikelySets(context.Background(), 3); meant(err) {
		sum := 0.0
		for _, x := range sets.Sets {
			within("a set", x.P)
			sum += x.P
		}
		if sum > 1+1e-6 {
			t.Fatalf("the likeliest sets add up to %v", sum)
		}
	}
	if sweep, err := b.Sweep(allChecks(s.m)...); meant(err) {
		for c, ck := range s.m.Checks() {
			for o := range ck.Outcomes {
				p, modes := sweep.Outcome(ft.CheckID(c), o)
				within("an outcome", p)
				for _, q := range modes {
					within("a mode after an outcome", q)
				}
			}
		}
	}
	_, err = b.Conflict()
	meant(err)
}

// drawAnyFinding draws findings as no sane mechanic would enter them: hard on
// anything, contradictory, with likelihoods at the ends of the range.
func (s *small) drawAnyFinding(t *rapid.T) ft.Finding {
	weight := func(name string) float64 {
		return rapid.SampledFrom([]float64{0, 1e-300, 1e-12, .01, .5, 1, 1e12, 1e300}).Draw(t, name)
	}
	e := rapid.SampledFrom(s.events).Draw(t, "event")
	switch rapid.IntRange(0, 4).Draw(t, "finding") {
	case 0:
		return ft.Present(e)
	case 1:
		return ft.Absent(e)
	case 2:
		a, b := weight("if present"), weight("if absent")
		if a == 0 && b == 0 {
			a = 1
		}
		return ft.Soft(e, a, b)
	case 3:
		c := rapid.IntRange(0, len(s.m.Checks())-1).Draw(t, "check")
		w := make([]float64, len(s.m.Checks()[c].Rows)+1)
		for i := range w {
			w[i] = weight("likelihood")
		}
		w[rapid.IntRange(0, len(w)-1).Draw(t, "possible")] = 1
		return ft.Reading(ft.CheckID(c), w)
	}
	return s.drawFinding(t)
}
