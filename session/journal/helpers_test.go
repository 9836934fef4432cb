package journal

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestMain lets the test binary be its own child: with crashEnv set it is the
// appending process of TestCrash.
func TestMain(m *testing.M) {
	if dir := os.Getenv(crashEnv); dir != "" {
		os.Exit(crashChild(dir))
	}
	os.Exit(m.Run())
}

// ticking gives a clock that goes on by a second at each look.
func ticking() func() time.Time {
	now := time.Date(2031, 4, 2, 7, 15, 0, 0, time.UTC)
	return func() time.Time {
		now = now.Add(time.Second)
		return now
	}
}

// errNoSync and its like are what a faulty disk answers.
var (
	errNoSync     = errors.New("sync failed on purpose")
	errNoTruncate = errors.New("truncate failed on purpose")
)

// A faultyDisk is the real disk without its slow syncs, which fails when told
// to and notes what was asked of it. Each error serves one call.
type faultyDisk struct {
	writeErr    error
	takes       int // bytes that a failing write still takes
	short       bool
	syncErr     error
	truncateErr error
	dirErr      error
	calls       []string
}

func (d *faultyDisk) openFile(path string, flag int) (file, error) {
	f, err := osDisk{}.openFile(path, flag)
	if err != nil {
		return nil, err
	}
	d.calls = append(d.calls, "open "+filepath.Base(path))
	return &faultyFile{file: f, d: d, name: filepath.Base(path)}, nil
}

func (d *faultyDisk) syncDir(path string) error {
	d.calls = append(d.calls, "sync folder "+filepath.Base(path))
	return spend(&d.dirErr)
}

type faultyFile struct {
	file
	d    *faultyDisk
	name string
}

func (f *faultyFile) Write(p []byte) (int, error) {
	f.d.calls = append(f.d.calls, "write "+f.name)
	if !f.d.short && f.d.writeErr == nil {
		return f.file.Write(p)
	}
	n, err := f.file.Write(p[:min(f.d.takes, len(p))])
	f.d.short = false
	return n, errors.Join(err, spend(&f.d.writeErr))
}

func (f *faultyFile) Sync() error {
	f.d.calls = append(f.d.calls, "sync "+f.name)
	return spend(&f.d.syncErr)
}

func (f *faultyFile) Truncate(size int64) error {
	f.d.calls = append(f.d.calls, "truncate "+f.name)
	if err := spend(&f.d.truncateErr); err != nil {
		return err
	}
	return f.file.Truncate(size)
}

func spend(err *error) error {
	was := *err
	*err = nil
	return was
}

// appended makes a journal with n entries in a new folder and closes it.
func appended(t *testing.T, n int) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "case")
	l, err := create(dir, ticking(), &faultyDisk{})
	require.NoError(t, err)
	for i := 1; i <= n; i++ {
		_, err := l.Append(context.Background(), "reading", map[string]any{
			"check": "fuel_pressure", "as_typed": fmt.Sprintf("%d.50 psi", i), "n": i,
		})
		require.NoError(t, err)
	}
	require.NoError(t, l.Close())
	return dir
}

func journalBytes(t *testing.T, dir string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, FileName))
	require.NoError(t, err)
	return data
}

func writeJournal(t *testing.T, dir string, data []byte) {
	t.Helper()
	require.NoError(t, os.WriteFile(filepath.Join(dir, FileName), data, 0o600))
}

// linesOf splits a journal into lines, newlines kept.
func linesOf(data []byte) [][]byte {
	return bytes.SplitAfter(bytes.TrimSuffix(data, []byte("\n")), []byte("\n"))
}

// example reads the worked example out of the package comment, so that paper
// and program cannot part.
func example(t *testing.T) (journal, head string) {
	t.Helper()
	doc, err := os.ReadFile("doc.go")
	require.NoError(t, err)
	for _, line := range strings.Split(string(doc), "\n") {
		text, found := strings.CutPrefix(line, "//\t")
		switch {
		case found && strings.HasPrefix(text, "{"):
			journal += text + "\n"
		case found && len(text) == 64:
			head = text
		}
	}
	return journal, head
}
