package knowledge

import (
	"errors"
	"slices"

	"narrows/symptoms/quantity"
)

// The corrections that a reading knows.
const (
	CorrectLeads    = "leads"    // the resistance of the test leads is asked for and subtracted
	CorrectCopper20 = "copper20" // the temperature is asked for and a copper resistance referred to 20 degC
	CorrectAltitude = "altitude" // a compression is referred to sea level, where the height has been said
	CorrectWarmth   = "warmth"   // whether the engine is warm or cold is kept beside the reading; no number changes
)

var corrections = []string{CorrectLeads, CorrectCopper20, CorrectAltitude, CorrectWarmth}

// correctable is what a correction is for.
func correctable(name string) quantity.Dimension {
	if name == CorrectAltitude || name == CorrectWarmth {
		return quantity.Pressure
	}
	return quantity.Resistance
}

// Surrounding tells whether a correction rests on what has been said of the place or
// the engine before, so that it is not asked for with the reading.
func Surrounding(correction string) bool {
	return correction == CorrectAltitude || correction == CorrectWarmth
}

// amounts reads quantities of one dimension. Without a dimension it reads
// nothing: the name was wrong and was reported.
type amounts struct {
	f   *faults
	dim quantity.Dimension
}

// typed notes an error of package quantity, which says itself what to do.
func (f *faults) typed(rule Rule, at Pos, err error) {
	var e *quantity.Error
	if errors.As(err, &e) {
		f.add(rule, at, e.Advice, "%s", e.Problem)
		return
	}
	f.add(rule, at, "write a number and its unit", "%v", err)
}

// dimension finds the dimension that a reference names, or "".
func (f *faults) dimension(r Ref) quantity.Dimension {
	if r.ID == "" {
		return ""
	}
	d, err := quantity.ParseDimension(r.ID)
	if err != nil {
		f.typed(RuleBadUnit, r.Pos, err)
		return ""
	}
	return d
}

// unit finds the unit that a reference names and checks its dimension.
func (f *faults) unit(r Ref, d quantity.Dimension) quantity.Unit {
	if r.ID == "" {
		return quantity.Unit{}
	}
	u, err := quantity.ParseUnit(r.ID)
	switch {
	case err != nil:
		f.typed(RuleBadUnit, r.Pos, err)
		return quantity.Unit{}
	case d != "" && u.Dimension() != d:
		f.add(RuleWrongDimension, r.Pos, "write a unit as in "+quote(d.Example()), "the unit %s measures %s, not %s", quote(r.ID), u.Dimension().Noun(), d.Noun())
		return quantity.Unit{}
	}
	return u
}

// value reads a value on the scale of the dimension.
func (x amounts) value(a *Amount) { x.read(a, x.dim, nil, "") }

// spread reads a difference on the scale: an uncertainty, a standard deviation,
// a tolerance. ok says what sizes will do, rule says it in words.
func (x amounts) spread(a *Amount, rule string, ok func(float64) bool) {
	x.read(a, x.dim.Difference(), ok, rule)
}

func (x amounts) read(a *Amount, d quantity.Dimension, ok func(float64) bool, rule string) {
	if a.Text == "" || x.dim == "" {
		return
	}
	q, err := quantity.ParseFor(a.Text, d)
	switch {
	case err != nil:
		x.f.typed(RuleBadQuantity, a.Pos, err)
		return
	case ok != nil && !ok(q.Value):
		x.f.add(RuleOutOfRange, a.Pos, "write a quantity "+rule, "%s is out of range", quote(a.Text))
		return
	}
	a.Quantity = q
}

// in returns the amount in a unit; the loader has checked the dimension.
func (a Amount) in(u quantity.Unit) float64 {
	v, err := a.In(u)
	if err != nil {
		return 0
	}
	return v
}

func above0(x float64) bool   { return x > 0 }
func atLeast0(x float64) bool { return x >= 0 }

// readings checks the quantities of every check that reads a number.
func (c *checker) readings() {
	for _, k := range c.p.Checks {
		if k.Reading != nil {
			c.reading(k)
		}
	}
}

func (c *checker) reading(k *Check) {
	r := k.Reading
	x := amounts{f: c.f, dim: c.f.dimension(r.Quantity)}
	if r.In = c.f.unit(r.Unit, x.dim); r.In.IsZero() {
		return
	}
	x.spread(&r.Uncertainty, "of at least 0", atLeast0)
	if f := r.Finer; f != nil {
		c.named(f.Tool, "tool", &c.tools)
		x.spread(&f.Uncertainty, "above 0", above0)
		if u := r.In.Difference(); !f.Uncertainty.Unit.IsZero() && !r.Uncertainty.Unit.IsZero() && f.Uncertainty.in(u) >= r.Uncertainty.in(u) {
			c.f.add(RuleNotFiner, f.Pos, "give the finer instrument the smaller uncertainty, or take it out", "the finer instrument of check %s is no finer", k.ID)
		}
	}
	for _, name := range r.Corrections {
		switch {
		case !slices.Contains(corrections, name.ID):
			c.f.add(RuleUnknownWord, name.Pos, c.f.meant(name.ID, corrections, ""), "unknown correction %s", quote(name.ID))
		case x.dim != "" && x.dim != correctable(name.ID):
			c.f.add(RuleMisplacedCorrection, name.Pos, "take it out", "correction %s is for %s, and this check reads %s", name.ID, correctable(name.ID).Noun(), x.dim.Noun())
		}
	}
	if r.Siblings.ID != "" && k.At.ID == "" {
		c.f.add(RuleSiblings, r.Siblings.Pos, "add at to the check, or take siblings out", "check %s compares siblings and stands at no set of positions", k.ID)
	}
	before := len(c.f.list)
	for i := range k.Rows {
		c.population(x, r, k.Rows[i].True)
	}
	c.population(x, r, k.Else.True)
	if x.dim != "" && len(c.f.list) == before && len(k.Rows) > 0 && k.Else.True != nil && k.oneMean() {
		c.f.add(RuleOneMean, k.Else.Pos, "give the rows means of their own", "check %s expects the same mean in every case, so that reading it tells nothing", k.ID)
	}
}

// oneMean reports whether all populations of the check have the same mean.
func (k *Check) oneMean() bool {
	e := k.Else.True
	for _, row := range k.Rows {
		t := row.True
		if t == nil || t.OfNominal != e.OfNominal || t.FMean != e.FMean || t.Mean.in(k.Reading.In) != e.Mean.in(k.Reading.In) {
			return false
		}
	}
	return true
}

func (c *checker) population(x amounts, r *Reading, p *Population) {
	switch {
	case p == nil:
	case p.OfNominal && r.Limit.ID == "":
		c.f.add(RuleBadPopulation, p.Pos, "add limit to the reading, or write quantities", "values of nominal, and the reading names no limit of the sheet")
	case p.OfNominal && x.dim == quantity.Temperature:
		c.f.add(RuleBadPopulation, p.Pos, "write quantities", "values of nominal, and a temperature has no zero to count from")
	case !p.OfNominal:
		x.value(&p.Mean)
		x.spread(&p.SD, "above 0", above0)
	}
}
