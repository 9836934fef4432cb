package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/c-bata/go-prompt"
)

// maxHistory is how many lines the arrow keys go back.
const maxHistory = 1000

// A promptReader reads lines at a terminal: editing keys, a completion menu
// (Tab), the lines of this run (arrow up).
//
// It calls Prompt.Input once a line and never Prompt.Run, which would keep the
// terminal and the signals to itself for good. Between two lines the terminal
// is exactly as it was found, and no goroutine runs: the one that the library
// starts for reading ends with each line, at the latest a moment after Input
// has returned. The library does keep two descriptors of /dev/tty open until
// the process ends, so one promptReader a process is the measure.
type promptReader struct {
	prompt *prompt.Prompt
	keys   *keyParser
	screen *screenWriter
	device *ttyDevice
	stop   chan os.Signal
	redraw chan os.Signal
	wake   <-chan struct{}

	complete completer
	busy     func() string
	prefix   string
	history  []string
	kept     string // text put away for news or another window size
	after    int    // letters of it behind the cursor
	ending   bool   // the line is over but for its last drawing: no menu
	closed   bool
}

// newPromptReader makes the prompt, or tells why there can be none.
func newPromptReader(opt lineOptions) (r *promptReader, err error) {
	dev, err := openDevice()
	if err != nil {
		return nil, err
	}
	defer func() {
		if fault := recover(); fault != nil { // the library's answer to a missing /dev/tty
			err = fmt.Errorf("cannot open the terminal: %v", fault)
		}
		if err != nil {
			_ = dev.Close()
		}
	}()
	r = &promptReader{
		keys:     &keyParser{inner: prompt.NewStandardInputParser(), device: dev},
		screen:   &screenWriter{out: opt.Out, noColor: opt.Env("NO_COLOR") != ""},
		device:   dev,
		stop:     make(chan os.Signal, 1),
		redraw:   make(chan os.Signal, 1),
		wake:     opt.Wake,
		complete: opt.Complete,
		busy:     opt.Busy,
	}
	if r.busy == nil {
		r.busy = func() string { return "" }
	}
	r.prompt = prompt.New(func(string) {}, r.menu, append(r.bindings(), look()...)...)
	notify(r.stop, stopSignals())
	notify(r.redraw, redrawSignals())
	return r, nil
}

// notify is signal.Notify for these signals, and for none if there are none.
func notify(c chan<- os.Signal, signals []os.Signal) {
	if len(signals) > 0 {
		signal.Notify(c, signals...)
	}
}

// bindings ties parser, writer, prefix and private keys to the library.
func (r *promptReader) bindings() []prompt.Option {
	bind := func(key string, fn prompt.KeyBindFunc) prompt.ASCIICodeBind {
		return prompt.ASCIICodeBind{ASCIICode: []byte(key), Fn: fn}
	}
	return []prompt.Option{
		prompt.OptionParser(r.keys),
		prompt.OptionWriter(r.screen),
		prompt.OptionShowCompletionAtStart(), // of text that was put away; on a blank line there is none
		prompt.OptionLivePrefix(func() (string, bool) { return r.before(), true }),
		prompt.OptionAddASCIICodeBind(
			bind(keyInterrupt, r.onInterrupt),
			bind(keyCtrlD, r.onCtrlD),
			bind(keyNews, func(b *prompt.Buffer) { r.putAway(b, endNews) }),
			bind(keyRedraw, func(b *prompt.Buffer) { r.putAway(b, endRedraw) }),
			bind(keyStop, func(*prompt.Buffer) { r.endLine(endStop) }),
			bind(keyPlace, r.onPlace),
		),
	}
}

// ReadLine reads one line at the terminal. A window that changes its size is
// dealt with here: the line is put away and drawn anew.
func (r *promptReader) ReadLine(ctx context.Context, prefix string) (string, error) {
	if r.closed {
		return "", io.EOF
	}
	r.prefix = cleanPrefix(prefix)
	// While a line is typed Ctrl-C is a key, so SIGINT comes from outside. At
	// other times it is the business of the work that is going on.
	intr := make(chan os.Signal, 1)
	signal.Notify(intr, os.Interrupt)
	defer signal.Stop(intr)
	sources := lineSources{ctx: ctx, wake: r.wake, stop: r.stop, intr: intr, redraw: r.redraw, choosing: r.screen.choosing.Load}
	for {
		text, end, fault := r.input(sources)
		switch end {
		case endEnter:
			return r.entered(text)
		case endInterrupt:
			return "", errInterrupted
		case endInput:
			return "", io.EOF
		case endNews:
			return "", errWoken
		case endRedraw:
			continue
		}
		return "", stopReason(ctx, fault)
	}
}

