package knowledge

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/faulttree"
	"narrows/symptoms/measure"
)

// gateText writes a gate out: "or 0.9 a, 0.3 b" or "and a, not b".
func gateText(m *faulttree.Model, g faulttree.Gate) string {
	s := g.Kind.String()
	if g.Kind == faulttree.Voting {
		s = fmt.Sprintf("%d of", g.K)
	}
	var in []string
	for _, x := range g.Inputs {
		name := m.Name(x.Event)
		if x.Inverted {
			name = "not " + name
		}
		if g.Kind != faulttree.And {
			name = fmt.Sprint(x.Strength, " ", name)
		}
		in = append(in, name)
	}
	s += " " + strings.Join(in, ", ")
	if g.Symptom {
		s += fmt.Sprint(" | unlisted ", g.Unlisted)
	}
	return s
}

// TestGates compares every gate of the small pack with what the rules of the
// package comment make of it by hand.
func TestGates(t *testing.T) {
	want := map[string]string{
		"rich@cylinder:1":       "or 0.8 float.high@carb:1",
		"rich@cylinder:2":       "or 0.8 float.high@carb:2, 0.7 enricher.stuck@enricher:2",
		"rich@cylinder:3":       "or 0.8 float.high@carb:3, 0.7 enricher.stuck@enricher:3",
		"rich@cylinder:4":       "or 0.8 float.high@carb:4",
		"cold_rich@cylinder:2":  "or 0.6 enricher.stuck@enricher:2",
		"cold_rich@cylinder:3":  "or 0.6 enricher.stuck@enricher:3",
		"weak_spark@cylinder:1": "or 0.8 plug.fouled@cylinder:1, 0.85 coil.weak@coil:A",
		"weak_spark@cylinder:2": "or 0.8 plug.fouled@cylinder:2, 0.85 coil.weak@coil:B",
		"weak_spark@cylinder:3": "or 0.8 plug.fouled@cylinder:3, 0.85 coil.weak@coil:B",
		"weak_spark@cylinder:4": "or 0.8 plug.fouled@cylinder:4, 0.85 coil.weak@coil:A",
		"half_dead": "2 of 0.95 weak_cylinder@cylinder:1, 0.95 weak_cylinder@cylinder:2, " +
			"0.95 weak_cylinder@cylinder:3, 0.95 weak_cylinder@cylinder:4",
		"pair_weak@coil:A": "and weak_cylinder@cylinder:1, weak_cylinder@cylinder:4",
		"pair_weak@coil:B": "and weak_cylinder@cylinder:2, weak_cylinder@cylinder:3",
		"rough_idle": "or 0.8 weak_cylinder@cylinder:1, 0.8 weak_cylinder@cylinder:2, 0.8 weak_cylinder@cylinder:3, 0.8 weak_cylinder@cylinder:4, " +
			"0.5 washed@cylinder:1, 0.5 washed@cylinder:2, 0.5 washed@cylinder:3, 0.5 washed@cylinder:4 | unlisted 0.02",
		"stumble_mid": "or 0.9 half_dead, 0.5 pair_weak@coil:A, 0.5 pair_weak@coil:B, 0.05 rough_idle | unlisted 0.01",
	}
	for i := 1; i <= 4; i++ {
		want[fmt.Sprintf("lean@cylinder:%d", i)] = fmt.Sprintf("or 0.9 pilot_jet.blocked@carb:%d, 0.3 float.low@carb:%d, 0.2 filter.clogged", i, i)
		want[fmt.Sprintf("washed@cylinder:%d", i)] = fmt.Sprintf("and rich@cylinder:%d, weak_spark@cylinder:%d, not filter.clogged", i, i)
		want[fmt.Sprintf("weak_cylinder@cylinder:%d", i)] = fmt.Sprintf("or 1 lean@cylinder:%d, 1 weak_spark@cylinder:%d", i, i)
	}
	m := goodEngine(t).Model()
	got := make(map[string]string)
	for ev := range faulttree.Event(m.Len()) {
		if g, ok := m.GateOf(ev); ok {
			got[m.Name(ev)] = gateText(m, g)
		}
	}
	require.Equal(t, want, got)
}

