package plan

import (
	"cmp"
	"context"
	"slices"

	ft "narrows/faulttree"
)

// Advise ranks what to do next. With a zero Budget it uses a default. It
// returns early with the context's error.
//
// Where the engines that agree with the findings are few enough to walk through,
// it looks several actions ahead over all of them; else one check ahead, over
// the belief. Its numbers are exact in both cases: what they leave out is plans
// that look further.
func (p *Problem) Advise(ctx context.Context, budget Budget) (*Advice, error) {
	if budget == (Budget{}) {
		budget = standard()
	}
	cures, err := p.Belief.Cures()
	if err != nil {
		return nil, err
	}
	adv := &Advice{WhileOpen: p.whileOpen()}
	if ws, few := p.newWorlds(true); few == nil {
		p.lookFar(ctx, ws, budget, cures, adv)
	} else {
		adv.Depth = 1
		if adv.Base, err = p.base(p.Belief, p.Open); err == nil {
			adv.Options, adv.Unvalued, err = p.lookOnce(ctx, adv.Base)
		}
		adv.Bound = min(p.bound(cures, p.Open), adv.Base.Expected)
	}
	if err != nil {
		return nil, err
	}
	p.addPlain(adv)
	slices.SortStableFunc(adv.Options, func(a, b Option) int { return cmp.Compare(a.Expected, b.Expected) })
	return adv, ctx.Err()
}

// lookFar looks ahead over all engines that are possible.
func (p *Problem) lookFar(ctx context.Context, ws *worlds, budget Budget, cures *ft.Cures, adv *Advice) {
	d := ws.decide(ctx, ws.start(), budget)
	adv.Depth, adv.Worlds = d.depth, len(ws.list)
	adv.Base = ws.told(ws.start(), d.base)
	adv.Bound = min(ws.bound(), adv.Base.Expected)
	for _, c := range d.choices {
		adv.Options = append(adv.Options, p.option(ws, c, d.base, cures))
	}
}

// option describes a choice.
func (p *Problem) option(ws *worlds, c choice, base repairPlan, cures *ft.Cures) Option {
	o := Option{Action: c.action, Minutes: c.minutes, Expected: c.value, Saves: base.value - c.value}
	if p.Actions[c.action].Kind == Repair {
		o.Cure = cures.Repair(p.Actions[c.action].Repair)
		o.Block = c.block
		return o
	}
	for _, r := range c.results {
		out := Outcome{Results: r.results, P: r.mass, First: -1}
		then := ws.base(r.state)
		out.Expected = then.value / r.mass
		if len(then.steps) > 0 {
			out.First = then.steps[0]
		}
		o.Outcomes = append(o.Outcomes, out)
	}
	return o
}

// addPlain adds what is always to be had: handing on, and the base plan's first
// repair.
func (p *Problem) addPlain(adv *Advice) {
	for i, a := range p.Actions {
		if a.Kind == HandOn && a.Barred == "" {
			e := p.HandOn + p.Openings.CloseAll(p.Open)
			adv.Options = append(adv.Options, Option{Action: i, Minutes: p.HandOn, Expected: e, Saves: adv.Base.Expected - e})
		}
	}
	if len(adv.Base.Steps) == 0 {
		return
	}
	s := adv.Base.Steps[0]
	for i, o := range adv.Options {
		if o.Action == s.Action {
			adv.Options[i].Expected = min(o.Expected, adv.Base.Expected)
			adv.Options[i].Saves = max(o.Saves, 0)
			return
		}
	}
	adv.Options = append(adv.Options, Option{Action: s.Action, Minutes: s.Minutes, Expected: adv.Base.Expected, Cure: s.Cure})
}

// whileOpen lists the checks whose openings are open now, among those that
// need any.
func (p *Problem) whileOpen() []int {
	var out []int
	for i, a := range p.Actions {
		if a.Kind == Check && a.Barred == "" && a.Need != 0 && p.Openings.Required(a.Need)&^p.Open == 0 && a.Shut&p.Open == 0 && !a.Running {
			out = append(out, i)
		}
	}
	return out
}
