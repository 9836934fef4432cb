package journal

import (
	"context"
	"encoding/json"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// newLog is an open log in a folder of its own.
func newLog(t *testing.T, d disk) *Log {
	t.Helper()
	l, err := create(filepath.Join(t.TempDir(), "case"), ticking(), d)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, l.Close()) })
	return l
}

// RFC 8785, section 3.2.2 and 3.2.3: the sample object and its canonical form,
// from memory. The sample's number 1E30 is left out, since this format admits
// none beyond 2^53.
func TestCanonicalSampleOfRFC8785(t *testing.T) {
	e, err := newLog(t, &faultyDisk{}).Append(context.Background(), "note", json.RawMessage(`{
		"numbers": [333333333.33333329, 4.50, 2e-3, 0.000000000000000000000000001],
		"string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
		"literals": [null, true, false]
	}`))
	require.NoError(t, err)
	require.Equal(t, `{"literals":[null,true,false],"numbers":[333333333.3333333,4.5,0.002,1e-27],`+
		`"string":"€$\u000f\nA'B\"\\\\\"/"}`, string(e.Payload))
}

// RFC 8785, section 3.2.3: keys are sorted by UTF-16 code units, so that the
// emoji, a surrogate pair, comes before the Hebrew letter; from memory.
func TestKeyOrderOfRFC8785(t *testing.T) {
	e, err := newLog(t, &faultyDisk{}).Append(context.Background(), "note", map[string]string{
		"\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh",
		"1": "One", "\U0001f600": "Emoji: Grinning Face", "\u0080": "Control",
		"\u00f6": "Latin Small Letter O With Diaeresis",
	})
	require.NoError(t, err)
	require.Equal(t, "{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\u0080\":\"Control\","+
		"\"\u00f6\":\"Latin Small Letter O With Diaeresis\",\"\u20ac\":\"Euro Sign\","+
		"\"\U0001f600\":\"Emoji: Grinning Face\",\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}", string(e.Payload))
}

// RFC 8785, appendix B: doubles by their bits and their text; from memory. Those
// beyond 2^53 are refused here.
func TestNumbersOfRFC8785(t *testing.T) {
	l := newLog(t, &faultyDisk{})
	for _, tc := range []struct {
		bits uint64
		text string
	}{
		{0x0000000000000000, "0"},
		{0x8000000000000000, "0"},
		{0x0000000000000001, "5e-324"},
		{0x8000000000000001, "-5e-324"},
		{0x4340000000000000, "9007199254740992"},
		{0xc340000000000000, "-9007199254740992"},
		{0x41b3de4355555553, "333333333.3333332"},
		{0x41b3de4355555554, "333333333.33333325"},
		{0x41b3de4355555555, "333333333.3333333"},
		{0x41b3de4355555556, "333333333.3333334"},
		{0x41b3de4355555557, "333333333.33333343"},
		{0xbecbf647612f3696, "-0.0000033333333333333333"},
		{0x43143ff3c1cb0959, "1424953923781206.2"},
		{0x4340000000000001, ""}, // 9007199254740994
		{0x4430000000000000, ""}, // 295147905179352830000
		{0x7fefffffffffffff, ""}, // 1.7976931348623157e+308
	} {
		e, err := l.Append(context.Background(), "note", map[string]any{"n": math.Float64frombits(tc.bits)})
		if tc.text == "" {
			require.ErrorContains(t, err, "2^53")
			continue
		}
		require.NoError(t, err)
		require.Equal(t, `{"n":`+tc.text+`}`, string(e.Payload))
	}
}

