package journal

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// What an acknowledgement rests on: the names and the bytes are synced first.
func TestOrderOfSyncs(t *testing.T) {
	d := &faultyDisk{}
	root := t.TempDir()
	dir := filepath.Join(root, "cases", "one")
	l, err := create(dir, ticking(), d)
	require.NoError(t, err)
	require.Equal(t, []string{
		"sync folder cases", "sync folder " + filepath.Base(root),
		"open journal.jsonl", "sync journal.jsonl", "sync folder one",
	}, d.calls)
	d.calls = nil
	_, err = l.Append(context.Background(), "note", struct{}{})
	require.NoError(t, err)
	require.Equal(t, []string{"write journal.jsonl", "sync journal.jsonl"}, d.calls)
	require.NoError(t, l.Close())
}

func TestCreateOnAFailingDisk(t *testing.T) {
	root := t.TempDir()
	for name, d := range map[string]*faultyDisk{
		"file":   {syncErr: errNoSync},
		"folder": {dirErr: errNoSync},
	} {
		dir := filepath.Join(root, "case")
		_, err := create(dir, ticking(), d)
		require.ErrorIs(t, err, errNoSync, name)
		require.NoFileExists(t, filepath.Join(dir, FileName), name)
		require.NoError(t, os.RemoveAll(dir))
		l, err := create(dir, ticking(), d)
		require.NoError(t, err, "the next try begins the case")
		require.NoError(t, l.Close())
		require.NoError(t, os.RemoveAll(dir))
	}
	require.NoError(t, os.WriteFile(filepath.Join(root, "file"), nil, 0o600))
	_, err := Create(filepath.Join(root, "file", "case"), ticking())
	require.ErrorContains(t, err, "the case folder cannot be made")
}

// A disk that takes a part of the line or none of it: the part is taken back,
// the reason told, and the next entry is sound.
func TestFullDisk(t *testing.T) {
	for _, takes := range []int{0, 1, 40, 1 << 20} {
		d := &faultyDisk{}
		l := newLog(t, d)
		dir := filepath.Dir(l.path)
		first, err := l.Append(context.Background(), "note", struct{}{})
		require.NoError(t, err)
		before := journalBytes(t, dir)

		d.writeErr, d.takes = syscall.ENOSPC, takes
		_, err = l.Append(context.Background(), "note", struct{}{})
		require.ErrorIs(t, err, syscall.ENOSPC)
		require.ErrorContains(t, err, "entry 2 was not written")
		require.ErrorContains(t, err, "entries 1 to 1 are safe; free some space on the disk, then enter it again")
		require.Equal(t, before, journalBytes(t, dir))
		require.False(t, l.ReadOnly())
		require.Equal(t, []Entry{first}, l.Entries())

		second, err := l.Append(context.Background(), "note", struct{}{})
		require.NoError(t, err)
		require.Equal(t, 2, second.Seq)
		rep, err := VerifyDir(dir)
		require.NoError(t, err)
		require.NoError(t, rep.Err())
		require.Equal(t, 2, rep.Entries)
	}
}

func TestShortWriteWithoutError(t *testing.T) {
	d := &faultyDisk{}
	l := newLog(t, d)
	d.short, d.takes = true, 30
	_, err := l.Append(context.Background(), "note", struct{}{})
	require.ErrorContains(t, err, "short write; look to the disk")
	require.Empty(t, journalBytes(t, filepath.Dir(l.path)))
	_, err = l.Append(context.Background(), "note", struct{}{})
	require.NoError(t, err)
}

// After a failed sync nothing is sure any more: the entry is taken back and
// the log takes no other until the case was opened again.
func TestFailedSync(t *testing.T) {
	d := &faultyDisk{}
	l := newLog(t, d)
	dir := filepath.Dir(l.path)
	_, err := l.Append(context.Background(), "note", struct{}{})
	require.NoError(t, err)
	before := journalBytes(t, dir)

	d.syncErr = errNoSync
	_, err = l.Append(context.Background(), "note", struct{}{})
	require.ErrorIs(t, err, errNoSync)
	require.ErrorContains(t, err, "close the case and open it again")
	require.Equal(t, before, journalBytes(t, dir))
	require.True(t, l.ReadOnly())
	_, err = l.Append(context.Background(), "note", struct{}{})
	require.ErrorIs(t, err, ErrReadOnly)
	require.ErrorContains(t, err, "did not confirm")
	require.Len(t, l.Entries(), 1)

	require.NoError(t, l.Close())
	back, rec, err := open(dir, ticking(), d)
	require.NoError(t, err)
	require.True(t, rec.Clean())
	e, err := back.Append(context.Background(), "note", struct{}{})
	require.NoError(t, err)
	require.Equal(t, 2, e.Seq)
	require.NoError(t, back.Close())
}

// A part of a line that cannot be taken back stays as a torn line, nothing is
// written behind it, and the next opening sets it aside.
func TestNoTakingBack(t *testing.T) {
	for _, fault := range []func(*faultyDisk){
		func(d *faultyDisk) { d.truncateErr = errNoTruncate },
		func(d *faultyDisk) { d.syncErr = errNoSync },
	} {
		d := &faultyDisk{}
		l := newLog(t, d)
		dir := filepath.Dir(l.path)
		_, err := l.Append(context.Background(), "note", struct{}{})
		require.NoError(t, err)
		d.writeErr, d.takes = syscall.EIO, 25
		fault(d)
		_, err = l.Append(context.Background(), "note", struct{}{})
		require.ErrorIs(t, err, syscall.EIO)
		require.ErrorContains(t, err, "could not be taken back")
		_, err = l.Append(context.Background(), "note", struct{}{})
		require.ErrorIs(t, err, ErrReadOnly)
		require.NoError(t, l.Close())

		back, rec, err := open(dir, ticking(), d)
		require.NoError(t, err)
		require.Equal(t, 1, rec.Entries)
		_, err = back.Append(context.Background(), "note", struct{}{})
		require.NoError(t, err)
		require.NoError(t, back.Close())
		rep, err := VerifyDir(dir)
		require.NoError(t, err)
		require.NoError(t, rep.Err())
		require.Equal(t, 2, rep.Entries)
	}
}

// Whatever else writes to the file, or takes its place, is met with a refusal
// and no further byte.
func TestFileChangedFromOutside(t *testing.T) {
	l := newLog(t, osDisk{})
	dir := filepath.Dir(l.path)
	_, err := l.Append(context.Background(), "note", struct{}{})
	require.NoError(t, err)
	good := journalBytes(t, dir)

	f, err := os.OpenFile(l.path, os.O_WRONLY|os.O_APPEND, 0)
	require.NoError(t, err)
	_, err = f.WriteString("{}\n")
	require.NoError(t, err)
	require.NoError(t, f.Close())
	_, err = l.Append(context.Background(), "note", struct{}{})
	require.ErrorContains(t, err, "something else wrote to it")
	require.Equal(t, string(good)+"{}\n", string(journalBytes(t, dir)))

	if runtime.GOOS == "windows" {
		return // an open file cannot be replaced there
	}
	require.NoError(t, os.Rename(l.path, l.path+".old"))
	_, err = l.Append(context.Background(), "note", struct{}{})
	require.ErrorIs(t, err, fs.ErrNotExist)
	writeJournal(t, dir, good)
	_, err = l.Append(context.Background(), "note", struct{}{})
	require.ErrorContains(t, err, "another file was put in the place")
	require.Equal(t, good, journalBytes(t, dir))
}
