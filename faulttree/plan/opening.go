package plan

import (
	"fmt"
	"math/bits"
)

// Set is a set of openings by their index, at most 64 of them.
type Set uint64

// Of makes a set of openings.
func Of(ids ...int) Set {
	var s Set
	for _, i := range ids {
		s |= 1 << i
	}
	return s
}

// Has tells whether opening i is in the set.
func (s Set) Has(i int) bool { return s>>i&1 != 0 }

// Each calls f for every opening of the set, lowest index first.
func (s Set) Each(f func(i int)) {
	for ; s != 0; s &= s - 1 {
		f(bits.TrailingZeros64(uint64(s)))
	}
}

// Opening is an access step: something that comes off, or open, and goes back.
type Opening struct {
	Name        string
	Open, Close float64 // minutes, at least 0
	Wear        float64 // what opening it weighs beyond that, in minutes, at least 0
	Needs       Set     // must be open first, and can close only after
	ShutToRun   bool    // must be closed before the engine runs or is cranked for good
}

// Openings is the access graph of an engine.
type Openings []Opening

// shutToRun is every opening that must be closed for the engine to run.
func (o Openings) shutToRun() Set {
	var s Set
	for i, op := range o {
		if op.ShutToRun {
			s |= 1 << i
		}
	}
	return s
}

// Required adds to a set everything that must be open for it to be open.
func (o Openings) Required(need Set) Set {
	for {
		more := need
		need.Each(func(i int) { more |= o[i].Needs })
		if more == need {
			return need
		}
		need = more
	}
}

// dependants adds to a set every open opening that stands in the way of
// closing it.
func (o Openings) dependants(shut, open Set) Set {
	for {
		more := shut
		open.Each(func(i int) {
			if o[i].Needs&shut != 0 {
				more |= 1 << i
			}
		})
		if more == shut {
			return shut
		}
		shut = more
	}
}

// Move returns the minutes from the openings that are open now to a state in
// which need is open and shut is closed, and that state. What is open already
// stays open. Wear is weighed in. It fails where the two contradict each other.
func (o Openings) Move(open, need, shut Set) (minutes float64, after Set, err error) {
	need = o.Required(need)
	if clash := need & shut; clash != 0 {
		return 0, open, fmt.Errorf("opening %q would have to be open and closed at once", o[bits.TrailingZeros64(uint64(clash))].Name)
	}
	closing := o.dependants(shut, open) & open
	(closing &^ need).Each(func(i int) { minutes += o[i].Close })
	after = open &^ (closing &^ need)
	(need &^ after).Each(func(i int) { minutes += o[i].Open + o[i].Wear })
	return minutes, after | need, nil
}

// wear is what has been weighed in for opening what stands open after a move but
// not before it.
func (o Openings) wear(before, after Set) float64 {
	sum := 0.0
	(after &^ before).Each(func(i int) { sum += o[i].Wear })
	return sum
}

// CloseAll is the minutes to put everything back.
func (o Openings) CloseAll(open Set) float64 {
	sum := 0.0
	open.Each(func(i int) { sum += o[i].Close })
	return sum
}

// Reach is the minutes of opening and closing before an action can be done,
// and what is open while it is done.
func (o Openings) Reach(open Set, a *Action) (minutes float64, during Set, err error) {
	shut := a.Shut
	if a.Running {
		shut |= o.shutToRun()
	}
	return o.Move(open, a.Need, shut)
}
