package picture

import "io"

// Reading is one reading against its limits.
type Reading struct {
	Title   string
	Unit    string // symbol; empty for a bare number
	Verdict string // what the reading proves, in words; may be empty
	Point
	Limits
}

// Check says everything for which the reading cannot be drawn, joined; nil if
// nothing.
func (r Reading) Check() error {
	return titled(r.Title, r.Point.check("the reading"), r.Limits.check())
}

// tidied is the reading with texts and limits made fit.
func (r Reading) tidied(clean func(string) string) Reading {
	r.Title, r.Unit, r.Verdict, r.Label = clean(r.Title), clean(r.Unit), clean(r.Verdict), clean(r.Label)
	r.Limits = r.Limits.tidied(clean)
	return r
}

func (l Limits) tidied(clean func(string) string) Limits {
	l = l.plain()
	l.LowestLabel, l.HighestLabel = clean(l.LowestLabel), clean(l.HighestLabel)
	return l
}

func (r Reading) axis(n, pad, gap int) axis {
	return framed([]Point{r.Point}, r.Limits, n, pad, gap)
}

// sentences says what is seen.
func (r Reading) sentences(a axis) []sentence {
	s := r.Point.words(r.Unit)
	if r.Limits.any() {
		s += ", " + r.Limits.place(r.Value)
	}
	k := a.markOf(r.Value, leftKey, rightKey)
	if a.beyond(r.Value) != 0 {
		s += "; too far off to be drawn to scale"
	}
	all := []sentence{{key: k, text: s}}
	if r.U > 0 {
		from, to := r.reach()
		all = append(all, sentence{key: whiskerKey, text: written(from, "", r.Unit) + " to " + written(to, "", r.Unit) + ", two standard uncertainties either way"})
	}
	if r.Limits.any() {
		return append(all, sentence{key: zoneKey, text: "tolerated: " + r.Limits.words(r.Unit)})
	}
	return append(all, sentence{text: "no limit is given"})
}

// Text is the picture in lines of at most width columns, a monospaced type
// assumed; width is taken as at least Narrowest and at most Widest. With ascii
// all is ASCII, and letters that have no spelling in it become question marks. A
// reading that does not pass Check gives what is wrong, in words.
func (r Reading) Text(width int, ascii bool) []string {
	p := newPen(width, ascii)
	if err := r.Check(); err != nil {
		return p.refused(err)
	}
	r = r.tidied(p.clean)
	a := r.axis(p.width, 1, 1)
	p.title(r.Title, r.Unit)
	p.text(r.Verdict, 0)
	p.line("")
	p.line(above(a.at(r.Value), a.n, p.shorten(r.Point.words(r.Unit), p.width)))
	g := newGrid(1, a.n)
	p.limitLines(g[0], a)
	p.reading(g[0], a, r.Point)
	p.line(g.String(0))
	if r.Limits.any() {
		p.line(p.zoneRow(a, r.Unit))
	}
	line, numbers := p.scale(a)
	p.line(line)
	p.line(numbers)
	p.sentences(r.sentences(a))
	return p.lines
}

// above is a text centred on a cell of a row of n cells.
func above(cell, n int, s string) string {
	w := columns(s)
	return spaces(max(min(cell-(w-1)/2, n-w), 0)) + s
}

// SVG writes the picture as a document of its own. A reading that does not pass
// Check is an error, and so is what w fails with.
func (r Reading) SVG(w io.Writer) error {
	if err := r.Check(); err != nil {
		return err
	}
	r = r.tidied(tidy)
	c := newCanvas()
	a := r.axis(svgWidth-2*svgMargin, 14, 4)
	y := c.heading(r.Title, r.Verdict)
	top := y + 22
	bottom := top + 56
	c.zone(svgMargin, top, bottom, a)
	c.limitLabels(svgMargin, top-6, a, r.Unit)
	c.across(svgMargin, top+36, a, r.Point)
	c.label(svgMargin+a.at(r.Value), top+20, c.cells.shorten(r.Point.words(r.Unit), 60))
	c.scale(svgMargin, bottom, a, 8)
	all := r.sentences(a)
	y = c.sentences(bottom+44, all)
	return c.finish(w, y, r.Title, r.Verdict, all)
}
