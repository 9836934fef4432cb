package session

import (
	"context"
	"io"
	"slices"
	"strings"

	"narrows/knowledge"
	"narrows/session/picture"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// PictureView is what a check has read, to be drawn against its limits; the
// positions side by side where there are several.
type PictureView struct {
	Check   string      `json:"check,omitempty"`
	Title   string      `json:"title"`
	Unit    string      `json:"unit"`
	Verdict string      `json:"verdict,omitempty"`
	Points  []PointView `json:"points"`
	Lowest  *float64    `json:"lowest,omitempty"`
	Highest *float64    `json:"highest,omitempty"`
	Timed   bool        `json:"timed,omitempty"` // one thing read over time, not positions side by side
	Marks   []MarkView  `json:"marks,omitempty"` // of a timed one
}

// PointView is a reading, or what several of the same thing say together.
type PointView struct {
	Name    string  `json:"name"` // of the position; empty for the engine
	Place   string  `json:"place,omitempty"`
	Value   float64 `json:"value"`
	U       float64 `json:"u"` // standard uncertainty
	Label   string  `json:"label"`
	Seconds float64 `json:"seconds,omitempty"` // of a timed picture: since the first value
}

// drawn is the picture.
func (p PictureView) drawn() interface {
	Text(width int, ascii bool) []string
	SVG(w io.Writer) error
} {
	if p.Timed {
		return p.timeDrawn()
	}
	limits := picture.Limits{Lowest: p.Lowest, Highest: p.Highest}
	if len(p.Points) == 1 && p.Points[0].Name == "" {
		x := p.Points[0]
		return picture.Reading{Title: p.Title, Unit: p.Unit, Verdict: p.Verdict, Point: picture.Point{Value: x.Value, U: x.U, Label: x.Label}, Limits: limits}
	}
	s := picture.Siblings{Title: p.Title, Unit: p.Unit, Verdict: p.Verdict, Limits: limits}
	for _, x := range p.Points {
		s.Positions = append(s.Positions, picture.Position{Name: x.Name, Point: picture.Point{Value: x.Value, U: x.U, Label: x.Label}})
	}
	return s
}

// Lines draws the picture in characters, in lines of at most so many columns.
func (p PictureView) Lines(width int, ascii bool) []string { return p.drawn().Text(width, ascii) }

// SVG writes the picture as a drawing that stands alone.
func (p PictureView) SVG(w io.Writer) error { return p.drawn().SVG(w) }

// doReadings draws what was read, of one check or of all.
func (c *Case) doReadings(_ context.Context, words string) (View, error) {
	v := View{Kind: "readings", Pictures: c.Pictures()}
	if len(v.Pictures) == 0 {
		return View{Kind: "readings", Text: []string{"Nothing has been read yet."}, Hint: "check NAME begins a check"}, nil
	}
	if words != "" {
		var ns []named
		for _, p := range v.Pictures {
			if n := (named{p.Check, c.checkTitle(p.Check)}); !slices.Contains(ns, n) {
				ns = append(ns, n)
			}
		}
		found := choose(words, ns)
		if len(found) == 0 {
			v := c.wrong("Nothing was read by %q.", words)
			for _, n := range ns {
				v.Text = append(v.Text, n.title)
			}
			return v, nil
		}
		v.Pictures = slices.DeleteFunc(v.Pictures, func(p PictureView) bool {
			return !slices.ContainsFunc(found, func(i int) bool { return ns[i].id == p.Check })
		})
	}
	v.Hint = "readings NAME shows one of them; check NAME reads anew"
	return v, nil
}

// Pictures are those of all checks that have read something, the latest at every
// position.
func (c *Case) Pictures() []PictureView {
	var out []PictureView
	for _, def := range c.b.e.Pack().Checks {
		if p, ok := c.picture(def); ok {
			out = append(out, p)
		}
		out = append(out, c.series(def)...)
	}
	return out
}

func (c *Case) picture(def *knowledge.Check) (p PictureView, ok bool) {
	p.Check, p.Title = def.ID, def.Title
	var states []measure.State
	by := make(map[measure.State][]string) // names of positions
	for _, u := range c.b.e.ChecksOf(def.ID) {
		use, reads := c.b.e.Reading(u)
		so, read := c.s.latest[checkAt{def.ID, placeKey(u.Place)}]
		if !reads || !read {
			continue
		}
		unit := c.shownIn(use.Unit)
		e, err := so.Estimate.In(unit)
		if err != nil {
			unit, e = use.Unit, so.Estimate
		}
		p.Unit = unit.Symbol()
		x := PointView{Place: placeKey(u.Place), Value: e.Value, U: e.U, Label: quantity.Format(e.Value, unit, 4)}
		if u.Place != (knowledge.Place{}) {
			x.Name = c.b.e.PlaceTitle(u.Place)
		}
		p.Points = append(p.Points, x)
		if use.Limit == nil {
			continue
		}
		if lowest, highest, err := use.Limit.Bounds(unit); err == nil {
			b := picture.Between(lowest, highest)
			p.Lowest, p.Highest = b.Lowest, b.Highest
		}
		if v, err := houseRule().Judge(so.Estimate, *use.Limit); err == nil {
			states = append(states, v.State)
			by[v.State] = append(by[v.State], x.Name)
		}
	}
	p.Verdict = verdict(states, by)
	return p, len(p.Points) > 0
}

// verdict says how the positions stand; where all stand alike, once.
func verdict(states []measure.State, by map[measure.State][]string) string {
	if len(by) == 1 {
		if len(states) > 1 {
			return "all: " + states[0].String()
		}
		return states[0].String()
	}
	var parts []string
	for _, s := range []measure.State{measure.DoesNotConform, measure.TooClose} {
		if names := by[s]; len(names) > 0 {
			parts = append(parts, strings.Join(names, ", ")+": "+s.String())
		}
	}
	return strings.Join(parts, "; ")
}
