package study

import (
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
	parts   []bool // by repair: parts are fitted whatever is found
	sound   []int  // by check: what it most probably shows where it finds nothing
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
		g.parts = append(g.parts, r.Def.PartsMinutes > 0 && !r.Def.PartsWhenFound)
	}
	for _, c := range m.Checks() {
		g.sound = append(g.sound, likeliest(c.Else))
	}
	return g, nil
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
