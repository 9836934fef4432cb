package picture

import (
	"io"
	"strings"

	"github.com/stretchr/testify/require"
)

// drawn is any of the pictures.
type drawn interface {
	Check() error
	Text(width int, ascii bool) []string
	SVG(w io.Writer) error
}

// cases are pictures from the boats of an invented shellfish farm.
var cases = []struct {
	name string
	drawn
}{
	{"coil", Reading{Title: "Primary resistance of the coil, boat Eider", Unit: "ohm", Verdict: "conforms",
		Point: Point{Value: 0.95, U: 0.02, Label: "0.95 ohm"}, Limits: Between(0.88, 1.12)}},
	{"compression_low", Reading{Title: "Dry compression of cylinder 3, boat Eider", Unit: "psi", Verdict: "does not conform: 15 psi below the limit",
		Point: Point{Value: 95, U: 4}, Limits: Limits{Lowest: ptr(110.0)}}},
	{"leak_off_the_scale", Reading{Title: "Vacuum leak, boat Knot", Unit: "kPa", Verdict: "does not conform",
		Point: Point{Value: 480, U: 5}, Limits: Between(-3, 2)}},
	{"compression", Siblings{Title: "Dry compression, boat Eider", Unit: "psi", Verdict: "cylinder 3 does not conform",
		Positions: four(125, 122, 95, 120), Limits: Limits{Lowest: ptr(110.0)}}},
	{"compression_outlier", Siblings{Title: "Dry compression, boat Dunlin", Unit: "psi",
		Positions: four(125, 122, 9500, 120)}},
	{"compression_alike", Siblings{Title: "Dry compression, boat Dunlin", Unit: "psi",
		Positions: []Position{{"cylinder 1", Point{Value: 120}}, {"cylinder 2", Point{Value: 120}}}}},
	{"enricher", Series{Title: "Growth of the enricher's pin, boat Knot", Unit: "mm", Verdict: "conforms: it closes in five minutes",
		Moments: []Moment{{0, Point{10.2, 0.15, ""}}, {60, Point{10.9, 0.15, ""}}, {120, Point{12.4, 0.15, ""}},
			{180, Point{14.1, 0.15, ""}}, {240, Point{15.2, 0.15, ""}}, {300, Point{15.6, 0.15, ""}}},
		Waits: []Wait{{0, "12 V on"}, {300, "five minutes are over"}}, Limits: Between(15, 17), LastOnly: true}},
	{"float_bowl", Series{Title: "Fuel pressure after the stop, boat Eider", Unit: "kPa",
		Moments: []Moment{{0, Point{28, 0.5, ""}}, {30, Point{27, 0.5, ""}}, {60, Point{24, 0.5, ""}}, {90, Point{400, 0.5, ""}}, {120, Point{19, 0.5, ""}}},
		Limits:  Limits{Lowest: ptr(20.0)}}},
}

func four(values ...float64) []Position {
	all := make([]Position, len(values))
	for i, v := range values {
		all[i] = Position{"cylinder " + number(float64(i+1)), Point{Value: v, U: 4}}
	}
	return all
}

func ptr[T any](v T) *T { return &v }

func svgOf(t require.TestingT, d drawn) string {
	var b strings.Builder
	require.NoError(t, d.SVG(&b))
	return b.String()
}

func joined(lines []string) string { return strings.Join(lines, "\n") + "\n" }
