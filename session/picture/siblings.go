package picture

import (
	"errors"
	"fmt"
	"io"
	"strings"
)

// Position is the reading at one of several like positions.
type Position struct {
	Name string // such as "cylinder 1"; empty, its number in the order
	Point
}

func (p Position) named(i int) string {
	if p.Name == "" {
		return fmt.Sprintf("position %d", i+1)
	}
	return p.Name
}

// Siblings is the readings of several like positions, in the order in which they
// are to be drawn.
type Siblings struct {
	Title     string
	Unit      string // symbol; empty for bare numbers
	Verdict   string // what the readings prove, in words; may be empty
	Positions []Position
	Limits    // of each position by itself
}

// Check says everything for which the readings cannot be drawn, joined; nil if
// nothing.
func (s Siblings) Check() error {
	var all []error
	if len(s.Positions) == 0 {
		all = append(all, errors.New("there is no position to draw; read at least one"))
	}
	for i, p := range s.Positions {
		all = append(all, p.check("the reading of "+p.named(i)))
	}
	return titled(s.Title, append(all, s.Limits.check())...)
}

func (s Siblings) tidied(clean func(string) string) Siblings {
	s.Title, s.Unit, s.Verdict = clean(s.Title), clean(s.Unit), clean(s.Verdict)
	s.Limits = s.Limits.tidied(clean)
	positions := make([]Position, len(s.Positions))
	for i, p := range s.Positions {
		p.Name, p.Label = clean(p.Name), clean(p.Label)
		p.Name = p.named(i)
		positions[i] = p
	}
	s.Positions = positions
	return s
}

func (s Siblings) axis(n, pad, gap int) axis {
	points := make([]Point, len(s.Positions))
	for i, p := range s.Positions {
		points[i] = p.Point
	}
	return framed(points, s.Limits, n, pad, gap)
}

// ends is the lowest and the highest value.
func (s Siblings) ends() (lowest, highest float64) {
	lowest, highest = s.Positions[0].Value, s.Positions[0].Value
	for _, p := range s.Positions {
		lowest, highest = min(lowest, p.Value), max(highest, p.Value)
	}
	return lowest, highest
}

// rank is "lowest" or "highest" for a value that is, among values that differ.
func (s Siblings) rank(v float64) string {
	lowest, highest := s.ends()
	switch {
	case lowest == highest:
		return ""
	case v == lowest:
		return "lowest"
	case v == highest:
		return "highest"
	}
	return ""
}

// holding is the names of the positions with a value.
func (s Siblings) holding(v float64) string {
	var names []string
	label := ""
	for _, p := range s.Positions {
		if p.Value == v {
			names = append(names, p.Name)
			label = p.words(s.Unit)
		}
	}
	return label + " (" + strings.Join(names, ", ") + ")"
}

// sentences says what is seen.
func (s Siblings) sentences(a axis) []sentence {
	var all []sentence
	lowest, highest := s.ends()
	switch {
	case len(s.Positions) == 1:
		all = append(all, sentence{text: s.holding(lowest)})
	case lowest == highest:
		all = append(all, sentence{text: "all alike: " + s.Positions[0].words(s.Unit)})
	default:
		all = append(all, sentence{text: "lowest: " + s.holding(lowest) + "; highest: " + s.holding(highest)})
	}
	var inside, outside, left, right, whisker bool
	for _, p := range s.Positions {
		switch a.beyond(p.Value) {
		case -1:
			left = true
		case 1:
			right = true
		}
		inside = inside || s.side(p.Value) == 0
		outside = outside || s.side(p.Value) != 0
		whisker = whisker || p.U > 0
	}
	if s.Limits.any() {
		all = append(all, sentence{key: zoneKey, text: "tolerated: " + s.Limits.words(s.Unit)})
		if inside {
			all = append(all, sentence{key: insideKey, text: "inside what is tolerated" + s.listed(0)})
		}
		if outside {
			all = append(all, sentence{key: outsideKey, text: "outside what is tolerated" + s.listed(1)})
		}
	}
	if left {
		all = append(all, sentence{key: leftKey, text: "too low to be drawn to scale"})
	}
	if right {
		all = append(all, sentence{key: rightKey, text: "too high to be drawn to scale"})
	}
	if whisker {
		all = append(all, sentence{key: whiskerKey, text: "two standard uncertainties either way"})
	}
	return all
}

