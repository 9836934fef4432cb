package study

import (
	"math"
	"math/rand/v2"

	ft "narrows/faulttree"
)

// Truth is an engine that was drawn, with all that is hidden from whoever
// works on it. Whether a link works through, and what is unlisted, was drawn once
// and stays. It serves one caller at a time.
type Truth struct {
	s       *Simulator
	present []bool    // by event, now
	state   []int     // by item, now: 0 sound, k its k-th mode
	works   []bool    // by input of a gate: does the link work through
	extra   []bool    // by gate: is something unlisted at work
	asked   []int     // by check: how often it was made
	made    []int     // by repair: how often it was made
	luck    uint64    // where the outcomes of repairs are drawn from
	noise   uint64    // where the answers of checks are drawn from
	hazard  []float64 // room for one item's hazards
}

// Present tells whether an event is there now.
func (t *Truth) Present(e ft.Event) bool { return t.present[e] }

// draw draws the engine anew; settle must follow before anything is asked.
func (t *Truth) draw(rng *rand.Rand) {
	for _, st := range t.s.order {
		if !st.gate {
			i := int(st.index)
			t.put(i, t.drawState(&t.s.items[i], rng))
			continue
		}
		g := &t.s.gates[st.index]
		for j := g.from; j < g.to; j++ {
			s := t.s.inputs[j].Strength
			t.works[j] = s >= 1 || rng.Float64() < s
		}
		t.extra[st.index] = g.unlisted > 0 && rng.Float64() < g.unlisted
		t.present[g.event] = t.output(int(st.index))
	}
}

// settle draws what belongs to the engine but shows only once it is worked on.
func (t *Truth) settle(rng *rand.Rand) {
	clear(t.asked)
	clear(t.made)
	t.luck, t.noise = rng.Uint64(), rng.Uint64()
}

// drawState draws an item's state: its sources are competing risks.
func (t *Truth) drawState(it *itemDef, rng *rand.Rand) int {
	sum := 0.0
	h := t.hazard[:0]
	for k, x := range it.hazard {
		for _, src := range it.sources[k] {
			if t.present[src.event] {
				x += src.hazard
			}
		}
		h = append(h, x)
		sum += x
	}
	t.hazard = h
	faulty := -math.Expm1(-sum)
	u := rng.Float64()
	if u >= faulty {
		return 0
	}
	u *= sum / faulty // even over the hazards now
	for k, x := range h {
		if u < x {
			return k + 1
		}
		u -= x
	}
	return len(h)
}

func (t *Truth) put(item, state int) {
	t.state[item] = state
	for k, e := range t.s.items[item].modes {
		t.present[e] = state == k+1
	}
}

// output is a gate's output as its inputs stand now.
func (t *Truth) output(gate int) bool {
	g := &t.s.gates[gate]
	if t.extra[gate] {
		return true
	}
	n := 0
	for j := g.from; j < g.to; j++ {
		if in := &t.s.inputs[j]; t.works[j] && t.present[in.Event] != in.Inverted {
			n++
		}
	}
	switch g.kind {
	case ft.And:
		return n == g.to-g.from
	case ft.Voting:
		return n >= g.k
	}
	return n >= 1
}

// Outcome is what a check shows now. Its errors are drawn anew every time, as
// the model takes them, but alike for all who make it for the same time.
func (t *Truth) Outcome(c ft.CheckID) int {
	ck := &t.s.m.Checks()[c]
	p := ck.Else
	for _, r := range ck.Rows {
		if t.present[r.Event] {
			p = r.P
			break
		}
	}
	u, last := rand.New(rand.NewPCG(t.noise, mix(uint64(c)<<16|uint64(t.asked[c])))).Float64(), 0
	t.asked[c]++
	for k, q := range p {
		if q > 0 {
			if u < q {
				return k
			}
			last = k
		}
		u -= q
	}
	return last // the chances add up to a little less than 1
}

// Repair makes a repair. mended tells whether a fault that was there is gone.
// Its luck depends on the engine, the repair and how often it was made, not on
// what was done before, so that all who make it have the same luck.
func (t *Truth) Repair(r ft.RepairID) (mended bool) {
	rng := rand.New(rand.NewPCG(t.luck, mix(uint64(r)<<16|uint64(t.made[r]))))
	t.made[r]++
	rep := &t.s.m.Repairs()[r]
	for _, item := range t.s.touched[r] {
		if t.repairItem(int(item), rep, rng) {
			mended = true
		}
	}
	for _, st := range t.s.order {
		if st.gate {
			t.present[t.s.gates[st.index].event] = t.output(int(st.index))
		}
	}
	return mended
}

func (t *Truth) repairItem(item int, r *ft.Repair, rng *rand.Rand) (mended bool) {
	state := t.state[item]
	for _, e := range r.Fixes {
		// Drawn for every mode, there or not, so that nothing else shifts.
		if gone := rng.Float64() < r.Success; gone && t.present[e] && int(t.s.itemOf[e]) == item {
			state, mended = 0, true
		}
	}
	for _, in := range r.Introduces {
		left := rng.Float64() < in.P
		if int(t.s.itemOf[in.Mode]) == item && state == 0 && left {
			for k, e := range t.s.items[item].modes {
				if e == in.Mode {
					state = k + 1
				}
			}
		}
	}
	t.put(item, state)
	return mended
}

// Working marks, by event, what works through to the given symptoms now: the
// modes and causes among them are the true working causes.
func (t *Truth) Working(symptoms []ft.Event) []bool {
	on := make([]bool, len(t.present))
	for _, e := range symptoms {
		on[e] = t.present[e]
	}
	for i := len(t.s.gates) - 1; i >= 0; i-- {
		g := &t.s.gates[i]
		for j := g.from; on[g.event] && j < g.to; j++ {
			if in := &t.s.inputs[j]; t.works[j] && !in.Inverted && t.present[in.Event] {
				on[in.Event] = true
			}
		}
	}
	return on
}

// mix spreads the bits of a number (the finisher of splitmix64, Steele, Lea &
// Flood 2014), so that neighbouring numbers seed streams far apart.
func mix(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// The engine interface for a bout.

func (t *Truth) outcome(c ft.CheckID) (int, error)      { return t.Outcome(c), nil }
func (t *Truth) repair(r ft.RepairID) (bool, error)     { return t.Repair(r), nil }
func (t *Truth) there(fault ft.Event) bool              { return t.present[fault] }
func (t *Truth) symptom(symptom ft.Event) (bool, error) { return t.present[symptom], nil }
