//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package main

import (
	"context"
	"io"
	"os"
	"syscall"
	"testing"

	"github.com/c-bata/go-prompt"
	"github.com/stretchr/testify/require"
)

// A fakeConsole is the library's parser and the terminal's state in one: it
// gives out reads as they are listed and notes what was done.
type fakeConsole struct {
	reads    []string // "" for a read that finds nothing yet
	after    error    // what reads give when the list is at its end
	setupErr error
	cols     int
	rows     int
	done     []string
}

func (f *fakeConsole) Setup() error {
	f.done = append(f.done, "raw")
	return f.setupErr
}

func (f *fakeConsole) TearDown() error {
	f.done = append(f.done, "inner")
	return nil
}

func (f *fakeConsole) GetWinSize() *prompt.WinSize { panic("never asked") }

func (f *fakeConsole) Read() ([]byte, error) {
	if len(f.reads) == 0 {
		return nil, f.after
	}
	read := f.reads[0]
	f.reads = f.reads[1:]
	if read == "" {
		return nil, syscall.EAGAIN
	}
	return []byte(read), nil
}

func (f *fakeConsole) Save() error {
	f.done = append(f.done, "save")
	return nil
}

func (f *fakeConsole) Restore() error {
	f.done = append(f.done, "restore")
	return nil
}

func (f *fakeConsole) Size() (cols, rows int) { return f.cols, f.rows }

// keysOf begins a line on a console that gives these reads.
func keysOf(t *testing.T, sources lineSources, reads ...string) *keyParser {
	t.Helper()
	console := &fakeConsole{reads: reads, after: syscall.EAGAIN}
	p := &keyParser{inner: console, device: console}
	beginLine(t, p, sources)
	return p
}

func beginLine(t *testing.T, p *keyParser, sources lineSources) {
	t.Helper()
	if sources.ctx == nil {
		sources.ctx = context.Background()
	}
	if sources.choosing == nil {
		sources.choosing = func() bool { return false }
	}
	p.begin(sources, false)
	require.NoError(t, p.Setup())
}

// next reads until there is a key, as the library does; "" if none comes.
func next(p *keyParser) string {
	for range 20 {
		if key, err := p.Read(); err == nil {
			return string(key)
		}
	}
	return ""
}

func TestKeysOneByOne(t *testing.T) {
	p := keysOf(t, lineSources{}, "118 psi\x7f\x1b[D", "", "\xc2", "", "", "", "", "", "", "\xb5", "\x1b[", "", "A")
	for _, want := range []string{"118 psi", "\x7f", "\x1b[D", "µ", "\x1b[A", ""} {
		require.Equal(t, want, next(p))
	}
}

func TestKeysEscapeAlone(t *testing.T) {
	p := keysOf(t, lineSources{}, "\x1b", "", "", "", "", "", "[A")
	require.Equal(t, "[A", next(p), "an Escape is not waited for for ever")
}

func TestKeysAfterEnterWait(t *testing.T) {
	p := keysOf(t, lineSources{}, "a\rb\rc")
	require.Equal(t, "a", next(p))
	require.Equal(t, "\r", next(p))
	require.Empty(t, next(p), "the rest is for the next line")
	end, fault := p.ended()
	require.Equal(t, endEnter, end)
	require.NoError(t, fault)
	require.NoError(t, p.TearDown())
	require.Empty(t, next(p))
	beginLine(t, p, lineSources{})
	require.Equal(t, "b", next(p))
	require.Equal(t, "\r", next(p))
	require.NoError(t, p.TearDown())
	require.Equal(t, []string{"save", "raw", "inner", "restore", "save", "raw", "inner", "restore"}, p.inner.(*fakeConsole).done)
}

func TestKeysPrivate(t *testing.T) {
	p := keysOf(t, lineSources{}, "ab\x03cd\x04\x00interrupt")
	require.Equal(t, "ab", next(p))
	require.Equal(t, keyInterrupt, next(p))
	require.Empty(t, next(p), "nothing before the answer")
	p.answer(endInterrupt)
	require.Equal(t, "\r", next(p))
	require.Empty(t, next(p))
	end, _ := p.ended()
	require.Equal(t, endInterrupt, end)
	beginLine(t, p, lineSources{})
	require.Equal(t, "cd", next(p))
	require.Equal(t, keyCtrlD, next(p))
	p.resume()
	require.Equal(t, "interrupt", next(p), "typed, it is only text")
}