// TestItems compares items, their modes with priors, and what raises them.
func TestItems(t *testing.T) {
	m := goodEngine(t).Model()
	var got []string
	for _, it := range m.Items() {
		for _, ev := range it.Modes {
			mode, ok := m.ModeOf(ev)
			require.True(t, ok)
			s := fmt.Sprint(it.Name, " > ", m.Name(ev), " ", mode.Prior)
			for _, src := range mode.Sources {
				s += fmt.Sprint(" <- ", src.Weight, " ", m.Name(src.Event))
			}
			got = append(got, s)
		}
	}
	want := []string{
		"stale_fuel > stale_fuel 0.2 <- 0.05 work_done",
		"work_done > work_done 0.1",
	}
	for i := 1; i <= 4; i++ {
		want = append(want, fmt.Sprintf("pilot_jet@carb:%d > pilot_jet.blocked@carb:%d 0.02 <- 0.3 stale_fuel", i, i))
	}
	for i := 1; i <= 4; i++ { // two modes of one item, which exclude one another
		want = append(want,
			fmt.Sprintf("float@carb:%d > float.low@carb:%d 0.01 <- 0.02 work_done", i, i),
			fmt.Sprintf("float@carb:%d > float.high@carb:%d 0.015", i, i))
	}
	for i := 1; i <= 4; i++ {
		want = append(want, fmt.Sprintf("plug@cylinder:%d > plug.fouled@cylinder:%d 0.03 <- 0.25 float.high@carb:%d <- 0.3 rich@cylinder:%d", i, i, i, i))
	}
	want = append(want,
		"coil@coil:A > coil.weak@coil:A 0.01",
		"coil@coil:B > coil.weak@coil:B 0.01",
		"enricher@enricher:2 > enricher.stuck@enricher:2 0.04",
		"enricher@enricher:3 > enricher.stuck@enricher:3 0.04",
		"filter > filter.clogged 0.05",
		"wet_plugs_noted > wet_plugs_noted.yes 0.001 <- 0.1 stale_fuel")
	require.Equal(t, want, got)
	require.True(t, m.Items()[0].Cause)
	require.False(t, m.Items()[2].Cause)
}

