package picture

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"
)

// Sizes of an SVG picture, in its units.
const (
	svgWidth  = 680
	svgMargin = 16
	svgLine   = 18 // height of a line of words
	// svgLetter is taken as the width of a letter of the small type; on the safe
	// side, since the reader's own type is not known.
	svgLetter = 7
)

// Colours; all marks and words have a contrast of at least 4.5 on white, and the
// ones that mean different things differ in brightness and in shape as well.
const (
	ink        = "#1a1a1a"
	soft       = "#5a5a5a"
	zoneFill   = "#dfe7ee"
	zoneBorder = "#44586b"
	insideInk  = "#2b6ca3"
	outsideInk = "#6b0f1a"
)

// canvas gathers the elements of an SVG picture.
type canvas struct {
	b     strings.Builder
	cells glyphs
	taken []box // by words
}

type box struct{ left, top, right, bottom int }

func newCanvas() *canvas { return &canvas{cells: lineGlyphs} }

func escaped(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(strings.ReplaceAll(s, hard, " "))) // a Builder does not fail
	return b.String()
}

func (c *canvas) line(x1, y1, x2, y2 int, colour string, width float64, dash string) {
	if dash != "" {
		dash = fmt.Sprintf(` stroke-dasharray="%s"`, dash)
	}
	fmt.Fprintf(&c.b, `<line x1="%d" y1="%d" x2="%d" y2="%d" stroke="%s" stroke-width="%.1f"%s/>`+"\n", x1, y1, x2, y2, colour, width, dash)
}

func (c *canvas) rect(x, y, w, h int, fill string) {
	fmt.Fprintf(&c.b, `<rect x="%d" y="%d" width="%d" height="%d" fill="%s"/>`+"\n", x, y, w, h, fill)
}

// words writes a text; anchor is start, middle or end.
func (c *canvas) words(x, y int, anchor, s string, size int, weight string) {
	fmt.Fprintf(&c.b, `<text x="%d" y="%d" text-anchor="%s" font-family="sans-serif" font-size="%d" font-weight="%s" fill="%s">%s</text>`+"\n",
		x, y, anchor, size, weight, ink, escaped(s))
}

// label writes a text centred on x if it meets no other label, moved into the
// picture if need be.
func (c *canvas) label(x, y int, s string) bool {
	half := (columns(s)*svgLetter + 1) / 2
	x = max(min(x, svgWidth-svgMargin-half), svgMargin+half)
	b := box{x - half, y - 11, x + half, y + 3}
	for _, t := range c.taken {
		if b.left < t.right && t.left < b.right && b.top < t.bottom && t.top < b.bottom {
			return false
		}
	}
	c.taken = append(c.taken, b)
	c.words(x, y, "middle", s, 12, "normal")
	return true
}

// mark draws a disc, a diamond or an arrow.
func (c *canvas) mark(x, y int, k key) {
	path := func(fill string, at ...int) {
		var b strings.Builder
		for i := 0; i < len(at); i += 2 {
			fmt.Fprintf(&b, " %d,%d", x+at[i], y+at[i+1])
		}
		fmt.Fprintf(&c.b, `<polygon points="%s" fill="%s" stroke="#ffffff" stroke-width="1.0"/>`+"\n", b.String()[1:], fill)
	}
	switch k {
	case insideKey:
		fmt.Fprintf(&c.b, `<circle cx="%d" cy="%d" r="6" fill="%s" stroke="#ffffff" stroke-width="1.0"/>`+"\n", x, y, insideInk)
	case outsideKey:
		path(outsideInk, 0, -8, 8, 0, 0, 8, -8, 0)
	case leftKey:
		path(ink, -1, 0, 11, -7, 11, 7)
	case rightKey:
		path(ink, 1, 0, -11, -7, -11, 7)
	case upKey:
		path(ink, 0, -1, -7, 11, 7, 11)
	case downKey:
		path(ink, 0, 1, -7, -11, 7, -11)
	}
}

// tip is where the tip of an arrow lies, seen from its middle.
func (k key) tip() (dx, dy int) {
	switch k {
	case leftKey:
		return -1, 0
	case rightKey:
		return 1, 0
	case upKey:
		return 0, -1
	case downKey:
		return 0, 1
	}
	return 0, 0
}

// across draws a reading along a horizontal axis that begins at x.
func (c *canvas) across(x, y int, a axis, p Point) {
	if a.whiskered(p) {
		first, last := a.whisker(p)
		from, to := p.reach()
		c.line(x+first, y, x+last, y, ink, 1.5, "")
		c.end(x+first, y, a.beyond(from) < 0, leftKey)
		c.end(x+last, y, a.beyond(to) > 0, rightKey)
	}
	c.mark(x+a.at(p.Value), y, a.markOf(p.Value, leftKey, rightKey))
}

