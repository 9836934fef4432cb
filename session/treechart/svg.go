package treechart

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"
)

// Caption is what stands over the pages.
type Caption struct {
	Engine string
	Case   string // the case whose beliefs colour the tree; empty: as known before any case
}

// ramp are the fills of beliefs from faint to strong, one hue from light to middle, told
// apart by lightness alone, with black text on them.
var ramp = []struct {
	below float64
	fill  string
	words string
}{
	{0.01, "#ffffff", "under 1 %"},
	{0.05, "#eaf2f6", "1 to 5 %"},
	{0.20, "#cbe0ea", "5 to 20 %"},
	{0.50, "#9fc7da", "20 to 50 %"},
	{2, "#6fabc8", "50 % and more"},
}

func shade(p float64) string {
	for _, r := range ramp {
		if p < r.below {
			return r.fill
		}
	}
	return ramp[len(ramp)-1].fill
}

// SVG writes the pages of a tree one below the other, each an A4 sheet across.
func SVG(w io.Writer, top *Node, c Caption) error {
	pages := lay(top)
	d := &drawer{caption: c, title: top.Title, pages: len(pages)}
	height := pageHeight * float64(len(pages))
	d.printf(`<svg xmlns="http://www.w3.org/2000/svg" width="%gmm" height="%gmm" viewBox="0 0 %g %g" font-family="Helvetica, Arial, sans-serif" font-size="%g" role="img">`+"\n",
		pageWidth, height, pageWidth, height, font)
	d.printf("<title>%s</title>\n<desc>%s</desc>\n", esc("Fault tree: "+top.Title), esc(d.subtitle()))
	d.printf(`<rect width="%g" height="%g" fill="#ffffff"/>`+"\n", pageWidth, height)
	for _, p := range pages {
		d.page(p)
	}
	d.printf("</svg>\n")
	_, err := w.Write(d.buf.Bytes())
	return err
}

type drawer struct {
	buf     bytes.Buffer
	caption Caption
	title   string
	pages   int
}

func (d *drawer) printf(format string, args ...any) { fmt.Fprintf(&d.buf, format, args...) }

func esc(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s))
	return b.String()
}

func (d *drawer) subtitle() string {
	if d.caption.Case != "" {
		return d.caption.Engine + ", case " + d.caption.Case + ": probabilities by what was found"
	}
	return d.caption.Engine + ": probabilities before anything is known of an engine"
}

func (d *drawer) text(x, y float64, anchor, style, s string) {
	d.printf(`<text x="%.2f" y="%.2f" text-anchor="%s"%s>%s</text>`+"\n", x, y, anchor, style, esc(s))
}

func (d *drawer) page(p *page) {
	d.printf(`<g transform="translate(0 %g)">`+"\n", pageHeight*float64(p.number-1))
	if p.number > 1 {
		d.printf(`<line x1="0" y1="0" x2="%g" y2="0" stroke="#bbbbbb" stroke-width="0.2" stroke-dasharray="2 2"/>`+"\n", pageWidth)
	}
	d.text(margin, margin+3.5, "start", ` font-size="4.2" font-weight="bold"`, cut(d.title, 95))
	d.text(margin, margin+8, "start", "", d.subtitle())
	d.text(pageWidth-margin, margin+3.5, "end", "", fmt.Sprintf("page %d of %d", p.number, d.pages))
	for _, b := range p.blocks {
		if b.from != "" {
			d.text(b.root.x+b.root.w/2+1.5, b.root.y+3, "start", ` font-weight="bold"`, b.name)
			d.text(b.root.x+b.root.w/2+1.5, b.root.y+6.2, "start", "", "from "+b.from)
		}
		b.root.each(d.lines)
		b.root.each(d.box)
	}
	d.legend()
	d.printf("</g>\n")
}

// legend explains the figures, and the fills where beliefs are drawn.
func (d *drawer) legend() {
	y := pageHeight - margin + 3
	d.text(margin, y, "start", "", "On a line: the chance that the event below works through. Triangle: goes on there. Diamond: not developed.")
	if d.caption.Case == "" {
		return
	}
	x := pageWidth - margin - 24*float64(len(ramp))
	for _, r := range ramp {
		d.printf(`<rect x="%.2f" y="%.2f" width="3" height="2.6" fill="%s" stroke="#000000" stroke-width="0.15"/>`+"\n", x, y-2.2, r.fill)
		d.text(x+4, y, "start", "", r.words)
		x += 24
	}
}

func cut(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}

