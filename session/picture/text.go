package picture

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
)

// The least and the greatest width of a picture in text, in columns.
const (
	Narrowest = 24
	Widest    = 200
)

// hard is a blank at which no line is broken.
const hard = "\u00a0"

func columns(s string) int { return ansi.StringWidth(s) }

// glyphs are the marks of a picture in text.
type glyphs struct {
	marks                             [waitKey + 1]rune // by key
	whiskerLeft, whiskerRight, across rune
	upright, limit, level             rune
	axis, tick, side, sideTick        rune
	zone                              rune
	wait                              rune
	cut                               string
}

var lineGlyphs = glyphs{
	marks:       [...]rune{insideKey: '●', outsideKey: '◆', whiskerKey: '─', zoneKey: '░', leftKey: '◄', rightKey: '►', downKey: '▼', upKey: '▲', uprightKey: '│', waitKey: ' '},
	whiskerLeft: '├', whiskerRight: '┤', across: '─',
	upright: '│', limit: '┊', level: '┄',
	axis: '─', tick: '┬', side: '│', sideTick: '┤',
	zone: '░', wait: '┆', cut: "…",
}

var asciiGlyphs = glyphs{
	marks:       [...]rune{insideKey: 'o', outsideKey: 'x', whiskerKey: '-', zoneKey: '=', leftKey: '<', rightKey: '>', downKey: 'v', upKey: '^', uprightKey: '|', waitKey: ' '},
	whiskerLeft: '|', whiskerRight: '|', across: '-',
	upright: '|', limit: ':', level: '.',
	axis: '-', tick: '+', side: '|', sideTick: '+',
	zone: '=', wait: ':', cut: "...",
}

// pen writes the lines of one picture.
type pen struct {
	glyphs
	width int
	ascii bool
	lines []string
}

func newPen(width int, ascii bool) *pen {
	p := &pen{glyphs: lineGlyphs, width: min(max(width, Narrowest), Widest), ascii: ascii}
	if ascii {
		p.glyphs = asciiGlyphs
	}
	return p
}

// narrow tells whether there is too little room for columns side by side.
func (p *pen) narrow() bool { return p.width < 40 }

// clean makes a text of others fit for one line.
func (p *pen) clean(s string) string {
	s = tidy(s)
	if p.ascii {
		s = plainLetters(s)
	}
	return s
}

// tidy makes blanks of all white space, one between words, and takes out what has
// no shape of its own, such as control characters.
func tidy(s string) string {
	s = strings.Join(strings.Fields(strings.ToValidUTF8(s, "?")), " ")
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, s)
}

// spelled is how common signs are written in ASCII.
var spelled = strings.NewReplacer(
	"°", "deg", "Ω", "ohm", "Ω", "ohm", "µ", "u", "μ", "u", "±", "+/-", "×", "x", "·", "*",
	"–", "-", "—", "-", "−", "-", "‘", "'", "’", "'", "“", `"`, "”", `"`, "…", "...",
	"²", "2", "³", "3", "½", "1/2", "≤", "<=", "≥", ">=",
	"ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue", "ß", "ss", "æ", "ae", "Æ", "Ae", "ø", "o", "Ø", "O", "å", "a", "Å", "A",
	"é", "e", "è", "e", "ê", "e", "á", "a", "à", "a", "â", "a", "ó", "o", "ô", "o", "í", "i", "ú", "u", "ç", "c", "ñ", "n", "É", "E",
)

// plainLetters writes a text in ASCII; what has no spelling becomes a question
// mark.
func plainLetters(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r < utf8.RuneSelf:
			return r
		case unicode.Is(unicode.Mn, r):
			return -1
		}
		return '?'
	}, spelled.Replace(s))
}

// shorten cuts a text at its end.
func (g glyphs) shorten(s string, width int) string {
	if columns(s) <= width {
		return s
	}
	return ansi.Truncate(s, width, g.cut)
}

// squeeze shortens a name in its middle, since names of positions differ at the
// end.
func (g glyphs) squeeze(s string, width int) string {
	if columns(s) <= width {
		return s
	}
	room := width - columns(g.cut)
	if room < 4 {
		return g.shorten(s, width)
	}
	end := []rune(s)
	for columns(string(end)) > room/2 {
		end = end[1:]
	}
	return ansi.Truncate(s, room-columns(string(end)), "") + g.cut + string(end)
}

func (p *pen) line(s string) {
	p.lines = append(p.lines, strings.TrimRight(strings.ReplaceAll(p.shorten(s, p.width), hard, " "), " "))
}

// title writes the title, and the unit where there is room.
func (p *pen) title(title, unit string) {
	if unit == "" || columns(unit) > p.width/3-3 {
		p.line(title)
		return
	}
	if title == "" {
		p.line(unit)
		return
	}
	p.line(p.shorten(title, p.width-columns(unit)-3) + " (" + unit + ")")
}

// text writes words, in as many lines as it takes; those after the first are
// indented.
func (p *pen) text(s string, indent int) {
	for i, l := range wrapped(s, p.width, indent) {
		if i > 0 {
			l = strings.Repeat(" ", indent) + l
		}
		p.line(l)
	}
}

