package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// watch is a clock that moves only while somebody waits.
type watch struct {
	mu sync.Mutex
	at time.Time
}

func (w *watch) now() time.Time {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.at
}

func (w *watch) pause(_ context.Context, d time.Duration) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.at = w.at.Add(d)
}

const toTheWait = `black smoke when warm, starts fine
check enricher growth

12.1 mm
12.0 mm
-
-
wait
`

// A script has nothing to do while a wait goes on: it is waited out.
func TestScriptWaits(t *testing.T) {
	w := &watch{at: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)}
	began := w.at
	x := newTrial(t, toTheWait+"-\n-\n16.2 mm\n13.9 mm\n", "--engine", "marsh_tern_60", "--home", t.TempDir())
	x.clock, x.pause = w.now, w.pause
	require.Equal(t, exitDone, run(x.program), x.errOut.String())
	require.Contains(t, x.out.String(), "5 min of 5 min left")
	require.Contains(t, x.out.String(), "does not conform")
	require.Equal(t, 5*time.Minute, w.now().Sub(began))
}

// The wait is shown before the line, wakes the reader as it goes on, and calls once
// when it is over. Whoever leaves in the middle leaves no goroutine behind.
func TestTimerWakes(t *testing.T) {
	w := &watch{at: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)}
	x := newTrial(t, "")
	x.engine, x.clock, x.pause = "marsh_tern_60", w.now, func(context.Context, time.Duration) {}
	o, err := x.start(context.Background())
	require.NoError(t, err)
	defer o.Close()
	b := newBench(x.program, o)
	require.Equal(t, promptText, b.timer.prefix())
	for _, line := range strings.Split(strings.TrimSuffix(toTheWait, "\n"), "\n") {
		_, err := b.do(context.Background(), line)
		require.NoError(t, err)
		if line == "12.0 mm" {
			b.prompt = true // the wait is not waited out here
		}
	}
	require.Equal(t, "[..........] 5:00> ", b.timer.prefix())
	require.NoError(t, b.waited(context.Background()))
	w.pause(context.Background(), 90*time.Second)
	<-b.ranks.wake
	require.Equal(t, "[###.......] 3:30> ", b.timer.prefix())
	x.out.Reset()
	require.NoError(t, b.waited(context.Background()))
	require.Empty(t, x.out.String(), "nothing is said before its end")
	w.pause(context.Background(), 210*time.Second)
	<-b.ranks.wake
	require.NoError(t, b.waited(context.Background()))
	require.Contains(t, x.out.String(), "\a")
	require.Contains(t, x.out.String(), "Draw after five minutes")
	require.Equal(t, promptText, b.timer.prefix())
	b.timer.close()
	b.ranks.close()
}

// A clock that is set by hand stands still where its file cannot be read.
func TestClockOf(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clock")
	_, err := clockOf(path)
	require.ErrorContains(t, err, "the clock cannot be read")
	require.NoError(t, os.WriteFile(path, []byte("half past nine"), 0o600))
	_, err = clockOf(path)
	require.ErrorContains(t, err, "the clock cannot be read")
	require.NoError(t, os.WriteFile(path, []byte("2026-03-02T09:00:00Z\n"), 0o600))
	now, err := clockOf(path)
	require.NoError(t, err)
	at := now()
	require.NoError(t, os.WriteFile(path, []byte("2026-03-02T09:00:30Z\n"), 0o600))
	require.Equal(t, 30*time.Second, now().Sub(at))
	require.NoError(t, os.Remove(path))
	require.Equal(t, 30*time.Second, now().Sub(at))
}
