package knowledge

import (
	"slices"
	"time"

	"gopkg.in/yaml.v3"

	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// Step is one step of work: something to do; in checks also a wait, or a value to
// be read on the way.
type Step struct {
	Text string        // what to do; of a wait or a value its title
	Wait time.Duration // above 0: a wait of this length
	Take *Take         // nil: nothing is read here
	Pos  Pos
}

// Take is a value that a check reads on the way.
type Take struct {
	Name            string // by which the reading refers to it
	Quantity        Ref
	Unit            Ref
	In              quantity.Unit // Unit, found
	Limit           Ref           // the sheet's limit of that name; zero: none
	Uncertainty     Amount        // standard uncertainty of the value
	Lowest, Highest Amount        // outside of these it is asked whether it was meant; may be left out
	Pos             Pos
}

// Derive says which values of a check's steps make its reading.
type Derive struct {
	How  measure.Derivation
	From []Ref // names of values
	Pos  Pos
}

// Texts are the steps in words.
func (w *Work) Texts() []string {
	var out []string
	for _, s := range w.Steps {
		out = append(out, s.Text)
	}
	return out
}

// Timed tells whether the work has waits, or values to be read on the way: it is
// then gone through step by step.
func (w *Work) Timed() bool {
	return slices.ContainsFunc(w.Steps, func(s Step) bool { return s.Wait > 0 || s.Take != nil })
}

// Makes tells whether the check's reading is made of the value of that name.
func (k *Check) Makes(name string) bool {
	return k.Reading != nil && k.Reading.Derive != nil &&
		slices.ContainsFunc(k.Reading.Derive.From, func(r Ref) bool { return r.ID == name })
}

// Take is the value of that name that the steps take, or nil.
func (w *Work) Take(name string) *Take {
	for _, s := range w.Steps {
		if s.Take != nil && s.Take.Name == name {
			return s.Take
		}
	}
	return nil
}

// steps reads a list of texts, waits and values.
func (d *decoder) steps(to *[]Step) setter {
	return d.list("a list of texts, waits and values to be read", func(n *yaml.Node) {
		s := Step{Pos: d.pos(n)}
		if n.Kind != yaml.MappingNode {
			d.text(&s.Text)(n)
			*to = append(*to, s)
			return
		}
		var wait, take *yaml.Node
		var of Take
		d.object(n, n, "the step", must("title", d.text(&s.Text)),
			may("wait", func(v *yaml.Node) { wait = v }), may("take", func(v *yaml.Node) { take = v }),
			may("quantity", d.ref(&of.Quantity)), may("unit", d.ref(&of.Unit)), may("limit", d.ref(&of.Limit)),
			may("uncertainty", d.amount(&of.Uncertainty)), may("lowest", d.amount(&of.Lowest)), may("highest", d.amount(&of.Highest)))
		switch {
		case wait != nil && take == nil:
			s.Wait = d.duration(wait)
			if of != (Take{}) {
				d.bad(n, RuleBadStep, "keep wait and title", "a wait reads nothing")
			}
		case take != nil && wait == nil:
			of.Name, of.Pos = d.ident(take), d.pos(take)
			s.Take = &of
			for _, x := range []struct {
				key  string
				have bool
			}{{"quantity", of.Quantity.ID != ""}, {"unit", of.Unit.ID != ""}, {"uncertainty", of.Uncertainty.Text != ""}} {
				if !x.have {
					d.bad(n, RuleMissingKey, "add "+x.key, "the value %s has no %s", take.Value, x.key)
				}
			}
		default:
			d.bad(n, RuleBadStep, `write {wait: "5 min", title: ...} or {take: name, title: ...}`, "a step that is no text is a wait or takes a value")
		}
		*to = append(*to, s)
	})
}

// longestWait bounds waits: what takes longer is a case left and taken up again.
const longestWait = 24 * time.Hour

// duration reads "5 min", "30 s", "1 h 30 min".
func (d *decoder) duration(n *yaml.Node) time.Duration {
	var a Amount
	d.amount(&a)(n)
	if a.Text == "" {
		return 0
	}
	q, err := quantity.ParseFor(a.Text, quantity.Time)
	if err != nil {
		d.f.typed(RuleBadQuantity, a.Pos, err)
		return 0
	}
	w := time.Duration(q.Base() * float64(time.Second)).Round(time.Second)
	if w < time.Second || w > longestWait {
		d.bad(n, RuleOutOfRange, "write a time from 1 s to 24 h", "a wait of %s", quote(a.Text))
		return 0
	}
	return w
}

// derive reads {growth: [cold, hot]}.
func (d *decoder) derive(n *yaml.Node) *Derive {
	out := &Derive{Pos: d.pos(n)}
	var fields []field
	for _, how := range measure.Derivations() {
		fields = append(fields, may(string(how), func(v *yaml.Node) {
			if out.How != "" {
				d.bad(v, RuleBadDerivation, "keep one of the two", "the reading is both %s and %s", out.How, how)
				return
			}
			out.How = how
			d.refs(&out.From)(v)
		}))
	}
	d.object(n, n, "derive", fields...)
	if out.How == "" && n.Kind == yaml.MappingNode && len(n.Content) == 0 {
		d.bad(n, RuleBadDerivation, "write derive: {growth: [before, after]}", "derive says nothing")
	}
	return out
}

// procedure checks the steps of a check: names, quantities and what is derived.
func (c *checker) procedure(k *Check) {
	seen := make(map[string]bool)
	var names []string
	for _, s := range k.Steps {
		if s.Take == nil {
			continue
		}
		if seen[s.Take.Name] {
			c.f.add(RuleNamedTwice, s.Take.Pos, "give each value its own name", "the value %s is taken twice", quote(s.Take.Name))
		}
		seen[s.Take.Name] = true
		names = append(names, s.Take.Name)
		c.take(s.Take)
	}
	if k.Reading == nil || k.Reading.Derive == nil {
		return
	}
	r, d := k.Reading, k.Reading.Derive
	for _, from := range d.From {
		t := k.Take(from.ID)
		if t == nil {
			c.f.add(RuleUnknownName, from.Pos, c.f.meant(from.ID, names, "name a value that a step takes"), "check %s takes no value %s", k.ID, quote(from.ID))
			continue
		}
		if of, dim := c.dimensionOf(t.Quantity), c.dimensionOf(r.Quantity); of != "" && dim != "" && d.How.Of(of) != dim {
			c.f.add(RuleBadDerivation, from.Pos, "make quantities and derivation agree", "the %s of %s is %s, and check %s reads %s", d.How, of.Noun(), d.How.Of(of).Noun(), k.ID, dim.Noun())
		}
	}
	if n := len(d.From); d.How == measure.MeanOf && n < 2 || d.How != measure.MeanOf && n != 2 {
		c.f.add(RuleBadDerivation, d.Pos, "name two values", "the %s of %d values", d.How, n)
	}
	if len(r.Corrections) > 0 || r.Finer != nil {
		c.f.add(RuleBadDerivation, d.Pos, "take corrections and finer out", "check %s derives its reading, and asks for corrections or a finer instrument", k.ID)
	}
}

// dimensionOf is the dimension of a name, or "" for one reported elsewhere.
func (c *checker) dimensionOf(r Ref) quantity.Dimension {
	d, err := quantity.ParseDimension(r.ID)
	if err != nil {
		return ""
	}
	return d
}

func (c *checker) take(t *Take) {
	x := amounts{f: c.f, dim: c.f.dimension(t.Quantity)}
	if t.In = c.f.unit(t.Unit, x.dim); t.In.IsZero() {
		return
	}
	x.spread(&t.Uncertainty, "of at least 0", atLeast0)
	x.value(&t.Lowest)
	x.value(&t.Highest)
	if t.Lowest.Unit != (quantity.Unit{}) && t.Highest.Unit != (quantity.Unit{}) && t.Lowest.in(t.In) >= t.Highest.in(t.In) {
		c.f.add(RuleLowAboveHigh, t.Highest.Pos, "exchange them, or mend one", "the lowest, %s, is not below the highest, %s", t.Lowest.Text, t.Highest.Text)
	}
}

// onlyTexts refuses waits and values in the steps of a repair.
func (c *checker) onlyTexts(w *Work) {
	for _, s := range w.Steps {
		if s.Wait > 0 || s.Take != nil {
			c.f.add(RuleBadStep, s.Pos, "write it as a text, or make a check of it", "repair %s waits or reads a value; only checks do", w.ID)
		}
	}
}
