package symptoms

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
)

// Shapes of vocabulary.yaml for the tests; the program reads it in package
// knowledge.
type (
	wordYAML struct {
		Title, Kind         string
		Near, Covers, Words []string
	}
	regimeYAML struct {
		Title, Axis         string
		Order               int
		Steady              bool
		RPM                 []float64
		Near, Then, Phrases []string
	}
	rangeYAML struct {
		Regimes, Phrases []string
		Everywhere       bool
	}
	actYAML struct {
		Words, Regimes, Kinds, Affirms []string
		Refused, Poor, Does            string
		Carries, Ends                  bool
		Follow                         map[string]string
	}
	reliefYAML struct {
		Kinds, Words []string
		Changes      bool
	}
)

// inOrderOf calls f for every entry of a mapping as written.
func inOrderOf(t testing.TB, n *yaml.Node, f func(key string, value *yaml.Node)) {
	t.Helper()
	require.Equal(t, yaml.MappingNode, n.Kind)
	for i := 0; i+1 < len(n.Content); i += 2 {
		f(n.Content[i].Value, n.Content[i+1])
	}
}

func decode[T any](t testing.TB, n *yaml.Node) T {
	t.Helper()
	var v T
	require.NoError(t, n.Decode(&v))
	return v
}

// sharedVocabulary reads the vocabulary that the packs share.
func sharedVocabulary(t testing.TB) Vocabulary {
	t.Helper()
	data, err := os.ReadFile("../knowledge/packs/vocabulary.yaml")
	require.NoError(t, err)
	var doc yaml.Node
	require.NoError(t, yaml.Unmarshal(data, &doc))
	var v Vocabulary
	lists := map[string]*[]string{"poor": &v.Poor, "articles": &v.Articles, "filler": &v.Filler, "links": &v.Links, "kept": &v.Kept}
	inOrderOf(t, doc.Content[0], func(section string, n *yaml.Node) {
		if list, ok := lists[section]; ok {
			*list = decode[[]string](t, n)
			return
		}
		if section == "format" {
			require.Equal(t, "1", n.Value)
			return
		}
		inOrderOf(t, n, func(id string, value *yaml.Node) { addEntry(t, &v, section, id, value) })
	})
	return v
}

func addEntry(t testing.TB, v *Vocabulary, section, id string, n *yaml.Node) {
	t.Helper()
	switch section {
	case "kinds":
		v.Kinds = append(v.Kinds, Kind{ID: id, Title: n.Value})
	case "shows":
		w := decode[wordYAML](t, n)
		v.Shows = append(v.Shows, Word{id, w.Title, w.Kind, w.Near, w.Covers, w.Words})
	case "regimes":
		w := decode[regimeYAML](t, n)
		r := RegimeWord{ID: id, Title: w.Title, Axis: w.Axis, Order: w.Order, Steady: w.Steady, Near: w.Near, Then: w.Then, Phrases: w.Phrases}
		copy(r.RPM[:], w.RPM)
		v.Regimes = append(v.Regimes, r)
	case "ranges":
		w := decode[rangeYAML](t, n)
		v.Ranges = append(v.Ranges, RangeWord{id, w.Regimes, w.Everywhere, w.Phrases})
	case "acts":
		v.Acts = append(v.Acts, actOf(id, decode[actYAML](t, n)))
	case "reliefs":
		w := decode[reliefYAML](t, n)
		v.Reliefs = append(v.Reliefs, Relief{id, w.Kinds, w.Changes, w.Words})
	case "signs":
		v.Signs = append(v.Signs, Sign{id, decode[[]string](t, n)})
	case "matters":
		v.Matters = append(v.Matters, Matter{id, decode[[]string](t, n)})
	case "numbers":
		v.Numbers = append(v.Numbers, Number{id, decode[float64](t, n)})
	default:
		require.Fail(t, "section not known", section)
	}
}

func actOf(id string, w actYAML) Act {
	a := Act{ID: id, Words: w.Words, Regimes: w.Regimes, Kinds: w.Kinds, Refused: w.Refused, Poor: w.Poor, Does: w.Does, Affirms: w.Affirms, Carries: w.Carries, Ends: w.Ends}
	for _, show := range []string{"dies", "cuts_out"} {
		if means, ok := w.Follow[show]; ok {
			a.Follow = append(a.Follow, Follow{show, means})
		}
	}
	return a
}

// outboard is a pack's share of the lexicon: an outboard of four cylinders
// with a carburettor each.
func outboard() []Symptom {
	return []Symptom{
		{"no_crank", "does not crank", "no_crank", []Regime{"cranking"}},
		{"slow_crank", "cranks slowly", "slow_crank", []Regime{"cranking"}},
		{"no_start", "cranks, will not start", "no_start", []Regime{"cranking"}},
		{"hard_start_cold", "hard to start cold", "hard_start", []Regime{"cold"}},
		{"hard_start_hot", "hard to start hot", "hard_start", []Regime{"hot"}},
		{"starts_dies", "starts, then dies", "starts_dies", nil},
		{"rough_idle", "rough at idle", "rough", []Regime{"idle"}},
		{"stumble_idle", "stumbles at idle", "stumble", []Regime{"idle"}},
		{"stumble_mid", "stumbles at mid throttle", "stumble", []Regime{"mid"}},
		{"stumble_full", "stumbles at full throttle", "stumble", []Regime{"full"}},
		{"dies_idle", "dies at idle", "dies", []Regime{"idle"}},
		{"bog_opening", "bogs when the throttle is opened", "bog", []Regime{"opening"}},
		{"surge_mid", "surges at mid throttle", "surge", []Regime{"mid"}},
		{"low_power_full", "down on revs at full throttle", "low_power", []Regime{"full"}},
		{"popback_opening", "pops back on opening", "popback", []Regime{"opening"}},
		{"afterfire_closing", "bangs in the exhaust on closing", "afterfire", []Regime{"closing"}},
		{"smoke_black", "black smoke", "smoke_black", nil},
		{"poor_cold", "runs badly cold", "runs_badly", []Regime{"cold"}},
		{"poor_hot", "runs badly hot", "runs_badly", []Regime{"hot"}},
		{"dead_cylinder", "a cylinder does nothing", "dead_cylinder", nil},
		{"fades", "fades after minutes", "fades", nil},
		{"fuel_smell", "smell of fuel", "fuel_smell", nil},
		{"overheat", "overheats", "overheat", nil},
		{"needs_choke", "needs the choke", "needs_choke", nil},
	}
}

func past() []Circumstance {
	return []Circumstance{
		{"since_layup", "since it was laid up", []string{"since lay-up", "after winter storage"}},
		{"since_work", "since the carburettors were worked on", []string{"after work on the carburettors", "since the carbs were done"}},
		{"since_fuelling", "since it was fuelled", []string{"after fuelling"}},
		{"sudden", "came suddenly", []string{"suddenly"}},
		{"since_rain", "after rain", []string{"after rain"}},
		{"one_tank", "on one tank only", []string{"only with the big tank", "fine on the portable tank"}},
	}
}

func testLexicon(t testing.TB) *Lexicon {
	t.Helper()
	l, err := NewLexicon(sharedVocabulary(t), outboard(), past())
	require.NoError(t, err)
	return l
}
