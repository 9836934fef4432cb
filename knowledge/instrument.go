package knowledge

import (
	"fmt"

	"gopkg.in/yaml.v3"

	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// Instrument is an instrument with what is known of its errors; its figures are in
// units of its own.
type Instrument struct {
	Entry
	Quantity Ref
	Of       quantity.Dimension // Quantity, found
	Noise    Amount
	Gauge    Amount
	Accuracy Ref // as written, "0.8 % + 3 digits"
	Step     Amount
	Figures  measure.Figures // all of it, as package measure takes it
}

// instrumentFile is a list of instruments that was read.
type instrumentFile struct {
	f    *faults
	list []*Instrument
}

// instruments reads a whole list.
func (d *decoder) instruments(root *yaml.Node) []*Instrument {
	var list []*Instrument
	d.object(root, root, "the list of instruments",
		must("format", d.format()),
		may("note", d.text(new(string))),
		must("instruments", d.section("instruments", func(k, n *yaml.Node) { list = append(list, d.instrument(k, n)) })))
	return list
}

func (d *decoder) instrument(k, v *yaml.Node) *Instrument {
	x := &Instrument{}
	d.object(k, v, "instrument "+k.Value, append(d.entry(&x.Entry, k),
		must("quantity", d.ref(&x.Quantity)),
		may("noise", d.amount(&x.Noise)),
		may("gauge", d.amount(&x.Gauge)),
		may("accuracy", d.ref(&x.Accuracy)),
		may("step", d.amount(&x.Step)))...)
	if v.Kind == yaml.MappingNode && !x.Noise.given() && !x.Gauge.given() && x.Accuracy.Pos.Line == 0 {
		d.bad(k, RuleNoErrors, "add noise, gauge or accuracy", "nothing is said of the errors of instrument %s", k.Value)
	}
	return x
}

// check finds the quantities of an instrument and what they amount to.
func (x *Instrument) check(f *faults) {
	in := amounts{f: f, dim: f.dimension(x.Quantity)}
	x.Of = in.dim
	in.uncertainty(&x.Noise)
	in.uncertainty(&x.Gauge)
	in.spread(&x.Step, "above 0", above0)
	x.Figures = measure.Figures{Noise: x.Noise.Quantity, Gauge: x.Gauge.Quantity, Step: x.Step.Quantity}
	if x.Accuracy.ID != "" {
		var err error
		if x.Figures.Percent, x.Figures.Digits, err = measure.ParseAccuracy(x.Accuracy.ID); err != nil {
			what, mend := cutAdvice(err.Error())
			f.add(RuleBadAccuracy, x.Accuracy.Pos, mend, "%s", what)
			return
		}
	}
	switch digits := x.Figures.Digits > 0; {
	case digits && !x.Step.given():
		f.add(RuleBadAccuracy, x.Accuracy.Pos, `add step, such as "0.1 ohm"`, "the accuracy of instrument %s counts digits, and it is not said what one is", x.ID)
	case x.Step.given() && !digits:
		f.add(RuleBadAccuracy, x.Step.Pos, "take it out, or write digits into the accuracy", "instrument %s has a step, and its accuracy counts no digits", x.ID)
	}
	// Quantities are kept as the file has them, not with its spelling of the unit.
	for _, q := range []*quantity.Quantity{&x.Figures.Noise, &x.Figures.Gauge, &x.Figures.Step} {
		if !q.IsZero() {
			q.Text = q.String()
		}
	}
}

// uncertainty reads a standard uncertainty, or a percentage of the reading.
func (x amounts) uncertainty(a *Amount) {
	if q, err := quantity.ParseFor(a.Text, quantity.Ratio); err == nil && x.dim != "" {
		if !above0(q.Value) {
			x.f.add(RuleOutOfRange, a.Pos, "write a quantity above 0", "%s is out of range", quote(a.Text))
			return
		}
		a.Quantity = q
		return
	}
	x.spread(a, "above 0", above0)
}

// checkInstruments checks all lists, and keeps those without a fault.
func (ld *loader) checkInstruments() {
	first := make(map[string]Pos)
	for _, file := range ld.tools {
		for _, x := range file.list {
			x.check(file.f)
			if at, twice := first[x.ID]; twice {
				file.f.add(RuleTakenIdentifier, x.Pos, "give each instrument its own", "instrument %s: the identifier is in use, in %s", quote(x.ID), at.File)
				continue
			}
			first[x.ID] = x.Pos
		}
		if len(file.f.list) == 0 {
			ld.lib.instruments = append(ld.lib.instruments, file.list...)
		}
	}
}

// Instruments returns the instruments of all lists that were loaded, in the order of
// their sources.
func (l *Library) Instruments() []*Instrument { return append([]*Instrument(nil), l.instruments...) }

// instrumentsName is the embedded list.
const instrumentsName = "packs/instruments.yaml"

// EmbeddedInstruments is the source of the instruments that come with the program.
func EmbeddedInstruments() (Source, error) {
	data, err := embedded.ReadFile(instrumentsName)
	if err != nil {
		return Source{}, fmt.Errorf("the instruments inside the program cannot be read: %w; get the program anew", err)
	}
	return Source{Name: instrumentsName, Data: data}, nil
}
