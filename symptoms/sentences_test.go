package symptoms

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// sentence is one case of testdata/sentences.txt or partly.txt.
type sentence struct {
	line int
	text string
	want []string
}

// sentences reads a file of cases: a sentence, and under it, indented, what is
// expected to stand. The files tell how.
func sentences(t testing.TB, name string) []sentence {
	t.Helper()
	data, err := os.ReadFile("testdata/" + name)
	require.NoError(t, err)
	var out []sentence
	for i, line := range strings.Split(string(data), "\n") {
		switch {
		case line == "" || strings.HasPrefix(line, "#"):
		case strings.HasPrefix(line, "  "):
			require.NotEmpty(t, out, "line %d: no sentence above", i+1)
			last := &out[len(out)-1]
			last.want = append(last.want, strings.TrimSpace(line))
		default:
			out = append(out, sentence{line: i + 1, text: line})
		}
	}
	return out
}

// rendered writes a complaint as the case files do.
func rendered(c Complaint) []string {
	lines := map[string][]string{}
	put := func(key, word string) { lines[key] = append(lines[key], word) }
	for _, s := range c.Standing() {
		name := s.Symptom
		if s.Assumed {
			name += "~"
		}
		put(map[State]string{Present: "+", Absent: "-", Unknown: "?"}[s.State], name)
	}
	for _, s := range c.Statements {
		if s.Overruled {
			put("over", s.State.String()+" "+s.Symptom)
		}
	}
	for _, h := range c.History {
		name := h.Circumstance
		if h.Denied {
			name = "not " + name
		}
		put("said", name)
	}
	for _, m := range c.Missed {
		put("missed", m.Text)
	}
	var out []string
	for _, key := range []string{"+", "-", "?"} {
		if len(lines[key]) > 0 {
			out = append(out, key+" "+strings.Join(lines[key], " "))
		}
	}
	for _, key := range []string{"over", "said", "missed"} {
		for _, word := range lines[key] {
			out = append(out, key+" "+word)
		}
	}
	return out
}

func TestSentences(t *testing.T) {
	l := testLexicon(t)
	cases := append(sentences(t, "sentences.txt"), sentences(t, "partly.txt")...)
	for _, c := range cases {
		t.Run(c.text, func(t *testing.T) {
			require.Equal(t, c.want, rendered(l.Read(c.text)), "line %d", c.line)
		})
	}
}

// Most sentences must be understood from their parts: none of what the
// statements rest on is a saying of the data as it stands.
func TestSentencesAreTakenApart(t *testing.T) {
	l := testLexicon(t)
	sayings := map[string]bool{}
	for _, s := range everySaying(sharedVocabulary(t)) {
		sayings[strings.ToLower(s)] = true
	}
	cases := sentences(t, "sentences.txt")
	require.GreaterOrEqual(t, len(cases), 60)
	apart := 0
	for _, c := range cases {
		verbatim := false
		for _, s := range l.Read(c.text).Statements {
			verbatim = verbatim || sayings[strings.ToLower(s.Words.Text)]
		}
		if !verbatim {
			apart++
		}
	}
	require.GreaterOrEqual(t, apart, 25)
	require.GreaterOrEqual(t, len(sentences(t, "partly.txt")), 10)
}

func everySaying(v Vocabulary) []string {
	out := append([]string{}, v.Poor...)
	for _, w := range v.Shows {
		out = append(out, w.Words...)
	}
	for _, r := range v.Regimes {
		out = append(out, r.Phrases...)
	}
	for _, r := range v.Ranges {
		out = append(out, r.Phrases...)
	}
	for _, a := range v.Acts {
		out = append(out, a.Words...)
	}
	for _, r := range v.Reliefs {
		out = append(out, r.Words...)
	}
	return out
}

func TestWordsOfStatements(t *testing.T) {
	l := testLexicon(t)
	c := l.Read("Stumbles since lay-up at all rpm, starts fine.")
	require.Len(t, c.Statements, 7)
	for _, s := range c.Statements[:3] {
		require.Equal(t, Span{"Stumbles", 0, 8}, s.Words)
		require.Equal(t, []Span{{"all rpm", 25, 32}}, s.More)
	}
	require.Equal(t, Span{"starts fine", 34, 45}, c.Statements[3].Words)
	require.Equal(t, []Said{{Circumstance: "since_layup", Words: Span{"since lay-up", 9, 21}}}, c.History)
	require.Empty(t, c.Missed)
	require.Equal(t, "Stumbles since lay-up at all rpm, starts fine.", c.Text)
}

// Offsets count runes, not bytes.
func TestSpansCountRunes(t *testing.T) {
	c := testLexicon(t).Read("‘Größe’ – won’t idle")
	require.Equal(t, []Span{{"Größe", 1, 6}}, c.Missed)
	require.Len(t, c.Statements, 1)
	require.Equal(t, Span{"won’t idle", 10, 20}, c.Statements[0].Words)
}

func TestEmptyText(t *testing.T) {
	for _, text := range []string{"", "  ", ".", "the engine", "\xff\xfe"} {
		c := testLexicon(t).Read(text)
		require.Empty(t, c.Statements, "%q", text)
		require.Empty(t, c.History, "%q", text)
		require.Empty(t, c.Missed, "%q", text)
	}
}

func ExampleLexicon_Read() {
	v := Vocabulary{
		Kinds:   []Kind{{"running", "running trouble"}},
		Shows:   []Word{{ID: "stumble", Title: "stumbles", Kind: "running", Words: []string{"stumble", "cough"}}},
		Regimes: []RegimeWord{{ID: "idle", Axis: "throttle", Order: 1, Phrases: []string{"idle"}}, {ID: "full", Axis: "throttle", Order: 2, Phrases: []string{"flat out"}}},
		Reliefs: []Relief{{ID: "fine", Kinds: []string{"running"}, Words: []string{"fine"}}},
		Filler:  []string{"it", "but"},
		Links:   []string{"at"},
	}
	l, err := NewLexicon(v, []Symptom{
		{ID: "stumble_idle", Shows: "stumble", Regimes: []Regime{"idle"}},
		{ID: "stumble_full", Shows: "stumble", Regimes: []Regime{"full"}},
	}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	c := l.Read("coughing at idle, but fine flat out in winter")
	for _, s := range c.Standing() {
		fmt.Printf("%s %s: %q\n", s.Symptom, s.State, s.Words.Text)
	}
	for _, m := range c.Missed {
		fmt.Printf("not understood: %q\n", m.Text)
	}
	// Output:
	// stumble_idle present: "coughing at idle"
	// stumble_full absent: "fine flat out"
	// not understood: "in winter"
}
