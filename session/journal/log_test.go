package journal

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRoundTrip(t *testing.T) {
	dir, clock := filepath.Join(t.TempDir(), "eider", "case 1"), ticking()
	l, err := Create(dir, clock)
	require.NoError(t, err)
	require.Equal(t, Genesis, l.Head())
	require.False(t, l.ReadOnly())
	first, err := l.Append(context.Background(), "complaint", map[string]string{"text": "dies at idle"})
	require.NoError(t, err)
	second, err := l.Append(context.Background(), "undo", struct {
		Seq int `json:"seq"`
	}{1})
	require.NoError(t, err)
	require.Equal(t, []int{1, 2}, []int{first.Seq, second.Seq})
	require.Equal(t, json.RawMessage(`{"text":"dies at idle"}`), first.Payload)
	require.Equal(t, json.RawMessage(`{"seq":1}`), second.Payload)
	lines := linesOf(journalBytes(t, dir))
	require.Len(t, lines, 2)
	require.Equal(t, fmt.Sprintf("%x", sha256.Sum256(lines[0][:len(lines[0])-1])), second.Prev)
	require.Equal(t, fmt.Sprintf("%x", sha256.Sum256(lines[1])), l.Head())
	require.NoError(t, l.Close())

	back, rec, err := Open(dir, clock)
	require.NoError(t, err)
	require.True(t, rec.Clean())
	require.Equal(t, Recovery{Entries: 2}, rec)
	require.Equal(t, []Entry{first, second}, back.Entries())
	require.Equal(t, l.Head(), back.Head())
	third, err := back.Append(context.Background(), "note", json.RawMessage(` { } `))
	require.NoError(t, err)
	require.Equal(t, 3, third.Seq)
	require.NoError(t, back.Close())

	reader, rec, err := OpenReadOnly(dir)
	require.NoError(t, err)
	require.Equal(t, Recovery{Entries: 3}, rec)
	require.Equal(t, []Entry{first, second, third}, reader.Entries())
	require.NoError(t, reader.Close())
}

func TestEntriesIsTheCallersOwn(t *testing.T) {
	l := newLog(t, &faultyDisk{})
	_, err := l.Append(context.Background(), "note", struct{}{})
	require.NoError(t, err)
	l.Entries()[0].Kind = "changed"
	require.Equal(t, "note", l.Entries()[0].Kind)
}

func TestCreateLeavesAnExistingJournalAlone(t *testing.T) {
	dir := appended(t, 2)
	before := journalBytes(t, dir)
	_, err := Create(dir, ticking())
	require.ErrorIs(t, err, ErrExists)
	require.ErrorContains(t, err, "begin one in another folder")
	require.Equal(t, before, journalBytes(t, dir))
}

func TestCreateModes(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such modes")
	}
	dir := filepath.Join(t.TempDir(), "cases", "one")
	l, err := Create(dir, ticking())
	require.NoError(t, err)
	require.NoError(t, l.Close())
	for path, want := range map[string]fs.FileMode{
		filepath.Dir(dir):            fs.ModeDir | 0o700,
		dir:                          fs.ModeDir | 0o700,
		filepath.Join(dir, FileName): 0o600,
		filepath.Join(dir, LockName): 0o600,
	} {
		info, err := os.Stat(path)
		require.NoError(t, err)
		require.Equal(t, want, info.Mode(), path)
	}
}

func TestContextDone(t *testing.T) {
	l := newLog(t, &faultyDisk{})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := l.Append(ctx, "note", struct{}{})
	require.ErrorIs(t, err, context.Canceled)
	require.ErrorContains(t, err, "entry 1 was not written: context canceled; enter it again")
	require.Empty(t, journalBytes(t, filepath.Dir(l.path)))
}

func TestClosedLog(t *testing.T) {
	dir := appended(t, 1)
	l, _, err := Open(dir, ticking())
	require.NoError(t, err)
	require.NoError(t, l.Close())
	require.NoError(t, l.Close(), "closing twice does no harm")
	_, err = l.Append(context.Background(), "note", struct{}{})
	require.ErrorIs(t, err, fs.ErrClosed)
	require.True(t, l.ReadOnly())
	require.Len(t, l.Entries(), 1)
}

// Several goroutines on one log: every entry once, in one chain.
func TestConcurrentAppends(t *testing.T) {
	l := newLog(t, &faultyDisk{})
	var wait sync.WaitGroup
	errs := make([]error, 8)
	for g := range errs {
		wait.Go(func() {
			for range 10 {
				_, err := l.Append(context.Background(), "note", map[string]int{"from": g})
				errs[g] = errors.Join(errs[g], err)
				_, _, _ = l.Entries(), l.Head(), l.ReadOnly()
			}
		})
	}
	wait.Wait()
	require.NoError(t, errors.Join(errs...))
	rep, err := VerifyDir(filepath.Dir(l.path))
	require.NoError(t, err)
	require.NoError(t, rep.Err())
	require.Equal(t, 80, rep.Entries)
	require.Equal(t, l.Head(), rep.Head)
}
