package knowledge

import (
	"math"

	"gopkg.in/yaml.v3"
)

func (d *decoder) site(k, v *yaml.Node) *Site {
	s := &Site{}
	d.object(k, v, "place "+k.Value, append(d.entry(&s.Entry, k), may("phrases", d.refs(&s.Phrases)))...)
	return s
}

func (d *decoder) opening(k, v *yaml.Node) *Opening {
	o := &Opening{}
	d.object(k, v, "opening "+k.Value, append(d.entry(&o.Entry, k),
		must("open", d.minutes(&o.Open)),
		must("close", d.minutes(&o.Close)),
		may("needs", d.refs(&o.Needs)),
		may("shut_to_run", d.flag(&o.ShutToRun)),
		may("wear", d.cost(&o.Wear, "wear")))...)
	return o
}

func (d *decoder) tool(k, v *yaml.Node) *Tool {
	t := &Tool{}
	d.object(k, v, "tool "+k.Value, d.entry(&t.Entry, k)...)
	return t
}

func (d *decoder) caution(k, v *yaml.Node) *Caution {
	c := &Caution{}
	d.object(k, v, "caution "+k.Value, append(d.entry(&c.Entry, k),
		must("text", d.text(&c.Text)), may("charge", d.cost(&c.Charge, "charge")))...)
	return c
}

// work gives the keys that checks and repairs share.
func (d *decoder) work(w *Work, k *yaml.Node) []field {
	return append(d.entry(&w.Entry, k),
		may("short", d.text(&w.Short)),
		may("steps", d.steps(&w.Steps)),
		may("at", d.ref(&w.At)),
		must("minutes", d.minutes(&w.Minutes)),
		may("opens", d.refs(&w.Opens)),
		may("shut", d.refs(&w.Shut)),
		may("engine", d.engine(&w.Engine)),
		may("places", d.refs(&w.Sites)),
		may("tools", d.refs(&w.Tools)),
		may("cautions", d.refs(&w.Cautions)),
		may("consumables", d.consumables(&w.Consumables)))
}

// consumables reads [{title: base gasket, minutes: 3}].
func (d *decoder) consumables(to *[]Consumable) setter {
	return d.list("a list of {title: base gasket, minutes: 3}", func(n *yaml.Node) {
		c := Consumable{Pos: d.pos(n)}
		d.object(n, n, "the consumable", must("title", d.text(&c.Title)), must("minutes", d.minutes(&c.Minutes)))
		*to = append(*to, c)
	})
}

func (d *decoder) check(k, v *yaml.Node) *Check {
	c := &Check{}
	var outcomes, rows, otherwise *yaml.Node
	keep := func(to **yaml.Node) setter { return func(n *yaml.Node) { *to = n } }
	d.object(k, v, "check "+k.Value, append(d.work(&c.Work, k),
		may("each", d.flag(&c.Each)),
		may("outcomes", keep(&outcomes)),
		may("reading", func(n *yaml.Node) { c.Reading = d.reading(n) }),
		may("fitted", d.refs(&c.Fitted)),
		may("fitted_shows", func(n *yaml.Node) { c.FittedShows = d.fittedShows(n) }),
		must("rows", keep(&rows)),
		must("else", keep(&otherwise)))...)
	if v.Kind != yaml.MappingNode {
		return c
	}
	switch {
	case outcomes != nil && c.Reading != nil:
		d.bad(outcomes, RuleOutcomesOrReading, "keep one of the two", "check %s has both outcomes and a reading", k.Value)
		return c
	case outcomes == nil && c.Reading == nil:
		d.bad(k, RuleOutcomesOrReading, "add outcomes, or a reading", "check %s has neither outcomes nor a reading", k.Value)
		return c
	case outcomes != nil:
		d.outcomes(c, outcomes)
	}
	if rows != nil {
		d.rows(c, rows)
	}
	if otherwise != nil {
		c.Else = d.row(c, otherwise)
	}
	return c
}

func (d *decoder) fittedShows(n *yaml.Node) map[string]Ref {
	var right, exchanged, foreign Ref
	d.object(n, n, "what fitted parts show",
		may(FittedRight, d.ref(&right)), may(FittedExchanged, d.ref(&exchanged)), may(FittedForeign, d.ref(&foreign)))
	out := make(map[string]Ref)
	for name, r := range map[string]Ref{FittedRight: right, FittedExchanged: exchanged, FittedForeign: foreign} {
		if r.ID != "" {
			out[name] = r
		}
	}
	return out
}

func (d *decoder) outcomes(c *Check, n *yaml.Node) {
	d.section("outcomes", func(k, v *yaml.Node) {
		o := Outcome{ID: k.Value}
		d.text(&o.Title)(v)
		c.Outcomes = append(c.Outcomes, o)
	})(n)
	if n.Kind == yaml.MappingNode && len(c.Outcomes) < 2 {
		d.bad(n, RuleTooFew, "name two or more that exclude one another", "check %s has %d outcomes", c.ID, len(c.Outcomes))
	}
}

func (d *decoder) rows(c *Check, n *yaml.Node) {
	d.entries(n, "rows as a mapping from an event to what is seen then", func(k, v *yaml.Node) {
		r := d.row(c, v)
		r.Event = d.keyRef(k)
		c.Rows = append(c.Rows, r)
	})
	if n.Kind == yaml.MappingNode && len(n.Content) == 0 {
		d.bad(n, RuleTooFew, "name an event that changes what is seen", "check %s has no rows", c.ID)
	}
}