func TestKeysSources(t *testing.T) {
	wake, signals := make(chan struct{}, 1), make(chan os.Signal, 1)
	wake <- struct{}{}
	choosing := true
	p := keysOf(t, lineSources{wake: wake, choosing: func() bool { return choosing }}, "typed first")
	require.Equal(t, "typed first", next(p))
	require.Empty(t, next(p), "a choice is not broken off by news")
	choosing = false
	require.Equal(t, keyNews, next(p))

	closed := make(chan struct{})
	close(closed)
	require.Empty(t, next(keysOf(t, lineSources{wake: closed})))

	signals <- os.Interrupt
	require.Equal(t, keyInterrupt, next(keysOf(t, lineSources{intr: signals}, "typed")))
	signals <- os.Interrupt
	require.Equal(t, keyStop, next(keysOf(t, lineSources{stop: signals}, "typed")))
	signals <- os.Interrupt
	p = keysOf(t, lineSources{redraw: signals}, "typed")
	require.Equal(t, "typed", next(p))
	require.Equal(t, keyRedraw, next(p))
	done, cancel := context.WithCancel(context.Background())
	cancel()
	require.Equal(t, keyStop, next(keysOf(t, lineSources{ctx: done}, "typed")))

	p = keysOf(t, lineSources{}, "typed")
	p.begin(p.sources, true)
	require.Equal(t, keyPlace, next(p))
	p.resume()
	require.Equal(t, "typed", next(p))
}

func TestKeysFaults(t *testing.T) {
	for name, c := range map[string]struct {
		console fakeConsole
		message string
	}{
		"hang-up":      {fakeConsole{}, "the terminal has hung up"},
		"read error":   {fakeConsole{after: syscall.EIO}, "cannot read the terminal: input/output error"},
		"set-up error": {fakeConsole{after: syscall.EAGAIN, setupErr: io.ErrClosedPipe}, "cannot set up the terminal: io: read/write on closed pipe"},
	} {
		t.Run(name, func(t *testing.T) {
			p := &keyParser{inner: &c.console, device: &c.console}
			beginLine(t, p, lineSources{})
			require.Equal(t, keyStop, next(p))
			p.answer(endStop)
			end, fault := p.ended()
			require.Equal(t, endStop, end)
			require.EqualError(t, fault, c.message)
			beginLine(t, p, lineSources{})
			require.Equal(t, keyStop, next(p), "it does not come back")
		})
	}
}

func TestKeysPanicStopsTheLine(t *testing.T) {
	p := keysOf(t, lineSources{choosing: func() bool { panic("odd") }})
	require.Equal(t, keyStop, next(p))
	_, fault := p.ended()
	require.EqualError(t, fault, "reading keys failed: odd")
}

func TestKeysClosedEndsTheReader(t *testing.T) {
	p := keysOf(t, lineSources{})
	p.close()
	ended, stayed := make(chan bool), false
	go func() {
		defer close(ended)
		_, _ = p.Read()
		stayed = true
	}()
	<-ended
	require.False(t, stayed, "Read ends the goroutine that it is on")
}

func TestKeysPaste(t *testing.T) {
	p := keysOf(t, lineSources{}, "\x1b[200~a\tb\x1b[201~\t")
	for _, want := range []string{"a", " ", "b", "\t", ""} {
		require.Equal(t, want, next(p))
	}
}

func TestKeysWindow(t *testing.T) {
	for want, is := range map[[2]int]fakeConsole{
		{80, 24}:    {},
		{24, 4}:     {cols: 24, rows: 4},
		{8, 1}:      {cols: 1, rows: 1},
		{132, 24}:   {cols: 132},
		{70000, 50}: {cols: 70000, rows: 50},
	} {
		p := &keyParser{device: &is}
		size := p.GetWinSize()
		cols, rows := p.window()
		require.Equal(t, want, [2]int{cols, rows})
		require.Equal(t, uint16(min(want[0], 65535)), size.Col)
	}
	require.Equal(t, []uint16{1, 1, 1, 2, 6, 6}, []uint16{menuRows(1), menuRows(4), menuRows(5), menuRows(6), menuRows(10), menuRows(50)})
}
