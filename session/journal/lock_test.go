package journal

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTwoWriters(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "case")
	l, err := Create(dir, ticking())
	require.NoError(t, err)
	e, err := l.Append(context.Background(), "note", struct{}{})
	require.NoError(t, err)

	_, _, err = Open(dir, ticking())
	require.ErrorIs(t, err, ErrInUse)
	if runtime.GOOS != "windows" {
		require.ErrorContains(t, err, fmt.Sprintf("by process %d since 2031-04-02T07:15:01Z", os.Getpid()))
	}
	require.ErrorContains(t, err, "open it read-only here")
	_, err = Repair(dir, ticking())
	require.ErrorIs(t, err, ErrInUse)

	reader, rec, err := OpenReadOnly(dir)
	require.NoError(t, err)
	require.True(t, rec.Clean())
	require.Equal(t, []Entry{e}, reader.Entries())
	require.True(t, reader.ReadOnly())
	_, err = reader.Append(context.Background(), "note", struct{}{})
	require.ErrorIs(t, err, ErrReadOnly)
	require.NoError(t, reader.Close())

	_, err = l.Append(context.Background(), "note", struct{}{})
	require.NoError(t, err, "the reader does not disturb the writer")
	require.NoError(t, l.Close())
	next, rec, err := Open(dir, ticking())
	require.NoError(t, err)
	require.Equal(t, 2, rec.Entries)
	require.NoError(t, next.Close())
}

// The note in the lock is for people; whatever stands there does no harm.
func TestOddLockNote(t *testing.T) {
	dir := appended(t, 1)
	l, _, err := Open(dir, ticking())
	require.NoError(t, err)
	defer l.Close()
	for _, note := range []string{"", "\x1b[2J", "process " + strings.Repeat("9", 200)} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, LockName), []byte(note), 0o600))
		_, _, err = Open(dir, ticking())
		require.ErrorIs(t, err, ErrInUse)
		require.ErrorContains(t, err, "in use by another process: close it there")
	}
}

// A lock that cannot even be opened is another matter than one that is held.
func TestLockCannotBeTaken(t *testing.T) {
	dir := appended(t, 1)
	require.NoError(t, os.Remove(filepath.Join(dir, LockName)))
	if err := os.Symlink(filepath.Join("missing", "lock"), filepath.Join(dir, LockName)); err != nil {
		t.Skip("NOT TESTED: no symbolic links here: ", err)
	}
	_, _, err := Open(dir, ticking())
	require.NotErrorIs(t, err, ErrInUse)
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.ErrorContains(t, err, "the lock cannot be taken")
}

func TestFolderWithoutWritePermission(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("NOT TESTED: running as root, whom permissions do not bind")
	}
	if runtime.GOOS == "windows" {
		t.Skip("NOT TESTED: Windows does not bind the owner by modes")
	}
	dir := appended(t, 2)
	require.NoError(t, os.Chmod(dir, 0o500))
	defer func() { require.NoError(t, os.Chmod(dir, 0o700)) }()
	_, err := Create(filepath.Join(dir, "inner"), ticking())
	require.ErrorIs(t, err, fs.ErrPermission)

	require.NoError(t, os.Chmod(filepath.Join(dir, FileName), 0o400))
	_, _, err = Open(dir, ticking())
	require.ErrorIs(t, err, fs.ErrPermission)
	require.ErrorContains(t, err, "may read and write in it")

	require.NoError(t, os.Chmod(dir, 0o700))
	require.NoError(t, os.Remove(filepath.Join(dir, LockName)))
	require.NoError(t, os.Chmod(dir, 0o500))
	_, _, err = Open(dir, ticking())
	require.ErrorIs(t, err, fs.ErrPermission)
	require.ErrorContains(t, err, "open the case read-only")

	reader, rec, err := OpenReadOnly(dir)
	require.NoError(t, err)
	require.Equal(t, 2, rec.Entries)
	require.NoError(t, reader.Close())
}
