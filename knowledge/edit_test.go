package knowledge

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var token = regexp.MustCompile(`[A-Za-z0-9_.]+`)

// TestEditedPacks changes a few words of the small pack and sheet into other
// words of theirs. Most results have a fault; one without makes a sound model,
// whatever the change made of it.
func TestEditedPacks(t *testing.T) {
	good := goodSources(t)
	texts := []string{string(good[0].Data), string(good[1].Data)}
	words := token.FindAllString(strings.Join(texts, "\n"), -1)
	opened := 0
	rapid.Check(t, func(rt *rapid.T) {
		var sources []Source
		which := rapid.IntRange(0, 1).Draw(rt, "file")
		for i, text := range texts {
			if i == which {
				text = edit(rt, text, words)
			}
			sources = append(sources, Source{good[i].Name, []byte(text)})
		}
		lib, problems := Load(append(sources, Source{"v", []byte(smallWords)}))
		require.Equal(rt, len(problems) == 0, len(lib.Packs()) == 1 && len(lib.Sheets()) == 1)
		for _, s := range lib.Sheets() {
			e, err := Open(lib, s.ID)
			require.NoError(rt, err)
			require.NotNil(rt, e.Model())
			opened++
		}
	})
	require.Positive(t, opened, "some changes must leave the pack sound")
}

// edit exchanges one to three words of the text.
func edit(rt *rapid.T, text string, words []string) string {
	for range rapid.IntRange(1, 3).Draw(rt, "edits") {
		at := token.FindAllStringIndex(text, -1)
		spot := at[rapid.IntRange(0, len(at)-1).Draw(rt, "spot")]
		text = text[:spot[0]] + rapid.SampledFrom(words).Draw(rt, "word") + text[spot[1]:]
	}
	return text
}
