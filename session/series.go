package session

import (
	"cmp"
	"slices"
	"time"

	"narrows/knowledge"
	"narrows/session/picture"
	"narrows/symptoms/quantity"
)

// MarkView is a moment of a series at which something began or ended.
type MarkView struct {
	Seconds float64 `json:"seconds"` // since the first value
	Label   string  `json:"label"`
}

// series are the pictures of what a timed check has read over time: one for every
// position and every kind of value that was read more than once.
func (c *Case) series(def *knowledge.Check) []PictureView {
	var out []PictureView
	for key, u := range c.s.under {
		if key.check != def.ID {
			continue
		}
		for _, place := range u.places() {
			for _, unit := range u.units(place) {
				if p, ok := c.timeline(def, u, place, unit); ok {
					out = append(out, p)
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b PictureView) int {
		return slices.Compare([]string{a.Title, a.Unit}, []string{b.Title, b.Unit})
	})
	return out
}

// places are those at which something was read, in order.
func (u *underway) places() []string {
	var out []string
	for at := range u.values {
		out = append(out, at.place)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// units are those of the values read at a place, in order.
func (u *underway) units(place string) []string {
	var out []string
	for at, t := range u.values {
		if at.place == place && t.Typed != noMark {
			out = append(out, t.Unit)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// timeline draws the values of one unit at one place; ok is false if there are fewer
// than two of them, or no wait among them.
func (c *Case) timeline(def *knowledge.Check, u *underway, place, unit string) (p PictureView, ok bool) {
	in, err := quantity.ParseUnit(unit)
	if err != nil {
		return p, false
	}
	p = PictureView{Check: def.ID, Title: def.Title, Unit: in.Symbol(), Timed: true}
	if place != "" {
		p.Title += ", " + c.b.e.PlaceTitle(placeOf(place))
	}
	var first time.Time
	since := func(t time.Time) float64 { return t.Sub(first).Round(time.Second).Seconds() }
	for i, s := range def.Steps {
		t := u.values[valueAt{i, place}]
		switch {
		case t != nil && t.Unit == unit && t.Typed != noMark:
			if first.IsZero() {
				first = t.at
			}
			p.Points = append(p.Points, PointView{Place: place, Value: t.Value, U: t.Uncertainty, Seconds: since(t.at), Label: quantity.Format(t.Value, in, 3)})
		case s.Wait > 0 && !first.IsZero():
			w, begun := u.wait(i)
			if !begun {
				continue
			}
			p.Marks = append(p.Marks, MarkView{since(w.at), s.Text + ": begun"})
			if !w.early {
				p.Marks = append(p.Marks, MarkView{since(w.at.Add(s.Wait)), s.Text + ": " + span(s.Wait) + " over"})
			}
		}
	}
	// A clock may be set back, and a picture of that would mislead.
	rising := slices.IsSortedFunc(p.Points, func(a, b PointView) int { return cmp.Compare(a.Seconds, b.Seconds) })
	return p, len(p.Points) > 1 && len(p.Marks) > 0 && rising
}

// timeDrawn is the picture of a series.
func (p PictureView) timeDrawn() picture.Series {
	s := picture.Series{Title: p.Title, Unit: p.Unit, Verdict: p.Verdict}
	for _, x := range p.Points {
		s.Moments = append(s.Moments, picture.Moment{Seconds: x.Seconds, Point: picture.Point{Value: x.Value, U: x.U, Label: x.Label}})
	}
	for _, m := range p.Marks {
		s.Waits = append(s.Waits, picture.Wait{Seconds: m.Seconds, Label: m.Label})
	}
	return s
}
