//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package main

import (
	"context"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/faulttree/plan"
	"narrows/session"
)

// gatedRanker is the planner behind a gate: each SIGUSR1 lets one ranking
// through, now or when it comes.
func gatedRanker() session.Ranker {
	gate := make(chan os.Signal, 8)
	signal.Notify(gate, syscall.SIGUSR1)
	return func(ctx context.Context, p *plan.Problem) (*plan.Advice, error) {
		select {
		case <-gate:
			return p.Advise(ctx, plan.Budget{})
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}

// ranking is the program with its first ranking waiting at the gate.
func ranking(t *testing.T, home string, opt toyOptions) *terminal {
	t.Helper()
	opt.env = append(opt.env, "NARROWS_TEST_GATE=1")
	x := startNarrowsIn(t, opt, home, "--new", "--engine", "holm_pump_5")
	x.endsWith("narrows>")
	x.types("stumbles under load\r")
	x.sees("right? Enter goes on")
	x.endsWith("narrows>")
	x.types("\r")
	x.endsWith("ranking>")
	require.NotContains(t, x.output(), "do next")
	require.Contains(t, x.output(), "cures alone")
	return x
}

// Keys typed while the ranking runs are echoed at once; its offer comes above the
// line, which stays as it was, cursor and all.
func TestTypingWhileRanking(t *testing.T) {
	t.Parallel()
	home := t.TempDir()
	x := ranking(t, home, toyOptions{cols: 80, rows: 24})
	x.types("note smlls of varnish")
	x.endsWithLine("ranking> note smlls of varnish")
	x.types("\x1b[D\x1b[D\x1b[D\x1b[D\x1b[D\x1b[D\x1b[D\x1b[D\x1b[D\x1b[D\x1b[D\x1b[D\x1b[D\x1b[D")
	require.NotContains(t, x.text(), "do next")
	x.signal(syscall.SIGUSR1)
	x.endsWithLine("narrows> note smlls of varnish")
	require.Contains(t, x.text(), "do next")
	require.Contains(t, x.text(), "-> a number picks; Enter repeats")
	require.NotContains(t, x.text(), "ranking>")
	require.Contains(t, x.text(), "cures alone", "suspects and offer fit one screen")
	x.types("e\r") // where the cursor was left
	x.sees("Noted.")
	require.Contains(t, x.text(), "narrows> note smells of varnish")
	x.types("quit\r")
	require.Equal(t, exitDone, x.ended())
	x.asFound()
	require.Equal(t, []string{"opened", "complaint", "note"}, kinds(t, home, onlyCase(t, home)))
}

// What was ranked while the complaint was read back is there with Enter, and not
// before; Ctrl-C drops the line as ever.
func TestRankedWhileReadBack(t *testing.T) {
	t.Parallel()
	x := startNarrowsIn(t, toyOptions{cols: 80, rows: 40, env: []string{"NARROWS_TEST_GATE=1"}}, t.TempDir(), "--new", "--engine", "holm_pump_5")
	x.endsWith("narrows>")
	x.types("stumbles under load\r")
	x.sees("right? Enter goes on")
	x.endsWith("narrows>")
	x.types("not thi\x03")
	x.sees("not thi^C")
	x.endsWith("narrows>")
	x.signal(syscall.SIGUSR1)
	x.types("complaint\r")
	x.endsWith("narrows>")
	require.NotContains(t, x.output(), "do next")
	x.types("\r")
	x.sees("do next")
	x.endsWith("narrows>")
	x.types("quit\r")
	require.Equal(t, exitDone, x.ended())
	x.asFound()
}

// Ctrl-C stops the ranking and nothing else; next ranks anew; a number typed
// early waits for the list.
func TestStoppingTheRanking(t *testing.T) {
	t.Parallel()
	home := t.TempDir()
	x := ranking(t, home, toyOptions{cols: 80, rows: 24})
	x.types("half a li\x03")
	x.sees("The ranking was stopped.")
	x.endsWithLine("narrows> half a li")
	x.types("\x03") // nothing but the line is left to drop
	x.sees("half a li^C")
	x.endsWith("narrows>")
	x.types("next\r")
	x.endsWith("ranking>")
	x.types("1\r")
	x.endsWith("narrows> 1")
	x.signal(syscall.SIGUSR1)
	x.endsWith("narrows>")
	require.NotContains(t, x.output(), "costs      saves", "the list was picked from before it was shown")
	x.types("cancel\r")
	x.endsWith("narrows>")
	x.sees("do next")
	x.types("skip 1 no time\r")
	x.endsWith("ranking>")
	x.types("next\r")
	x.until("the end of the line", func() bool { return strings.HasSuffix(x.output(), "next\r\n\x1b[0m\x1b[J") }) // Ctrl-C is a signal from here on
	x.types("\x03")
	x.sees("! Stopped.")
	x.endsWith("narrows>")
	x.types("skip 1\r")
	x.sees("Which check?")
	x.types("quit\r")
	require.Equal(t, exitDone, x.ended())
	x.asFound()
}

// The word goes with the ranking also without colours and on a narrow screen,
// and so does the program while one runs.
func TestRankingWord(t *testing.T) {
	t.Parallel()
	home := t.TempDir()
	x := ranking(t, home, toyOptions{cols: 24, rows: 30, env: []string{"NO_COLOR=1"}})
	x.types("a line that is longer than the screen")
	x.endsWith("\nranking> a line that is\nlonger than the screen")
	x.signal(syscall.SIGUSR1)
	x.sees("narrows> a line that is")
	require.NotContains(t, x.text(), "ranking>")
	x.types("\x03")
	x.endsWith("narrows>")
	x.types("without running\r")
	x.endsWith("ranking>")
	x.signal(syscall.SIGTERM)
	require.Equal(t, exitInterrupted, x.ended())
	x.asFound()
}
