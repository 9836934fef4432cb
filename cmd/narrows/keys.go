package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"sync"

	"github.com/c-bata/go-prompt"
)

// A lineEnd tells why Prompt.Input has returned; the library itself says ""
// for several of these.
type lineEnd int

const (
	endNone      lineEnd = iota // the line is still being typed
	endEnter                    // Enter: the text is the line
	endInterrupt                // Ctrl-C, or SIGINT from outside
	endInput                    // Ctrl-D on an empty line
	endNews                     // the wake channel
	endRedraw                   // another window size; the line is drawn anew
	endStop                     // SIGTERM, SIGHUP, context, hang-up, a fault
)

// The private keys. The library knows none of them, so that it calls the
// functions bound to them; nobody can type or paste one, since splitKey never
// lets a NUL through.
const (
	keyInterrupt = "\x00interrupt"
	keyCtrlD     = "\x00ctrl-d"
	keyNews      = "\x00news"
	keyRedraw    = "\x00redraw"
	keyStop      = "\x00stop"
	keyPlace     = "\x00place"
)

// A phase says what Read may hand out.
type phase int

const (
	phaseIdle     phase = iota // between lines: nothing
	phaseKeys                  // keys
	phaseAsked                 // a private key is on its way: nothing until it is answered
	phaseAnswered              // it ends the line: a CR, then nothing
)

// A device is the terminal's state and size; ttyDevice outside of tests.
type device interface {
	Save() error
	Restore() error
	Size() (cols, rows int)
}

// lineSources are the things besides keys that can end a line.
type lineSources struct {
	ctx    context.Context
	wake   <-chan struct{}
	stop   <-chan os.Signal
	intr   <-chan os.Signal
	redraw <-chan os.Signal
	// choosing tells that an entry of the menu is selected. News wait until
	// it is taken or left, since a new line would take it unasked.
	choosing func() bool
}

// keyParser is the ConsoleParser that we put between the library and its own.
//
// The library calls Setup and TearDown at both ends of a line, on the
// goroutine that called Input, and Read every 10 ms on a goroutine of its own
// that ends with the line. It takes what Read gives for one key, inserts what
// it does not know, and loses what comes behind an Enter. Hence Read splits,
// keeps what comes after a CR for the next line, and turns everything else
// that can end a line into a key as well (see the private keys), so that there
// is one stream and no race between a signal and an Enter.
type keyParser struct {
	inner  prompt.ConsoleParser
	device device

	mu      sync.Mutex // Read is on another goroutine
	sources lineSources
	phase   phase
	end     lineEnd
	pending []byte // read and not yet handed out
	quiet   int    // reads without a byte while half a sequence is pending
	pasting bool   // between the marks of a bracketed paste
	place   bool   // ask first for the cursor to be put in its place
	fault   error  // why the reading cannot go on
	closed  bool

	cols, rows int // the window as the library was told of it for this line
}

// begin prepares a line. place asks for a keyPlace before any other key.
func (p *keyParser) begin(sources lineSources, place bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.sources, p.place, p.end = sources, place, endNone
}

// ended tells why the line ended; err is the fault behind an endStop, if any.
func (p *keyParser) ended() (end lineEnd, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.end, p.fault
}

// answer ends the line, from the function bound to a private key.
func (p *keyParser) answer(end lineEnd) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.end, p.phase = end, phaseAnswered
}

// resume goes on with the line, from the function bound to a private key.
func (p *keyParser) resume() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.phase = phaseKeys
}

// close ends the library's reading goroutine, should a panic have left one.
func (p *keyParser) close() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.closed = true
}

// Setup makes the terminal raw for one line. A failure is kept and ends the
// line at once, since the library would go on without.
func (p *keyParser) Setup() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.phase = phaseKeys
	err := p.device.Save()
	if err == nil {
		err = p.inner.Setup()
	}
	if err != nil {
		p.fault = fmt.Errorf("cannot set up the terminal: %w", err)
	}
	return nil
}

// TearDown puts the terminal back after one line. The library's own TearDown
// leaves it raw, since it restores a state that it has overwritten.
func (p *keyParser) TearDown() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.phase = phaseIdle
	return errors.Join(p.inner.TearDown(), p.device.Restore())
}

// The size that stands in for an unknown one, and the narrowest that the
// library can draw in: it divides by the width.
const (
	usualCols, usualRows = 80, 24
	leastCols            = 8
)

// size asks for the window's columns and rows; zeros become the usual ones.
func (p *keyParser) size() (cols, rows int) {
	cols, rows = p.device.Size()
	if cols <= 0 {
		cols = usualCols
	}
	if rows <= 0 {
		rows = usualRows
	}
	return max(cols, leastCols), rows
}

// GetWinSize tells the library the width. It uses the height for one thing
// only: to wipe the screen and show a complaint when line and menu might not
// fit. The menu is fitted in prompt.go, so the height is given as boundless.
func (p *keyParser) GetWinSize() *prompt.WinSize {
	cols, rows := p.size()
	p.mu.Lock()
	defer p.mu.Unlock()
	p.cols, p.rows = cols, rows
	return &prompt.WinSize{Col: uint16(min(cols, math.MaxUint16)), Row: math.MaxUint16}
}

// window gives the size that the library draws this line for. It stays the
// same while the line is typed, also when the window does not.
func (p *keyParser) window() (cols, rows int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.cols, p.rows
}