func (d *decoder) row(c *Check, n *yaml.Node) Row {
	r := Row{Pos: d.pos(n)}
	if c.Reading != nil {
		r.True = d.population(n)
		return r
	}
	before := len(d.f.list)
	d.list("the chances of the outcomes", func(e *yaml.Node) {
		var p float64
		d.share(&p, "chance")(e)
		r.P = append(r.P, p)
	})(n)
	if n.Kind != yaml.SequenceNode || len(d.f.list) > before {
		return r
	}
	if len(r.P) != len(c.Outcomes) {
		d.bad(n, RuleChancesCount, "give one chance for each outcome, in their order", "%d chances for %d outcomes", len(r.P), len(c.Outcomes))
		return r
	}
	sum := 0.0
	for _, p := range r.P {
		sum += p
	}
	if math.Abs(sum-1) > 1e-9 {
		d.bad(n, RuleChancesSum, "make them add up to 1", "the chances add up to %.6g", sum)
	}
	return r
}

// population reads {mean: "85 psi", sd: "15 psi"} or
// {of: nominal, mean: 0.6, sd: 0.1}.
func (d *decoder) population(n *yaml.Node) *Population {
	p := &Population{Pos: d.pos(n)}
	if n.Kind != yaml.MappingNode {
		d.wrong(n, `the true values: {mean: "85 psi", sd: "15 psi"}`)
		return p
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		p.OfNominal = p.OfNominal || n.Content[i].Value == "of"
	}
	if !p.OfNominal {
		d.object(n, n, "the population", must("mean", d.amount(&p.Mean)), must("sd", d.amount(&p.SD)))
		return p
	}
	d.object(n, n, "the population",
		must("of", func(v *yaml.Node) {
			if v.Value != "nominal" {
				d.bad(v, RuleBadPopulation, "write of: nominal", "values of %s", quote(v.Value))
			}
		}),
		must("mean", d.within(&p.FMean, "factor", "from 0 to 1000", func(x float64) bool { return x >= 0 && x <= 1000 })),
		must("sd", d.within(&p.FSD, "factor", "above 0, to 1000", func(x float64) bool { return x > 1e-9 && x <= 1000 })))
	return p
}

func (d *decoder) reading(n *yaml.Node) *Reading {
	r := &Reading{Pos: d.pos(n)}
	d.object(n, n, "the reading",
		must("quantity", d.ref(&r.Quantity)),
		must("unit", d.ref(&r.Unit)),
		may("limit", d.ref(&r.Limit)),
		may("siblings", d.ref(&r.Siblings)),
		must("uncertainty", d.amount(&r.Uncertainty)),
		may("derive", func(n *yaml.Node) { r.Derive = d.derive(n) }),
		may("finer", func(n *yaml.Node) { r.Finer = d.finer(n) }),
		may("corrections", d.refs(&r.Corrections)))
	return r
}

func (d *decoder) finer(n *yaml.Node) *Finer {
	f := &Finer{Pos: d.pos(n)}
	d.object(n, n, "the finer instrument",
		must("tool", d.ref(&f.Tool)),
		must("uncertainty", d.amount(&f.Uncertainty)))
	return f
}

func (d *decoder) repair(k, v *yaml.Node) *Repair {
	r := &Repair{Success: 1}
	var found, parts, when *yaml.Node
	d.object(k, v, "repair "+k.Value, append(d.work(&r.Work, k),
		must("fixes", func(n *yaml.Node) {
			d.refs(&r.Fixes)(n)
			if n.Kind == yaml.SequenceNode && len(n.Content) == 0 {
				d.bad(n, RuleTooFew, "name the modes or causes that it puts right", "repair %s fixes nothing", k.Value)
			}
		}),
		may("success", d.strength(&r.Success, "success")),
		may("introduces", d.raises(&r.Introduces, "introduces")),
		may("parts_minutes", noted(&parts, d.minutes(&r.PartsMinutes))),
		may("found_minutes", noted(&found, d.minutes(&r.FoundMinutes))),
		may("parts_when_found", noted(&when, d.flag(&r.PartsWhenFound))))...)
	switch {
	case !r.PartsWhenFound:
	case found == nil:
		d.bad(when, RulePartsWhenFound, "add found_minutes, 0 if nothing is spent on it, or take it out", "repair %s has parts_when_found without found_minutes", k.Value)
	case parts == nil:
		d.bad(when, RulePartsWhenFound, "add parts_minutes, or take it out", "repair %s has parts_when_found without parts_minutes", k.Value)
	}
	return r
}

// noted keeps the node that a setter is given.
func noted(at **yaml.Node, set setter) setter {
	return func(n *yaml.Node) {
		*at = n
		set(n)
	}
}

// engine reads a state of the engine.
func (d *decoder) engine(to *EngineState) setter {
	return func(n *yaml.Node) {
		for i, s := range engineStates {
			if n.Kind == yaml.ScalarNode && n.Value == s {
				*to = EngineState(i)
				return
			}
		}
		d.bad(n, RuleUnknownWord, d.f.meant(n.Value, engineStates, "write off, cranking or running"), "unknown state of the engine %s", quote(n.Value))
	}
}
