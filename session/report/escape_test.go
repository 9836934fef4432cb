package report

import (
	"html"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// By the rules for backslash escapes and character references in CommonMark
// 0.31, sections 2.4 and 2.5, and for tables in its extension with pipes.
func TestEscape(t *testing.T) {
	for in, want := range map[string]string{
		"plain words, 4.50 V":     "plain words, 4.50 V",
		"a|b":                     "a&#124;b",
		"*all* _of_ `it`":         "\\*all\\* \\_of\\_ \\`it\\`",
		"<script>x</script> & co": "&lt;script&gt;x&lt;/script&gt; &amp; co",
		"[x](http://y)":           "\\[x\\](http&#58;//y)",
		"www.x, a@b":              "www&#46;x, a&#64;b",
		"# head":                  "\\# head",
		"- item":                  "\\- item",
		"12. item":                "12\\. item",
		"12.5 psi":                "12.5 psi",
		"back\\slash":             "back\\\\slash",
		"two\n\n# lines\tand":     "two \\# lines and",
		"over\u202Eridden":        "overridden",
		"bad\xffbyte":             "bad\uFFFDbyte",
		"&lt;":                    "&amp;lt;",
	} {
		require.Equal(t, want, esc(in), "%q", in)
	}
}

// Whatever is typed stays on one line without an active character, and reads
// as typed once escapes and references are taken back.
func TestEscapeKeepsTheWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.StringOf(rapid.RuneFrom([]rune("ab1.)-+#*_`|<>&@:/\\[]~$ \n\tw;€"), unicode.Letter, unicode.Cc)).Draw(t, "in")
		out := esc(in)
		require.False(t, strings.ContainsAny(out, "|<>\n\r\t"))
		want := strings.Join(strings.FieldsFunc(in, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) }), " ")
		require.Equal(t, want, html.UnescapeString(unslash(out)))
	})
}

// unslash takes backslash escapes back.
func unslash(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] == '\\' && i+1 < len(s) {
			i++
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

// The owner's words stay literal at every place where they come into a report.
func TestWordsAreLiteral(t *testing.T) {
	nasty := "hunts at light load | <img src=x> `*so*` [x](http://y)"
	text := start(t, nasty, "note - "+nasty, "fixed drain the bowl", "still", "skip coil primary", "close "+nasty).report()
	for _, raw := range []string{"<img", " *so", " [x]", "http:", "load | &lt;"} {
		require.NotContains(t, text, raw)
	}
	require.GreaterOrEqual(t, strings.Count(text, esc(nasty)), 4)
}
