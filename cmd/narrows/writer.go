package main

import (
	"io"
	"strconv"
	"strings"
	"sync/atomic"

	"github.com/c-bata/go-prompt"
)

// screenWriter is the ConsoleWriter of the prompt: ECMA-48 codes, gathered and
// written at each Flush. It differs from the library's in what it leaves out:
// no window titles, no questions to the terminal, no colours under NO_COLOR,
// and nothing at all while it is muted.
type screenWriter struct {
	out     io.Writer
	buf     []byte
	noColor bool
	// muted drops everything: while a line is put away for news or another
	// window size, the library would draw an empty line for it.
	muted bool
	// choosing tells whether the last drawing showed a selected entry of the
	// menu. The library does not say so, but it draws that entry, and nothing
	// else, in bold. Read on the goroutine of the keys.
	choosing atomic.Bool
}

var _ prompt.ConsoleWriter = (*screenWriter)(nil)

// put gathers a code or text.
func (w *screenWriter) put(s string) {
	if !w.muted {
		w.buf = append(w.buf, s...)
	}
}

// move gathers a code that moves the cursor n places; below 0 the other way.
func (w *screenWriter) move(n int, forth, back string) {
	if n < 0 {
		n, forth = -n, back
	}
	if n > 0 {
		w.put("\x1b[" + strconv.Itoa(n) + forth)
	}
}

// eraseInput removes the input line, whose cursor stands rows below its start.
func (w *screenWriter) eraseInput(rows int) {
	w.CursorUp(rows)
	w.put("\r")
	w.EraseDown()
}

// Flush writes what has been gathered. After a failure it is dropped, so that
// it does not come twice; a terminal that is gone is noticed by reading.
func (w *screenWriter) Flush() error {
	if len(w.buf) == 0 {
		return nil
	}
	_, err := w.out.Write(w.buf)
	w.buf = w.buf[:0]
	return err
}

// WriteRaw gathers bytes as they are.
func (w *screenWriter) WriteRaw(data []byte) { w.put(string(data)) }

// WriteRawStr gathers a string as it is.
func (w *screenWriter) WriteRawStr(data string) { w.put(data) }

// Write gathers text, with every Escape made visible.
func (w *screenWriter) Write(data []byte) { w.WriteStr(string(data)) }

// WriteStr gathers text, with every Escape made visible.
func (w *screenWriter) WriteStr(data string) { w.put(strings.ReplaceAll(data, "\x1b", "?")) }

// EraseScreen erases everything.
func (w *screenWriter) EraseScreen() { w.put("\x1b[2J") }

// EraseUp erases from the cursor to the top.
func (w *screenWriter) EraseUp() { w.put("\x1b[1J") }

// EraseDown erases from the cursor to the bottom.
func (w *screenWriter) EraseDown() { w.put("\x1b[J") }

// EraseStartOfLine erases from the start of the line to the cursor.
func (w *screenWriter) EraseStartOfLine() { w.put("\x1b[1K") }

// EraseEndOfLine erases from the cursor to the end of the line.
func (w *screenWriter) EraseEndOfLine() { w.put("\x1b[K") }

// EraseLine erases the line.
func (w *screenWriter) EraseLine() { w.put("\x1b[2K") }

// ShowCursor shows the cursor.
func (w *screenWriter) ShowCursor() { w.put("\x1b[?25h") }

// HideCursor hides the cursor; the library does so as it begins to draw.
func (w *screenWriter) HideCursor() {
	w.choosing.Store(false)
	w.put("\x1b[?25l")
}

// CursorGoTo puts the cursor at a row and column counted from 1; 0, 0 is the
// upper left corner too.
func (w *screenWriter) CursorGoTo(row, col int) {
	w.put("\x1b[" + strconv.Itoa(max(row, 1)) + ";" + strconv.Itoa(max(col, 1)) + "H")
}

// CursorUp moves the cursor up n rows.
func (w *screenWriter) CursorUp(n int) { w.move(n, "A", "B") }

// CursorDown moves the cursor down n rows.
func (w *screenWriter) CursorDown(n int) { w.move(n, "B", "A") }

// CursorForward moves the cursor n columns to the right.
func (w *screenWriter) CursorForward(n int) { w.move(n, "C", "D") }

// CursorBackward moves the cursor n columns to the left.
func (w *screenWriter) CursorBackward(n int) { w.move(n, "D", "C") }

// AskForCPR asks nothing: the answer would come as typed text.
func (w *screenWriter) AskForCPR() {}

// SaveCursor keeps the cursor's place.
func (w *screenWriter) SaveCursor() { w.put("\x1b[s") }

// UnSaveCursor goes back to it.
func (w *screenWriter) UnSaveCursor() { w.put("\x1b[u") }

// ScrollDown goes a row down, scrolling at the bottom.
func (w *screenWriter) ScrollDown() { w.put("\x1bD") }

// ScrollUp goes a row up, scrolling at the top.
func (w *screenWriter) ScrollUp() { w.put("\x1bM") }

// SetTitle leaves the window's title alone.
func (w *screenWriter) SetTitle(string) {}

// ClearTitle leaves the window's title alone.
func (w *screenWriter) ClearTitle() {}

// SetColor sets colours. Bold is the selected entry of the menu; without
// colours it stands out in reverse video.
func (w *screenWriter) SetColor(fg, bg prompt.Color, bold bool) {
	if bold {
		w.choosing.Store(true)
	}
	switch {
	case w.noColor && bold:
		w.put("\x1b[0;7m")
	case w.noColor, !bold && fg == prompt.DefaultColor && bg == prompt.DefaultColor:
		w.put("\x1b[0m")
	default:
		weight := "0;"
		if bold {
			weight = "0;1;"
		}
		w.put("\x1b[" + weight + strconv.Itoa(colorCode(fg)) + ";" + strconv.Itoa(colorCode(bg)+10) + "m")
	}
}

// colorCode is the number that sets a colour in front; 10 more sets it behind.
// The library lists its colours as the codes do: eight dark, eight bright.
func colorCode(c prompt.Color) int {
	switch {
	case c >= prompt.DarkGray && c <= prompt.White:
		return 90 + int(c-prompt.DarkGray)
	case c >= prompt.Black && c <= prompt.LightGray:
		return 30 + int(c-prompt.Black)
	}
	return 39
}