// lines draws the gate below a box and the lines to its inputs.
func (d *drawer) lines(b *box) {
	if len(b.children) == 0 {
		return
	}
	bottom := b.y + b.h
	foot := bottom + 1.5 + symbol
	bar := b.children[0].y - 5
	d.line(b.x, bottom, b.x, bottom+1.5)
	d.line(b.x, foot, b.x, bar)
	d.line(b.children[0].x, bar, b.children[len(b.children)-1].x, bar)
	for _, c := range b.children {
		d.line(c.x, bar, c.x, c.y)
		label := ""
		switch {
		case c.node.Absent:
			label = "absent"
		case c.node.Strength > 0:
			label = percent(c.node.Strength)
		}
		if label != "" {
			d.text(c.x+0.8, c.y-1.2, "start", "", label)
		}
	}
}

func (d *drawer) line(x1, y1, x2, y2 float64) {
	d.printf(`<line x1="%.2f" y1="%.2f" x2="%.2f" y2="%.2f" stroke="#000000" stroke-width="0.3"/>`+"\n", x1, y1, x2, y2)
}

// box draws an event and the symbol below it.
func (d *drawer) box(b *box) {
	fill := "#ffffff"
	if d.caption.Case != "" {
		fill = shade(b.node.P)
	}
	d.printf(`<rect x="%.2f" y="%.2f" width="%.2f" height="%.2f" fill="%s" stroke="#000000" stroke-width="0.3"/>`+"\n", b.x-b.w/2, b.y, b.w, b.h, fill)
	y := b.y + lineHeight
	for _, l := range b.lines {
		d.text(b.x, y, "middle", "", l)
		y += lineHeight
	}
	d.text(b.x, y, "middle", ` font-weight="bold"`, percent(b.node.P))
	top := b.y + b.h + 1.5
	switch {
	case b.to != nil:
		d.line(b.x, b.y+b.h, b.x, top)
		d.printf(`<path d="M %.2f %.2f l 4.5 7 l -9 0 z" fill="#ffffff" stroke="#000000" stroke-width="0.3"/>`+"\n", b.x, top)
		d.text(b.x, top+6.2, "middle", "", b.to.name)
	case len(b.children) > 0:
		d.gate(b, top)
	case b.node.Kind == Undeveloped:
		d.line(b.x, b.y+b.h, b.x, top)
		d.printf(`<path d="M %.2f %.2f l 4 3.5 l -4 3.5 l -4 -3.5 z" fill="#ffffff" stroke="#000000" stroke-width="0.3"/>`+"\n", b.x, top)
	default:
		d.line(b.x, b.y+b.h, b.x, top)
		d.printf(`<circle cx="%.2f" cy="%.2f" r="3.5" fill="#ffffff" stroke="#000000" stroke-width="0.3"/>`+"\n", b.x, top+3.5)
	}
}

// gate draws an or gate, pointed above and hollow below, an and gate, round above and
// flat below, or a voting gate, which is an or gate with its numbers.
func (d *drawer) gate(b *box, top float64) {
	l, r, foot := b.x-4.5, b.x+4.5, top+symbol
	if b.node.Kind == And {
		d.printf(`<path d="M %.2f %.2f L %.2f %.2f A 4.5 4.5 0 0 1 %.2f %.2f L %.2f %.2f Z" fill="#ffffff" stroke="#000000" stroke-width="0.3"/>`+"\n",
			l, foot, l, top+4.5, r, top+4.5, r, foot)
		return
	}
	d.printf(`<path d="M %.2f %.2f Q %.2f %.2f %.2f %.2f Q %.2f %.2f %.2f %.2f Q %.2f %.2f %.2f %.2f Z" fill="#ffffff" stroke="#000000" stroke-width="0.3"/>`+"\n",
		l, foot, l, top+2, b.x, top, r, top+2, r, foot, b.x, foot-2.5, l, foot)
	if b.node.Kind == Voting {
		d.text(b.x, top+4.6, "middle", "", fmt.Sprintf("≥%d", b.node.AtLeast))
	}
}

// percent is a probability for people: whole from ten per cent on, one digit below.
func percent(p float64) string {
	x := 100 * p
	switch {
	case x > 0 && x < 0.1:
		return "under 0.1 %"
	case x < 9.95:
		return fmt.Sprintf("%.1f %%", x)
	case x > 99 && x < 100:
		return fmt.Sprintf("%.0f %%", math.Floor(x))
	}
	return fmt.Sprintf("%.0f %%", x)
}
