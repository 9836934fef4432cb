package session

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"narrows/knowledge"
	"narrows/session/journal"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// instrumentUsed is an instrument taken for all later readings of its quantity, with
// its whole figures, so that the record stands alone; without an ID it is the checks'
// own figures again.
type instrumentUsed struct {
	Quantity quantity.Dimension `json:"quantity"`
	ID       string             `json:"id,omitempty"`
	Title    string             `json:"title,omitempty"`
	Figures  measure.Figures    `json:"figures,omitzero"`
	Source   string             `json:"source,omitempty"`
	Note     string             `json:"note,omitempty"`
}

// Equip hands the instruments over that using can choose from; those that were chosen
// before need none.
func (c *Case) Equip(kit []*knowledge.Instrument) { c.kit = kit }

func (f *folder) onInstrument(e journal.Entry) error {
	var p instrumentUsed
	if err := json.Unmarshal(e.Payload, &p); err != nil {
		return err
	}
	if p.ID == "" {
		delete(f.s.using, p.Quantity)
	} else {
		f.s.using[p.Quantity] = p
	}
	return nil
}

func (c *Case) instrumentWords(p instrumentUsed) string {
	if p.ID == "" {
		return fmt.Sprintf("readings of %s as the checks assume", p.Quantity)
	}
	return fmt.Sprintf("readings of %s with the %s (%s)", p.Quantity, lower(p.Title), p.Figures)
}

// chosen is the instrument that readings of a use are taken with, or nil for the
// check's own figure.
func (c *Case) chosen(use knowledge.ReadingUse) *instrumentUsed {
	if x, ok := c.s.using[use.Quantity]; ok {
		return &x
	}
	return nil
}

// taken is the raw reading with its instrument's uncertainty, in the unit of the use.
func (r *pendingReading) taken(use knowledge.ReadingUse) (measure.Reading, error) {
	noise, err := quantity.New(use.Uncertainty, use.Unit.Difference())
	if err != nil {
		return measure.Reading{}, err
	}
	in, raw := measure.Instrument{Noise: noise}, r.raw
	if r.with != nil {
		// In the check's unit, so that figures by percentage and digits are the same
		// whatever was typed.
		if raw, err = r.raw.To(use.Unit); err != nil {
			return measure.Reading{}, err
		}
		if in, err = r.with.Figures.Instrument(r.with.Title, use.Unit); err != nil {
			return measure.Reading{}, err
		}
	}
	out, err := measure.Take(in, raw)
	if err != nil {
		return measure.Reading{}, err
	}
	return out.In(use.Unit)
}

// air is the name under which readings referred to sea level share the air's doubt.
const air = "air"

// foreseeing is what a further reading with the instrument in use adds to what was
// read so far: own is the uncertainty so far that it has nothing to do with, common
// what both share and no repeating removes, next its own.
func (c *Case) foreseeing(use knowledge.ReadingUse, so soFar) (own, common, next float64) {
	x := c.chosen(use)
	if x == nil {
		own, common = so.reading().Parted(air)
		return own, common, use.Uncertainty
	}
	own, common = so.reading().Parted(x.Title, air)
	_, before := so.reading().Parted(x.Title)
	one, err := c.oneWith(x, use, so.Value)
	if err != nil {
		return own, common, use.Uncertainty
	}
	next, gauge := one.Parted(x.Title)
	if before == 0 { // its gauge has had no part in it yet
		next = math.Hypot(next, gauge)
	}
	return own, common, next
}

// oneWith is one reading of a value with an instrument.
func (c *Case) oneWith(x *instrumentUsed, use knowledge.ReadingUse, value float64) (measure.Reading, error) {
	in, err := x.Figures.Instrument(x.Title, use.Unit)
	if err != nil {
		return measure.Reading{}, err
	}
	return in.At(value, use.Unit)
}

// assumedWords says which instrument a reading is weighed with.
func (c *Case) assumedWords(action int, use knowledge.ReadingUse) string {
	about := c.b.about[action]
	if about.finer != "" {
		return "Instrument: " + lower(c.meansTitle(about.finer)) + c.uncertain(about.again, use.Unit)
	}
	x := c.chosen(use)
	if x == nil {
		return "Instrument: as the check assumes" + c.uncertain(use.Uncertainty, use.Unit)
	}
	middle := use.Model.Else.Mean
	one, err := c.oneWith(x, use, middle)
	if err != nil {
		return "Instrument: " + lower(x.Title)
	}
	s := strings.TrimSuffix(c.uncertain(one.U, use.Unit), ")")
	if x.Figures.Percent > 0 || x.Figures.Noise.Unit.Dimension() == quantity.Ratio || x.Figures.Gauge.Unit.Dimension() == quantity.Ratio {
		s += " at " + c.inWords(middle, use.Unit, 3)
	}
	s = "Instrument: " + lower(x.Title) + s + ")"
	if one.U > coarse*use.Uncertainty {
		s += "; the check assumes " + c.inWords(use.Uncertainty, use.Unit.Difference(), 2) + ", is it the right one for it? using takes another"
	}
	return s
}

