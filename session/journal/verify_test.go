package journal

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The hashes of the worked example come from sha256sum (GNU coreutils), its
// lines from another JSON writer with sorted keys and no spaces.
func TestWorkedExample(t *testing.T) {
	journal, head := example(t)
	require.Equal(t, 3, strings.Count(journal, "\n"))
	rep, err := Verify(strings.NewReader(journal))
	require.NoError(t, err)
	require.NoError(t, rep.Err())
	require.Equal(t, Report{Entries: 3, Bytes: int64(len(journal)), Head: head}, rep)
	require.Equal(t, "69d9a0a2b7ad79db995cb775dc330353fd7599bbbdf2dd6879b98d27ca94d7f9", head)
}

func TestVerifyNothing(t *testing.T) {
	rep, err := Verify(strings.NewReader(""))
	require.NoError(t, err)
	require.Equal(t, Report{Head: strings.Repeat("0", 64)}, rep)
}

// The second line of the worked example is changed in one way at a time; it
// begins at byte 208.
func TestVerifyNamesTheMisfit(t *testing.T) {
	journal, _ := example(t)
	lines := strings.SplitAfter(journal, "\n")
	for _, tc := range []struct {
		name, old, new string
		misfit         Misfit
		reason         string
	}{
		{"space", `"seq":2`, `"seq": 2`, NotCanonical, "not in canonical bytes (RFC 8785): it differs from byte 170 of the line on"},
		{"keys unsorted", `"check":"fuel_pressure","kPa":31.026`, `"kPa":31.026,"check":"fuel_pressure"`, NotCanonical, "canonical"},
		{"number as typed", `31.026`, `31.0260`, NotCanonical, "canonical"},
		{"needless escape", `psi`, `ps\u0069`, NotCanonical, "canonical"},
		{"carriage return", "}\n", "}\r\n", NotCanonical, "canonical"},
		{"key twice", `"kPa":31.026`, `"kPa":31.026,"kPa":31.026`, NotCanonical, "Duplicate key"},
		{"not UTF-8", `psi`, "ps\xff", NotCanonical, "UTF-8"},
		{"version 2", `"v":1`, `"v":2`, UnknownVersion, "version 2, this program reads version 1"},
		{"version 2 in another form", `"v":1`, ` "v":2`, UnknownVersion, "version 2"},
		{"version as text", `"v":1`, `"v":"1"`, WrongFields, "not a format version"},
		{"version in large", `"v":1`, `"w":1`, WrongFields, `"v" is missing`},
		{"one field more", `"v":1`, `"v":1,"w":1`, WrongFields, "7 fields"},
		{"sequence", `"seq":2`, `"seq":3`, WrongSequence, "seq is 3 where 2 belongs"},
		{"sequence nought", `"seq":2`, `"seq":0`, WrongFields, "seq is 0"},
		{"sequence broken", `"seq":2`, `"seq":2.5`, WrongFields, "seq is 2.5"},
		{"hash", `"prev":"4`, `"prev":"5`, WrongHash, "line 1 hashes to 4172eb8bd93e"},
		{"hash in capitals", `"prev":"4172eb`, `"prev":"4172EB`, WrongFields, "lower-case"},
		{"hash too short", `"prev":"41`, `"prev":"`, WrongFields, "64"},
		{"time with offset", `.250000000Z`, `.250000000+00:00`, WrongFields, "time is"},
		{"time in short", `.250000000Z`, `.25Z`, WrongFields, "time is"},
		{"time nowhere", `2031-04-02`, `2031-02-30`, WrongFields, "time is"},
		{"no kind", `"kind":"reading"`, `"kind":""`, WrongFields, "kind is"},
		{"kind null", `"kind":"reading"`, `"kind":null`, WrongFields, "kind is null"},
		{"payload a list", `{"as_typed":"4.50 psi","check":"fuel_pressure","kPa":31.026}`, `[1]`, WrongFields, "not a JSON object"},
		{"large number", `31.026`, `9007199254740994`, WrongFields, "2^53"},
		{"cut", `"v":1}`, `"v":1`, NotJSON, "not a JSON object"},
		{"blank line", lines[1], "\n", NotJSON, "not a JSON object"},
		{"too long", `psi`, strings.Repeat("i", MaxLine), TooLong, "1048576 bytes"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			require.Contains(t, lines[1], tc.old)
			changed := lines[0] + strings.Replace(lines[1], tc.old, tc.new, 1) + lines[2]
			rep, err := Verify(strings.NewReader(changed))
			require.NoError(t, err)
			require.NotNil(t, rep.Damage)
			require.Equal(t, tc.misfit, rep.Damage.Misfit, rep.Damage.Reason)
			require.Contains(t, rep.Damage.Reason, tc.reason)
			require.Equal(t, 2, rep.Damage.Line)
			require.Equal(t, int64(208), rep.Damage.Offset)
			require.Equal(t, 1, rep.Entries)
			require.Equal(t, "4172eb8bd93e652dbd7ca297fe441eecf813440cc8469ad44a522ba24624b463", rep.Head)
			require.Equal(t, error(rep.Damage), rep.Err())
		})
	}
}

