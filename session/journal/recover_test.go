package journal

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestNoJournalInTheFolder(t *testing.T) {
	dir := t.TempDir()
	for _, at := range []string{dir, filepath.Join(dir, "missing")} {
		_, _, err := Open(at, ticking())
		require.ErrorIs(t, err, fs.ErrNotExist)
		_, _, err = OpenReadOnly(at)
		require.ErrorIs(t, err, fs.ErrNotExist)
		_, err = Repair(at, ticking())
		require.ErrorIs(t, err, fs.ErrNotExist)
	}
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, left, "looking leaves nothing behind")

	require.NoError(t, os.Mkdir(filepath.Join(dir, FileName), 0o700))
	_, _, err = OpenReadOnly(dir)
	require.ErrorContains(t, err, "not a regular file")
	_, _, err = Open(dir, ticking())
	require.ErrorContains(t, err, "not a regular file")
}

// A case that was begun and never written to.
func TestEmptyJournal(t *testing.T) {
	dir := appended(t, 0)
	l, rec, err := Open(dir, ticking())
	require.NoError(t, err)
	require.Equal(t, Recovery{}, rec)
	require.Equal(t, Genesis, l.Head())
	require.NoError(t, l.Close())
}

// The journal is cut at every byte of its last three lines. Every line that
// kept its newline is there, a rest is set aside and kept byte for byte, and
// the next entry is sound.
func TestCutAtEveryByte(t *testing.T) {
	dir := appended(t, 5)
	data := journalBytes(t, dir)
	from := bytes.Index(data, []byte(`"seq":3`))
	d := &faultyDisk{}
	for n := from; n <= len(data); n++ {
		writeJournal(t, dir, data[:n])
		whole := bytes.Count(data[:n], []byte("\n"))
		start := bytes.LastIndexByte(data[:n], '\n') + 1

		_, rec, err := OpenReadOnly(dir)
		require.NoError(t, err)
		require.Equal(t, whole, rec.Entries)
		require.Equal(t, n == start, rec.Clean())
		require.Equal(t, data[:n], journalBytes(t, dir), "reading changes nothing")

		l, rec, err := open(dir, ticking(), d)
		require.NoError(t, err)
		require.Equal(t, whole, rec.Entries)
		require.Len(t, l.Entries(), whole)
		require.Equal(t, data[:start], journalBytes(t, dir))
		if n == start {
			require.Nil(t, rec.Torn)
		} else {
			requireKept(t, rec.Torn.File, data[start:n])
			require.Equal(t, TornLine{Line: whole + 1, Offset: int64(start), Bytes: int64(n - start), File: rec.Torn.File}, *rec.Torn)
		}
		e, err := l.Append(context.Background(), "note", struct{}{})
		require.NoError(t, err)
		require.Equal(t, whole+1, e.Seq)
		require.NoError(t, l.Close())
		rep, err := VerifyDir(dir)
		require.NoError(t, err)
		require.NoError(t, rep.Err())
		require.Equal(t, whole+1, rep.Entries)
	}
}

// requireKept sees that a file set aside holds what it must, and removes it.
func requireKept(t *testing.T, path string, want []byte) {
	t.Helper()
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, want, got)
	require.NoError(t, os.Remove(path))
}

// After a power cut some file systems leave zero bytes where data was to come.
func TestZeroBytesAtTheEnd(t *testing.T) {
	dir := appended(t, 2)
	data := journalBytes(t, dir)
	writeJournal(t, dir, append(data, make([]byte, 5000)...))
	l, rec, err := Open(dir, ticking())
	require.NoError(t, err)
	require.Equal(t, int64(5000), rec.Torn.Bytes)
	require.False(t, l.ReadOnly())
	require.NoError(t, l.Close())
	require.Equal(t, data, journalBytes(t, dir))
}

// Files set aside at one instant get names of their own.
func TestNamesOfFilesSetAside(t *testing.T) {
	dir := appended(t, 1)
	data := journalBytes(t, dir)
	still := func() time.Time { return time.Date(2031, 4, 2, 9, 15, 0, 7, time.FixedZone("", 7200)) }
	for _, name := range []string{
		"torn-20310402T071500.000000007Z",
		"torn-20310402T071500.000000007Z-2",
		"torn-20310402T071500.000000007Z-3",
	} {
		writeJournal(t, dir, append(bytes.Clone(data), "{"+name...))
		l, rec, err := Open(dir, still)
		require.NoError(t, err)
		require.NoError(t, l.Close())
		require.Equal(t, filepath.Join(dir, name), rec.Torn.File)
		kept, err := os.ReadFile(rec.Torn.File)
		require.NoError(t, err)
		require.Equal(t, "{"+name, string(kept))
	}
}

// The rest of a torn line that cannot be set aside safely stays where it is.
func TestSettingAsideFails(t *testing.T) {
	for name, d := range map[string]*faultyDisk{
		"copy not taken":     {writeErr: errNoSync, takes: 3},
		"copy not synced":    {syncErr: errNoSync},
		"name not synced":    {dirErr: errNoSync},
		"journal cannot cut": {truncateErr: errNoSync},
	} {
		dir := appended(t, 2)
		torn := append(journalBytes(t, dir), `{"kind":"no`...)
		writeJournal(t, dir, torn)
		_, _, err := open(dir, ticking(), d)
		require.ErrorIs(t, err, errNoSync, name)
		require.ErrorContains(t, err, "or open the case read-only", name)
		require.Equal(t, torn, journalBytes(t, dir), name)

		l, rec, err := open(dir, ticking(), d)
		require.NoError(t, err, "the lock was freed")
		require.Equal(t, int64(11), rec.Torn.Bytes)
		require.NoError(t, l.Close())
	}
}

