package session

import (
	"slices"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
)

// stirs lists, by repair, the checks, as actions, that look at something that
// the repair can change. Only those are worth making again after it: what
// misled a check once misleads it again as long as nothing has changed.
func stirs(m *ft.Model, actions []plan.Action) [][]int {
	looks := looksAt(m, actions)
	out := make([][]int, len(m.Repairs()))
	for i, r := range m.Repairs() {
		for a, on := range looks {
			if touches(&r, on) {
				out[i] = append(out[i], a)
			}
		}
	}
	return out
}

// looksAt marks, for each action that is a check, the events that its answer
// depends on.
func looksAt(m *ft.Model, actions []plan.Action) [][]bool {
	below := make([][]ft.Event, m.Len())
	out := make([][]bool, len(actions))
	for i, a := range actions {
		out[i] = make([]bool, m.Len())
		for _, c := range a.Checks {
			for _, r := range m.Checks()[c].Rows {
				if below[r.Event] == nil {
					below[r.Event] = m.Below(r.Event)
				}
				for _, e := range below[r.Event] {
					out[i][e] = true
				}
			}
		}
	}
	return out
}

func touches(r *ft.Repair, on []bool) bool {
	return slices.ContainsFunc(r.Fixes, func(e ft.Event) bool { return on[e] }) ||
		slices.ContainsFunc(r.Introduces, func(in ft.Introduced) bool { return on[in.Mode] })
}

// Stirs lists the checks, as actions, that look at something that a repair can
// change: those worth making again after it.
func (b *Bench) Stirs(r ft.RepairID) []int { return b.b.stirs[r] }
