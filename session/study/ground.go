package study

import (
	"slices"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
	"narrows/knowledge"
	"narrows/session"
)

// Ground is an engine laid out for playing: what every case and policy share.
// It is immutable and safe for concurrent use.
type Ground struct {
	bench   *session.Bench
	sim     *Simulator
	model   *ft.Model
	actions []plan.Action
	parts   []bool  // by repair: parts are fitted
	sound   []int   // by check: what it most probably shows where it finds nothing
	stirs   [][]int // by repair: the checks, as actions, that look at something it can change
}

// NewGround lays an engine out.
func NewGround(e *knowledge.Engine) (*Ground, error) {
	b, err := session.NewBench(e)
	if err != nil {
		return nil, err
	}
	m := e.Model()
	g := &Ground{bench: b, sim: NewSimulator(m), model: m, actions: b.Problem(nil, 0, nil).Actions}
	for _, r := range e.Repairs() {
		g.parts = append(g.parts, r.Def.PartsMinutes > 0)
	}
	for _, c := range m.Checks() {
		g.sound = append(g.sound, likeliest(c.Else))
	}
	looks := g.looksAt()
	for _, r := range m.Repairs() {
		var out []int
		for i, on := range looks {
			if touches(&r, on) {
				out = append(out, i)
			}
		}
		g.stirs = append(g.stirs, out)
	}
	return g, nil
}

// looksAt marks, for each action that is a check, the events that its answer
// depends on.
func (g *Ground) looksAt() [][]bool {
	below := make([][]ft.Event, g.model.Len())
	out := make([][]bool, len(g.actions))
	for i, a := range g.actions {
		out[i] = make([]bool, g.model.Len())
		for _, c := range a.Checks {
			for _, r := range g.model.Checks()[c].Rows {
				if below[r.Event] == nil {
					below[r.Event] = g.model.Below(r.Event)
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

// likeliest is the first of the greatest chances.
func likeliest(p []float64) int {
	best := 0
	for k, q := range p {
		if q > p[best] {
			best = k
		}
	}
	return best
}

// firstSuspect is the mode or cause that most probably cures alone; the first
// of equals.
func firstSuspect(m *ft.Model, cures *ft.Cures) ft.Event {
	best := ft.None
	for _, it := range m.Items() {
		for _, e := range it.Modes {
			if best == ft.None || cures.Mode(e) > cures.Mode(best) {
				best = e
			}
		}
	}
	return best
}

// Engine returns the knowledge that the ground rests on.
func (g *Ground) Engine() *knowledge.Engine { return g.bench.Engine() }
