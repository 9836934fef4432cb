//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package main

import (
	"fmt"
	"regexp"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPromptNoColor(t *testing.T) {
	t.Parallel()
	colour := regexp.MustCompile(`\x1b\[[0-9;]*[34][0-9][0-9;]*m`)
	for env, want := range map[string]bool{"NO_COLOR=1": false, "NO_COLOR=": true} {
		t.Run(env, func(t *testing.T) {
			t.Parallel()
			x := startToy(t, toyOptions{cols: 80, rows: 24, env: []string{env}})
			x.ready()
			x.types("su\t")
			x.sees("toy> suspects\n")
			x.types("\r")
			x.sees("you said: suspects.")
			x.types("quit\r")
			x.leaves(0, "<nil>")
			require.Equal(t, want, colour.MatchString(x.output()))
			require.Equal(t, !want, strings.Contains(x.output(), "\x1b[0;7m"), "reverse video marks the selection")
		})
	}
}

func TestPlainOnTerminal(t *testing.T) {
	t.Parallel()
	for _, env := range []string{"TERM=dumb", "TERM=", "TOY_PLAIN=1", "ACCESSIBLE=1"} {
		t.Run(env, func(t *testing.T) {
			t.Parallel()
			x := startToy(t, toyOptions{cols: 80, rows: 24, env: []string{env}})
			x.sees("reader: *main.plainReader")
			x.types("118 psi\n")
			x.sees("you said: 118 psi.")
			x.types("\x04")
			x.sees("end of input")
			x.leaves(0, "<nil>")
			require.NotContains(t, x.output(), "\x1b")
			require.NotContains(t, x.output(), "toy>")
		})
	}
}

func TestPlainWithoutControllingTerminal(t *testing.T) {
	t.Parallel()
	for name, opt := range map[string]toyOptions{
		"none":    {cols: 80, rows: 24, foreign: true},
		"another": {cols: 80, rows: 24, other: true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			x := startToy(t, opt)
			x.sees("reader: *main.plainReader")
			x.types("118 psi\nquit\n")
			x.sees("you said: 118 psi.")
			x.leaves(0, "<nil>")
			require.NotContains(t, x.output(), "\x1b")
		})
	}
}

func TestPlainEndsOnSignal(t *testing.T) {
	t.Parallel()
	x := startToy(t, toyOptions{cols: 80, rows: 24, env: []string{"TERM=dumb"}})
	x.sees("reader: *main.plainReader")
	x.signal(syscall.SIGTERM)
	x.leaves(3, "stopped: context canceled")
}

func TestPromptOddWindows(t *testing.T) {
	t.Parallel()
	for _, size := range []toyOptions{{cols: 0, rows: 0}, {cols: 1, rows: 1}, {cols: 9, rows: 3}, {cols: 24, rows: 4}, {cols: 80, rows: 6}} {
		t.Run(fmt.Sprintf("%dx%d", size.cols, size.rows), func(t *testing.T) {
			t.Parallel()
			x := startToy(t, size)
			x.until("a prompt", func() bool { return strings.Contains(x.output(), "toy> ") })
			x.types("s\t\t\t\t\t\t\t\t\t\x1b[Z\x1b[Z\r") // all the entries and round again
			x.until("an answer", func() bool { return said(x.output()) != "\n" })
			x.types(strings.Repeat("long line ", 40) + "s\t\r") // as tall as the window, or taller: no menu, no Tab
			x.until("an answer", func() bool { return regexp.MustCompile(`said: (long line ){40}s(uspects)?\.`).MatchString(x.output()) })
			require.NotContains(t, x.output(), "too small")
			x.types("quit\r")
			x.leaves(0, "<nil>")
		})
	}
}

func TestPromptPanics(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ keys, line string }{
		"in the loop":      {"panic\r", "narrows: an internal fault ended the program: the toy fell over in two lines; start it again, and report this line if it comes back\n"},
		"in the completer": {"boom", "narrows: an internal fault ended the program: the completer fell over; start it again, and report this line if it comes back\n"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			x := startToy(t, toyOptions{cols: 200, rows: 24})
			x.ready()
			x.types(c.keys)
			x.sees(c.line)
			x.leaves(4, "internal fault")
			require.NotContains(t, x.output(), "goroutine ")
		})
	}
}

func TestPromptTooLongLine(t *testing.T) {
	t.Parallel()
	x := startToy(t, toyOptions{cols: 80, rows: 24})
	x.ready()
	go func() { _, _ = x.keyboard.WriteString(strings.Repeat("x", maxLine+1) + "\rafter\r") }()
	x.endsWith("you said: after.\ntoy>")
	require.Contains(t, x.output(), "refused: line too long")
	x.types("quit\r")
	x.leaves(0, "<nil>")
}