// wrapped breaks a text into lines of at most width columns, those after the
// first shorter by the indent.
func wrapped(s string, width, indent int) []string {
	var lines []string
	line, room := "", width
	flush := func() {
		lines = append(lines, line)
		line, room = "", width-indent
	}
	for _, word := range strings.Split(s, " ") {
		if line != "" && columns(line)+1+columns(word) > room {
			flush()
		}
		if line != "" {
			line += " "
		}
		for line == "" && columns(word) > room { // longer than a line: cut where the line ends
			line = ansi.Truncate(word, room, "")
			word = strings.TrimPrefix(word, line)
			flush()
		}
		line += word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// sentences writes what stands below the picture, each with its mark.
func (p *pen) sentences(all []sentence) {
	for _, s := range all {
		mark := string(p.marks[s.key])
		switch s.key {
		case plainKey:
			p.text(s.text, 0)
			continue
		case waitKey:
			mark = s.name
		case whiskerKey:
			mark = string([]rune{p.whiskerLeft, p.across, p.whiskerRight})
		}
		p.text(mark+hard+s.text, columns(mark)+1)
	}
}

// grid is rows of cells, each one column wide.
type grid [][]rune

func newGrid(rows, cols int) grid {
	g := make(grid, rows)
	for i := range g {
		g[i] = []rune(strings.Repeat(" ", cols))
	}
	return g
}

func (g grid) String(row int) string { return string(g[row]) }

// put writes a text at a cell if all of it fits, each of its letters takes one
// column and there is nothing yet, nor right beside it.
func (g grid) put(row, col int, s string) bool {
	letters := []rune(strings.ReplaceAll(s, hard, " "))
	if row < 0 || row >= len(g) || col < 0 || col+len(letters) > len(g[row]) || !single(s) {
		return false
	}
	for i := max(col-1, 0); i < min(col+len(letters)+1, len(g[row])); i++ {
		if g[row][i] != ' ' {
			return false
		}
	}
	copy(g[row][col:], letters)
	return true
}

// single tells whether each letter takes one column.
func single(s string) bool {
	for _, r := range s {
		if columns(string(r)) != 1 {
			return false
		}
	}
	return true
}

// reading draws a mark with its whisker into a row, along the axis.
func (p *pen) reading(row []rune, a axis, pt Point) {
	cell := a.at(pt.Value)
	first, last := cell, cell
	if a.whiskered(pt) {
		first, last = a.whisker(pt)
	}
	for i := first; i <= last; i++ {
		row[i] = p.across
	}
	from, to := pt.reach()
	row[first], row[last] = p.whiskerLeft, p.whiskerRight
	if a.beyond(from) < 0 {
		row[first] = p.marks[leftKey]
	}
	if a.beyond(to) > 0 {
		row[last] = p.marks[rightKey]
	}
	row[cell] = p.marks[a.markOf(pt.Value, leftKey, rightKey)]
}

// markOf is the mark of a value on an axis: its side of the zone, or an arrow.
func (a axis) markOf(v float64, below, above key) key {
	switch a.beyond(v) {
	case -1:
		return below
	case 1:
		return above
	}
	return a.limits.keyOf(v)
}

// zoneRow draws what is tolerated into a row, and the limits beside it.
func (p *pen) zoneRow(a axis, unit string) string {
	g := newGrid(1, a.n)
	first, last := a.zone()
	for i := first; i <= last; i++ {
		g[0][i] = p.zone
	}
	switch {
	case first == last && a.limits.both():
		g[0][first] = p.upright
	default:
		if a.limits.Lowest != nil {
			g[0][first] = '['
		} else {
			g[0][first] = p.marks[leftKey]
		}
		if a.limits.Highest != nil {
			g[0][last] = ']'
		} else {
			g[0][last] = p.marks[rightKey]
		}
	}
	if a.limits.Lowest != nil {
		s := a.limits.lowest(unit)
		g.put(0, first-1-columns(s), s)
	}
	if a.limits.Highest != nil {
		g.put(0, last+2, a.limits.highest(unit))
	}
	return g.String(0)
}

// limitLines draws the limits through a row.
func (p *pen) limitLines(row []rune, a axis) {
	for _, v := range a.limits.values() {
		row[a.raw(v)] = p.limit
	}
}

// scale is the axis with its ticks, and their numbers below.
func (p *pen) scale(a axis) (line, numbers string) {
	g := newGrid(2, a.n)
	for i := range g[0] {
		g[0][i] = p.axis
	}
	for _, t := range ticks(a.lo, a.hi, max(a.n/10, 2)) {
		cell := a.raw(t.value)
		g[0][cell] = p.tick
		n := len(t.label)
		g.put(1, min(max(cell-(n-1)/2, 0), max(a.n-n, 0)), t.label)
	}
	return g.String(0), g.String(1)
}

// refused is what stands in place of a picture that cannot be drawn.
func (p *pen) refused(err error) []string {
	for _, l := range strings.Split(err.Error(), "\n") {
		p.text(p.clean(l), 2)
	}
	return p.lines
}
