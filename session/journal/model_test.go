package journal

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A bench is a journal under trial beside the plainest model of one: the list
// of what was acknowledged.
type bench struct {
	root  string
	dir   string
	now   time.Time
	disk  *faultyDisk
	log   *Log
	model []Entry
}

// TestAgainstModel does random sequences of appending, failing, closing,
// tearing and cutting the power. After each step the log, the file and the
// model must agree.
func TestAgainstModel(t *testing.T) {
	t.Parallel()
	root := t.TempDir()
	rapid.Check(t, func(rt *rapid.T) {
		b := &bench{root: root, disk: &faultyDisk{}, now: time.Date(2031, 4, 2, 7, 0, 0, 0, time.UTC)}
		b.begin(rt)
		defer func() {
			require.NoError(rt, b.log.Close())
			require.NoError(rt, os.RemoveAll(b.dir))
		}()
		rt.Repeat(map[string]func(*rapid.T){
			"":           b.agree,
			"append":     b.append,
			"refuse":     b.refuse,
			"full disk":  b.fullDisk,
			"bad sync":   b.badSync,
			"power cut":  b.powerCut,
			"reopen":     b.reopenClean,
			"tear":       b.tear,
			"read":       b.read,
			"second one": b.secondWriter,
		})
	})
}

func (b *bench) clock() time.Time { return b.now }

func (b *bench) begin(t *rapid.T) {
	var err error
	b.dir, err = os.MkdirTemp(b.root, "case")
	require.NoError(t, err)
	b.log, err = create(b.dir, b.clock, b.disk)
	require.NoError(t, err)
}

// reopen closes the log and opens the case anew.
func (b *bench) reopen(t *rapid.T) Recovery {
	require.NoError(t, b.log.Close())
	var rec Recovery
	var err error
	b.log, rec, err = open(b.dir, b.clock, b.disk)
	require.NoError(t, err)
	require.Nil(t, rec.Damage)
	return rec
}

func drawPayload(t *rapid.T) map[string]any {
	value := rapid.OneOf(
		rapid.String().AsAny(), rapid.Bool().AsAny(),
		rapid.Float64Range(-largestNumber, largestNumber).AsAny(),
		rapid.SliceOfN(rapid.Int32(), 0, 3).AsAny(),
	)
	return rapid.MapOfN(rapid.String(), value, 0, 4).Draw(t, "payload")
}

func (b *bench) step(t *rapid.T) {
	b.now = b.now.Add(time.Duration(rapid.Int64Range(-1e9, 1e12).Draw(t, "clock goes on by")))
}

func (b *bench) append(t *rapid.T) {
	b.step(t)
	payload := drawPayload(t)
	kind := rapid.StringN(1, 10, -1).Draw(t, "kind")
	e, err := b.log.Append(context.Background(), kind, payload)
	require.NoError(t, err)
	want, err := json.Marshal(payload)
	require.NoError(t, err)
	require.JSONEq(t, string(want), string(e.Payload))
	require.Equal(t, Entry{
		Version: 1, Seq: len(b.model) + 1, Time: b.now, Kind: kind, Payload: e.Payload, Prev: e.Prev,
	}, e)
	b.model = append(b.model, e)
}

func (b *bench) refuse(t *rapid.T) {
	_, err := b.log.Append(context.Background(), "note", map[string]int64{"n": rapid.Int64Min(1<<53+1).Draw(t, "n")})
	require.ErrorContains(t, err, "2^53")
}

func (b *bench) fullDisk(t *rapid.T) {
	b.disk.writeErr, b.disk.takes = syscall.ENOSPC, rapid.IntRange(0, 300).Draw(t, "bytes taken")
	_, err := b.log.Append(context.Background(), "note", struct{}{})
	require.ErrorIs(t, err, syscall.ENOSPC)
	require.False(t, b.log.ReadOnly())
}

func (b *bench) badSync(t *rapid.T) {
	b.disk.syncErr = errNoSync
	_, err := b.log.Append(context.Background(), "note", struct{}{})
	require.ErrorIs(t, err, errNoSync)
	_, err = b.log.Append(context.Background(), "note", struct{}{})
	require.ErrorIs(t, err, ErrReadOnly)
	require.True(t, b.reopen(t).Clean())
}

// powerCut lets an entry reach the system but not surely the disk, and then
// keeps any part of what was not synced. Only the entry in work may be lost,
// and it is lost unless every byte of it is there.
func (b *bench) powerCut(t *rapid.T) {
	path := filepath.Join(b.dir, FileName)
	durable := fileSize(t, path)
	b.disk.syncErr, b.disk.truncateErr = errNoSync, errNoTruncate
	_, err := b.log.Append(context.Background(), "note", struct{}{})
	require.ErrorIs(t, err, errNoSync)
	require.ErrorIs(t, err, errNoTruncate)
	written := fileSize(t, path)
	require.Greater(t, written, durable)
	left := rapid.Int64Range(durable, written).Draw(t, "bytes left")
	require.NoError(t, os.Truncate(path, left))

	rec := b.reopen(t)
	require.Equal(t, left == durable || left == written, rec.Clean())
	if left == written {
		entries := b.log.Entries()
		require.Len(t, entries, len(b.model)+1)
		b.model = entries
	}
}

func (b *bench) reopenClean(t *rapid.T) { require.True(t, b.reopen(t).Clean()) }

// tear leaves the beginning of a line, or rubbish without a newline.
func (b *bench) tear(t *rapid.T) {
	line, err := b.log.compose("note", drawPayload(t))
	require.NoError(t, err)
	line = line[:rapid.IntRange(1, len(line)).Draw(t, "kept")]
	if rapid.Bool().Draw(t, "rubbish") {
		line = bytes.ReplaceAll(rapid.SliceOfN(rapid.Byte(), 1, 50).Draw(t, "tail"), []byte("\n"), []byte{0})
	}
	path := filepath.Join(b.dir, FileName)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, append(data, line...), 0o600))
	rec := b.reopen(t)
	require.Equal(t, int64(len(line)), rec.Torn.Bytes)
	kept, err := os.ReadFile(rec.Torn.File)
	require.NoError(t, err)
	require.Equal(t, line, kept)
}

func (b *bench) read(t *rapid.T) {
	l, rec, err := OpenReadOnly(b.dir)
	require.NoError(t, err)
	require.True(t, rec.Clean())
	require.Equal(t, b.log.Entries(), l.Entries())
	require.Equal(t, b.log.Head(), l.Head())
}

func (b *bench) secondWriter(t *rapid.T) {
	_, _, err := open(b.dir, b.clock, b.disk)
	require.ErrorIs(t, err, ErrInUse)
}

// agree is the check after each step, by the package's own verifier among
// others.
func (b *bench) agree(t *rapid.T) {
	entries := b.log.Entries()
	require.Len(t, entries, len(b.model))
	require.True(t, slices.EqualFunc(b.model, entries, func(a, b Entry) bool { return reflect.DeepEqual(a, b) }))
	require.False(t, b.log.ReadOnly())
	rep, err := VerifyDir(b.dir)
	require.NoError(t, err)
	require.NoError(t, rep.Err())
	require.Equal(t, len(b.model), rep.Entries)
	require.Equal(t, b.log.Head(), rep.Head)
	require.Equal(t, fileSize(t, filepath.Join(b.dir, FileName)), rep.Bytes)
}

func fileSize(t *rapid.T, path string) int64 {
	info, err := os.Stat(path)
	require.NoError(t, err)
	return info.Size()
}
