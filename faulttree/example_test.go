package faulttree_test

import (
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
