//go:build unix

package journal

import (
	"context"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// limitEnv marks the child of TestFileSizeLimit: the limit binds a whole
// process, which the other tests must not suffer from.
const limitEnv = "JOURNAL_LIMIT_CHILD"

// The kernel itself cuts a write short: a limit on the size of files
// (RLIMIT_FSIZE) stands in for a full disk. The part it took is taken back, and
// with the limit lifted appending goes on.
func TestFileSizeLimit(t *testing.T) {
	if os.Getenv(limitEnv) == "" {
		child := exec.Command(os.Args[0], "-test.run=^TestFileSizeLimit$", "-test.v")
		child.Env = append(os.Environ(), limitEnv+"=1", "GORACE=atexit_sleep_ms=0")
		out, err := child.CombinedOutput()
		require.NoError(t, err, string(out))
		require.Contains(t, string(out), "--- PASS: TestFileSizeLimit")
		return
	}
	signal.Ignore(syscall.SIGXFSZ)
	l := newLog(t, osDisk{})
	_, err := l.Append(context.Background(), "note", struct{}{})
	require.NoError(t, err)
	dir := filepath.Dir(l.path)
	before := journalBytes(t, dir)

	var limit syscall.Rlimit
	require.NoError(t, syscall.Getrlimit(syscall.RLIMIT_FSIZE, &limit))
	tight := limit
	tight.Cur = 4096
	require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &tight))
	_, err = l.Append(context.Background(), "note", map[string]string{"a": strings.Repeat("x", 10000)})
	require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit))
	require.ErrorIs(t, err, syscall.EFBIG)
	require.ErrorContains(t, err, "entries 1 to 1 are safe")
	require.Equal(t, before, journalBytes(t, dir))

	_, err = l.Append(context.Background(), "note", map[string]string{"a": strings.Repeat("x", 10000)})
	require.NoError(t, err)
	rep, err := VerifyDir(dir)
	require.NoError(t, err)
	require.NoError(t, rep.Err())
	require.Equal(t, 2, rep.Entries)
}