// coarse is how many times as uncertain as a check assumes an instrument is that was
// hardly meant for it: a compression gauge for a vacuum. Judgement.
const coarse = 3

// quantitiesRead are those that checks of the pack read, in the order of package
// quantity.
func (c *Case) quantitiesRead() []quantity.Dimension {
	return slices.DeleteFunc(quantity.Dimensions(), func(d quantity.Dimension) bool {
		return !slices.ContainsFunc(c.b.e.Pack().Checks, func(k *knowledge.Check) bool { return k.Reading != nil && k.Reading.In.Dimension() == d })
	})
}

// kitHere are the instruments for what checks of the pack read.
func (c *Case) kitHere() []*knowledge.Instrument {
	here := c.quantitiesRead()
	var out []*knowledge.Instrument
	for _, d := range here {
		for _, x := range c.kit {
			if x.Of == d {
				out = append(out, x)
			}
		}
	}
	return out
}

func (c *Case) kitNames(kit []*knowledge.Instrument) []named {
	var ns []named
	for _, x := range kit {
		ns = append(ns, named{x.ID, x.Title})
	}
	return ns
}

// doUsing takes an instrument for all later readings of its quantity.
func (c *Case) doUsing(ctx context.Context, words string) (View, error) {
	if words == "" {
		return c.usingView(), nil
	}
	name, of := words, ""
	if i := strings.LastIndex(strings.ToLower(words), " for "); i >= 0 {
		name, of = words[:i], words[i+len(" for "):]
	}
	switch strings.ToLower(name) {
	case "nothing", "none", "no instrument", "plain":
		return c.usingNothing(ctx, of)
	}
	kit := c.kitHere()
	found := choose(name, c.kitNames(kit))
	if of != "" {
		found = slices.DeleteFunc(found, func(i int) bool { return !strings.EqualFold(string(kit[i].Of), strings.ReplaceAll(of, "_", " ")) })
	}
	if len(found) != 1 {
		if c.s.complaint == nil && len(found) == 0 {
			return c.doComplaint(ctx, "using "+words) // the owner's words may begin so
		}
		v := c.wrong("No one instrument fits %q.", words)
		for i, x := range kit {
			if len(found) == 0 || slices.Contains(found, i) {
				v.Text = append(v.Text, kitLine(x))
			}
		}
		v.Hint = "using NAME takes one of them; narrows instruments add makes your own known"
		return v, nil
	}
	x := kit[found[0]]
	p := instrumentUsed{Quantity: x.Of, ID: x.ID, Title: x.Title, Figures: x.Figures, Source: x.Source, Note: x.Note}
	if c.s.using[p.Quantity] == p {
		return c.wrong("It is in use already: %s.", lower(x.Title)), nil
	}
	return c.use(ctx, p)
}

func (c *Case) use(ctx context.Context, p instrumentUsed) (View, error) {
	if err := c.record(ctx, kindInstrument, p); err != nil {
		return View{}, err
	}
	v, err := c.here(ctx)
	v.Text = append([]string{"From now on " + c.instrumentWords(p) + "."}, v.Text...)
	return v, err
}

// usingNothing goes back to the checks' own figures for a quantity.
func (c *Case) usingNothing(ctx context.Context, of string) (View, error) {
	var in []quantity.Dimension
	for _, d := range quantity.Dimensions() {
		if _, ok := c.s.using[d]; ok {
			in = append(in, d)
		}
	}
	switch {
	case len(in) == 0:
		return c.wrong("No instrument is in use; readings are weighed as the checks assume."), nil
	case of == "" && len(in) > 1:
		return c.wrong("For which quantity? For instance: using nothing for %s.", in[0]), nil
	case of == "":
		return c.use(ctx, instrumentUsed{Quantity: in[0]})
	}
	d, err := quantity.ParseDimension(of)
	if err != nil {
		return c.wrong("%s.", strings.TrimSuffix(capital(err.Error()), ".")), nil
	}
	if !slices.Contains(in, d) {
		return c.wrong("No instrument is in use for %s.", d), nil
	}
	return c.use(ctx, instrumentUsed{Quantity: d})
}

// usingView lists what is in use and what there is.
func (c *Case) usingView() View {
	v := View{Kind: "using", Hint: "using NAME takes one for all later readings of its quantity; using nothing for QUANTITY goes back to the check's own figure"}
	for _, d := range c.quantitiesRead() {
		if x, ok := c.s.using[d]; ok {
			v.Text = append(v.Text, fmt.Sprintf("%s: %s (%s)", capital(string(d)), lower(x.Title), x.Figures))
		} else {
			v.Text = append(v.Text, capital(string(d))+": as each check assumes")
		}
	}
	if kit := c.kitHere(); len(kit) > 0 {
		v.Text = append(v.Text, "There is:")
		for _, x := range kit {
			v.Text = append(v.Text, "  "+kitLine(x))
		}
	}
	return v
}

func kitLine(x *knowledge.Instrument) string {
	return fmt.Sprintf("%s, for %s (%s)", lower(x.Title), x.Of, x.Figures)
}
