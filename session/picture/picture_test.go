package picture

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/sebdah/goldie/v2"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The pictures as they stand: wide, narrow and in ASCII, and as SVG.
func TestPictures(t *testing.T) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			text := joined(c.Text(72, false)) + "\n" + joined(c.Text(60, true)) + "\n" + joined(c.Text(30, true))
			goldie.New(t).Assert(t, c.name, []byte(text))
			goldie.New(t, goldie.WithNameSuffix(".svg")).Assert(t, c.name, []byte(svgOf(t, c)))
		})
	}
}

func TestCheck(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := Point{Value: 1, U: 0.1}
	for _, c := range []struct {
		drawn
		want string
	}{
		{Reading{Title: "coil", Point: Point{Value: nan}}, `picture "coil": the reading is NaN and cannot be drawn; take the reading again`},
		{Reading{Point: Point{Value: inf}}, "is +Inf and cannot be drawn"},
		{Reading{Point: Point{Value: -1e101}}, "give it in a larger unit"},
		{Reading{Point: Point{U: -1}}, "uncertainty of -1; give one of 0 or more"},
		{Reading{Point: Point{U: nan}}, "uncertainty of NaN"},
		{Reading{Point: good, Limits: Between(2, 1)}, "exchange them"},
		{Reading{Point: good, Limits: Between(nan, 1)}, "the lowest limit is NaN"},
		{Reading{Point: good, Limits: Between(inf, inf)}, "the lowest limit is +Inf"},
		{Siblings{}, "read at least one"},
		{Siblings{Positions: []Position{{"left", good}, {"right", Point{Value: nan}}, {"", Point{Value: nan}}}}, "the reading of right is NaN"},
		{Siblings{Positions: []Position{{"left", good}, {"", Point{Value: nan}}}}, "the reading of position 2 is NaN"},
		{Series{}, "take at least one"},
		{Series{Moments: []Moment{{nan, good}}}, "the time of reading 1 is NaN s"},
		{Series{Moments: []Moment{{2, good}, {1, good}}}, "reading 2 is earlier"},
		{Series{Moments: []Moment{{2, good}}, Waits: []Wait{{inf, ""}}}, "the time of wait 1 is +Inf s"},
	} {
		require.ErrorContains(t, c.Check(), c.want)
		require.ErrorContains(t, c.SVG(io.Discard), c.want)
		// What is wrong stands in place of the picture.
		require.Contains(t, strings.Join(c.Text(200, false), " "), c.want)
	}
	for _, c := range cases {
		require.NoError(t, c.Check())
	}
	require.NoError(t, Reading{Point: good, Limits: Between(math.Inf(-1), inf)}.Check())
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestSVGSaysWhatItsWriterFailsWith(t *testing.T) {
	for _, c := range cases {
		require.ErrorContains(t, c.SVG(broken{}), "disk full")
	}
}

func TestNumber(t *testing.T) {
	for v, want := range map[float64]string{0: "0", math.Copysign(0, -1): "0", 118: "118", 0.95: "0.95", 1.23456: "1.235", 12345.6: "12346",
		-0.00012345: "-0.0001234", 1e7: "1e+07", 1.23456e-9: "1.235e-09", 9999.96: "10000", -3: "-3", 100: "100"} {
		require.Equal(t, want, number(v))
	}
}

func TestTicks(t *testing.T) {
	labels := func(lo, hi float64, want int) string {
		var all []string
		for _, k := range ticks(lo, hi, want) {
			all = append(all, k.label)
		}
		return strings.Join(all, " ")
	}
	require.Equal(t, "0.90 0.95 1.00 1.05 1.10", labels(0.866, 1.134, 6))
	require.Equal(t, "-2 0 2", labels(-3, 3, 3))
	require.Equal(t, "80 100 120 140", labels(80, 140, 3))
	require.Equal(t, "2e+09 4e+09 6e+09", labels(1e9, 7e9, 3))
	require.Equal(t, "1e+09 1.0001e+09 1.0002e+09", labels(1e9, 1.0002e9, 2))
}

// However far off one is, the others are still told apart, and its number is
// there.
func TestOutlierDoesNotFlattenTheOthers(t *testing.T) {
	for _, off := range []float64{9500, -1e9, 1e99} {
		s := Siblings{Positions: four(125, 122, off, 120)}
		lines := s.Text(72, true)
		at := func(row int) int { return strings.IndexByte(lines[2+row], 'o') }
		require.Greater(t, at(0)-at(3), 8)
		require.Greater(t, at(0), at(1))
		require.Contains(t, lines[4], strings.TrimSpace(number(off)))
		require.Contains(t, lines[4], map[bool]string{true: ">", false: "<"}[off > 0])
	}
	// A dead one beside sound ones is no such case: it is drawn to scale.
	require.Contains(t, Siblings{Positions: four(120, 120, 0, 120)}.Text(72, true)[4], "o")
	r := Reading{Point: Point{Value: 5000}, Limits: Between(0.88, 1.12)}
	lines := r.Text(60, true)
	require.Greater(t, strings.Count(lines[4], "="), 30)
	require.Equal(t, 59, strings.IndexByte(lines[3], '>'))
	require.Contains(t, strings.Join(lines, "\n"), "5000, above what is tolerated; too far off")
}

// One that is not drawn to scale is still counted among those inside or outside.
func TestWordsCountWhatIsNotToScale(t *testing.T) {
	s := Siblings{Positions: four(125, 122, 9500, 120), Limits: Between(110, 200)}
	require.Contains(t, joined(s.Text(72, true)), "x outside what is tolerated: cylinder 3\n")
	m := Series{Moments: []Moment{{0, Point{Value: 28}}, {60, Point{Value: 27}}, {120, Point{Value: 26}}, {180, Point{Value: 4000}}}, Limits: Limits{Lowest: ptr(20.0)}}
	require.Contains(t, joined(m.Text(72, true)), "o inside what is tolerated: 4 of 4\n")
	require.Contains(t, joined(m.Text(72, true)), "^ too far off to be drawn to scale: 4000 at 3 min\n")
}

// Long names keep their ends, by which they differ; titles their beginnings.
func TestLongTextsAreCut(t *testing.T) {
	long := strings.Repeat("the very long name of a place ", 10)
	s := Siblings{Title: long, Positions: []Position{{long + "1", Point{Value: 1}}, {long + "2", Point{Value: 2}}}}
	lines := s.Text(50, false)
	require.True(t, strings.HasPrefix(lines[0], "the very long name") && strings.HasSuffix(lines[0], "…"))
	require.Regexp(t, `^the .*….*1 `, lines[2])
	require.Regexp(t, `^the .*….*2 `, lines[3])
	require.Regexp(t, `\.\.\..*1 `, s.Text(30, true)[2])
}

func TestTextsOfOthersDoNoHarm(t *testing.T) {
	r := Reading{Title: "a\x1b[31m<b>&\"\n\tc\xff", Unit: "Ω", Point: Point{Value: 20, Label: "20 °C"}}
	require.Equal(t, `a[31m<b>&" c? (Ω)`, r.Text(60, false)[0])
	require.Equal(t, `a[31m<b>&" c? (ohm)`, r.Text(60, true)[0])
	require.Contains(t, joined(r.Text(60, true)), "20 degC")
	title := ""
	walk(t, svgOf(t, r), func(e xml.StartElement, text string) {
		if e.Name.Local == "title" {
			title = text
		}
	})
	require.Equal(t, `a[31m<b>&" c?`, title)
}

// walk decodes a document to its end and gives each element with the text
// directly behind its start.
func walk(t require.TestingT, doc string, f func(e xml.StartElement, text string)) {
	d := xml.NewDecoder(strings.NewReader(doc))
	var open *xml.StartElement
	text := ""
	flush := func() {
		if open != nil {
			f(*open, text)
		}
		open, text = nil, ""
	}
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		switch v := token.(type) {
		case xml.StartElement:
			flush()
			c := v.Copy()
			open = &c
		case xml.CharData:
			text += string(v)
		case xml.EndElement:
			flush()
		}
	}
	flush()
}