// An entry is shown only when it is on the disk: what opening found is synced.
func TestOpenSyncsWhatItFound(t *testing.T) {
	dir := appended(t, 2)
	d := &faultyDisk{}
	l, _, err := open(dir, ticking(), d)
	require.NoError(t, err)
	require.NoError(t, l.Close())
	require.Equal(t, []string{"open journal.jsonl", "sync journal.jsonl", "sync folder case"}, d.calls)
	d.syncErr = errNoSync
	_, _, err = open(dir, ticking(), d)
	require.ErrorIs(t, err, errNoSync)
}

// damaged makes a journal of six entries whose fourth line was changed.
func damaged(t *testing.T) (dir string, data []byte, offset int64) {
	t.Helper()
	dir = appended(t, 6)
	data = bytes.Replace(journalBytes(t, dir), []byte("4.50 psi"), []byte("4.5\n psi"), 1)
	writeJournal(t, dir, data)
	for _, line := range linesOf(data)[:3] {
		offset += int64(len(line))
	}
	return dir, data, offset
}

func TestDamageOpensReadOnly(t *testing.T) {
	dir, data, offset := damaged(t)
	for _, opened := range []func() (*Log, Recovery, error){
		func() (*Log, Recovery, error) { return Open(dir, ticking()) },
		func() (*Log, Recovery, error) { return OpenReadOnly(dir) },
	} {
		l, rec, err := opened()
		require.NoError(t, err)
		require.False(t, rec.Clean())
		require.Nil(t, rec.Torn)
		require.Equal(t, 3, rec.Entries)
		require.Equal(t, &CorruptionError{
			Path: filepath.Join(dir, FileName), Line: 4, Offset: offset,
			Misfit: NotJSON, Reason: rec.Damage.Reason,
		}, rec.Damage)
		require.Len(t, l.Entries(), 3)
		require.True(t, l.ReadOnly())

		_, err = l.Append(context.Background(), "note", struct{}{})
		require.ErrorIs(t, err, ErrReadOnly)
		var damage *CorruptionError
		require.ErrorAs(t, err, &damage)
		require.Equal(t, 4, damage.Line)
		require.ErrorContains(t, err, "the 3 entries before it can be read; repair the journal")
		require.NoError(t, l.Close())
		require.Equal(t, data, journalBytes(t, dir))
	}
}

func TestRepair(t *testing.T) {
	dir, data, offset := damaged(t)
	clock := ticking()
	rec, err := Repair(dir, clock)
	require.NoError(t, err)
	require.Equal(t, 3, rec.Entries)
	require.Equal(t, 4, rec.Damage.Line)
	require.True(t, strings.HasPrefix(filepath.Base(rec.Kept), "damaged-20310402T0715"), rec.Kept)
	require.Equal(t, data[:offset], journalBytes(t, dir))
	kept, err := os.ReadFile(rec.Kept)
	require.NoError(t, err)
	require.Equal(t, data[offset:], kept)

	l, rec, err := Open(dir, func() time.Time { return clock().Add(time.Hour) })
	require.NoError(t, err)
	require.True(t, rec.Clean())
	e, err := l.Append(context.Background(), "repair", struct{}{})
	require.NoError(t, err)
	require.Equal(t, 4, e.Seq)
	require.NoError(t, l.Close())

	rec, err = Repair(dir, ticking())
	require.NoError(t, err)
	require.Equal(t, Recovery{Entries: 4}, rec, "nothing to repair")
}

func TestRepairOfATornLine(t *testing.T) {
	dir := appended(t, 2)
	writeJournal(t, dir, append(journalBytes(t, dir), '{'))
	rec, err := Repair(dir, ticking())
	require.NoError(t, err)
	require.Empty(t, rec.Kept)
	requireKept(t, rec.Torn.File, []byte("{"))
}

func TestRepairFails(t *testing.T) {
	dir, data, _ := damaged(t)
	_, err := repair(dir, ticking(), &faultyDisk{syncErr: errNoSync})
	require.ErrorIs(t, err, errNoSync)
	require.Equal(t, data, journalBytes(t, dir))
	_, err = Repair(dir, ticking())
	require.NoError(t, err, "the lock was freed")
}

// Entries of a later program are neither read nor cut off.
func TestLaterVersion(t *testing.T) {
	dir := appended(t, 3)
	data := journalBytes(t, dir)
	data = append(data, `{"and":"more","v":2}`+"\n"...)
	writeJournal(t, dir, data)
	l, rec, err := Open(dir, ticking())
	require.NoError(t, err)
	require.Equal(t, UnknownVersion, rec.Damage.Misfit)
	_, err = l.Append(context.Background(), "note", struct{}{})
	require.ErrorIs(t, err, ErrReadOnly)
	require.ErrorContains(t, err, "a later version of this program")
	require.NoError(t, l.Close())
	_, err = Repair(dir, ticking())
	require.ErrorContains(t, err, "nothing was cut")
	require.Equal(t, data, journalBytes(t, dir))
}

func TestOpenPassesWarningsOn(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "case")
	now := time.Date(2031, 4, 2, 8, 0, 0, 0, time.UTC)
	back := func() time.Time { now = now.Add(-time.Minute); return now }
	l, err := create(dir, back, &faultyDisk{})
	require.NoError(t, err)
	for range 2 {
		_, err = l.Append(context.Background(), "note", struct{}{})
		require.NoError(t, err, "a clock set back stops nobody")
	}
	require.NoError(t, l.Close())
	_, rec, err := OpenReadOnly(dir)
	require.NoError(t, err)
	require.True(t, rec.Clean())
	require.Len(t, rec.Warnings, 1)
	require.Equal(t, 2, rec.Warnings[0].Line)
}
