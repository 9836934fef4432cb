package knowledge

import (
	"regexp"
	"strconv"

	"gopkg.in/yaml.v3"

	"narrows/faulttree"
)

// raises reads a mapping from a mode or cause to the chance of producing it.
func (d *decoder) raises(to *[]Raise, what string) setter {
	return func(n *yaml.Node) {
		d.entries(n, what+" as a mapping from a mode to its chance", func(k, v *yaml.Node) {
			r := Raise{Mode: d.keyRef(k)}
			d.chance(&r.Chance, "chance")(v)
			*to = append(*to, r)
		})
	}
}

func (d *decoder) cause(k, v *yaml.Node) *Cause {
	c := &Cause{}
	d.object(k, v, "cause "+k.Value, append(d.entry(&c.Entry, k),
		must("prior", d.chance(&c.Prior, "prior")),
		may("raises", d.raises(&c.Raises, "raises")))...)
	return c
}

func (d *decoder) item(k, v *yaml.Node) *Item {
	it := &Item{}
	d.object(k, v, "item "+k.Value, append(d.entry(&it.Entry, k),
		may("at", d.ref(&it.At)),
		may("system", d.text(&it.System)),
		must("modes", func(n *yaml.Node) {
			d.section("modes", func(mk, mv *yaml.Node) { it.Modes = append(it.Modes, d.mode(it, mk, mv)) })(n)
			if n.Kind == yaml.MappingNode && len(n.Content) == 0 {
				d.bad(n, RuleTooFew, "add a mode", "item %s has no failure mode", k.Value)
			}
		}))...)
	return it
}

func (d *decoder) mode(it *Item, k, v *yaml.Node) *Mode {
	m := &Mode{Item: it}
	d.object(k, v, "mode "+it.ID+"."+k.Value, append(d.entry(&m.Entry, k),
		must("prior", d.chance(&m.Prior, "prior")),
		may("raises", d.raises(&m.Raises, "raises")))...)
	return m
}

func (d *decoder) condition(k, v *yaml.Node) *Condition {
	c := &Condition{}
	fields := append(d.entry(&c.Entry, k),
		may("at", d.ref(&c.At)),
		may("raises", d.raises(&c.Raises, "raises")))
	d.object(k, v, "condition "+k.Value, append(fields, d.gate(&c.Gate, k)...)...)
	d.gateRules(&c.Gate, c.Entry)
	return c
}

func (d *decoder) symptom(k, v *yaml.Node) *Symptom {
	s := &Symptom{}
	fields := append(d.entry(&s.Entry, k),
		must("shows", d.ref(&s.Shows)),
		must("regime", d.refs(&s.Regimes)),
		must("unlisted", d.chance(&s.Unlisted, "unlisted prior")))
	d.object(k, v, "symptom "+k.Value, append(fields, d.gate(&s.Gate, k)...)...)
	d.gateRules(&s.Gate, s.Entry)
	return s
}

// gate gives the keys of a gate; k is the key of its definition.
func (d *decoder) gate(g *GateDef, k *yaml.Node) []field {
	g.Pos = d.pos(k)
	return []field{may("gate", d.gateKind(g)), must("from", d.from(g)), may("unless", d.refs(&g.Unless))}
}

var atLeast = regexp.MustCompile(`^at least ([0-9]{1,4})$`)

func (d *decoder) gateKind(g *GateDef) setter {
	return func(n *yaml.Node) {
		g.Pos = d.pos(n)
		switch m := atLeast.FindStringSubmatch(n.Value); {
		case n.Kind != yaml.ScalarNode:
			d.wrong(n, `or, and, or "at least N"`)
		case n.Value == "or":
			g.Kind = faulttree.Or
		case n.Value == "and":
			g.Kind = faulttree.And
		case m != nil:
			g.Kind = faulttree.Voting
			g.AtLeast, _ = strconv.Atoi(m[1])
			if g.AtLeast < 1 {
				d.bad(n, RuleBadGate, "write at least 1 or more", "a gate of at least %s", m[1])
			}
		default:
			d.bad(n, RuleBadGate, `write or, and, or "at least N"`, "unknown gate %s", quote(n.Value))
		}
	}
}

// from reads the inputs: names with strengths, or a list of names, each of
// strength 1.
func (d *decoder) from(g *GateDef) setter {
	return func(n *yaml.Node) {
		if n.Kind == yaml.SequenceNode {
			var names []Ref
			d.refs(&names)(n)
			for _, r := range names {
				g.From = append(g.From, GateInput{r, 1})
			}
		} else {
			d.entries(n, "the inputs: a mapping from input to strength, or a list", func(k, v *yaml.Node) {
				in := GateInput{Event: d.keyRef(k), Strength: 1}
				d.strength(&in.Strength, "strength")(v)
				g.From = append(g.From, in)
			})
		}
		if n.Kind != yaml.ScalarNode && len(n.Content) == 0 {
			d.bad(n, RuleTooFew, "name at least one input", "a gate without inputs")
		}
	}
}

// gateRules checks what only the whole gate shows.
func (d *decoder) gateRules(g *GateDef, e Entry) {
	if g.Kind != faulttree.And {
		if len(g.Unless) > 0 {
			d.f.add(RuleUnlessWithoutAnd, g.Unless[0].Pos, "make it an and gate, or put the exception into a condition of its own", "unless stands in %s, which is no and gate", e.ID)
		}
		return
	}
	for _, in := range g.From {
		if in.Strength != 1 {
			d.f.add(RuleWeakInput, in.Event.Pos, "write the inputs as a list, or put the strength into a condition of its own",
				"%s is an and gate and takes %s with strength %v; its inputs have strength 1", e.ID, quote(in.Event.ID), in.Strength)
		}
		for _, u := range g.Unless {
			if u.ID == in.Event.ID {
				d.f.add(RuleContradiction, u.Pos, "keep one of the two", "%s must be both present and absent in %s", quote(u.ID), e.ID)
			}
		}
	}
}

func (d *decoder) circumstance(k, v *yaml.Node) *Circumstance {
	c := &Circumstance{}
	d.object(k, v, "history entry "+k.Value, append(d.entry(&c.Entry, k),
		must("phrases", func(n *yaml.Node) {
			d.texts(&c.Phrases)(n)
			if n.Kind == yaml.SequenceNode && len(n.Content) == 0 {
				d.bad(n, RuleTooFew, "write the words that owners use", "history entry %s has no phrases", k.Value)
			}
		}),
		must("said", func(n *yaml.Node) {
			d.entries(n, "a mapping from an event to the chance that it is said", func(ek, ev *yaml.Node) {
				s := Said{Event: d.keyRef(ek)}
				d.share(&s.Chance, "chance")(ev)
				c.Said = append(c.Said, s)
			})
			if n.Kind == yaml.MappingNode && len(n.Content) == 0 {
				d.bad(n, RuleTooFew, "name an event that makes it likely to be said", "history entry %s has no rows", k.Value)
			}
		}),
		must("else", d.share(&c.Else, "chance")))...)
	return c
}