func attribute(e xml.StartElement, name string) string {
	i := slices.IndexFunc(e.Attr, func(a xml.Attr) bool { return a.Name.Local == name })
	if i < 0 {
		return ""
	}
	return e.Attr[i].Value
}

// values drawn are ordinary, at or a hair beside the limits, or extreme.
func someValue(t *rapid.T, near []float64) float64 {
	v := rapid.Float64Range(-1000, 1000).Draw(t, "v")
	switch rapid.IntRange(0, 5).Draw(t, "kind") {
	case 0:
		v = rapid.SampledFrom([]float64{0, 1e-300, -1e-20, 1e99, -1e100, 1e7, 12345678.9, 0.1}).Draw(t, "extreme")
	case 1, 2:
		if len(near) > 0 {
			v = rapid.SampledFrom(near).Draw(t, "near")
			v = rapid.SampledFrom([]float64{v, math.Nextafter(v, -1e100), math.Nextafter(v, 1e100)}).Draw(t, "hair")
		}
	}
	return math.Min(math.Max(v, -1e100), 1e100)
}

func someLimits(t *rapid.T) Limits {
	a, b := someValue(t, nil), someValue(t, nil)
	switch rapid.IntRange(0, 4).Draw(t, "limits") {
	case 0:
		return Limits{}
	case 1:
		return Between(a, math.Inf(1))
	case 2:
		return Between(math.Inf(-1), a)
	}
	return Between(math.Min(a, b), math.Max(a, b))
}