// stopReason is errStopped, with the reason if it is not a signal.
func stopReason(ctx context.Context, fault error) error {
	switch {
	case fault != nil:
		return stoppedBy(fault)
	case ctx.Err() != nil:
		return stoppedBy(ctx.Err())
	}
	return errStopped
}

// input runs Prompt.Input once, with the text that was put away, if any.
func (r *promptReader) input(sources lineSources) (text string, end lineEnd, fault error) {
	arrived(r.redraw) // the size is read below: an older signal has no more to say
	r.ending = false
	_, rows := r.keys.size()
	r.set(prompt.OptionMaxSuggestion(menuRows(rows)))
	if r.kept != "" {
		r.set(prompt.OptionInitialBufferText(r.kept))
	} else {
		r.set(prompt.OptionHistory(slices.Clone(r.history)))
	}
	r.keys.begin(sources, r.after > 0)
	text = r.prompt.Input()
	end, fault = r.keys.ended()
	if r.screen.muted {
		r.screen.muted = false
		r.eraseInput()
	} else {
		r.kept, r.after = "", 0
	}
	return text, end, fault
}

// set changes an option of the prompt between keys; the library's options are
// plain functions and may be used so. Those used here cannot fail.
func (r *promptReader) set(option prompt.Option) { _ = option(r.prompt) }

// entered notes the line for the arrow keys and gives it out.
func (r *promptReader) entered(text string) (string, error) {
	if len(text) > maxLine {
		return "", fmt.Errorf("%w: more than %d bytes; split it into shorter lines", errLineTooLong, maxLine)
	}
	last := len(r.history) - 1
	if strings.TrimSpace(text) != "" && (last < 0 || r.history[last] != text) {
		r.history = append(r.history, text)
	}
	if extra := len(r.history) - maxHistory; extra > 0 {
		r.history = slices.Delete(r.history, 0, extra)
	}
	return text, nil
}

// Close puts the terminal back and gives up the signals.
func (r *promptReader) Close() error {
	if r.closed {
		return nil
	}
	r.closed = true
	signal.Stop(r.stop)
	signal.Stop(r.redraw)
	r.keys.close()
	err := r.device.Restore()
	if _, fault := r.keys.ended(); fault != nil {
		err = nil // the terminal is gone, and ReadLine has said so
	}
	return errors.Join(err, r.device.Close())
}

// before is what stands before the line. What is done beside a line is gone from
// it once the line has ended; it is as wide as the prefix, for the library has
// only one width for both.
func (r *promptReader) before() string {
	word := cleanPrefix(r.busy())
	if end, _ := r.keys.ended(); word == "" || end != endNone {
		return r.prefix
	}
	return cut(word, cells(r.prefix))
}

// endLine lets the line end; what the library draws for it has no menu.
func (r *promptReader) endLine(end lineEnd) {
	r.ending = true
	r.keys.answer(end)
}

// onInterrupt leaves the dropped text on the screen, marked as shells do; or it
// keeps the line, if Ctrl-C is meant for something else.
func (r *promptReader) onInterrupt(b *prompt.Buffer) {
	if r.busy() != "" {
		r.putAway(b, endInterrupt)
		return
	}
	prompt.GoLineEnd(b)
	b.InsertText("^C", false, true)
	r.endLine(endInterrupt)
}

// onCtrlD ends the input on an empty line and deletes a letter on another.
func (r *promptReader) onCtrlD(b *prompt.Buffer) {
	if b.Text() == "" {
		r.endLine(endInput)
		return
	}
	prompt.DeleteChar(b)
	r.keys.resume()
}

// onPlace puts the cursor back to where it was when the text was put away.
func (r *promptReader) onPlace(b *prompt.Buffer) {
	b.CursorLeft(r.after)
	r.keys.resume()
}

// putAway keeps the text and the cursor's place, empties the line, so that the
// library takes nothing into its history, and has nothing drawn for that.
func (r *promptReader) putAway(b *prompt.Buffer, end lineEnd) {
	d := b.Document()
	r.kept, r.after = d.Text, utf8.RuneCountInString(d.TextAfterCursor())
	prompt.GoLineEnd(b)
	b.DeleteBeforeCursor(utf8.RuneCountInString(r.kept))
	r.screen.muted = true
	r.endLine(end)
}

// eraseInput removes the line that has been put away from the screen. Its rows
// are those of the window as it is now: terminals wrap anew when their width
// changes.
func (r *promptReader) eraseInput() {
	cols, _ := r.keys.size()
	before := []rune(r.kept)
	before = before[:len(before)-r.after]
	r.screen.eraseInput(cells(r.prefix+string(before)) / cols)
	_ = r.screen.Flush() // a terminal that is gone is noticed by reading
}
