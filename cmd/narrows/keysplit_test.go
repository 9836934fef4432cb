package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestSplitKey(t *testing.T) {
	// in: what the terminal has sent; key: what the library gets; taken: of in.
	for in, want := range map[string]struct {
		key   string
		taken int
	}{
		"":         {"", 0},
		"118 psi":  {"118 psi", 7},
		"118\r20":  {"118", 3},
		"\r20":     {"\r", 1},
		"\n20":     {"\r", 1},
		"\r\n20":   {"\r", 2},
		"\x00a":    {"", 1},
		"\x01a":    {"\x01", 1},
		"\x1aa":    {"", 1}, // Ctrl-Z stops nothing while the terminal is raw
		"\t":       {"\t", 1},
		"\x7f\x7f": {"\x7f", 1},

		"µ":          {"µ", 2},
		"4.7 \xc2":   {"4.7 ", 4}, // half a letter stays behind
		"\xc2":       {"", 0},
		"\xe6\x97":   {"", 0},
		"\xff":       {"\ufffd", 1},
		"a\xc2z":     {"a\ufffdz", 3},
		"a\u0085b":   {"a\ufffdb", 4}, // a control character beyond ASCII
		"a\u202eb\r": {"a\ufffdb", 5},

		"\x1b":             {"", 0},
		"\x1b[":            {"", 0},
		"\x1b[1;5":         {"", 0},
		"\x1b[A":           {"\x1b[A", 3},
		"\x1b[3~x":         {"\x1b[3~", 4},
		"\x1b[Zx":          {"\x1b[Z", 3},
		"\x1b[1;5Cx":       {"", 6}, // an arrow with Ctrl
		"\x1b[200~x":       {"", 6},
		"\x1b[?1;2cx":      {"", 7}, // what the terminal is
		"\x1b[12;40Rx":     {"", 8}, // where the cursor is
		"\x1b[1\r":         {"", 3}, // broken off: the Enter counts
		"\x1b[1µ":          {"", 3},
		"\x1b[[Ax":         {"", 4},
		"\x1b[[":           {"", 0},
		"\x1bOA":           {"\x1b[A", 3},
		"\x1bOPx":          {"", 3},
		"\x1bO":            {"", 0},
		"\x1bO\r":          {"", 2},
		"\x1bbx":           {"", 2}, // Alt-b
		"\x1b\r":           {"", 1},
		"\x1b\x1b[A":       {"", 1},
		"\x1bµ":            {"", 1},
		"\x1b]11;rgb:0\a":  {"", 11},
		"\x1b]0;t\x1b\\x":  {"", 7},
		"\x1b]0;t\x1b":     {"", 0},
		"\x1b]0;t":         {"", 0},
		"\x1b]0;t\r":       {"", 5}, // no answer holds an Enter
		"\x1bP1$r0m\x1b\\": {"", 9},
	} {
		key, taken := splitKey([]byte(in))
		require.Equal(t, want.key, string(key), "%q", in)
		require.Equal(t, want.taken, taken, "%q", in)
	}
	_, taken := splitKey([]byte("\x1b]" + strings.Repeat("x", maxSequence)))
	require.Equal(t, maxSequence+2, taken, "a sequence without an end is given up")
}

// typed draws what may come out of a terminal, one piece after the other.
func typed() *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		return strings.Join(rapid.SliceOf(rapid.OneOf(
			rapid.StringN(1, 5, -1),
			rapid.SampledFrom([]string{"\x1b[A", "\x1bOB", "\x1b[3~", "\x1b[1;5C", "\x1b]0;t\a", "\x1b", "\x1b[", "\x1bO", "\r", "\t", "\x03", "\x00", "µ", "日"}),
			rapid.Map(rapid.SliceOfN(rapid.Byte(), 1, 4), func(b []byte) string { return string(b) }),
		)).Draw(t, "pieces"), "")
	})
}

// splitAll takes keys off b until nothing whole is left. Neighbouring runs of
// text count as one, since it is chance where a read ends.
func splitAll(t require.TestingT, keys []string, b []byte) (all []string, rest []byte) {
	for {
		key, taken := splitKey(b)
		require.LessOrEqual(t, taken, len(b))
		if taken == 0 {
			require.Nil(t, key)
			return keys, b
		}
		b = b[taken:]
		last := len(keys) - 1
		switch {
		case key == nil:
		case last >= 0 && isText(keys[last]) && isText(string(key)):
			keys[last] += string(key)
		default:
			keys = append(keys, string(key))
		}
	}
}

func isText(key string) bool { return !isControl(key[0]) }

func TestSplitKeyWhereverReadsEnd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := strings.ReplaceAll(typed().Draw(t, "in"), "\n", "")
		whole, wholeRest := splitAll(t, nil, []byte(in))
		cut := rapid.IntRange(0, len(in)).Draw(t, "cut")
		keys, rest := splitAll(t, nil, []byte(in[:cut]))
		keys, rest = splitAll(t, keys, append(rest, in[cut:]...))
		require.Equal(t, whole, keys)
		require.Equal(t, string(wholeRest), string(rest))
		for _, key := range keys {
			require.NotContains(t, key, "\x00", "nobody can type a private key")
			require.True(t, isText(key) && cleanText(key) == key || len(key) == 1 || knownSequence(key) != nil, "%q", key)
		}
	})
}