// end draws the end of a whisker that lies along a horizontal axis.
func (c *canvas) end(x, y int, beyond bool, arrow key) {
	if beyond {
		c.mark(x, y, arrow)
		return
	}
	c.line(x, y-5, x, y+5, ink, 1.5, "")
}

// zone draws what is tolerated on a horizontal axis that begins at x.
func (c *canvas) zone(x, top, bottom int, a axis) {
	if !a.limits.any() {
		return
	}
	first, last := a.zone()
	c.rect(x+first, top, max(last-first, 1), bottom-top, zoneFill)
	for _, v := range a.limits.values() {
		c.line(x+a.raw(v), top, x+a.raw(v), bottom, zoneBorder, 2, "6 3")
	}
}

// limitLabels writes the limits above their borders. Where both do not fit, the
// one that is left out stands in the words below all the same.
func (c *canvas) limitLabels(x, y int, a axis, unit string) {
	if a.limits.Lowest != nil {
		c.label(x+a.raw(*a.limits.Lowest), y, a.limits.lowest(unit))
	}
	if a.limits.Highest != nil {
		c.label(x+a.raw(*a.limits.Highest), y, a.limits.highest(unit))
	}
}

// scale draws a horizontal axis that begins at x, numbers below it.
func (c *canvas) scale(x, y int, a axis, want int) {
	c.line(x, y, x+a.n-1, y, soft, 1, "")
	for _, t := range ticks(a.lo, a.hi, want) {
		at := x + a.raw(t.value)
		c.line(at, y, at, y+5, soft, 1, "")
		c.label(at, y+18, t.label)
	}
}

// sentences writes what stands below the picture and returns where it ends.
func (c *canvas) sentences(y int, all []sentence) int {
	for _, s := range all {
		x := svgMargin + 26
		middle := y - 4
		switch s.key {
		case plainKey:
			x = svgMargin
		case whiskerKey:
			c.line(svgMargin, middle, svgMargin+18, middle, ink, 1.5, "")
			c.end(svgMargin, middle, false, leftKey)
			c.end(svgMargin+18, middle, false, rightKey)
		case uprightKey:
			c.line(svgMargin+9, middle-6, svgMargin+9, middle+6, ink, 1.5, "")
			c.upEnd(svgMargin+9, middle-6, false, upKey)
			c.upEnd(svgMargin+9, middle+6, false, downKey)
		case zoneKey:
			c.rect(svgMargin, middle-6, 18, 12, zoneFill)
			c.line(svgMargin, middle-6, svgMargin, middle+6, zoneBorder, 2, "6 3")
		case waitKey:
			c.words(svgMargin+9, y, "middle", s.name, 12, "bold")
		default:
			dx, dy := s.key.tip()
			c.mark(svgMargin+9+6*dx, middle+6*dy, s.key)
		}
		for _, l := range wrapped(s.text, (svgWidth-svgMargin-x)/svgLetter, 0) {
			c.words(x, y, "start", l, 12, "normal")
			y += svgLine
		}
	}
	return y
}

// heading writes title and verdict and returns where the picture may begin.
func (c *canvas) heading(title, verdict string) int {
	y := 26
	if title != "" {
		c.words(svgMargin, y, "start", c.cells.shorten(title, (svgWidth-2*svgMargin)/9), 16, "bold")
		y += 20
	}
	for _, l := range wrapped(verdict, (svgWidth-2*svgMargin)/svgLetter, 0) {
		c.words(svgMargin, y, "start", l, 13, "normal")
		y += svgLine
	}
	return y
}

// finish writes the picture as a document of its own.
func (c *canvas) finish(w io.Writer, height int, title, verdict string, all []sentence) error {
	if title == "" {
		title = all[0].text
	}
	said := make([]string, 0, len(all)+1)
	for _, s := range all {
		if s.key == waitKey {
			s.text = s.name + ": " + s.text
		}
		said = append(said, s.text)
	}
	if verdict != "" {
		said = append(said, "Verdict: "+verdict)
	}
	_, err := fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img">
<title>%s</title>
<desc>%s.</desc>
<rect x="0" y="0" width="%d" height="%d" fill="#ffffff"/>
%s</svg>
`, svgWidth, height, escaped(title), escaped(strings.Join(said, ". ")), svgWidth, height, c.b.String())
	return err
}

// svgAxis is a horizontal axis of so many units.
func svgAxis(lo, hi float64, n int, l Limits) axis {
	return axis{lo: lo, hi: hi, n: n, pad: 14, gap: 4, limits: l}
}
