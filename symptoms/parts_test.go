package symptoms

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestStem(t *testing.T) {
	families := [][]string{
		{"stumble", "stumbles", "stumbled", "stumbling"},
		{"dies", "died", "dying"},
		{"bog", "bogs", "bogged", "bogging"},
		{"idle", "idles", "idling", "idled"},
		{"miss", "misses", "missing"},
		{"rough", "roughly"},
		{"carry", "carries", "carried"},
		{"stall", "stalls", "stalled", "stalling"},
		{"fuel", "fuelling", "fueling", "fuelled"},
		{"easy", "easily"},
	}
	for i, family := range families {
		for _, w := range family {
			require.Equal(t, stem(family[0]), stem(w), w)
			for _, other := range families[:i] {
				require.NotEqual(t, stem(other[0]), stem(w), w)
			}
		}
	}
	for _, w := range []string{"on", "gas", "1/2"} {
		require.Equal(t, w, stem(w))
	}
}

func TestTokenise(t *testing.T) {
	var got []string
	for _, tok := range tokenise([]rune("Won’t re-start @ 3,500rpm… ½ throttle; it's 1/4 (cold)")) {
		got = append(got, tok.norm)
	}
	require.Equal(t, []string{"wont", "re", "start", ",", "3,500", "rpm", ".", "1/2", "throttle", ";", "it", "1/4", "(", "cold", ")"}, got)
}

// Slips are forgiven by length: one from five letters, two from nine, the
// first letter right; common words of their own are let be.
func TestCorrect(t *testing.T) {
	l := testLexicon(t)
	for typed, meant := range map[string]string{
		"stumbels": "stumble", "accelaration": "acceleration", "throtle": "throttle",
	} {
		tok, ok := l.book.correct(plain(typed))
		require.True(t, ok, typed)
		require.Equal(t, stem(meant), tok.stem, typed)
	}
	for _, typed := range []string{"ruff", "tsumbles", "small", "spark", "zorg", "stumble"} {
		tok, ok := l.book.correct(plain(typed))
		require.False(t, ok, "%s became %s", typed, tok.norm)
	}
}

// Bands of the vocabulary: idle to 1200, mid to 4000, full above, documented
// there as defaults.
func TestSpeeds(t *testing.T) {
	l := testLexicon(t)
	ids := func(s set) []string {
		var out []string
		for _, i := range s.members() {
			out = append(out, l.voc.Regimes[i].ID)
		}
		return out
	}
	for _, c := range []struct {
		v    float64
		want string
	}{{300, "idle"}, {600, "idle"}, {1199, "idle"}, {1200, "mid"}, {3999, "mid"}, {4000, "full"}, {6000, "full"}, {9000, "full"}} {
		require.Equal(t, []string{c.want}, ids(l.scale.speed(c.v).at.touch), c.v)
	}
	// Of the 2800 rpm of the middle band: 3440 to 4000 is a fifth, 2600 to 4000 half.
	require.Equal(t, []string{"full"}, ids(l.scale.speed(3440).above.touch))
	require.Equal(t, []string{"mid", "full"}, ids(l.scale.speed(3439).above.touch))
	require.Equal(t, []string{"full"}, ids(l.scale.speed(2600).above.cover))
	require.Equal(t, []string{"mid", "full"}, ids(l.scale.speed(2599).above.cover))
	require.Equal(t, []string{"idle"}, ids(l.scale.speed(1000).below.touch))
	require.Equal(t, []string{"full"}, ids(l.scale.speed(7000).above.touch))
	require.Equal(t, ids(l.scale.speeds(2000, 3000).at.touch), ids(l.scale.speeds(3000, 2000).at.touch))
	require.Equal(t, []string{"mid"}, ids(l.scale.speeds(2000, 3000).at.touch))
}

func TestNumbersInWords(t *testing.T) {
	l := testLexicon(t)
	for text, want := range map[string]float64{
		"3000": 3000, "3,500 rpm": 3500, "4k": 4000, "3 grand": 3000, "two thousand revs": 2000,
		"twenty five hundred": 2500, "2.5k rpm": 2500,
	} {
		tokens := l.prepare([]rune(text), true)
		require.Len(t, tokens, 1, text)
		require.True(t, tokens[0].number, text)
		require.InDelta(t, want, tokens[0].value, 1e-9, text)
	}
}

// Speeds and years: a number is a speed by its unit or its size, not after
// "since".
func TestNumbersThatAreNoSpeeds(t *testing.T) {
	l := testLexicon(t)
	require.Equal(t, []string{"+ rough_idle", "missed since 2019"}, rendered(l.Read("rough idle since 2019")))
	require.Equal(t, []string{"+ stumble_mid"}, rendered(l.Read("stumbles at 2019 rpm")))
}

func TestFind(t *testing.T) {
	l := testLexicon(t)
	first := func(words string) string {
		found := l.Find(words)
		require.NotEmpty(t, found, words)
		return found[0].ID
	}
	for words, want := range map[string]string{
		"stumble_mid": "stumble_mid", "stumble full": "stumble_full", "lumpy at tickover": "rough_idle",
		"cranks slowly": "slow_crank", "cylinder does nothing": "dead_cylinder", "black": "smoke_black",
		"start hot": "hard_start_hot", "bangs": "afterfire_closing", "spits back": "popback_opening",
	} {
		require.Equal(t, want, first(words), words)
	}
	require.Equal(t, []Symptom{{"stumble_mid", "stumbles at mid throttle", "stumble", []Regime{"mid"}}}, l.Find("Stumble Mid"))
	require.Len(t, l.Find("stumbles"), 3)
	require.Empty(t, l.Find("zorgling"))
	require.Empty(t, l.Find(""))
}

func TestStandingKeepsTheSpecificThenTheLater(t *testing.T) {
	l := testLexicon(t)
	c := l.Read("Stumbles everywhere, clean at full throttle.")
	require.Len(t, c.Statements, 4)
	require.True(t, c.Statements[2].Overruled)
	require.Equal(t, "stumble_full", c.Statements[2].Symptom)
	require.Equal(t, Absent, c.Standing()[2].State)

	c = l.Read("Clean at full throttle. Stumbles everywhere.")
	require.Equal(t, []string{"+ stumble_idle stumble_mid", "- stumble_full", "over present stumble_full"}, rendered(c), "the specific stands though it came first")

	c = l.Read("Rough at idle. Not rough at idle.")
	require.Equal(t, []string{"- rough_idle", "over present rough_idle"}, rendered(c), "of equals the later stands")
}

func TestState(t *testing.T) {
	require.Equal(t, "unknown", State(0).String())
	require.Equal(t, "present", Present.String())
	require.Equal(t, "absent", Absent.String())
}

func TestLookups(t *testing.T) {
	l := testLexicon(t)
	s, ok := l.Symptom("bogs")
	require.False(t, ok, s)
	s, ok = l.Symptom("bog_opening")
	require.True(t, ok)
	require.Equal(t, "bog", s.Shows)
	h, ok := l.Circumstance("sudden")
	require.True(t, ok)
	require.Equal(t, "came suddenly", h.Title)
	_, ok = l.Circumstance("nothing")
	require.False(t, ok)
	require.Equal(t, "at idle", l.RegimeTitle("idle"))
	require.Equal(t, "sideways", l.RegimeTitle("sideways"))
	require.Equal(t, outboard(), l.Symptoms())
}
