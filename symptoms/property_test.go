package symptoms

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// pieces gives all spans of a complaint: those of statements and
// circumstances, and those missed.
func spansOf(c Complaint) (understood, missed []Span) {
	for _, s := range c.Statements {
		understood = append(append(understood, s.Words), s.More...)
	}
	for _, h := range c.History {
		understood = append(append(understood, h.Words), h.More...)
	}
	return understood, c.Missed
}

// sound checks what must hold for any text.
func sound(t require.TestingT, l *Lexicon, text string) {
	c := l.Read(text)
	runes := []rune(text)
	understood, missed := spansOf(c)
	all := slices.Concat(understood, missed)
	for i, s := range all {
		require.True(t, 0 <= s.Start && s.Start < s.End && s.End <= len(runes), "%q: span %v", text, s)
		require.Equal(t, string(runes[s.Start:s.End]), s.Text, "%q", text)
		for _, o := range all[:i] {
			same := o == s && i < len(understood)
			require.True(t, same || o.End <= s.Start || s.End <= o.Start, "%q: %v and %v overlap", text, o, s)
		}
	}
	nothingDropped(t, l, runes, all, missed)
	require.Equal(t, c, l.Read(text), "%q: another result the second time", text)
	seen := map[string]bool{}
	for _, s := range c.Standing() {
		require.False(t, seen[s.Symptom], "%q: %s stands twice", text, s.Symptom)
		require.False(t, s.Overruled, "%q: %s stands though overruled", text, s.Symptom)
		seen[s.Symptom] = true
	}
	for _, s := range c.Statements {
		require.True(t, seen[s.Symptom], "%q: nothing stands on %s", text, s.Symptom)
	}
}

// nothingDropped checks that every word with weight lies in a span, and that a
// word which is in no list of the data lies in a missed one.
func nothingDropped(t require.TestingT, l *Lexicon, runes []rune, all, missed []Span) {
	in := func(spans []Span, tok token) bool {
		return slices.ContainsFunc(spans, func(s Span) bool { return s.Start <= tok.start && tok.end <= s.End })
	}
	tokens := l.prepare(runes, true)
	for _, x := range l.lex(tokens) {
		for _, tok := range tokens[x.first : x.last+1] {
			if x.light() || tok.mark || tok.filler {
				continue
			}
			require.True(t, in(all, tok), "%q: %q is dropped", string(runes), tok.norm)
			foreign := x.sense == senseUnknown && !tok.number
			require.True(t, !foreign || in(missed, tok), "%q: %q is not known, yet not missed", string(runes), tok.norm)
		}
	}
}

// chatter draws texts from the words of the data, joints, numbers and noise.
func chatter(v Vocabulary) *rapid.Generator[string] {
	words := everySaying(v)
	for _, s := range v.Signs {
		words = append(words, s.Words...)
	}
	for _, m := range v.Matters {
		words = append(words, m.Words...)
	}
	words = append(words, v.Filler...)
	for i, w := range words {
		words[i] = strings.ReplaceAll(strings.ReplaceAll(w, "=", ""), "#", "3")
	}
	word := rapid.OneOf(
		rapid.SampledFrom(words), rapid.SampledFrom(words), rapid.SampledFrom(words),
		rapid.SampledFrom([]string{",", ".", ";", "and", "but", "then", "until", "not", "only", "except", "3000", "4k rpm", "½ throttle", "won’t", "2000-3000", "\n"}),
		rapid.StringN(1, 8, 16),
	)
	return rapid.Map(rapid.SliceOfN(word, 0, 12), func(parts []string) string { return strings.Join(parts, " ") })
}

func TestReadIsSound(t *testing.T) {
	l := testLexicon(t)
	texts := chatter(sharedVocabulary(t))
	rapid.Check(t, func(t *rapid.T) { sound(t, l, texts.Draw(t, "text")) })
}

// Lexicons made anew from the same data agree.
func TestReadIsTheSameForTheSameData(t *testing.T) {
	one, two := testLexicon(t), testLexicon(t)
	texts := chatter(sharedVocabulary(t))
	rapid.Check(t, func(t *rapid.T) {
		text := texts.Draw(t, "text")
		require.Equal(t, one.Read(text), two.Read(text))
	})
}

// Case, marks of emphasis and spare spaces change nothing.
func TestShoutingChangesNothing(t *testing.T) {
	l := testLexicon(t)
	for _, c := range sentences(t, "sentences.txt") {
		loud := l.Read("  " + strings.ToUpper(c.text) + "!!!")
		require.Equal(t, c.want, rendered(loud), c.text)
	}
}

// One sentence after another, with nothing to refer back to, says what both say.
func TestSentencesAddUp(t *testing.T) {
	l := testLexicon(t)
	a := l.Read("Won't idle.")
	b := l.Read("Black smoke.")
	both := l.Read("Won't idle. Black smoke.")
	require.Equal(t, len(a.Statements)+len(b.Statements), len(both.Statements))
	require.Equal(t, []string{"+ dies_idle smoke_black"}, rendered(both))
}

func FuzzRead(f *testing.F) {
	l := testLexicon(f)
	for _, name := range []string{"sentences.txt", "partly.txt"} {
		for _, c := range sentences(f, name) {
			f.Add(c.text)
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		if !utf8.ValidString(text) || len(text) > 400 {
			t.Skip()
		}
		sound(t, l, text)
	})
}