func TestVerifyFirstLine(t *testing.T) {
	journal, _ := example(t)
	changed := strings.Replace(journal, Genesis, strings.Repeat("1", 64), 1)
	rep, err := Verify(strings.NewReader(changed))
	require.NoError(t, err)
	require.Equal(t, WrongHash, rep.Damage.Misfit)
	require.Contains(t, rep.Damage.Error(), "line 1, byte 0: prev is 1111")

	rep, err = Verify(strings.NewReader("\ufeff" + journal))
	require.NoError(t, err)
	require.Equal(t, NotJSON, rep.Damage.Misfit, "a byte order mark is no part of a journal")
}

// A line that fits but for its missing newline is torn, as is any part of it.
func TestVerifyTornLine(t *testing.T) {
	journal, _ := example(t)
	start := strings.LastIndex(strings.TrimSuffix(journal, "\n"), "\n") + 1
	for n := start + 1; n < len(journal); n++ {
		rep, err := Verify(strings.NewReader(journal[:n]))
		require.NoError(t, err)
		require.Equal(t, Torn, rep.Damage.Misfit)
		require.Equal(t, 3, rep.Damage.Line)
		require.Equal(t, int64(start), rep.Damage.Offset)
		require.Equal(t, 2, rep.Entries)
	}
}

// A flood without a newline is no torn line, since no entry is that long. It
// is given up on early, after a mebibyte and not much more.
func TestVerifyGivesUpOnAFlood(t *testing.T) {
	flood := strings.NewReader(strings.Repeat("x", 8*MaxLine))
	rep, err := Verify(flood)
	require.NoError(t, err)
	require.Equal(t, TooLong, rep.Damage.Misfit)
	require.Greater(t, flood.Len(), 6*MaxLine)
}

// A damaged field may be long; what is said of it stays short and in whole
// letters.
func TestReasonsStayShort(t *testing.T) {
	journal, _ := example(t)
	changed := strings.Replace(journal, `"seq":1`, `"seq":"`+strings.Repeat("Ω", 5000)+`"`, 1)
	rep, err := Verify(strings.NewReader(changed))
	require.NoError(t, err)
	require.Equal(t, `seq is "`+strings.Repeat("Ω", 39)+"..., not a whole number from 1 up", rep.Damage.Reason)
}

func TestVerifyWarnsOfTimeGoingBackwards(t *testing.T) {
	day := time.Date(2031, 4, 2, 8, 0, 0, 0, time.UTC)
	var journal []byte
	head := Genesis
	for i, at := range []time.Time{day, day.Add(-time.Nanosecond), day.Add(-time.Nanosecond), day} {
		line, err := encodeLine(Entry{Version: 1, Seq: i + 1, Time: at, Kind: "note", Payload: []byte("{}"), Prev: head})
		require.NoError(t, err)
		head = fmt.Sprintf("%x", sha256.Sum256(line))
		journal = append(append(journal, line...), '\n')
	}
	rep, err := Verify(bytes.NewReader(journal))
	require.NoError(t, err)
	require.NoError(t, rep.Err())
	require.Equal(t, 4, rep.Entries)
	require.Len(t, rep.Warnings, 1, "an equal time is no step back")
	require.Equal(t, 2, rep.Warnings[0].Line)
	require.Contains(t, rep.Warnings[0].Reason, "07:59:59.999999999Z")
}

// A journal of 20 entries with one byte changed: each byte of the first line
// and of the last two, and any of the others by chance.
func TestVerifyFindsAChangedByte(t *testing.T) {
	data := journalBytes(t, appended(t, 20))
	lines := linesOf(data)
	first, last := len(lines[0]), len(data)-len(lines[18])-len(lines[19])-1
	require.Equal(t, byte('\n'), data[last-1])
	onlyHead := 0
	for i := range data {
		if i < first || i >= last {
			onlyHead += requireFound(t, data, i, byte(i%255+1))
		}
	}
	require.Positive(t, onlyHead, "a last line that still fits is guarded by the head alone")
	rapid.Check(t, func(t *rapid.T) {
		for range 5 {
			requireFound(t, data, rapid.IntRange(0, len(data)-1).Draw(t, "byte"), rapid.ByteMin(1).Draw(t, "bits"))
		}
	})
}

