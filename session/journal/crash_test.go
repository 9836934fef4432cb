package journal

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// crashEnv names the case folder in which the child appends.
const crashEnv = "JOURNAL_CRASH_CHILD"

// crashPayload is what entry seq says. Some are long, so that a kill can fall
// into the midst of a write.
func crashPayload(seq int) map[string]any {
	long := 10
	if seq%5 == 0 {
		long = 9000
	}
	return map[string]any{"n": seq, "pad": strings.Repeat("x", long)}
}

// crashChild appends until it is killed and prints the number and the hash of
// each entry once it is acknowledged.
func crashChild(dir string) int {
	l, _, err := Open(dir, time.Now)
	for err == nil {
		var e Entry
		if e, err = l.Append(context.Background(), "note", crashPayload(len(l.Entries())+1)); err == nil {
			_, err = fmt.Printf("%d %s\n", e.Seq, l.Head())
		}
	}
	fmt.Fprintln(os.Stderr, err)
	return 1
}

// A process that appends is killed at random moments, again and again. After
// each kill every acknowledged entry is there, at most the one in work beside,
// and appending goes on. A kill is no power cut: what the system had been
// given is not lost by it. Cut files and failing syncs are tried elsewhere.
func TestCrash(t *testing.T) {
	t.Parallel()
	const cases, kills = 4, 8
	rng := rand.New(rand.NewPCG(20310402, 715))
	torn, acked := 0, 0
	for range cases {
		dir := filepath.Join(t.TempDir(), "case")
		l, err := Create(dir, time.Now)
		require.NoError(t, err)
		require.NoError(t, l.Close())
		for range kills {
			before := len(requireSound(t, dir))
			seq, head := killedWhileAppending(t, dir, rng)
			acked += max(0, seq-before)
			torn += requireRecovered(t, dir, max(seq, before), head)
		}
	}
	require.Positive(t, acked, "no child ever came to append")
	t.Logf("%d kills, %d entries acknowledged by the children, %d torn lines", cases*kills, acked, torn)
}

// killedWhileAppending starts a child, kills it after some acknowledgements and
// some time, and gives its last acknowledgement.
func killedWhileAppending(t *testing.T, dir string, rng *rand.Rand) (seq int, head string) {
	t.Helper()
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), crashEnv+"="+dir)
	out, err := child.StdoutPipe()
	require.NoError(t, err)
	var complaints strings.Builder
	child.Stderr = &complaints
	require.NoError(t, child.Start())
	acks := bufio.NewReader(out)
	read := func() bool {
		line, err := acks.ReadString('\n')
		if err != nil {
			return false
		}
		_, err = fmt.Sscanf(line, "%d %s\n", &seq, &head)
		require.NoError(t, err)
		return true
	}
	for n := rng.IntN(12); n > 0 && read(); n-- {
	}
	time.Sleep(time.Duration(rng.IntN(6000)) * time.Microsecond)
	require.NoError(t, child.Process.Kill())
	for read() { // what it said before it died
	}
	_, err = io.Copy(io.Discard, acks)
	require.NoError(t, err)
	require.Error(t, child.Wait(), "the child was killed")
	require.Empty(t, complaints.String())
	return seq, head
}

// requireRecovered opens the case after a kill, looks at all entries, appends
// one more, and tells whether a torn line (1) was set aside or none (0).
func requireRecovered(t *testing.T, dir string, acked int, head string) int {
	t.Helper()
	l, rec, err := Open(dir, time.Now)
	require.NoError(t, err, "the kernel freed the lock")
	require.Nil(t, rec.Damage)
	entries := l.Entries()
	require.GreaterOrEqual(t, len(entries), acked)
	require.LessOrEqual(t, len(entries), acked+1)
	switch {
	case head == "":
	case len(entries) == acked:
		require.Equal(t, head, l.Head())
	default:
		require.Equal(t, head, entries[acked].Prev)
	}
	e, err := l.Append(context.Background(), "note", crashPayload(len(entries)+1))
	require.NoError(t, err)
	require.Equal(t, len(entries)+1, e.Seq)
	require.NoError(t, l.Close())
	if rec.Torn != nil {
		return 1
	}
	return 0
}

// requireSound sees that every entry of a case says what it was to say.
func requireSound(t *testing.T, dir string) []Entry {
	t.Helper()
	l, rec, err := OpenReadOnly(dir)
	require.NoError(t, err)
	require.True(t, rec.Clean())
	for i, e := range l.Entries() {
		want, err := json.Marshal(crashPayload(i + 1))
		require.NoError(t, err)
		require.Equal(t, string(want), string(e.Payload))
	}
	require.NoError(t, l.Close())
	return l.Entries()
}

// A second process gets ErrInUse too, and reads all the same.
func TestSecondProcess(t *testing.T) {
	dir := appended(t, 3)
	l, _, err := Open(dir, time.Now)
	require.NoError(t, err)
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	child := exec.CommandContext(ctx, os.Args[0])
	child.Env = append(os.Environ(), crashEnv+"="+dir, "GORACE=atexit_sleep_ms=0")
	out, err := child.CombinedOutput()
	require.Error(t, err)
	require.Contains(t, string(out), ErrInUse.Error())
	require.Len(t, l.Entries(), 3)
	require.NoError(t, l.Close())
}