func someU(t *rapid.T) float64 {
	return rapid.SampledFrom([]float64{0, 0, 1e-12, 0.5, 4, 300, 1e60}).Draw(t, "u")
}

func somePoint(t *rapid.T, l Limits) Point {
	return Point{Value: someValue(t, l.values()), U: someU(t)}
}

func someText(t *rapid.T, what string) string {
	s := rapid.String().Draw(t, what)
	if rapid.Bool().Draw(t, "long") {
		s += strings.Repeat("漢字 – cylinder\t", 12)
	}
	return s
}

func somePositions(t *rapid.T, l Limits) []Position {
	all := make([]Position, rapid.IntRange(1, 6).Draw(t, "positions"))
	for i := range all {
		all[i] = Position{"place " + number(float64(i+1)), somePoint(t, l)}
	}
	return all
}

// somePicture has texts of any kind.
func somePicture(t *rapid.T) drawn {
	l := someLimits(t)
	l.LowestLabel, l.HighestLabel = someText(t, "low"), someText(t, "high")
	title, unit, verdict := someText(t, "title"), someText(t, "unit"), someText(t, "verdict")
	switch rapid.IntRange(0, 2).Draw(t, "picture") {
	case 0:
		p := somePoint(t, l)
		p.Label = someText(t, "label")
		return Reading{title, unit, verdict, p, l}
	case 1:
		all := somePositions(t, l)
		for i := range all {
			all[i].Name, all[i].Label = someText(t, "name"), someText(t, "label")
		}
		return Siblings{title, unit, verdict, all, l}
	}
	s := Series{Title: title, Unit: unit, Verdict: verdict, Limits: l, LastOnly: rapid.Bool().Draw(t, "last")}
	at := rapid.Float64Range(-1e9, 1e8).Draw(t, "at")
	for range rapid.IntRange(1, 40).Draw(t, "moments") {
		p := somePoint(t, l)
		p.Label = rapid.SampledFrom([]string{"", "118 psi", "漢"}).Draw(t, "label")
		s.Moments = append(s.Moments, Moment{at, p})
		at += rapid.SampledFrom([]float64{0, 1, 30, 60, 1e7}).Draw(t, "step")
	}
	for range rapid.IntRange(0, 30).Draw(t, "waits") {
		s.Waits = append(s.Waits, Wait{rapid.Float64Range(-1e9, 1e9).Draw(t, "wait"), someText(t, "label")})
	}
	return s
}

func TestNoLineIsTooWideAndASCIIIsASCII(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := somePicture(t)
		width := rapid.IntRange(Narrowest, Widest).Draw(t, "width")
		require.NoError(t, p.Check())
		for _, ascii := range []bool{false, true} {
			lines := p.Text(width, ascii)
			require.Equal(t, lines, p.Text(width, ascii))
			for _, l := range lines {
				require.LessOrEqual(t, columns(l), width, "%q", l)
				for _, r := range l {
					require.True(t, unicode.IsPrint(r), "%q", l)
					require.False(t, ascii && r > '~', "%q", l)
				}
			}
		}
	})
}

func TestSVGIsWellFormed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := somePicture(t)
		doc := svgOf(t, p)
		require.Equal(t, doc, svgOf(t, p))
		var names []string
		walk(t, doc, func(e xml.StartElement, text string) {
			names = append(names, e.Name.Local)
			switch e.Name.Local {
			case "svg":
				require.Equal(t, "img", attribute(e, "role"))
				require.Regexp(t, `^0 0 680 \d+$`, attribute(e, "viewBox"))
			case "title", "desc":
				require.NotEmpty(t, text)
			}
		})
		require.Equal(t, []string{"svg", "title", "desc", "rect"}, names[:4])
		for _, n := range names {
			require.Contains(t, []string{"svg", "title", "desc", "rect", "line", "circle", "polygon", "text"}, n)
		}
	})
}

// inside is what the limits say, written down once more.
func inside(v float64, l Limits) bool {
	return (l.Lowest == nil || v >= *l.Lowest) && (l.Highest == nil || v <= *l.Highest)
}