func TestRefusedPayloads(t *testing.T) {
	l := newLog(t, &faultyDisk{})
	deep := strings.Repeat("[", 20000) + strings.Repeat("]", 20000)
	for name, tc := range map[string]struct {
		payload any
		reason  string
	}{
		"2^53+1":              {json.RawMessage(`{"n":9007199254740993}`), "number 9007199254740993 lies beyond 2^53"},
		"-2^53-1":             {json.RawMessage(`{"a":[{"n":-9007199254740993}]}`), "2^53"},
		"2^53+1 in Go":        {map[string]uint64{"n": 1<<53 + 1}, "2^53"},
		"rounds to 2^53":      {json.RawMessage(`{"n":9007199254740991.7}`), "2^53"},
		"no double at all":    {json.RawMessage(`{"n":1e400}`), "2^53"},
		"not a number":        {map[string]float64{"n": math.NaN()}, "does not go into JSON"},
		"key twice":           {json.RawMessage(`{"a":1,"a":2}`), "Duplicate key"},
		"key twice, escaped":  {json.RawMessage(`{"a":{"b":1,"\u0062":2}}`), "Duplicate key"},
		"half a surrogate":    {json.RawMessage(`{"a":"\ud800"}`), "surrogate"},
		"raw, not UTF-8":      {json.RawMessage("{\"a\":\"20\xb0C\"}"), "UTF-8"},
		"typed, not UTF-8":    {map[string]string{"as_typed": "20\xb0C"}, "not UTF-8"},
		"two values":          {json.RawMessage(`{} {}`), "after top-level value"},
		"cut":                 {json.RawMessage(`{"a":`), "unexpected end"},
		"nothing":             {nil, "not a JSON object"},
		"nothing raw":         {json.RawMessage(nil), "not a JSON object"},
		"a list":              {[]int{1}, "not a JSON object"},
		"a text":              {"4.50 psi", "not a JSON object"},
		"a channel":           {make(chan int), "does not go into JSON"},
		"a mebibyte":          {map[string]string{"a": strings.Repeat("x", MaxLine)}, "longer than 1048576 bytes"},
		"nested without end":  {json.RawMessage(`{"a":` + deep + `}`), "depth"},
		"a marshaler failing": {json.Number("x"), "does not go into JSON"},
	} {
		_, err := l.Append(context.Background(), "note", tc.payload)
		require.ErrorContains(t, err, tc.reason, name)
		require.ErrorContains(t, err, "entry 1 was not written", name)
		require.Less(t, len(err.Error()), 600, name)
	}
	for _, kind := range []string{"", "no\xb0te"} {
		_, err := l.Append(context.Background(), kind, struct{}{})
		require.ErrorContains(t, err, "kind is")
	}
	require.Empty(t, l.Entries())
	_, err := l.Append(context.Background(), "note", struct{}{})
	require.NoError(t, err, "after all that the log is sound")
}

// Text that looks like a replaced byte but was typed is kept.
func TestOddTextIsKept(t *testing.T) {
	l := newLog(t, &faultyDisk{})
	for _, text := range []string{"\ufffd", `\ufffd`, `\\ufffd`, "<&>\u2028", "°Ωµ", "\x00\x1f\x7f", ""} {
		e, err := l.Append(context.Background(), text+"k", map[string]string{text: text})
		require.NoError(t, err)
		var back map[string]string
		require.NoError(t, json.Unmarshal(e.Payload, &back))
		require.Equal(t, map[string]string{text: text}, back)
		require.Equal(t, text+"k", e.Kind)
	}
}

// A line of exactly 1 MiB goes in and comes back; one byte more does not.
func TestLongestLine(t *testing.T) {
	l := newLog(t, &faultyDisk{})
	pad := func(n int) map[string]string { return map[string]string{"a": strings.Repeat("x", n)} }
	line, err := l.compose("note", pad(0))
	require.NoError(t, err)
	_, err = l.Append(context.Background(), "note", pad(MaxLine-len(line)+1))
	require.ErrorContains(t, err, "longer than")
	e, err := l.Append(context.Background(), "note", pad(MaxLine-len(line)))
	require.NoError(t, err)
	rep, err := VerifyDir(filepath.Dir(l.path))
	require.NoError(t, err)
	require.NoError(t, rep.Err())
	require.Equal(t, int64(MaxLine+1), rep.Bytes)
	require.Equal(t, 1, e.Seq)
}

func TestTimeIsKeptInUTC(t *testing.T) {
	east := time.FixedZone("east", 2*3600)
	now := time.Date(2031, 4, 2, 1, 30, 0, 5, east)
	l, err := create(filepath.Join(t.TempDir(), "case"), func() time.Time { return now }, &faultyDisk{})
	require.NoError(t, err)
	e, err := l.Append(context.Background(), "note", struct{}{})
	require.NoError(t, err)
	require.Equal(t, time.Date(2031, 4, 1, 23, 30, 0, 5, time.UTC), e.Time)
	require.Contains(t, string(journalBytes(t, filepath.Dir(l.path))), `"time":"2031-04-01T23:30:00.000000005Z"`)

	now = time.Date(12031, 1, 1, 0, 0, 0, 0, time.UTC)
	_, err = l.Append(context.Background(), "note", struct{}{})
	require.ErrorContains(t, err, "time is")
	require.NoError(t, l.Close())
}
