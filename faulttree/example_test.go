package faulttree_test

import (
	"context"
	"fmt"

	ft "narrows/faulttree"
)

// Two suspects for one symptom; the first repair does not cure.
func ExampleBelief() {
	b := ft.NewBuilder()
	jet, leak := b.Cause("pilot jet blocked", .10), b.Cause("intake joint leaking", .05)
	rough := b.Gate("rough at idle")
	b.Define(rough, ft.Gate{Kind: ft.Or, Symptom: true, Unlisted: .01, Inputs: []ft.Input{
		{Event: jet, Strength: .8}, {Event: leak, Strength: .9},
	}})
	clean := b.Repair(ft.Repair{Name: "clean the jet", Fixes: []ft.Event{jet}, Success: 1})
	m, err := b.Build()
	if err != nil {
		fmt.Println(err)
		return
	}
	belief, _ := m.NewBelief().Find(ft.Present(rough))
	belief, _ = belief.Complaining(rough)
	post, _ := belief.Solve()
	cures, _ := belief.Cures()
	fmt.Printf("jet blocked %.4f, cleaning it cures %.4f\n", post.P(jet), cures.Repair(clean))

	after, _ := belief.Repaired(clean)
	after, _ = after.Find(ft.Present(rough))
	post, _ = after.Solve()
	fmt.Printf("still rough: joint leaking %.4f\n", post.P(leak))
	// Output:
	// jet blocked 0.6229, cleaning it cures 0.5810
	// still rough: joint leaking 0.8258
}

// The most probable sets of faults, and whether one found accounts for it all.
func ExampleBelief_LikelySets() {
	b := ft.NewBuilder()
	jet, leak := b.Cause("pilot jet blocked", .10), b.Cause("intake joint leaking", .05)
	rough, dies := b.Gate("rough at idle"), b.Gate("dies into gear")
	b.Define(rough, ft.Gate{Symptom: true, Unlisted: .01, Inputs: []ft.Input{{Event: jet, Strength: .8}, {Event: leak, Strength: .9}}})
	b.Define(dies, ft.Gate{Symptom: true, Unlisted: .01, Inputs: []ft.Input{{Event: leak, Strength: .6}}})
	m, err := b.Build()
	if err != nil {
		fmt.Println(err)
		return
	}
	belief := m.NewBelief()
	for _, f := range []ft.Finding{ft.Present(rough), ft.Present(dies), ft.Present(jet)} {
		belief, _ = belief.Find(f)
	}
	belief, _ = belief.Complaining(rough, dies)
	sets, _ := belief.LikelySets(context.Background(), 2)
	for _, s := range sets.Sets {
		for i, e := range s.Events {
			if i > 0 {
				fmt.Print(" + ")
			}
			fmt.Print(m.Name(e))
		}
		fmt.Printf(": %.3f\n", s.P)
	}
	cures, _ := belief.Cures()
	all, _ := cures.Events(jet)
	conflict, _ := belief.Conflict()
	fmt.Printf("the jet alone accounts for it with %.3f; %s\n", all, conflict.Words())
	// Output:
	// pilot jet blocked + intake joint leaking: 0.795
	// pilot jet blocked: 0.205
	// the jet alone accounts for it with 0.000; the findings support each other
}

// The pressure tank of NUREG-0492, chapter VIII.
func ExampleModel_CutSets() {
	b := ft.NewBuilder()
	in := func(events ...ft.Event) (out []ft.Input) {
		for _, e := range events {
			out = append(out, ft.Input{Event: e, Strength: 1})
		}
		return out
	}
	tank, k2, s := b.Cause("tank", 5e-6), b.Cause("relay K2", 3e-5), b.Cause("switch S", 1e-4)
	s1, k1, timer := b.Cause("switch S1", 3e-5), b.Cause("relay K1", 3e-5), b.Cause("timer", 1e-4)
	fed, runs, bursts := b.Gate("coil stays fed"), b.Gate("pump runs on"), b.Gate("tank bursts")
	b.Define(fed, ft.Gate{Inputs: in(s1, k1, timer)})
	b.Define(runs, ft.Gate{Kind: ft.And, Inputs: in(s, fed)})
	b.Define(bursts, ft.Gate{Inputs: in(tank, k2, runs)})
	m, err := b.Build()
	if err != nil {
		fmt.Println(err)
		return
	}
	c, _ := m.CutSets(bursts, ft.CutSetOptions{Limit: 3, Importance: true})
	fmt.Printf("%d minimal cut sets, P %.6g\n", c.Total, c.P)
	for _, set := range c.Sets {
		for _, member := range set.Members {
			fmt.Print(m.Name(member.Event), " ")
		}
		fmt.Printf("%.3g\n", set.P)
	}
	fmt.Printf("most important: %s, risk achievement worth %.5g\n", m.Name(c.Importance[0].Event), c.Importance[0].Achievement)
	// Output:
	// 5 minimal cut sets, P 3.50158e-05
	// relay K2 3e-05
	// tank 5e-06
	// switch S timer 1e-08
	// most important: relay K2, risk achievement worth 28558
}