func TestMarkIsInsideTheZoneIfTheValueIsInsideTheLimits(t *testing.T) {
	clipped := 0
	rapid.Check(t, func(t *rapid.T) {
		l := someLimits(t)
		r := Reading{Unit: "V", Point: somePoint(t, l), Limits: l}
		lines := r.Text(rapid.IntRange(Narrowest, Widest).Draw(t, "width"), true)
		mark := strings.IndexAny(lines[3], "ox")
		if mark < 0 {
			clipped++
			require.False(t, inside(r.Value, l), "only what is far outside is not drawn to scale")
			return
		}
		require.Equal(t, inside(r.Value, l), lines[3][mark] == 'o')
		if !l.any() {
			return
		}
		zone := func(i int) bool { return i < len(lines[4]) && strings.IndexByte("[]=<>|", lines[4][i]) >= 0 }
		require.Equal(t, inside(r.Value, l), zone(mark), "%s", joined(lines))
	})
	require.Positive(t, clipped)
}

func TestMarkIsInsideTheZoneOfSVGToo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Between(-5, rapid.SampledFrom([]float64{-5, 0, 7, 1e6}).Draw(t, "highest"))
		r := Reading{Point: somePoint(t, l), Limits: l}
		left, right, seen := -1, -1, false
		walk(t, svgOf(t, r), func(e xml.StartElement, _ string) {
			if seen {
				return // the explanations below
			}
			switch {
			case e.Name.Local == "rect" && attribute(e, "fill") == zoneFill:
				left, right = whole(t, attribute(e, "x")), whole(t, attribute(e, "x"))+whole(t, attribute(e, "width"))
			case e.Name.Local == "circle":
				seen = true
				x := whole(t, attribute(e, "cx"))
				require.True(t, left <= x && x <= right && inside(r.Value, l))
			case e.Name.Local == "polygon" && attribute(e, "fill") == outsideInk:
				seen = true
				top, _, _ := strings.Cut(attribute(e, "points"), ",")
				x := whole(t, top)
				require.False(t, left <= x && x <= right || inside(r.Value, l))
			}
		})
		require.True(t, seen || !inside(r.Value, l))
	})
}

func whole(t require.TestingT, s string) int {
	n := 0
	for _, r := range s {
		require.True(t, r >= '0' && r <= '9', s)
		n = 10*n + int(r-'0')
	}
	return n
}

// placed is where the marks of siblings stand on the picture.
func placed(s Siblings, lines []string) []int {
	names, numbers := s.columns(newPen(72, true))
	from, end := names+1, 72-numbers-1
	first := 2
	if s.Limits.any() {
		first++
	}
	var all []int
	for i := range s.Positions {
		row := padded(lines[first+i], 72)[from:end]
		at := strings.IndexAny(row, "ox")
		if at < 0 { // an arrow at the side of which the value is
			at = -1
			if row[len(row)-1] == '>' && row[0] != '<' {
				at = 72
			}
		}
		all = append(all, at)
	}
	return all
}

func TestMarksStandInTheOrderOfTheValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := someLimits(t)
		s := Siblings{Unit: "V", Positions: somePositions(t, l), Limits: l}
		for i := range s.Positions {
			s.Positions[i].U = 0
		}
		at := placed(s, s.Text(72, true))
		for i, p := range s.Positions {
			for j, q := range s.Positions {
				if p.Value < q.Value {
					require.LessOrEqual(t, at[i], at[j])
				}
			}
		}
		// Values that differ stand apart as far as the picture allows.
		if !l.any() && len(at) == 2 && math.Abs(s.Positions[0].Value-s.Positions[1].Value) > 1e-3 {
			if size := max(math.Abs(s.Positions[0].Value), math.Abs(s.Positions[1].Value)); size < 1e5 {
				require.Greater(t, math.Abs(float64(at[0]-at[1])), 25.0)
			}
		}
	})
}

// In a series, rows rise with the values and columns with the time.
func TestSeriesStandsInOrder(t *testing.T) {
	s := Series{Moments: []Moment{{0, Point{Value: 1}}, {60, Point{Value: 5}}, {120, Point{Value: 3}}}}
	row, column := [3]int{}, [3]int{}
	n := 0
	lines := s.Text(60, true)
	for x := range 60 {
		for y, l := range lines[:15] {
			if x < len(l) && l[x] == 'o' {
				row[n], column[n] = y, x
				n++
			}
		}
	}
	require.Equal(t, 3, n)
	require.True(t, row[0] > row[2] && row[2] > row[1])
	require.InDelta(t, column[1]-column[0], column[2]-column[1], 1)
}
