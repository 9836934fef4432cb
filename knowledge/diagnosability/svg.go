package diagnosability

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
)

// Sizes of the picture, in its units.
const (
	margin      = 20
	cellWide    = 25
	cellHigh    = 17
	letter      = 6.2 // taken as the width of a letter of the small type
	titleLetter = 10
	widest      = 36 // columns of a block
	darkFrom    = 65 // hundredths above which white reads better than black
	longest     = 52 // letters of a heading or a label; longer ones are cut
)

// Ends of the ramp of the cells, one hue from light to dark, so that it reads the
// same to every eye and in grey. Between them lightness falls evenly.
var (
	rampFrom = [3]float64{236, 240, 230}
	rampTo   = [3]float64{22, 66, 60}
)

// WriteSVG draws the coverage matrix: a block for each system, with only those
// checks that see something in it, and further blocks where there are many. The
// number in a cell is the change in hundredths; cells that the D-matrix counts
// are framed.
func (x *Matrix) WriteSVG(w io.Writer, title string) error {
	var d drawing
	d.y = margin + 14
	d.text(margin, d.y, 16, "start", "bold", "#1c2b28", title)
	d.y += 22
	d.legend()
	for _, b := range x.blocks() {
		d.block(x, b)
	}
	d.wide = max(d.wide, margin+int(float64(len([]rune(title)))*titleLetter))
	_, err := fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" width="%[1]d" height="%[2]d" viewBox="0 0 %[1]d %[2]d" role="img" font-family="sans-serif">`+
		"\n<title>%[3]s</title>\n"+`<rect width="100%%" height="100%%" fill="#ffffff"/>`+"\n%[4]s</svg>\n",
		d.wide+margin, d.y+margin, escaped(title), d.b.String())
	if err != nil {
		return fmt.Errorf("the picture of the matrix cannot be written: %w", err)
	}
	return nil
}

// block is a part of the matrix that is drawn as one table.
type block struct {
	title          string
	faults, checks []int
}

// blocks parts the matrix by system, in the order of the first fault of each, and
// systems that many checks see into tables of at most widest columns.
func (x *Matrix) blocks() []block {
	var all []block
	for f, fault := range x.Faults {
		name := fault.System
		if name == "" {
			name = "common causes and others"
		}
		i := slices.IndexFunc(all, func(b block) bool { return b.title == name })
		if i < 0 {
			i = len(all)
			all = append(all, block{title: name})
		}
		all[i].faults = append(all[i].faults, f)
	}
	var out []block
	for _, b := range all {
		for c := range x.Checks {
			if slices.ContainsFunc(b.faults, func(f int) bool { return x.hundredths(f, c) > 0 }) {
				b.checks = append(b.checks, c)
			}
		}
		out = append(out, x.tables(b)...)
	}
	return out
}

// tables parts a block by columns. The first table keeps all rows; the others leave
// out those that nothing in them sees.
func (x *Matrix) tables(b block) []block {
	n := max(1, (len(b.checks)+widest-1)/widest)
	var out []block
	for i := range n {
		part := block{b.title, b.faults, b.checks[i*len(b.checks)/n : (i+1)*len(b.checks)/n]}
		if n > 1 {
			part.title = fmt.Sprintf("%s (%d of %d)", b.title, i+1, n)
		}
		if i > 0 {
			part.faults = slices.DeleteFunc(slices.Clone(b.faults), func(f int) bool {
				return !slices.ContainsFunc(part.checks, func(c int) bool { return x.hundredths(f, c) > 0 })
			})
		}
		out = append(out, part)
	}
	return out
}

// drawing gathers the elements from the top downward.
type drawing struct {
	b       strings.Builder
	y, wide int
}

func escaped(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a Builder does not fail
	return b.String()
}

func (d *drawing) text(x, y, size int, anchor, weight, colour, s string) {
	fmt.Fprintf(&d.b, `<text x="%d" y="%d" font-size="%d" text-anchor="%s" font-weight="%s" fill="%s">%s</text>`+"\n", x, y, size, anchor, weight, colour, escaped(s))
}

// cell draws one entry, framed where it is shown; hundredths of 0 leave a faint
// square.
func (d *drawing) cell(x, y, hundredths int, shown bool) {
	if hundredths == 0 {
		fmt.Fprintf(&d.b, `<rect x="%d" y="%d" width="%d" height="%d" fill="#fafafa"/>`+"\n", x, y, cellWide-1, cellHigh-1)
		return
	}
	ink, frame, weight := "#000000", "", "normal"
	if hundredths > darkFrom {
		ink = "#ffffff"
	}
	if shown {
		frame, weight = ` stroke="#000000" stroke-width="1.5"`, "bold"
	}
	fmt.Fprintf(&d.b, `<rect x="%d" y="%d" width="%d" height="%d" fill="%s"%s/>`+"\n", x, y, cellWide-1, cellHigh-1, ramp(float64(hundredths)/100), frame)
	d.text(x+cellWide/2, y+cellHigh-5, 10, "middle", weight, ink, fmt.Sprint(hundredths))
}

func ramp(t float64) string {
	var c [3]int
	for i := range c {
		c[i] = int(math.Round(rampFrom[i] + (rampTo[i]-rampFrom[i])*t))
	}
	return fmt.Sprintf("#%02x%02x%02x", c[0], c[1], c[2])
}

func (d *drawing) legend() {
	d.text(margin, d.y, 11, "start", "normal", "#1c2b28", "Change of the chance of an outcome, in hundredths, that the fault alone makes:")
	x := margin + 450
	for _, n := range []int{1, 25, 50, 75, 100} {
		d.cell(x, d.y-12, n, n >= Shown*100)
		x += cellWide + 2
	}
	d.text(x+6, d.y, 11, "start", "normal", "#1c2b28", "framed: shown")
	d.wide = max(d.wide, x+90)
	d.y += 16
}

func (d *drawing) block(x *Matrix, b block) {
	labels, heads := 0, 0
	for _, f := range b.faults {
		labels = max(labels, letters(x.Faults[f].Title))
	}
	for _, c := range b.checks {
		heads = max(heads, letters(x.Checks[c].Title))
	}
	left := margin + int(float64(labels)*letter) + 10
	d.y += 34
	d.text(margin, d.y, 13, "start", "bold", "#1c2b28", b.title)
	d.y += 8 + int(float64(heads)*letter)
	for i, c := range b.checks {
		at := left + i*cellWide + cellWide/2 + 4
		fmt.Fprintf(&d.b, `<text transform="translate(%d %d) rotate(-90)" font-size="11" fill="#1c2b28">%s</text>`+"\n", at, d.y-4, escaped(shortened(x.Checks[c].Title)))
	}
	for _, f := range b.faults {
		d.text(left-8, d.y+cellHigh-5, 11, "end", "normal", "#1c2b28", shortened(x.Faults[f].Title))
		for i, c := range b.checks {
			d.cell(left+i*cellWide, d.y, x.hundredths(f, c), x.Entry(f, c) != 0)
		}
		d.y += cellHigh
	}
	if len(b.checks) == 0 {
		d.text(left, d.y-cellHigh*len(b.faults)+cellHigh-5, 11, "start", "normal", "#1c2b28", "no check sees any of these")
	}
	d.wide = max(d.wide, left+len(b.checks)*cellWide)
}

func letters(s string) int { return len([]rune(shortened(s))) }

func shortened(s string) string {
	if r := []rune(s); len(r) > longest {
		return string(r[:longest-1]) + "…"
	}
	return s
}
