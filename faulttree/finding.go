package faulttree

import (
	"fmt"
	"math"
)

// Finding is something seen, at the stage at which it is entered. Make one
// with Present, Absent, Soft, Outcome or Reading.
type Finding struct {
	Event  Event   // None for a finding of a check
	Check  CheckID // meaningful if Event is None
	Weight []float64
	// Weight is the likelihood of what was seen: for an event given present and
	// given absent; for a check given each row, then Else. Only ratios count.
}

// Present is the finding that the event is there beyond doubt.
func Present(e Event) Finding { return Finding{Event: e, Weight: []float64{1, 0}} }

// Absent is the finding that the event is not there, beyond doubt.
func Absent(e Event) Finding { return Finding{Event: e, Weight: []float64{0, 1}} }

// Soft is a finding that is seen with probability ifPresent when the event is
// there and ifAbsent when it is not (virtual evidence, Pearl 1988).
func Soft(e Event, ifPresent, ifAbsent float64) Finding {
	return Finding{Event: e, Weight: []float64{ifPresent, ifAbsent}}
}

// Outcome is the finding that a check came out so.
func (m *Model) Outcome(c CheckID, outcome int) (Finding, error) {
	if c < 0 || int(c) >= len(m.checks) {
		return Finding{}, fmt.Errorf("no check has the number %d", c)
	}
	ck := m.checks[c]
	if outcome < 0 || outcome >= len(ck.Outcomes) {
		return Finding{}, fmt.Errorf("check %q has no outcome number %d; it has %d", ck.Name, outcome+1, len(ck.Outcomes))
	}
	w := make([]float64, 0, len(ck.Rows)+1)
	for _, r := range ck.Rows {
		w = append(w, r.P[outcome])
	}
	return Finding{Event: None, Check: c, Weight: append(w, ck.Else[outcome])}, nil
}

// Reading is the finding of a check whose result has the given likelihood
// under each row of its table and, last, under Else.
func Reading(c CheckID, likelihood []float64) Finding {
	return Finding{Event: None, Check: c, Weight: likelihood}
}

// Hard reports whether the finding leaves no doubt about an event.
func (f Finding) Hard() bool {
	return f.Event != None && (f.Weight[0] == 0 || f.Weight[1] == 0)
}

func (m *Model) validate(f Finding) error {
	want := 2
	if f.Event == None {
		if f.Check < 0 || int(f.Check) >= len(m.checks) {
			return fmt.Errorf("the finding names neither an event nor a check of the model")
		}
		want = len(m.checks[f.Check].Rows) + 1
	} else if !m.has(f.Event) {
		return fmt.Errorf("the finding names event %d, which the model does not have", f.Event)
	}
	if len(f.Weight) != want {
		return fmt.Errorf("the finding has %d likelihoods; %d are wanted", len(f.Weight), want)
	}
	sum := 0.0
	for _, w := range f.Weight {
		if !(w >= 0) || math.IsInf(w, 1) {
			return fmt.Errorf("a likelihood is %v; it must be a number of at least 0", w)
		}
		sum += w
	}
	if sum == 0 {
		return fmt.Errorf("the finding is impossible whatever the engine's state: all its likelihoods are 0")
	}
	return nil
}
