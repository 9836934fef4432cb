package session

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func (b *bout) completes(line string) []string {
	var out []string
	for _, s := range b.Complete(line, utf8.RuneCountInString(line)) {
		out = append(out, s.Text)
	}
	return out
}

// What is suggested replaces the word before the cursor, so that the title of
// a thing is gone through word by word.
func TestComplete(t *testing.T) {
	b := start(t, "marsh_tern_60")
	require.ElementsMatch(t, []string{"suspects", "seen", "skip", "still", "shut"}, b.completes("s"))
	require.Contains(t, b.completes("check cylinder"), "cylinder drop test")
	require.Contains(t, b.completes("check cylinder dr"), "drop test")
	require.Contains(t, b.completes("check drop"), "drop test at mid speed")
	require.Contains(t, b.completes("check drop"), "drop_test", "by its identifier as well")
	require.Contains(t, b.completes("check jets by position ca"), "carb 3")
	require.Contains(t, b.completes("noticed engine earth"), "earth strap: loose or corroded")
	require.Contains(t, b.completes("fixed renew the fuel f"), "filter")
	require.Contains(t, b.completes("present stumbles at i"), "idle")
	require.Contains(t, b.completes("open air"), "air box")
	require.Contains(t, b.completes("help sus"), "suspects")
	require.Contains(t, b.completes("at b"), "bench")
	require.Contains(t, b.completes("at stand"), "stand with water")
	require.Contains(t, b.completes("at stand w"), "with water")
	require.Empty(t, b.completes("note drop"), "free words")
	require.Empty(t, b.Complete("", 0))

	b.say(stumbles, "check fuel sample")
	require.Contains(t, b.completes("ru"), "rust or flakes")
	b.say("cancel", "check dry compression", "")
	require.Contains(t, b.completes("118 p"), "psi")
	require.NotContains(t, b.completes("118 "), "ohm", "units of another kind")
	require.Contains(t, b.completes("cyl"), "cylinder 3")
}

// Whatever is typed, completing changes nothing and does not fall over.
func TestCompleteIsPure(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("stumbles under load", "check compression")
	n := b.entries()
	asked := b.asked
	rapid.Check(t, func(r *rapid.T) {
		line := rapid.OneOf(rapid.String(), rapid.StringMatching(`(check|fixed|why|118|all)? [a-zé ]{0,12}`)).Draw(r, "line")
		cursor := rapid.IntRange(-1, 40).Draw(r, "cursor")
		require.Equal(r, b.Complete(line, cursor), b.Complete(line, cursor))
		require.Equal(r, n, b.entries())
		require.Same(r, asked, b.asked)
	})
}
