package faulttree

import "slices"

// A finding touches the structure of the computation only if it is a hard
// answer about a symptom; everything else is a weight on leaves. reach says
// where a check's likelihood goes.
type reach uint8

const (
	onNothing reach = iota // no rows
	onItem                 // every row is a mode of the same item
	onGate                 // one row, a gate
	onChain                // anything else
)

func (m *Model) reach(c CheckID) reach {
	rows := m.checks[c].Rows
	if len(rows) == 0 {
		return onNothing
	}
	first, isMode := m.ModeOf(rows[0].Event)
	if !isMode {
		if len(rows) == 1 {
			return onGate
		}
		return onChain
	}
	for _, r := range rows[1:] {
		if md, ok := m.ModeOf(r.Event); !ok || md.Item != first.Item {
			return onChain
		}
	}
	return onItem
}

func (m *Model) symptom(e Event) bool {
	g, ok := m.GateOf(e)
	return ok && g.Symptom
}

// question lists what the belief's program must answer.
func (b *Belief) question() *question {
	q := b.evidence()
	want := make([]bool, b.m.Len())
	for _, e := range b.include {
		want[e] = true
	}
	for _, id := range b.watch {
		switch b.m.reach(id) {
		case onChain:
			q.addChain(stagedCheck{id, q.now()})
		case onGate:
			want[b.m.checks[id].Rows[0].Event] = true
		}
	}
	for _, e := range b.m.gateEv {
		if want[e] {
			q.answer = append(q.answer, e)
		}
		// Those of an earlier complaint as well: so the program stays the same where
		// a part of a complaint is looked at.
		if want[e] || slices.Contains(b.told, e) {
			q.outside = append(q.outside, e)
		}
	}
	// What is asked about has leaves for findings too: whether there are any
	// changes no structure.
	q.soft = slices.DeleteFunc(q.soft, func(s stagedEvent) bool {
		return s.stage == q.now() && slices.Contains(q.answer, s.event)
	})
	q.sortChains()
	return q
}

func (q *question) sortChains() {
	slices.SortFunc(q.chains, func(a, b stagedCheck) int {
		if a.check != b.check {
			return int(a.check - b.check)
		}
		return a.stage - b.stage
	})
}

// evidence lists what the findings alone ask of the structure.
func (b *Belief) evidence() *question {
	q := &question{repairs: b.repairs, within: b.within}
	for _, f := range b.ordered() {
		switch {
		case f.Event == None && b.m.reach(f.Check) == onChain:
			q.addChain(stagedCheck{f.Check, f.Stage})
		case f.Event == None && b.m.reach(f.Check) == onGate:
			q.soft = append(q.soft, stagedEvent{b.m.checks[f.Check].Rows[0].Event, f.Stage})
		case f.Event == None:
		case b.m.symptom(f.Event) && f.Hard():
			q.hard = append(q.hard, hardAnswer{f.Event, f.Stage, f.Weight[1] == 0})
		default:
			if _, isGate := b.m.GateOf(f.Event); isGate {
				q.soft = append(q.soft, stagedEvent{f.Event, f.Stage})
			}
		}
	}
	slices.SortFunc(q.soft, func(a, b stagedEvent) int {
		if a.event != b.event {
			return int(a.event - b.event)
		}
		return a.stage - b.stage
	})
	q.soft = slices.Compact(q.soft)
	q.sortChains()
	return q
}

func (q *question) addChain(k stagedCheck) {
	if !slices.Contains(q.chains, k) {
		q.chains = append(q.chains, k)
	}
}