// listed is the names of the positions inside (0) or outside (1) the limits.
func (s Siblings) listed(side int) string {
	var names []string
	for _, p := range s.Positions {
		if at := s.side(p.Value); at*at == side {
			names = append(names, p.Name)
		}
	}
	return ": " + strings.Join(names, ", ")
}

// Text is the picture in lines of at most width columns; see Reading.Text. Each
// position has a row; below 40 columns, its name and number stand above it.
func (s Siblings) Text(width int, ascii bool) []string {
	p := newPen(width, ascii)
	if err := s.Check(); err != nil {
		return p.refused(err)
	}
	s = s.tidied(p.clean)
	p.title(s.Title, s.Unit)
	p.text(s.Verdict, 0)
	p.line("")
	names, numbers := s.columns(p)
	n := p.width
	if names > 0 {
		n -= names + numbers + 2
	}
	a := s.axis(n, 1, 1)
	before := spaces(names)
	if names > 0 {
		before += " "
	}
	if s.Limits.any() {
		head := before
		if names > 0 {
			head = padded(p.shorten("tolerated", names), names) + " "
		}
		p.line(head + p.zoneRow(a, s.Unit))
	}
	for _, position := range s.Positions {
		g := newGrid(1, n)
		p.limitLines(g[0], a)
		p.reading(g[0], a, position.Point)
		number := s.number(position)
		if names == 0 {
			number = p.shorten(number, p.width*2/3)
			p.line(p.squeeze(position.Name, p.width-columns(number)-1) + " " + number)
			p.line(g.String(0))
			continue
		}
		p.line(padded(p.squeeze(position.Name, names), names) + " " + g.String(0) + " " + p.shorten(number, numbers))
	}
	line, below := p.scale(a)
	p.line(before + line)
	p.line(before + below)
	p.sentences(s.sentences(a))
	return p.lines
}

// number is what stands beside a mark.
func (s Siblings) number(p Position) string {
	number := p.words(s.Unit)
	if rank := s.rank(p.Value); rank != "" {
		number += " " + rank
	}
	return number
}

// columns is the widths of the names and of the numbers beside the marks; 0 where
// they have to stand above them.
func (s Siblings) columns(p *pen) (names, numbers int) {
	if p.narrow() {
		return 0, 0
	}
	if s.Limits.any() {
		names = len("tolerated")
	}
	for _, position := range s.Positions {
		names = max(names, columns(position.Name))
		numbers = max(numbers, columns(s.number(position)))
	}
	return max(min(names, p.width/4), 1), min(numbers, p.width*2/5)
}

func spaces(n int) string { return strings.Repeat(" ", max(n, 0)) }

func padded(s string, width int) string { return s + spaces(width-columns(s)) }

// SVG writes the picture as a document of its own; see Reading.SVG.
func (s Siblings) SVG(w io.Writer) error {
	if err := s.Check(); err != nil {
		return err
	}
	s = s.tidied(tidy)
	const names, numbers, row = 140, 170, 30
	c := newCanvas()
	left := svgMargin + names
	a := s.axis(svgWidth-left-numbers-svgMargin, 14, 4)
	y := c.heading(s.Title, s.Verdict)
	top := y + 22
	bottom := top + row*len(s.Positions)
	c.zone(left, top, bottom, a)
	c.limitLabels(left, top-6, a, s.Unit)
	for i, p := range s.Positions {
		middle := top + row*i + row/2
		c.line(left, middle, left+a.n-1, middle, "#c4c4c4", 0.5, "")
		c.words(svgMargin, middle+4, "start", c.cells.squeeze(p.Name, (names-8)/svgLetter), 12, "normal")
		c.across(left, middle, a, p.Point)
		weight := "normal"
		if s.rank(p.Value) != "" {
			weight = "bold"
		}
		c.words(left+a.n+8, middle+4, "start", c.cells.shorten(s.number(p), (numbers-8)/svgLetter), 12, weight)
	}
	c.scale(left, bottom, a, 5)
	all := s.sentences(a)
	y = c.sentences(bottom+44, all)
	return c.finish(w, y, s.Title, s.Verdict, all)
}
