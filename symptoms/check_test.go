package symptoms

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// small is a vocabulary without fault, to spoil.
func small() Vocabulary {
	return Vocabulary{
		Kinds:    []Kind{{"running", "running trouble"}},
		Shows:    []Word{{ID: "rough", Kind: "running", Words: []string{"rough"}}, {ID: "bog", Kind: "running", Near: []string{"rough"}, Words: []string{"bog"}}},
		Regimes:  []RegimeWord{{ID: "idle", Axis: "throttle", Order: 1, Steady: true, RPM: [2]float64{600, 1200}, Phrases: []string{"at idle"}}},
		Acts:     []Act{{ID: "run", Words: []string{"run"}, Refused: "rough", Poor: "rough"}},
		Reliefs:  []Relief{{ID: "fine", Kinds: []string{"running"}, Words: []string{"fine"}}},
		Signs:    []Sign{{ID: "not", Words: []string{"not"}}, {ID: "since", Words: []string{"since"}}},
		Articles: []string{"the"},
	}
}

func TestVocabularyWithoutFault(t *testing.T) {
	_, err := NewLexicon(small(), []Symptom{{ID: "rough_idle", Shows: "rough", Regimes: []Regime{"idle"}}}, []Circumstance{{ID: "rain", Phrases: []string{"since rain"}}})
	require.NoError(t, err)
}

func TestFaultsOfTheData(t *testing.T) {
	spoil := map[string]func(v *Vocabulary){
		`shows.bog.words.rough: collides with a saying of shows.rough.words`:              func(v *Vocabulary) { v.Shows[1].Words = []string{"rough"} },
		`shows.bog.words.ROUGHLY: collides with a saying of shows.rough.words`:            func(v *Vocabulary) { v.Shows[1].Words = []string{"ROUGHLY"} },
		`shows.bog.words.the: nothing is left of this saying`:                             func(v *Vocabulary) { v.Shows[1].Words = []string{"the"} },
		`shows.bog.kind.walking: no such kind "walking"; the vocabulary knows running`:    func(v *Vocabulary) { v.Shows[1].Kind = "walking" },
		`shows.bog.near.bump: no such manifestation "bump"`:                               func(v *Vocabulary) { v.Shows[1].Near = []string{"bump"} },
		`shows.bog.covers.bump: no such manifestation "bump"`:                             func(v *Vocabulary) { v.Shows[1].Covers = []string{"bump"} },
		`regimes.idle.axis: has no axis`:                                                  func(v *Vocabulary) { v.Regimes[0].Axis = "" },
		`regimes.idle.rpm: band of engine speed must rise`:                                func(v *Vocabulary) { v.Regimes[0].RPM = [2]float64{1200, 600} },
		`regimes.idle.rpm: has a band of engine speed but is no steady speed`:             func(v *Vocabulary) { v.Regimes[0].Steady = false },
		`regimes.idle.then.mid: no such regime "mid"`:                                     func(v *Vocabulary) { v.Regimes[0].Then = []string{"mid"} },
		`ranges.all.regimes.mid: no such regime "mid"`:                                    func(v *Vocabulary) { v.Ranges = []RangeWord{{ID: "all", Regimes: []string{"mid"}}} },
		`acts.run.refused.stop: no such manifestation "stop"`:                             func(v *Vocabulary) { v.Acts[0].Refused = "stop" },
		`acts.run.follow.stop: no such manifestation "stop"`:                              func(v *Vocabulary) { v.Acts[0].Follow = []Follow{{"bog", "stop"}} },
		`reliefs.fine: clears nothing`:                                                    func(v *Vocabulary) { v.Reliefs[0].Kinds = nil },
		`signs.perhaps: no such sign "perhaps"`:                                           func(v *Vocabulary) { v.Signs = append(v.Signs, Sign{ID: "perhaps"}) },
		`shows.rough: identifier "rough" of entry 3 is empty or used before`:              func(v *Vocabulary) { v.Shows = append(v.Shows, Word{ID: "rough", Kind: "running"}) },
		`filler.bog: collides with a saying of shows.bog.words; take it out of one of th`: func(v *Vocabulary) { v.Filler = []string{"bog"} },
		`regimes: 70 regimes; there may be at most 64`:                                    func(v *Vocabulary) { v.Regimes = make([]RegimeWord, 70) },
	}
	for want, f := range spoil {
		v := small()
		f(&v)
		_, err := NewLexicon(v, nil, nil)
		require.ErrorContains(t, err, want)
	}
}

func TestFaultsOfThePack(t *testing.T) {
	_, err := NewLexicon(small(),
		[]Symptom{{ID: "a", Shows: "bump", Regimes: []Regime{"mid"}}, {ID: "a", Shows: "rough"}},
		[]Circumstance{
			{ID: "rain", Phrases: []string{"since rain", "since"}},
			{ID: "wet", Phrases: []string{"since the rain"}},
			{ID: "dry"},
		})
	var all Problems
	require.ErrorAs(t, err, &all)
	var got []string
	for _, p := range all {
		got = append(got, strings.Join(p.Path, "/"))
	}
	require.Equal(t, []string{
		"symptoms/a/shows/bump", "symptoms/a/regime/mid", "symptoms/a", // the second a
		"history/dry/phrases",
		"history/rain/phrases/since", "history/wet/phrases/since the rain",
	}, got, "all faults at once, in the order of the data")
	var one Problem
	require.True(t, errors.As(err, &one))
	require.Equal(t, all[0], one)
	require.Equal(t, len(all), len(strings.Split(err.Error(), "\n")))
}

// An empty vocabulary understands nothing, and says so.
func TestEmptyVocabulary(t *testing.T) {
	l, err := NewLexicon(Vocabulary{}, nil, nil)
	require.NoError(t, err)
	require.Equal(t, []string{"missed rough at idle", "missed not fine"}, rendered(l.Read("rough at idle, not fine")))
}

// The shared vocabulary names every manifestation and regime by a saying of its
// own that is read as it.
func TestEverySayingIsReadAsItself(t *testing.T) {
	v := sharedVocabulary(t)
	l := testLexicon(t)
	alone := func(saying string) lexeme {
		lex := l.lex(l.prepare([]rune(strings.NewReplacer("=", "", "#", "3").Replace(saying)), true))
		best := lex[0]
		for _, x := range lex {
			if best.light() {
				best = x
			}
		}
		return best
	}
	for i, w := range v.Shows {
		for _, s := range w.Words {
			require.Equal(t, meaning{senseShow, i}, alone(s).meaning, "%s: %s", w.ID, s)
		}
	}
	for i, w := range v.Regimes {
		for _, s := range w.Phrases {
			require.Equal(t, meaning{senseRegime, i}, alone(s).meaning, "%s: %s", w.ID, s)
		}
	}
}