// requireFound changes bits of one byte. The line it stands in, or the one
// after, whose prev then disagrees, must be named. In the last line a change
// may fit; then the head must differ, and the answer is 1.
func requireFound(t require.TestingT, data []byte, i int, bits byte) int {
	lines := bytes.Count(data, []byte("\n"))
	whole := hashOf(bytes.TrimSuffix(data[bytes.LastIndexByte(data[:len(data)-1], '\n')+1:], []byte("\n")))
	line := bytes.Count(data[:i], []byte("\n")) + 1
	changed := bytes.Clone(data)
	changed[i] ^= bits
	rep, err := Verify(bytes.NewReader(changed))
	require.NoError(t, err)
	if rep.Damage == nil {
		require.Equal(t, lines, line, "byte %d: nothing was found", i)
		require.NotEqual(t, whole, rep.Head)
		return 1
	}
	require.Contains(t, []int{line, line + 1}, rep.Damage.Line, "byte %d", i)
	require.LessOrEqual(t, rep.Damage.Line, lines)
	require.Equal(t, rep.Damage.Line-1, rep.Entries)
	return 0
}

func TestVerifyFindsMovedLines(t *testing.T) {
	lines := linesOf(journalBytes(t, appended(t, 6)))
	join := func(order ...int) []byte {
		var out []byte
		for _, n := range order {
			out = append(out, bytes.TrimSuffix(lines[n-1], []byte("\n"))...)
			out = append(out, '\n')
		}
		return out
	}
	for _, tc := range []struct {
		order []int
		line  int
	}{
		{[]int{2, 3, 4, 5, 6}, 1},
		{[]int{1, 2, 4, 5, 6}, 3},
		{[]int{1, 2, 3, 3, 4, 5, 6}, 4},
		{[]int{1, 2, 3, 5, 4, 6}, 4},
		{[]int{1, 2, 3, 4, 6, 5}, 5},
	} {
		rep, err := Verify(bytes.NewReader(join(tc.order...)))
		require.NoError(t, err)
		require.Equal(t, tc.line, rep.Damage.Line)
		require.Equal(t, WrongSequence, rep.Damage.Misfit)
	}
	rep, err := Verify(bytes.NewReader(join(1, 2, 3)))
	require.NoError(t, err)
	require.NoError(t, rep.Err(), "lines missing at the end are not seen, as the package comment says")
}

func TestVerifyDir(t *testing.T) {
	dir := appended(t, 3)
	rep, err := VerifyDir(dir)
	require.NoError(t, err)
	require.Equal(t, 3, rep.Entries)

	data := journalBytes(t, dir)
	data[5] = '\t'
	writeJournal(t, dir, data)
	rep, err = VerifyDir(dir)
	require.NoError(t, err)
	require.EqualError(t, rep.Err(), filepath.Join(dir, FileName)+":1: byte 0: "+rep.Damage.Reason)

	_, err = VerifyDir(t.TempDir())
	require.ErrorIs(t, err, os.ErrNotExist)
}

func TestVerifyReadError(t *testing.T) {
	journal, _ := example(t)
	gone := errors.New("the stick was pulled out")
	_, err := Verify(io.MultiReader(strings.NewReader(journal), iotest.ErrReader(gone)))
	require.ErrorIs(t, err, gone)
	require.ErrorContains(t, err, "line 4")
}

func TestMisfitNames(t *testing.T) {
	require.Equal(t, "fits", Misfit(0).String())
	require.Equal(t, "torn", Torn.String())
	require.Equal(t, "wrong hash", WrongHash.String())
	require.Equal(t, "misfit 9", Misfit(9).String())
}

func FuzzVerify(f *testing.F) {
	doc, err := os.ReadFile("doc.go")
	require.NoError(f, err)
	for _, line := range strings.Split(string(doc), "\n") {
		if text, found := strings.CutPrefix(line, "//\t{"); found {
			f.Add([]byte("{" + text + "\n"))
		}
	}
	f.Add([]byte(`{"v":2}` + "\n"))
	f.Add([]byte("null\n[]\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		rep, err := Verify(bytes.NewReader(data))
		require.NoError(t, err)
		require.LessOrEqual(t, rep.Bytes, int64(len(data)))
		require.Equal(t, rep.Damage == nil, rep.Bytes == int64(len(data)))
		// What fits, fits by itself, line by line, and there is one way
		// only to write it.
		var entries []Entry
		c, damage, err := scan(bytes.NewReader(data[:rep.Bytes]), func(e Entry) { entries = append(entries, e) })
		require.NoError(t, err)
		require.Nil(t, damage)
		require.Equal(t, rep.Head, c.head)
		require.Len(t, entries, rep.Entries)
		var again []byte
		for _, e := range entries {
			line, err := encodeLine(e)
			require.NoError(t, err)
			again = append(append(again, line...), '\n')
		}
		require.Equal(t, string(data[:rep.Bytes]), string(again))
	})
}
