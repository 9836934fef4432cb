package diagnosability

import (
	"fmt"

	"narrows/faulttree"
)

// mostStates bounds the states that are followed at once for one check and one
// fault. The largest pack of the project needs fewer than a hundred.
const mostStates = 1 << 14

// sight is what one check can see: the gates below its rows, each after all that
// it is made of, and every event below them.
type sight struct {
	check faulttree.Check
	gates []faulttree.Event
	below map[faulttree.Event]bool
	last  map[faulttree.Event]int // the last of gates that a gate is an input of
}

func sightOf(m *faulttree.Model, c faulttree.Check) *sight {
	s := &sight{check: c, below: make(map[faulttree.Event]bool), last: make(map[faulttree.Event]int)}
	for _, r := range c.Rows {
		for _, ev := range m.Below(r.Event) {
			s.below[ev] = true
		}
	}
	for _, ev := range m.Order() {
		g, ok := m.GateOf(ev)
		if !ok || !s.below[ev] {
			continue
		}
		for _, in := range g.Inputs {
			s.last[in.Event] = len(s.gates)
		}
		s.gates = append(s.gates, ev)
	}
	return s
}

// state is what is known on the way through the gates: which of those still
// needed are present, and the first row that holds so far.
type state struct {
	present string // a byte for each of sight.gates, '1' where it is present
	row     int
}

// rows are the chances that each row of the check decides, and last that none
// does, on an engine in which only one fault is there; None is a sound engine.
//
// Whether a link works through is drawn for each gate by itself, so that the gates
// can be gone through in their order, all states followed side by side; a gate
// that nothing further looks at is forgotten, which lets states meet again.
func (s *sight) rows(m *faulttree.Model, only faulttree.Event) ([]float64, error) {
	first := state{string(zeros(len(s.gates))), s.rowOf(only, len(s.check.Rows))}
	states, p := []state{first}, map[state]float64{first: 1}
	for i, ev := range s.gates {
		g, _ := m.GateOf(ev)
		next, q := []state(nil), make(map[state]float64)
		add := func(st state, x float64) {
			if x <= 0 {
				return
			}
			if _, ok := q[st]; !ok {
				next = append(next, st)
			}
			q[st] += x
		}
		for _, st := range states {
			on := chance(g, func(in faulttree.Event) bool { return in == only || s.holds(st, in) })
			absent := s.forget(st, i)
			present := st
			present.present = st.present[:i] + "1" + st.present[i+1:]
			present.row = s.rowOf(ev, st.row)
			add(s.forget(present, i), p[st]*on)
			add(absent, p[st]*(1-on))
		}
		if len(next) > mostStates {
			return nil, fmt.Errorf("check %s sees %s through too many conditions at once; let fewer conditions stand between them", s.check.Name, m.Name(only))
		}
		states, p = next, q
	}
	out := make([]float64, len(s.check.Rows)+1)
	for _, st := range states {
		out[st.row] += p[st]
	}
	return out, nil
}

func zeros(n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = '0'
	}
	return b
}

// rowOf is the first row that names the event, if it comes before so far.
func (s *sight) rowOf(ev faulttree.Event, soFar int) int {
	for i, r := range s.check.Rows[:soFar] {
		if r.Event == ev {
			return i
		}
	}
	return soFar
}

func (s *sight) holds(st state, ev faulttree.Event) bool {
	for i, g := range s.gates {
		if g == ev {
			return st.present[i] == '1'
		}
	}
	return false
}

// forget takes out what no gate after the i-th looks at.
func (s *sight) forget(st state, i int) state {
	b := []byte(st.present)
	for k, ev := range s.gates[:i+1] {
		if s.last[ev] <= i {
			b[k] = '0'
		}
	}
	st.present = string(b)
	return st
}

// chance is the probability that a gate is present if its inputs are as told and
// nothing unlisted is at work.
func chance(g faulttree.Gate, present func(faulttree.Event) bool) float64 {
	least := g.K
	switch g.Kind {
	case faulttree.Or:
		least = 1
	case faulttree.And:
		least = len(g.Inputs)
	}
	// fewer[k] is the chance that exactly k inputs work through, k below least.
	fewer := make([]float64, least)
	fewer[0] = 1
	for _, in := range g.Inputs {
		if present(in.Event) == in.Inverted {
			continue
		}
		for k := least - 1; k >= 0; k-- {
			fewer[k] *= 1 - in.Strength
			if k > 0 {
				fewer[k] += float64(fewer[k-1] * in.Strength)
			}
		}
	}
	sum := 0.0
	for _, x := range fewer {
		sum += x
	}
	return min(1, max(0, 1-sum))
}

// doubtful tells of every gate, by event, whether it is left to chance that it is
// present if only this fault is there. Inputs that are themselves left to chance
// may hang together in any way, so that it rather says yes.
func doubtful(m *faulttree.Model, only faulttree.Event) []bool {
	can, must := make([]bool, m.Len()), make([]bool, m.Len())
	out := make([]bool, m.Len())
	if only != faulttree.None {
		can[only], must[only] = true, true
	}
	for _, ev := range m.Order() {
		g, ok := m.GateOf(ev)
		if !ok {
			continue
		}
		may, sure := g, g
		may.Inputs, sure.Inputs = nil, nil
		for _, in := range g.Inputs {
			high, low := can[in.Event], must[in.Event]
			if in.Inverted {
				high, low = !low, !high
			}
			may.Inputs = append(may.Inputs, settled(in.Event, high))
			sure.Inputs = append(sure.Inputs, settled(in.Event, low && in.Strength == 1))
		}
		all := func(faulttree.Event) bool { return true }
		can[ev], must[ev] = chance(may, all) > 0, chance(sure, all) == 1
		out[ev] = can[ev] && !must[ev]
	}
	return out
}

// settled is an input, taken as present, that surely works through or surely
// does not.
func settled(ev faulttree.Event, on bool) faulttree.Input {
	return faulttree.Input{Event: ev, Strength: 1, Inverted: !on}
}
