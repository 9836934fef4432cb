package main

import (
	"errors"
	"strings"
	"testing"

	"github.com/c-bata/go-prompt"
	"github.com/stretchr/testify/require"
)

// The codes are those of ECMA-48 (5th edition, 8.3: CUB, CUD, CUF, CUP, CUU,
// ED, EL, IND, RI, SGR); colours from 90 on are common practice.
func TestWriterCodes(t *testing.T) {
	for want, do := range map[string]func(*screenWriter){
		"a?[Ab":               func(w *screenWriter) { w.WriteStr("a\x1b[Ab") },
		"c?d":                 func(w *screenWriter) { w.Write([]byte("c\x1bd")) },
		"\x1b[X":              func(w *screenWriter) { w.WriteRaw([]byte("\x1b[X")) },
		"\x1b[Y":              func(w *screenWriter) { w.WriteRawStr("\x1b[Y") },
		"\x1b[2J\x1b[1J":      func(w *screenWriter) { w.EraseScreen(); w.EraseUp() },
		"\x1b[1K\x1b[K\x1b[J": func(w *screenWriter) { w.EraseStartOfLine(); w.EraseEndOfLine(); w.EraseDown() },
		"\x1b[2K":             func(w *screenWriter) { w.EraseLine() },
		"\x1b[3A\x1b[2B":      func(w *screenWriter) { w.CursorUp(3); w.CursorUp(0); w.CursorUp(-2) },
		"\x1b[3B\x1b[2A":      func(w *screenWriter) { w.CursorDown(3); w.CursorDown(0); w.CursorDown(-2) },
		"\x1b[3C\x1b[2D":      func(w *screenWriter) { w.CursorForward(3); w.CursorForward(0); w.CursorForward(-2) },
		"\x1b[3D\x1b[2C":      func(w *screenWriter) { w.CursorBackward(3); w.CursorBackward(0); w.CursorBackward(-2) },
		"\x1b[1;1H\x1b[7;9H":  func(w *screenWriter) { w.CursorGoTo(0, 0); w.CursorGoTo(7, 9) },
		"\x1b[s\x1b[u":        func(w *screenWriter) { w.SaveCursor(); w.UnSaveCursor() },
		"\x1bD\x1bM":          func(w *screenWriter) { w.ScrollDown(); w.ScrollUp() },
		"\x1b[?25l\x1b[?25h":  func(w *screenWriter) { w.HideCursor(); w.ShowCursor() },
		"\x1b[2A\r\x1b[J":     func(w *screenWriter) { w.eraseInput(2) },
		"":                    func(w *screenWriter) { w.SetTitle("t"); w.ClearTitle(); w.AskForCPR() },
		"\x1b[0m":             func(w *screenWriter) { w.SetColor(prompt.DefaultColor, prompt.DefaultColor, false) },
		"\x1b[0;32;49m":       func(w *screenWriter) { w.SetColor(prompt.DarkGreen, prompt.DefaultColor, false) },
		"\x1b[0;1;97;44m":     func(w *screenWriter) { w.SetColor(prompt.White, prompt.DarkBlue, true) },
		"\x1b[0;30;100m":      func(w *screenWriter) { w.SetColor(prompt.Black, prompt.DarkGray, false) },
		"\x1b[0;37;47m":       func(w *screenWriter) { w.SetColor(prompt.LightGray, prompt.LightGray, false) },
	} {
		var out strings.Builder
		w := &screenWriter{out: &out}
		do(w)
		require.Empty(t, out.String(), "nothing before the flush")
		require.NoError(t, w.Flush())
		require.Equal(t, want, out.String())
		require.NoError(t, w.Flush())
		require.Equal(t, want, out.String(), "everything once")

		w.muted = true
		do(w)
		require.NoError(t, w.Flush())
		require.Equal(t, want, out.String(), "nothing while muted")
	}
}

func TestWriterNoColor(t *testing.T) {
	var out strings.Builder
	w := &screenWriter{out: &out, noColor: true}
	w.SetColor(prompt.DarkGreen, prompt.White, false)
	w.SetColor(prompt.DarkGreen, prompt.White, true)
	require.NoError(t, w.Flush())
	require.Equal(t, "\x1b[0m\x1b[0;7m", out.String())
}

func TestWriterKnowsOfAChoice(t *testing.T) {
	w := &screenWriter{out: &strings.Builder{}}
	w.SetColor(prompt.White, prompt.DarkBlue, true)
	require.True(t, w.choosing.Load())
	w.HideCursor()
	require.False(t, w.choosing.Load(), "a new drawing")
	w.SetColor(prompt.White, prompt.DarkBlue, false)
	require.False(t, w.choosing.Load())
}

// A brokenTerminal takes nothing.
type brokenTerminal struct{ tries int }

func (b *brokenTerminal) Write([]byte) (int, error) {
	b.tries++
	return 0, errors.New("input/output error")
}

func TestWriterForgetsWhatCouldNotBeWritten(t *testing.T) {
	out := &brokenTerminal{}
	w := &screenWriter{out: out}
	w.WriteStr("lost")
	require.Error(t, w.Flush())
	require.NoError(t, w.Flush())
	require.Equal(t, 1, out.tries)
}
