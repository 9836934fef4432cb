package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// heard is a writer that can be read while it is written to.
type heard struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (h *heard) Write(p []byte) (int, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.b.Write(p)
}

func (h *heard) String() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.b.String()
}

// watching runs lint --watch on a file until the test ends it.
type watching struct {
	out, errOut heard
	end         func() error
}

func watchFile(t *testing.T, path string, args ...string) *watching {
	w := &watching{}
	p := standard()
	p.in, p.out, p.errOut = strings.NewReader(""), &w.out, io.Writer(&w.errOut)
	p.env = func(string) string { return "" }
	p.clock = func() time.Time { return time.Date(2026, 5, 4, 8, 30, 15, 0, time.UTC) }
	ctx, cancel := context.WithCancel(t.Context())
	root := p.commands()
	root.SetArgs(append([]string{"lint", "--watch", path}, args...))
	ended := make(chan error, 1)
	go func() { ended <- root.ExecuteContext(ctx) }()
	w.end = func() error {
		cancel()
		select {
		case err := <-ended:
			return err
		case <-time.After(10 * time.Second):
			return nil
		}
	}
	return w
}

// hears waits until so many rounds have said the piece.
func (w *watching) hears(t *testing.T, piece string, times int) {
	t.Helper()
	require.Eventually(t, func() bool { return strings.Count(w.out.String(), piece) >= times }, 20*time.Second, 5*time.Millisecond,
		"%q, %d times", piece, times)
}

// putInPlace puts a file in the place of another as editors do.
func putInPlace(t *testing.T, path, text string) {
	beside := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".new")
	require.NoError(t, os.WriteFile(beside, []byte(text), 0o600))
	require.NoError(t, os.Rename(beside, path))
}

func TestLintWatch(t *testing.T) {
	const sound = "format: 1\ninstruments:\n  gauge: {title: gauge, quantity: pressure, noise: \"2 psi\", source: judgement}\n"
	faulty := strings.Replace(sound, "noise", "nois", 1)
	path := filepath.Join(t.TempDir(), "own.yaml")
	require.NoError(t, os.WriteFile(path, []byte(faulty), 0o600))
	_, stop := signal.NotifyContext(t.Context(), os.Interrupt) // the first one leaves a goroutine of the runtime
	stop()
	before := runtime.NumGoroutine()
	w := watchFile(t, path)
	w.hears(t, "own.yaml:3:45: unknown key", 1)
	w.hears(t, "2 errors", 1)
	require.NotContains(t, w.out.String(), "---", "the first round has no line before it")

	putInPlace(t, path, sound)
	w.hears(t, "\n--- 08:30:15 ---\n0 errors, 0 pieces of advice\n", 1)
	// Several writes at once are one round.
	for range 3 {
		require.NoError(t, os.WriteFile(path, []byte(faulty), 0o600))
	}
	w.hears(t, "2 errors", 2)
	require.NoError(t, os.WriteFile(filepath.Join(filepath.Dir(path), "other.yaml"), []byte("x"), 0o600))
	time.Sleep(3 * quiet) // nothing may come of either
	require.Equal(t, 2, strings.Count(w.out.String(), "--- 08:30:15 ---"))

	require.NoError(t, os.Remove(path))
	require.Eventually(t, func() bool { return strings.Contains(w.errOut.String(), "cannot be opened") }, 20*time.Second, 5*time.Millisecond)
	putInPlace(t, path, sound)
	w.hears(t, "0 errors", 2)

	require.ErrorIs(t, w.end(), errInterrupted)
	for until := time.Now().Add(10 * time.Second); runtime.NumGoroutine() > before && time.Now().Before(until); {
		time.Sleep(time.Millisecond)
	}
	require.LessOrEqual(t, runtime.NumGoroutine(), before, "goroutines are left")
}

func TestLintWatchJSON(t *testing.T) {
	path := filepath.Join(t.TempDir(), "own.yaml")
	require.NoError(t, os.WriteFile(path, []byte("instruments: {}\n"), 0o600))
	w := watchFile(t, path, "--json")
	w.hears(t, `"rule":"missing-key"`, 1)
	putInPlace(t, path, "instruments: {}\n")
	w.hears(t, `{"checked":"2026-05-04T08:30:15Z"}`+"\n", 1)
	w.hears(t, `"rule":"missing-key"`, 2)
	require.ErrorIs(t, w.end(), errInterrupted)
}

// TestLintWatchWrong: what cannot be watched is told at once.
func TestLintWatchWrong(t *testing.T) {
	for name, want := range map[string]string{"missing.yaml": "cannot be opened", "missing/missing.yaml": "its folder cannot be watched"} {
		p := standard()
		p.out, p.errOut = io.Discard, io.Discard
		root := p.commands()
		root.SetArgs([]string{"lint", "--watch", filepath.Join(t.TempDir(), name)})
		require.ErrorContains(t, root.ExecuteContext(t.Context()), want)
	}
}
