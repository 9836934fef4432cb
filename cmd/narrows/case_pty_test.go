//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"narrows/session"
)

// TestNarrowsProgram is no test: it is the real program, for the terminal
// tests to run as a process of its own.
func TestNarrowsProgram(t *testing.T) {
	args := os.Getenv("NARROWS_TEST_ARGS")
	if args == "" {
		t.Skip("runs as the child of other tests only")
	}
	time.AfterFunc(2*time.Minute, func() { os.Exit(99) }) // never outlive the tests
	p := standard()
	p.args = strings.Split(args, "\n")
	if os.Getenv("NARROWS_TEST_GATE") != "" {
		p.rank = gatedRanker()
	}
	os.Exit(run(p))
}

// startNarrows runs the program at a terminal, with its data in a folder.
func startNarrows(t *testing.T, home string, args ...string) *terminal {
	t.Helper()
	return startNarrowsIn(t, toyOptions{cols: 80, rows: 24}, home, args...)
}

// startNarrowsIn runs it in such a terminal and environment.
func startNarrowsIn(t *testing.T, opt toyOptions, home string, args ...string) *terminal {
	t.Helper()
	args = append([]string{"--home", home}, args...)
	opt.program = "TestNarrowsProgram"
	opt.env = append(opt.env, "NARROWS_TEST_ARGS="+strings.Join(args, "\n"), "HOME="+home)
	return startToy(t, opt)
}

// kinds lists the kinds of a case's entries.
func kinds(t *testing.T, home, id string) []string {
	t.Helper()
	o, err := session.Store{Dir: filepath.Join(home, "cases"), Clock: time.Now}.Read(id)
	require.NoError(t, err)
	var out []string
	for _, e := range o.Log.Entries() {
		out = append(out, e.Kind)
	}
	require.NoError(t, o.Close())
	return out
}

func onlyCase(t *testing.T, home string) string {
	t.Helper()
	ids, err := session.Store{Dir: filepath.Join(home, "cases")}.List()
	require.NoError(t, err)
	require.Len(t, ids, 1)
	return ids[0]
}

// A short case at a terminal: completion, an answer, undo, Ctrl-C, and out
// again with everything on disk.
func TestCaseAtTheTerminal(t *testing.T) {
	home := t.TempDir()
	x := startNarrows(t, home, "--new", "--engine", "holm_pump_5")
	x.endsWith("narrows>")
	x.types("stumbles under load\r")
	x.sees("The complaint, as understood")
	x.endsWith("narrows>")
	x.types("\r")
	x.sees("cures alone")
	x.endsWith("narrows>")
	x.types("che")
	x.sees("do any check, offered or not")
	x.types("\t")
	x.endsWithLine("narrows> check")
	x.types(" oil le")
	x.sees("oil_dip")
	x.types("\t")
	x.endsWithLine("narrows> check oil level")
	x.types("\r")
	x.sees("between the marks")
	x.endsWith("narrows>")
	x.types("betw")
	x.sees("good")
	x.types("\t\r")
	x.until("the entry", func() bool { k := kinds(t, home, onlyCase(t, home)); return k[len(k)-1] == "check" })
	x.endsWith("narrows>")
	x.types("undo\r")
	x.sees("Taken back: oil level: between the marks.")
	x.endsWith("narrows>")
	x.types("half a li\x03")
	x.sees("half a li^C")
	x.endsWith("narrows>")
	x.types("quit\r")
	require.Equal(t, exitDone, x.ended())
	x.asFound()
	require.Equal(t, []string{"opened", "complaint", "check", "undo"}, kinds(t, home, onlyCase(t, home)))
}

// A request to stop ends the prompt, keeps what was entered, and leaves the
// terminal as it was.
func TestStoppedAtTheTerminal(t *testing.T) {
	home := t.TempDir()
	x := startNarrows(t, home, "--new", "--engine", "holm_pump_5")
	x.endsWith("narrows>")
	x.types("stumbles under load\r")
	x.sees("The complaint, as understood")
	x.endsWith("narrows>")
	x.types("half a line")
	x.sees("half a line")
	x.signal(syscall.SIGTERM)
	require.Equal(t, exitInterrupted, x.ended())
	x.asFound()
	require.Equal(t, []string{"opened", "complaint"}, kinds(t, home, onlyCase(t, home)))
}

// Headings are bold at a terminal, and the demo can be left.
func TestDemoAtTheTerminal(t *testing.T) {
	if raced {
		t.Skip("the large pack is slow under the race detector")
	}
	home := t.TempDir()
	x := startNarrows(t, home, "demo")
	x.sees("narrows> stumbles at all rpm")
	x.until("bold headings", func() bool { return strings.Contains(x.output(), "\x1b[1mThe complaint, as understood") })
	x.signal(os.Interrupt)
	require.Equal(t, exitInterrupted, x.ended())
}

// endsWithLine waits for the line that the cursor is in.
func (x *terminal) endsWithLine(text string) {
	x.t.Helper()
	x.until(text, func() bool {
		for line := range strings.Lines(x.text()) {
			if strings.TrimSpace(line) == text {
				return true
			}
		}
		return false
	})
}
