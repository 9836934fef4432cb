//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package main

import (
	"fmt"
	"regexp"
	"strings"
	"syscall"
	"testing"

	"github.com/creack/pty"
	"github.com/stretchr/testify/require"
)

func TestPromptTypingAndQuit(t *testing.T) {
	t.Parallel()
	x := startToy(t, toyOptions{cols: 80, rows: 24})
	x.ready()
	x.sees("reader: *main.promptReader")
	x.types("118 psi\r")
	x.endsWith("toy> 118 psi\nyou said: 118 psi.\ntoy>")
	x.types("state\r")
	x.endsWith("state: same\ntoy>")
	x.types("abc\x1b[D\x1b[DX\x01Y\x05Z\x7f\x1bOD\x1bOC!\r") // arrows, Home, End, backspace, SS3 arrows
	x.endsWith("you said: YaXbc!.\ntoy>")
	x.types("a\x1b[200~b\tc\x1b[201~\x1b[1;5P\x1bq\x1b]11;rgb:00/00/00\x07d\r") // marks, unknown keys, an answer
	x.endsWith("you said: ab cd.\ntoy>")
	x.types("quit\r")
	x.leaves(0, "<nil>")
	require.NotContains(t, x.output(), "\x1b]", "no window titles")
}

func TestPromptCompletion(t *testing.T) {
	t.Parallel()
	x := startToy(t, toyOptions{cols: 60, rows: 24})
	x.ready()
	x.types("the su")
	x.endsWith("toy> the su\n            suspects  what may be wrong\n            sure")
	x.types("\t")
	x.sees("toy> the suspects\n")
	x.types("\t")
	x.sees("toy> the sure\n")
	x.types("\x1b[Z\r")
	x.endsWith("toy> the suspects\nyou said: the suspects.\ntoy>")
	x.types("mea\t now\r") // one write, as a script would send it
	x.endsWith("you said: measure µA now.\ntoy>")
	x.types("quit\r")
	x.leaves(0, "<nil>")
}

func TestPromptCtrlC(t *testing.T) {
	t.Parallel()
	x := startToy(t, toyOptions{cols: 80, rows: 24, env: []string{"TOY_LONG=1"}})
	x.ready()
	x.types("half a li\x03")
	x.endsWith("toy> half a li^C\ndropped\ntoy>")
	x.types("sleep\r")
	x.sees("sleeping")
	x.types("\x03") // between lines: the terminal's own business, a signal
	x.endsWith("woken early\ntoy>")
	x.types("after\x1b[A\x1b[A\r") // neither the dropped line nor a stray Ctrl-C came after it
	x.endsWith("toy> sleep\nsleeping")
	x.types("\x03")
	x.sees("woken early\ntoy>")
	x.types("more")
	x.sees("toy> more")
	x.signal(syscall.SIGINT) // from outside, while a line is typed
	x.endsWith("toy> more^C\ndropped\ntoy>")
	x.types("\x04")
	x.leaves(0, "<nil>")
}

func TestPromptCtrlD(t *testing.T) {
	t.Parallel()
	x := startToy(t, toyOptions{cols: 80, rows: 24})
	x.ready()
	x.types("abc\x01\x04\r") // on a line it deletes the letter under the cursor
	x.endsWith("you said: bc.\ntoy>")
	x.types("\x04")
	x.sees("end of input")
	x.leaves(0, "<nil>")
}

func TestPromptHistory(t *testing.T) {
	t.Parallel()
	x := startToy(t, toyOptions{cols: 80, rows: 24})
	x.ready()
	for _, line := range []string{"one", "two", "two"} {
		x.types(line + "\r")
		x.endsWith("you said: " + line + ".\ntoy>")
	}
	x.types("\x1b[A")
	x.endsWith("toy> two")
	x.types("\x1b[A") // the second "two" is kept once
	x.endsWith("toy> one")
	x.types("\x1b[B\x10\x0e\x10 and more\r")
	x.endsWith("you said: one and more.\ntoy>")
	x.types("\x1b[A\x1b[A\x03") // after a dropped line the newest comes first again
	x.endsWith("toy> two^C\ndropped\ntoy>")
	x.types("\x1bOA\r")
	x.endsWith("you said: one and more.\ntoy>")
	x.types("quit\r")
	x.leaves(0, "<nil>")
}

func TestPromptBurst(t *testing.T) {
	t.Parallel()
	x := startToy(t, toyOptions{cols: 80, rows: 24})
	x.ready()
	var burst, want strings.Builder
	for i := range 20 {
		fmt.Fprintf(&burst, "cyl %d %d psi\r", i%4+1, 90+i)
		fmt.Fprintf(&want, "you said: cyl %d %d psi.\n", i%4+1, 90+i)
	}
	x.types(burst.String())
	x.until("the twentieth answer", func() bool { return strings.Contains(x.output(), "you said: cyl 4 109 psi.") })
	require.Equal(t, want.String(), said(x.output()))
	x.endsWith("\ntoy> cyl 3 108 psi\nyou said: cyl 3 108 psi.\ntoy> cyl 4 109 psi\nyou said: cyl 4 109 psi.\ntoy>")
	x.types("sleep\r1 psi\r2 psi\r") // type-ahead
	x.until("the line typed ahead", func() bool { return strings.Contains(x.output(), "you said: 2 psi.") })
	x.types("quit\r")
	x.leaves(0, "<nil>")
}

