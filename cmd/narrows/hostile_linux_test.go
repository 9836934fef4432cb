package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// hostile is a file that is made to cost much, or that is damaged, and what lint must
// say of it. The bound on a file is 1 MiB; what is to cost the YAML reader something
// stays just below it.
type hostile struct {
	name string
	text string
	want string // of what lint says; "" where the file has no error
}

const below = 1 << 20

// fill repeats a piece up to the bound.
func fill(head, piece, tail string) string {
	return head + strings.Repeat(piece, (below-len(head)-len(tail))/len(piece)) + tail
}

// each joins n numbered pieces.
func each(head string, n int, piece func(i int) string, tail string) string {
	var b strings.Builder
	b.WriteString(head)
	for i := range n {
		b.WriteString(piece(i))
	}
	return b.String() + tail
}

func hostiles(good string) []hostile {
	staircase := each("", 1400, func(i int) string { return strings.Repeat(" ", i) + "a:\n" }, "")
	return []hostile{
		{"alias bomb", each("a0: &a0 [x, x]\n", 60, func(i int) string {
			return fmt.Sprintf("a%d: &a%d [*a%d, *a%d, *a%d]\n", i+1, i+1, i, i, i)
		}, ""), "[anchor]"},
		{"many aliases", fill("pack: &a x\nitems: [\n", "*a, ", "]\n"), "[too-many-faults]"},
		{"square brackets", fill("pack: x\nitems: ", "[", ""), "[not-yaml]"},
		{"curly brackets", fill("pack: x\nitems: ", "{a: ", ""), "[not-yaml]"},
		{"closed brackets", "pack: x\nitems: " + strings.Repeat("[", 9000) + strings.Repeat("]", 9000), "[too-deep]"},
		{"indentation", staircase, "[too-deep]"},
		{"lists in one line", fill("", "- ", ""), "[not-yaml]"},
		{"keys in one line", fill("", "? ", ""), "[not-yaml]"},
		{"32,000 keys", each("pack: x\n", 32000, func(i int) string { return fmt.Sprintf("k%d: a\n", i) }, ""), "[unknown-key]"},
		{"32,000 items", each("pack: x\nitems:\n", 32000, func(i int) string { return fmt.Sprintf(" k%d: {title: a}\n", i) }, ""), "[missing-key]"},
		{"the same key", fill("pack: x\n", "pack: x\n", ""), "[repeated-key]"},
		{"120,000 names", each("pack: x\nrecheck: {minutes: 1, places: [", 120000, func(i int) string { return fmt.Sprintf("a%d,", i) }, "]}\n"), "[unknown-name]"},
		{"120,000 members", each("pack: x\npositions: {a: {title: x, members: [", 120000, func(i int) string { return fmt.Sprintf("a%d,", i) }, "]}}\n"), "[too-many]"},
		{"a chain of openings", each("pack: x\nopenings:\n", 6000, func(i int) string {
			return fmt.Sprintf(" o%d: {title: a, open: 1, close: 1, needs: [o%d]}\n", i+1, i)
		}, each("repairs:\n", 6000, func(i int) string {
			return fmt.Sprintf(" r%d: {title: a, minutes: 1, fixes: [a], opens: [o199]}\n", i)
		}, "")), "[too-many]"},
		{"comments", fill("pack: x\n", "#\n", ""), "[missing-key]"},
		{"documents", fill("", "---\n", ""), "[second-document]"},
		{"one line", fill("pack: x\ntitle: ", "x", "\n"), "[missing-key]"},
		{"an open quote", fill("pack: x\ntitle: \"", "\\n", ""), "[not-yaml]"},
		{"no UTF-8", strings.Replace(good, "title: ", "title: \xff\xfe ", 1), "[not-yaml]"},
		{"NUL", strings.Replace(good, "title: ", "title: \x00 ", 1), "[not-yaml]"},
		{"no number", strings.Replace(good, "prior: 0.2\n", "prior: .nan\n", 1), "[bad-number]"},
		{"no end", strings.Replace(good, "prior: 0.2\n", "prior: -.inf\n", 1), "[bad-number]"},
		{"CR LF", strings.ReplaceAll(good, "\n", "\r\n"), ""},
		{"byte order mark", byteOrderMark + good, ""},
		{"byte order mark before a fault", byteOrderMark + strings.Replace(good, "pack: m", "pack: M", 1), "f.yaml:1:7: bad identifier"},
	}
}

// TestHostileFiles lints each file in a process of its own and looks at what it has
// cost: less than a second and 256 MB, and the exit code is that of a fault or of none.
func TestHostileFiles(t *testing.T) {
	data, err := os.ReadFile("../../knowledge/testdata/good/marsh_twin.yaml")
	require.NoError(t, err)
	_, good, found := strings.Cut(string(data), "\npack: ")
	require.True(t, found)
	dir := t.TempDir()
	for _, h := range hostiles("pack: " + good) {
		path := filepath.Join(dir, "f.yaml")
		require.LessOrEqual(t, len(h.text), below, h.name)
		require.NoError(t, os.WriteFile(path, []byte(h.text), 0o600))
		t.Run(h.name, func(t *testing.T) { lintBounded(t, path, h.want) })
	}
	path := filepath.Join(dir, "long.yaml")
	require.NoError(t, os.WriteFile(path, []byte("pack: x\n"), 0o600))
	require.NoError(t, os.Truncate(path, 100<<20)) // sparse: it takes no room on the disk
	t.Run("100 MB", func(t *testing.T) { lintBounded(t, path, "[too-long]") })
}

func lintBounded(t *testing.T, path, want string) {
	exe, err := os.Executable()
	require.NoError(t, err)
	// The test's own binary is the program when it is called by that name.
	cmd := &exec.Cmd{Path: exe, Args: []string{"narrows", "lint", "--advice=false", path}}
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	err = cmd.Run()
	code := 0
	var ended *exec.ExitError
	if errors.As(err, &ended) {
		code = ended.ExitCode()
	}
	wantCode := exitFault
	if want == "" {
		wantCode = exitDone
	}
	said := out.String()
	require.Equal(t, wantCode, code, "%.2000s", said)
	require.Contains(t, said, want)
	require.Less(t, len(said), 100_000)
	usage, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage)
	require.True(t, ok)
	// The processor's time, since other tests run beside this one.
	took := cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
	t.Logf("%v, %d MB", took.Round(time.Millisecond), usage.Maxrss>>10)
	slower := time.Duration(1)
	if raced {
		slower = 10 // the race detector's own cost
	}
	require.Less(t, took, slower*time.Second)
	require.Less(t, usage.Maxrss, int64(slower)*256<<10, "kilobytes")
}