// phi is the standard normal distribution function.
func phi(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

func rowsText(m *faulttree.Model, c faulttree.Check) []string {
	var out []string
	for _, r := range c.Rows {
		out = append(out, fmt.Sprint(m.Name(r.Event), " ", r.P))
	}
	return append(out, fmt.Sprint("else ", c.Else))
}

func TestChecksWithOutcomes(t *testing.T) {
	e := goodEngine(t)
	m := e.Model()
	at := func(id string, p Place) faulttree.Check {
		u, ok := e.Check(id, p)
		require.True(t, ok, "%s at %v", id, p)
		byID, ok := e.CheckByID(u.ID)
		require.True(t, ok)
		require.Equal(t, u, byID)
		return m.Checks()[u.ID]
	}
	c := at("drop_test", Place{"cylinder", "3"})
	require.Equal(t, "drop_test@cylinder:3", c.Name)
	require.Equal(t, []string{"falls", "none"}, c.Outcomes)
	require.Equal(t, []string{"weak_cylinder@cylinder:3 [0.1 0.9]", "else [0.95 0.05]"}, rowsText(m, c))

	c = at("plug_look", Place{"cylinder", "1"})
	require.Len(t, c.Outcomes, 5)
	require.Equal(t, []string{"washed@cylinder:1 [0.1 0.8 0.1 0 0]", "plug.fouled@cylinder:1 [0.1 0.1 0.7 0 0.1]",
		"lean@cylinder:1 [0.3 0 0 0.7 0]", "else [0.9 0.025 0.025 0.025 0.025]"}, rowsText(m, c))

	// A row of another set: one row for each place that relates, in order.
	c = at("coil_side", Place{"coil", "A"})
	require.Equal(t, []string{"plug.fouled@cylinder:1 [0.2 0.8]", "plug.fouled@cylinder:4 [0.2 0.8]", "coil.weak@coil:A [0.9 0.1]", "else [0.8 0.2]"}, rowsText(m, c))

	// Enrichers stand at two carburettors only; elsewhere there is nothing to feel.
	require.Len(t, e.ChecksOf("carb_warmth"), 2)
	_, ok := e.Check("carb_warmth", Place{"carb", "1"})
	require.False(t, ok)
	c = at("carb_warmth", Place{"carb", "3"})
	require.Equal(t, []string{"enricher.stuck@enricher:3 [0.1 0.9]", "else [0.9 0.1]"}, rowsText(m, c))
}

func TestHistory(t *testing.T) {
	e := goodEngine(t)
	u, ok := e.Circumstance("since_layup")
	require.True(t, ok)
	require.Equal(t, []CircumstanceUse{u}, e.Circumstances())
	_, isCheck := e.CheckByID(u.ID)
	require.False(t, isCheck)
	c := e.Model().Checks()[u.ID]
	require.Equal(t, "history:since_layup", c.Name)
	require.Equal(t, "said", c.Outcomes[HistorySaid])
	require.Equal(t, "not said", c.Outcomes[HistoryNotSaid])
	require.Equal(t, []string{"stale_fuel [0.7 0.30000000000000004]", "pilot_jet.blocked@carb:1 [1 0]", "pilot_jet.blocked@carb:2 [1 0]",
		"pilot_jet.blocked@carb:3 [1 0]", "pilot_jet.blocked@carb:4 [1 0]", "else [0 1]"}, rowsText(e.Model(), c))
}

// near compares probabilities with those of the normal distribution, to which
// package measure adds that a reading is of something else altogether with
// probability Slip, in any of n bins alike. The first of two outcomes takes one
// of the bins.
func near(t *testing.T, n int, want, got []float64) {
	t.Helper()
	expected := make([]float64, len(want))
	rest := 1.0
	for i, p := range want {
		expected[i] = (1-measure.Slip)*p + measure.Slip/float64(n)
		if i == len(want)-1 {
			expected[i] = rest
		}
		rest -= expected[i]
	}
	require.InDeltaSlice(t, expected, got, 1e-9)
}

func TestReadingWithLimit(t *testing.T) {
	e := goodEngine(t)
	u, ok := e.Check("coil_ohms", Place{"coil", "B"})
	require.True(t, ok)
	r, ok := e.Reading(u)
	require.True(t, ok)
	require.Equal(t, "ohm", r.Unit.Symbol())
	require.InDelta(t, 0.03, r.Uncertainty, 1e-15) // 30 mohm
	require.Equal(t, []string{CorrectLeads, CorrectCopper20}, r.Corrections)
	require.InDelta(t, 0.6, r.Model.Rows[0].Mean, 1e-12) // 0.75 of 0.80 ohm
	require.InDelta(t, 0.2, r.Model.Rows[0].SD, 1e-12)
	require.InDelta(t, 0.04, r.Model.Else.SD, 1e-12)
	require.InDeltaSlice(t, []float64{0.7, 0.9}, r.Cuts, 1e-12)
	require.Equal(t, "7", r.Limit.Page)
	require.Nil(t, r.Siblings)

	c := e.Model().Checks()[u.ID]
	require.Equal(t, []string{Conforms, DoesNotConform}, c.Outcomes)
	require.Equal(t, "coil.weak@coil:B", e.Model().Name(c.Rows[0].Event))
	// Sound coils: sd of true value and reading together 0.05 ohm, limits at two
	// of them on either side: 95.45 % (normal tables).
	near(t, 3, []float64{0.9544997361, 0.0455002639}, c.Else)
	sd := math.Hypot(0.2, 0.03)
	p := phi(0.3/sd) - phi(0.1/sd)
	near(t, 3, []float64{p, 1 - p}, c.Rows[0].P)

	// A limit of lowest and highest, in psi; the sheet wants kPa shown.
	u, _ = e.Check("filter_flow", Place{})
	c = e.Model().Checks()[u.ID]
	sd = math.Hypot(1, 0.5)
	p = phi(2/sd) - phi(-2/sd)
	near(t, 3, []float64{p, 1 - p}, c.Else)
	p = phi(5/sd) - phi(1/sd)
	near(t, 3, []float64{p, 1 - p}, c.Rows[0].P)
	require.Equal(t, "kPa", e.Sheet().Units[0].In.Symbol())
}

func TestReadingWithoutLimit(t *testing.T) {
	e := goodEngine(t)
	u, ok := e.Check("float_height", Place{"carb", "4"})
	require.True(t, ok)
	r, ok := e.Reading(u)
	require.True(t, ok)
	require.Nil(t, r.Limit)
	require.Equal(t, "highest less lowest at most 1 mm", r.Siblings.String())
	// Means 12 (typed as 1.2 cm), 14 and 16 mm: cuts at their middles.
	require.Equal(t, []float64{13, 15}, r.Cuts)
	c := e.Model().Checks()[u.ID]
	require.Equal(t, []string{"below 13.0 mm", "13.0 mm to 15.0 mm", "15.0 mm or more"}, c.Outcomes)
	sd := math.Hypot(0.5, 0.2)
	near(t, 3, []float64{phi(-1 / sd), phi(1/sd) - phi(-1/sd), phi(-1 / sd)}, c.Else)
	sd = math.Hypot(0.8, 0.2)
	require.Equal(t, "float.high@carb:4", e.Model().Name(c.Rows[1].Event))
	near(t, 3, []float64{phi(1 / sd), phi(3/sd) - phi(1/sd), phi(-3 / sd)}, c.Rows[1].P)

	_, ok = e.Reading(e.ChecksOf("drop_test")[0])
	require.False(t, ok)
}

// TestOneSidedLimits gives the sheet a lowest and a highest value in turn.
func TestOneSidedLimits(t *testing.T) {
	sd := math.Hypot(1, 0.5)
	for limit, conforming := range map[string]float64{
		`{quantity: pressure, min: "3 psi"}`: phi(2 / sd),
		`{quantity: pressure, max: "7 psi"}`: phi(2 / sd),
		`{quantity: pressure, max: "4 psi"}`: phi(-1 / sd),
	} {
		sources := goodSources(t)
		sources[1].Data = []byte(strings.Replace(string(sources[1].Data), `{quantity: pressure, range: ["3 psi", "7 psi"]}`, limit, 1))
		lib, problems := Load(sources)
		require.NoError(t, problems.Err())
		e, err := Open(lib, "marsh_twin_one")
		require.NoError(t, err)
		u, _ := e.Check("filter_flow", Place{})
		near(t, 2, []float64{conforming, 1 - conforming}, e.Model().Checks()[u.ID].Else)
	}
}

func TestRepairs(t *testing.T) {
	e := goodEngine(t)
	m := e.Model()
	text := func(id string, p Place) string {
		u, ok := e.Repair(id, p)
		require.True(t, ok)
		r := m.Repairs()[u.ID]
		s := fmt.Sprint(r.Name, " ", r.Success)
		for _, f := range r.Fixes {
			s += " " + m.Name(f)
		}
		for _, in := range r.Introduces {
			s += fmt.Sprint(" + ", in.P, " ", m.Name(in.Mode))
		}
		return s
	}
	require.Equal(t, "clean_jet@carb:2 0.9 pilot_jet.blocked@carb:2 + 0.05 float.low@carb:2", text("clean_jet", Place{"carb", "2"}))
	require.Equal(t, "renew_fuel 1 stale_fuel filter.clogged", text("renew_fuel", Place{}))
	require.Equal(t, "renew_coil@coil:B 1 coil.weak@coil:B plug.fouled@cylinder:2 plug.fouled@cylinder:3", text("renew_coil", Place{"coil", "B"}))
	require.Len(t, e.RepairsOf("free_enricher"), 2)
	require.Equal(t, "free_enricher@carb:3 1 enricher.stuck@enricher:3", text("free_enricher", Place{"carb", "3"}))
	require.Len(t, e.Repairs(), 4+1+2+2)
	require.Equal(t, "clean the pilot jet, carburettor 2", e.RepairsOf("clean_jet")[1].Title)
}

// TestRebuild builds the engine again from the sources that it keeps.
func TestRebuild(t *testing.T) {
	e := goodEngine(t)
	lib, problems := Load(e.Sources())
	require.NoError(t, problems.Err())
	again, err := Open(lib, e.Sheet().ID)
	require.NoError(t, err)
	require.Equal(t, e.Model(), again.Model())
	require.Len(t, e.Sources(), 3)
}

func TestOpenUnknownSheet(t *testing.T) {
	lib, _ := Load(goodSources(t))
	_, err := Open(lib, "marsh_twin_on")
	require.EqualError(t, err, `no sheet is called "marsh_twin_on"; did you mean "marsh_twin_one"?`)
}

func TestDescribe(t *testing.T) {
	e := goodEngine(t)
	for _, c := range []struct {
		id    string
		at    Place
		kind  Kind
		title string
		short string
	}{
		{"pilot_jet.blocked", Place{"carb", "3"}, KindMode, "pilot jet, carburettor 3: blocked or part-blocked", "pilot jet 3 blocked"},
		{"coil.weak", Place{"coil", "A"}, KindMode, "ignition coil A: weak", "ignition coil A weak"},
		{"filter.clogged", Place{}, KindMode, "fuel filter: clogged", "fuel filter clogged"},
		{"lean", Place{"cylinder", "2"}, KindCondition, "lean at idle, cylinder 2", "lean at idle, cylinder 2"},
		{"stale_fuel", Place{}, KindCause, "fuel went stale", "fuel went stale"},
		{"rough_idle", Place{}, KindSymptom, "rough at idle", "rough at idle"},
	} {
		ev, ok := e.Event(c.id, c.at)
		require.True(t, ok, c.id)
		d := e.Describe(ev)
		require.Equal(t, c.id, d.ID)
		require.Equal(t, c.at, d.Place)
		require.Equal(t, c.kind, d.Kind)
		require.Equal(t, c.title, d.Title)
		require.Equal(t, c.short, d.Short)
	}
	ev, _ := e.Event("float.low", Place{"carb", "1"})
	require.Equal(t, "carburettor", e.Describe(ev).System)
	require.Zero(t, e.Describe(faulttree.None))
	require.Zero(t, e.Describe(faulttree.Event(e.Model().Len())))
	require.Len(t, e.EventsOf("cold_rich"), 2)

	for _, absent := range []struct {
		id string
		at Place
	}{{"pilot_jet.blocked", Place{}}, {"pilot_jet.blocked", Place{"carb", "9"}}, {"pilot_jet.blocked", Place{"cylinder", "1"}}, {"cold_rich", Place{"cylinder", "1"}}, {"nothing", Place{}}} {
		ev, ok := e.Event(absent.id, absent.at)
		require.False(t, ok)
		require.Equal(t, faulttree.None, ev)
	}
}