// said gathers the toy's answers, in order.
func said(output string) string {
	found := regexp.MustCompile(`you said: [^\r\n]*\.`).FindAllString(output, -1)
	return strings.Join(found, "\n") + "\n"
}

func TestPromptSplitLetters(t *testing.T) {
	t.Parallel()
	x := startToy(t, toyOptions{cols: 80, rows: 24})
	x.ready()
	for _, b := range []byte("4.7 µA 20 °C 日本") { // a byte a write
		seen := len(x.output())
		x.types(string([]byte{b}))
		if b < 0x80 {
			x.until("an echo", func() bool { return len(x.output()) > seen })
		}
	}
	x.types("\r")
	x.endsWith("toy> 4.7 µA 20 °C 日本\nyou said: 4.7 µA 20 °C 日本.\ntoy>")
	x.types("a\xffb\xe2\x82z\r")
	x.endsWith("you said: a\ufffdb\ufffd\ufffdz.\ntoy>")
	x.types("quit\r")
	x.leaves(0, "<nil>")
}

func TestPromptEnterAgainstResize(t *testing.T) {
	t.Parallel()
	x := startToy(t, toyOptions{cols: 80, rows: 24})
	x.ready()
	const times = 200
	for i := range times {
		x.types(fmt.Sprintf("n%d", i))
		x.types("\r")
		size := pty.Winsize{Cols: uint16(40 + i%50), Rows: uint16(10 + i%17)}
		require.NoError(t, pty.Setsize(x.near, &size))
		if i >= 2 { // a little ahead, so that Enter and resize meet at every stage of a line
			answer := fmt.Sprintf("you said: n%d.", i-2)
			x.until(answer, func() bool { return strings.Contains(x.output(), answer) })
		}
	}
	x.until("the last answer", func() bool { return strings.Contains(x.output(), fmt.Sprintf("you said: n%d.", times-1)) })
	require.Equal(t, times, strings.Count(said(x.output()), "\n"))
	x.types("quit\r")
	x.leaves(0, "<nil>")
}

func TestPromptSignals(t *testing.T) {
	t.Parallel()
	for name, s := range map[string]syscall.Signal{"TERM": syscall.SIGTERM, "HUP": syscall.SIGHUP} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			x := startToy(t, toyOptions{cols: 80, rows: 24})
			x.ready()
			x.types("half typed")
			x.sees("toy> half typed")
			x.signal(s)
			code, report := x.exits()
			require.Equal(t, 3, code)
			require.Contains(t, report, "end: stopped")
			require.Contains(t, report, "state: same\ngoroutines left: 0\n")
			x.sees("toy> half typed\nend: stopped")
		})
	}
}

func TestPromptHangUp(t *testing.T) {
	t.Parallel()
	x := startToy(t, toyOptions{cols: 80, rows: 24})
	x.ready()
	x.types("half typed")
	x.sees("toy> half typed")
	x.hangUp()
	code, report := x.exits()
	require.Equal(t, 3, code)
	require.Contains(t, report, "end: stopped")
	require.Contains(t, report, "goroutines left: 0")
}

func TestPromptWakeKeepsText(t *testing.T) {
	t.Parallel()
	x := startToy(t, toyOptions{cols: 80, rows: 24})
	x.ready()
	x.types("95 pi")
	x.sees("toy> 95 pi")
	x.types("\x1b[D")
	x.signal(syscall.SIGUSR1)
	x.endsWith("reader: *main.promptReader\nnews: the ranking is ready\ntoy> 95 pi")
	x.types("s") // the cursor is where it was
	x.endsWith("toy> 95 psi")
	require.NoError(t, pty.Setsize(x.near, &pty.Winsize{Cols: 70, Rows: 20})) // a resize keeps it too, with no line more
	x.types("\r")
	x.endsWith("news: the ranking is ready\ntoy> 95 psi\nyou said: 95 psi.\ntoy>")
	x.types("su\t")
	x.sees("toy> suspects\n")
	x.signal(syscall.SIGUSR1) // waits until the choice is made
	x.types("\t")
	x.sees("toy> sure\n")
	require.NotContains(t, x.text(), "toy> suspects\nnews")
	x.types(" ")
	x.endsWith("news: the ranking is ready\ntoy> sure")
	x.types("sk")
	x.endsWith("toy> sure sk\n             skip")
	seen := len(x.output())
	require.NoError(t, pty.Setsize(x.near, &pty.Winsize{Cols: 60, Rows: 20}))
	x.until("the menu again", func() bool { return strings.Contains(x.output()[seen:], " skip ") }) // with the text
	x.endsWith("toy> sure sk\n             skip")
	x.types("\r")
	x.endsWith("you said: sure sk.\ntoy>")
	x.types("\x1b[A\x1b[A\r") // the half-typed text is not in the history
	x.endsWith("you said: 95 psi.\ntoy>")
	x.types("quit\r")
	x.leaves(0, "<nil>")
}
