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
// it looks several actions ahead over all of them, and its numbers are exact but
// for new faults that a repair leaves behind with a chance of up to 2 %;
// else two checks ahead, over the belief. Then what a first check saves is good to
// a part in ten thousand but for results too rare to be looked into, and what a
// second one saves, or what the further symptoms of a complaint will take, is
// reckoned roughly.
func (p *Problem) Advise(ctx context.Context, budget Budget) (*Advice, error) {
	if budget == (Budget{}) {
		budget = Standard()
	}
	adv := &Advice{First: ft.None}
	ws, few := p.newWorlds(true, seldomLeft)
	var err error
	if few == nil {
		err = p.lookFar(ctx, ws, budget, adv)
	} else {
		err = p.lookNear(ctx, budget, adv)
	}
	if err != nil {
		return nil, err
	}
	p.addPlain(adv)
	p.spent(adv)
	for i, o := range adv.Options {
		if o.Idle {
			adv.Options[i].Saves = -o.Minutes
		}
	}
	slices.SortStableFunc(adv.Options, func(a, b Option) int { return cmp.Compare(a.Expected, b.Expected) })
	return adv, ctx.Err()
}

// spent takes wear out of the minutes that steps and options take: it is weighed
// in what is expected, but not spent.
func (p *Problem) spent(adv *Advice) {
	for i, o := range adv.Options {
		if _, during, err := p.Openings.Reach(p.Open, &p.Actions[o.Action]); err == nil {
			adv.Options[i].Minutes -= p.Openings.wear(p.Open, during)
		}
	}
	p.spentIn(adv.Base)
}

func (p *Problem) spentIn(b Base) {
	open := p.Open
	for i, s := range b.Steps {
		_, during, err := p.Openings.Reach(open, &p.Actions[s.Action])
		if err != nil {
			return
		}
		b.Steps[i].Minutes -= p.Openings.wear(open, during)
		if open = during; s.Try {
			if _, open, err = p.Openings.Move(open, 0, p.Openings.shutToRun()); err != nil {
				return
			}
		}
	}
}

// lookNear looks ahead over the belief.
func (p *Problem) lookNear(ctx context.Context, budget Budget, adv *Advice) error {
	if len(p.Belief.Complaint()) > 1 {
		cures, err := p.Belief.Cures()
		if err != nil {
			return err
		}
		if adv.Base, err = p.shown(p.Belief, cures, p.Open); err != nil {
			return err
		}
		adv.Bound = min(p.bound(cures, p.Open), adv.Base.Expected)
		whole := adv.Base
		done, err := p.adviseParts(ctx, budget, adv)
		if err != nil {
			return err
		}
		if done {
			return p.addTry(adv, cures, whole)
		}
	}
	f, err := p.foresee()
	if err != nil {
		return err
	}
	if adv.Base, err = p.shown(f.belief, f.cures, p.Open); err != nil {
		return err
	}
	adv.Bound = min(p.bound(f.cures, p.Open), adv.Base.Expected)
	adv.WhileOpen = p.whileOpen(f.post)
	out, err := f.lookAhead(ctx, adv.Base, budget)
	if err != nil {
		return err
	}
	adv.Options, adv.Unvalued, adv.Depth = out.options, out.unvalued, out.depth
	return p.addTry(adv, f.cures, adv.Base)
}

// lookFar looks ahead over all engines that are possible.
func (p *Problem) lookFar(ctx context.Context, ws *worlds, budget Budget, adv *Advice) error {
	cures, err := p.Belief.Cures()
	if err != nil {
		return err
	}
	post, err := p.Belief.Solve()
	if err != nil {
		return err
	}
	adv.WhileOpen = p.whileOpen(post)
	start := ws.start()
	d := ws.decide(ctx, start, budget)
	ws.markIdle(ctx, start, d, budget.Nodes)
	adv.Depth, adv.Worlds = d.depth, len(ws.list)
	adv.Base = ws.told(start, d.base)
	adv.Bound = min(ws.bound(), adv.Base.Expected)
	for _, c := range d.choices {
		adv.Options = append(adv.Options, p.option(ws, c, d.base, cures))
	}
	return p.addTry(adv, cures, adv.Base)
}

// option describes a choice.
func (p *Problem) option(ws *worlds, c choice, base repairPlan, cures *ft.Cures) Option {
	o := Option{Action: c.action, Minutes: c.minutes, Expected: c.value, Saves: base.value - c.value, Idle: c.idle}
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

// whileOpen lists the checks whose openings are open now, among those that need
// any and still tell something, the most minutes saved first.
func (p *Problem) whileOpen(post *ft.Posterior) []While {
	m := p.Belief.Model()
	rough := guess(m, post)
	var out []While
	for i := range p.Actions {
		a := &p.Actions[i]
		if a.Kind != Check || a.Barred != "" || a.Need == 0 || p.Openings.Required(a.Need)&^p.Open != 0 || a.Shut&p.Open != 0 || a.Running {
			continue
		}
		told := 0.0
		for _, c := range a.Checks {
			told += says(a.check(m, c), rough)
		}
		there, at, err := p.Openings.Reach(0, a)
		if told < leastTold || err != nil {
			continue
		}
		out = append(out, While{i, a.Minutes, there + a.Minutes + p.Openings.CloseAll(at) - p.Openings.wear(0, at)})
	}
	slices.SortStableFunc(out, func(x, y While) int { return cmp.Compare(y.Later-y.Now, x.Later-x.Now) })
	return out
}

// leastTold is how many bits a check says at least to be worth a mention.
const leastTold = 0.005
