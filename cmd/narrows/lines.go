package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A lineReader hands the shell one line after another. It hides whether the
// lines come from a person at a terminal, from a pipe or from a test, so that
// the loop behind it is the same for all three.
//
// The two readers behind it are the prompt (terminal) and plain lines
// (everything else); newLineReader chooses. Neither keeps a goroutine running
// between two lines or after Close. A reader belongs to one goroutine: no
// method may be called while another one is running, and nothing else may
// write to the terminal while ReadLine has it.
type lineReader interface {
	// ReadLine gives the next line without its line end. prefix is what a
	// terminal shows in front of it; plain lines show nothing. Control
	// characters and broken UTF-8 never reach the caller (see cleanText).
	//
	// Errors: io.EOF at the end of the input or for Ctrl-D on an empty line;
	// errInterrupted, errWoken and errStopped as told beside them;
	// errLineTooLong for a line over maxLine, after which reading goes on.
	ReadLine(ctx context.Context, prefix string) (string, error)
	// Close puts the terminal back as it was found. It may be called twice.
	Close() error
}

var (
	// errInterrupted: Ctrl-C while a line was typed. What was typed is
	// dropped, or kept if lineOptions.Busy says so; the shell asks again.
	errInterrupted = errors.New("interrupted")
	// errWoken: something was sent on the wake channel. Nothing typed is
	// lost: the shell may print its news, and the next ReadLine goes on with
	// the same text and the cursor at the same place. Terminal only.
	errWoken = errors.New("woken by news")
	// errStopped: the process was asked to end (SIGTERM, SIGHUP, a context
	// that is done) or the terminal went away. The terminal is restored.
	errStopped = errors.New("stopped")
	// errLineTooLong: the line was longer than maxLine; all of it was
	// skipped, and the next ReadLine gives the line after it.
	errLineTooLong = errors.New("line too long")
	// errFault: withTerminalRestored caught a panic and has reported it.
	errFault = errors.New("internal fault")
)

// maxLine is the longest line that is accepted, in bytes without its end.
const maxLine = 64 << 10

// A suggestion is one entry of the completion menu: the text that replaces
// the word before the cursor, and a note shown beside it.
type suggestion struct{ Text, Note string }

// A completer answers a line and the cursor's place in it, counted in letters
// (runes) from its start, with suggestions for the word before the cursor: the
// letters since the last space. It has to be pure, since the menu is asked for
// anew at every key, and quick (a millisecond). It is never asked about a
// blank line.
type completer func(line string, cursor int) []suggestion

// lineOptions says where lines come from and how they are asked for.
type lineOptions struct {
	// In and Out are the standard streams. Only when both are the controlling
	// terminal can the prompt be used.
	In  io.Reader
	Out io.Writer
	// Env looks up an environment variable: TERM, NO_COLOR and ACCESSIBLE are
	// read. Nil stands for an empty environment, hence for plain lines.
	Env func(string) string
	// Plain asks for plain lines even on a terminal.
	Plain bool
	// Complete makes the menu; nil for none.
	Complete completer
	// Wake ends a ReadLine at the terminal with errWoken. Plain lines leave
	// it alone. It may be nil; a closed channel counts as nil.
	Wake <-chan struct{}
	// Busy gives the words that stand in the place of the prefix while work goes
	// on beside the line, or "" while none does. Ctrl-C is meant for that work
	// then, and nothing typed is lost by it. Nil for none. Terminal only.
	Busy func() string
	// Name is what messages call the input; "standard input" if empty.
	Name string
}

// newLineReader gives the prompt where it can work and plain lines elsewhere:
// in a pipe, with TERM unset or "dumb", without a controlling terminal, with
// Plain, with ACCESSIBLE set to anything, or where the prompt is not to be had
// at all. The only error is an input that is missing.
func newLineReader(opt lineOptions) (lineReader, error) {
	if opt.In == nil {
		return nil, errors.New("no input to read lines from; give one in lineOptions.In")
	}
	if opt.Env == nil {
		opt.Env = func(string) string { return "" }
	}
	if opt.Name == "" {
		opt.Name = "standard input"
	}
	if wantsPrompt(opt) {
		if r, err := newPromptReader(opt); err == nil {
			return r, nil
		}
	}
	return newPlainReader(opt.In, opt.Name), nil
}

// wantsPrompt tells whether everything that the prompt needs is there.
func wantsPrompt(opt lineOptions) bool {
	if opt.Plain || opt.Env("ACCESSIBLE") != "" {
		return false
	}
	if kind := opt.Env("TERM"); kind == "" || kind == "dumb" {
		return false
	}
	in, inOK := opt.In.(*os.File)
	out, outOK := opt.Out.(*os.File)
	return inOK && outOK && isControllingTerminal(in) && isControllingTerminal(out)
}

// withTerminalRestored runs f and closes r afterwards, whatever happens. If f
// panics, the terminal is put back first; only then one plain line about it is
// written to errOut, and errFault is returned. Otherwise the error is f's own.
func withTerminalRestored(r lineReader, errOut io.Writer, f func() error) (err error) {
	defer func() {
		fault := recover()
		closeErr := r.Close()
		switch {
		case fault != nil:
			fmt.Fprintf(errOut, "narrows: an internal fault ended the program: %s; start it again, and report this line if it comes back\n",
				oneLine(fmt.Sprint(fault)))
			err = errFault
		case err == nil:
			err = closeErr
		}
	}()
	return f()
}

// cleanText makes typed or piped text safe to store and to show: a tab becomes
// a space; a control character, a line separator, a mark that turns the
// writing direction, and each byte that is not UTF-8 become U+FFFD. They are
// replaced and not dropped because "11\b8 psi" must not turn into 118 psi.
func cleanText(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case unicode.IsControl(r), r == '\u2028', r == '\u2029',
			r >= '\u202a' && r <= '\u202e', r >= '\u2066' && r <= '\u2069':
			return utf8.RuneError
		}
		return r
	}, s)
}

// oneLine makes any text fit for one line of a message.
func oneLine(s string) string {
	return cleanText(strings.Join(strings.Fields(s), " "))
}
