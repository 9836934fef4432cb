package plan

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// Budget bounds the work of Advise by counts, not by time, so that the same
// case gets the same advice on any machine.
type Budget struct {
	Nodes int // engines looked at in plans of repairs, over all depths
	Depth int // actions looked ahead
	// Operations of looking ahead over the belief, where the possible engines
	// are too many to walk through.
	Operations float64
}

// Standard is what a prompt has time for.
func Standard() Budget { return Budget{Nodes: 1e6, Depth: 3, Operations: 4e7} }

// decision is what is worth doing next from a state.
type decision struct {
	base    repairPlan
	choices []choice // by value, from the deepest whole depth
	handOn  float64
	depth   int // of the choices
}

// best is the choice of least value.
func (d decision) best() choice {
	c := choice{action: -1, value: d.handOn}
	if len(d.choices) > 0 && d.choices[0].value < c.value-1e-12 {
		c = d.choices[0]
	}
	return c
}

// decide looks ahead by whole depths, one, two and so on, as far as the budget
// lasts; a depth that was not finished is thrown away.
func (ws *worlds) decide(ctx context.Context, st *state, budget Budget) decision {
	if budget == (Budget{}) {
		budget = Standard()
	}
	s := &searcher{ws: ws, ctx: ctx, limit: budget.Nodes, checks: 12, repairs: 6}
	mass := st.mass()
	d := decision{base: s.base(st), handOn: mass * (ws.p.HandOn + ws.p.Openings.CloseAll(st.open))}
	if len(st.alive) == 0 {
		return d
	}
	var plain *choice // to begin the plan of repairs
	if len(d.base.steps) > 0 {
		_, minutes, _ := ws.repair(st, d.base.steps[0])
		plain = &choice{action: d.base.steps[0], value: d.base.value, minutes: minutes, block: d.base.steps[:d.base.tries[0]]}
		d.choices = []choice{*plain}
	}
	for depth := 1; depth <= budget.Depth; depth++ {
		var found []choice
		for _, a := range s.candidates(st, d.base) {
			if depth > 1 && s.spentAll() {
				return d
			}
			found = append(found, s.act(st, a, depth, math.Inf(1)))
		}
		found = withPlan(found, plain)
		slices.SortStableFunc(found, func(a, b choice) int {
			return cmp.Or(cmp.Compare(a.value, b.value), a.action-b.action)
		})
		d.choices, d.depth = found, depth
	}
	return d
}

// markIdle marks the checks that change nothing, as far as was looked ahead and
// nodes last.
func (ws *worlds) markIdle(ctx context.Context, st *state, d decision, nodes int) {
	s := &searcher{ws: ws, ctx: ctx, limit: nodes, checks: 12, repairs: 6}
	mass := st.mass()
	for i, c := range d.choices {
		if c.action < 0 || ws.p.Actions[c.action].Kind != Check || s.spentAll() {
			continue
		}
		made := st.with(c.action)
		var err error
		if _, made.open, err = ws.p.Openings.Reach(st.open, &ws.p.Actions[c.action]); err != nil {
			continue
		}
		without := s.value(made, d.depth-1)
		d.choices[i].idle = c.value-mass*c.minutes >= without-1e-9*mass
	}
}

// withPlan lets the plan of repairs stand for its first repair where looking
// ahead found nothing better after it.
func withPlan(found []choice, plain *choice) []choice {
	if plain == nil {
		return found
	}
	for i, c := range found {
		if c.action == plain.action {
			if plain.value <= c.value {
				found[i] = *plain
			}
			return found
		}
	}
	return append(found, *plain)
}
