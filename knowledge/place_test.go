package knowledge

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestParsePlace(t *testing.T) {
	e := goodEngine(t)
	for words, want := range map[string]Place{
		"cyl 3":             {"cylinder", "3"},
		"Cyl3":              {"cylinder", "3"},
		"cylinder no 3":     {"cylinder", "3"},
		"cylinder #3":       {"cylinder", "3"},
		"cylinder number 4": {"cylinder", "4"},
		"carb 2":            {"carb", "2"},
		"carb:2":            {"carb", "2"},
		"carbs 2":           {"carb", "2"},
		"carburettor 3":     {"carb", "3"},
		"carburetor 3":      {"carb", "3"},
		"coil A":            {"coil", "A"},
		"coil b":            {"coil", "B"},
		"a":                 {"coil", "A"},
		"enricher 2":        {"enricher", "2"},
		"  CARB   1 ":       {"carb", "1"},
	} {
		got, err := e.ParsePlace(words)
		require.NoError(t, err, words)
		require.Equal(t, want, got, words)
	}
	got, err := e.ParsePlace("3", "carb", "coil")
	require.NoError(t, err)
	require.Equal(t, Place{"carb", "3"}, got)

	for words, c := range map[string]struct {
		says       string
		candidates int
	}{
		"3":          {`"3" can mean cylinder 3 or carburettor 3 or enricher 3; say which`, 3},
		"c 2":        {`"c 2" can mean cylinder 2 or carburettor 2; say which`, 2},
		"enricher 1": {`no place is called "enricher 1"; use one of: cylinder 1, 2, 3, 4; carburettor 1, 2, 3, 4; enricher 2, 3; coil A, B`, 0},
		"cylinder":   {`no place is called "cylinder"`, 0},
		"wing 2":     {`no place is called "wing 2"`, 0},
		"13":         {`no place is called "13"`, 0},
		"":           {`no place is called ""`, 0},
	} {
		_, err := e.ParsePlace(words)
		var pe *PlaceError
		require.ErrorAs(t, err, &pe, words)
		require.Contains(t, err.Error(), c.says)
		require.Len(t, pe.Candidates, c.candidates)
	}
}

func TestRelated(t *testing.T) {
	e := goodEngine(t)
	p := func(set string, members ...string) []Place {
		var out []Place
		for _, m := range members {
			out = append(out, Place{set, m})
		}
		return out
	}
	require.Equal(t, p("cylinder", "1", "4"), e.Related(Place{"coil", "A"}, "cylinder"))
	require.Equal(t, p("coil", "B"), e.Related(Place{"cylinder", "3"}, "coil"))
	require.Equal(t, p("enricher", "2"), e.Related(Place{"carb", "2"}, "enricher"))
	require.Empty(t, e.Related(Place{"carb", "1"}, "enricher"))
	require.Empty(t, e.Related(Place{"coil", "A"}, "carb"), "no relation")
	require.Equal(t, p("carb", "4"), e.Related(Place{"carb", "4"}, "carb"))
	require.Equal(t, p("coil", "A", "B"), e.Related(Place{}, "coil"))
	require.Equal(t, []Place{{}}, e.Related(Place{"carb", "4"}, ""))
	require.Empty(t, e.Related(Place{"carb", "9"}, "cylinder"))
	require.Empty(t, e.Related(Place{}, "wheel"))
	require.Equal(t, p("enricher", "2", "3"), e.Places("enricher"))
	require.Equal(t, "carburettor 2", e.PlaceTitle(Place{"carb", "2"}))
	require.Equal(t, "the engine", e.PlaceTitle(Place{}))
}
