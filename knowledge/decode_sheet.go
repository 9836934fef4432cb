package knowledge

import "gopkg.in/yaml.v3"

// sheet reads a whole sheet.
func (d *decoder) sheet(root *yaml.Node) *Sheet {
	s := &Sheet{}
	s.Pos = d.pos(root)
	d.object(root, root, "the sheet", append(d.head(&s.Entry, "sheet"),
		must("pack", d.ref(&s.Pack)),
		may("units", func(n *yaml.Node) {
			d.entries(n, "units as a mapping from quantity to unit", func(k, v *yaml.Node) {
				u := UnitChoice{Quantity: d.keyRef(k)}
				d.ref(&u.Unit)(v)
				s.Units = append(s.Units, u)
			})
		}),
		may("limits", d.section("limits", func(k, v *yaml.Node) { s.Limits = append(s.Limits, d.limit(k, v)) })),
		may("fitted", d.section("fitted", func(k, v *yaml.Node) { s.Fitted = append(s.Fitted, d.fitted(k, v)) })),
	)...)
	return s
}

func (d *decoder) limit(k, v *yaml.Node) *Limit {
	l := &Limit{Entry: Entry{ID: k.Value, Pos: d.pos(k)}}
	d.object(k, v, "limit "+k.Value,
		must("quantity", d.ref(&l.Quantity)),
		may("siblings", d.ref(&l.Siblings)),
		may("title", d.text(&l.Title)),
		may("min", d.amount(&l.Min)),
		may("max", d.amount(&l.Max)),
		may("range", d.span(l)),
		may("nominal", d.amount(&l.Nominal)),
		may("tolerance", d.amount(&l.Tolerance)),
		may("source", d.text(&l.Source)),
		may("page", d.text(&l.Page)),
		may("note", d.text(&l.Note)))
	if v.Kind != yaml.MappingNode {
		return l
	}
	bounded, nominal := l.Min.given() || l.Max.given(), l.Nominal.given()
	switch {
	case bounded && (nominal || l.Tolerance.given()):
		d.bad(k, RuleBadLimit, "give min and max, or nominal with tolerance", "limit %s has both bounds and a nominal value", k.Value)
	case l.Tolerance.given() != nominal:
		d.bad(k, RuleBadLimit, "give both", "limit %s has one of nominal and tolerance without the other", k.Value)
	case nominal && l.Siblings.ID != "":
		d.bad(k, RuleBadLimit, "give min or max", "limit %s compares siblings and has a nominal value", k.Value)
	case !bounded && !nominal:
		d.bad(k, RuleBadLimit, "give min, max, both, or nominal with tolerance", "limit %s bounds nothing", k.Value)
	}
	return l
}

// given reports whether the amount stands in the file, readable or not.
func (a Amount) given() bool { return a.Pos.Line > 0 }

// span reads min and max in one list of two.
func (d *decoder) span(l *Limit) setter {
	return func(n *yaml.Node) {
		if n.Kind != yaml.SequenceNode || len(n.Content) != 2 {
			d.wrong(n, `lowest and highest in a list of two: ["10 V", "13 V"]`)
			return
		}
		if l.Min.given() || l.Max.given() {
			d.bad(n, RuleBadLimit, "keep one of the two", "limit %s has both a range and a bound", l.ID)
		}
		d.amount(&l.Min)(n.Content[0])
		d.amount(&l.Max)(n.Content[1])
	}
}

func (d *decoder) fitted(k, v *yaml.Node) *Fitted {
	f := &Fitted{}
	d.object(k, v, "fitted "+k.Value, append(d.entry(&f.Entry, k),
		may("at", d.ref(&f.At)),
		must("values", func(n *yaml.Node) {
			d.entries(n, `a mapping from place to value: {"1": "42"}`, func(mk, mv *yaml.Node) {
				fv := FittedValue{Pos: d.pos(mk), Member: d.memberName(mk)}
				d.text(&fv.Value)(mv)
				if fv.Member != "" {
					f.Values = append(f.Values, fv)
				}
			})
		}))...)
	return f
}
