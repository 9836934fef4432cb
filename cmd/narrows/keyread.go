package main

import (
	"errors"
	"fmt"
	"os"
	"runtime"
)

// errNothing is what Read gives the library when there is no key.
var errNothing = errors.New("no key")

// escapePatience is how many reads in a row may find nothing before half an
// escape sequence is taken for the Escape key and dropped: about 50 ms.
const escapePatience = 5

// Read gives the library its next key, or errNothing.
func (p *keyParser) Read() (key []byte, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed {
		runtime.Goexit() // the library's goroutine, which nothing else can end
	}
	defer func() {
		if fault := recover(); fault != nil { // nobody above could catch it
			p.fault = fmt.Errorf("reading keys failed: %s", oneLine(fmt.Sprint(fault)))
			p.phase, key, err = phaseKeys, nil, errNothing
		}
	}()
	switch p.phase {
	case phaseKeys:
		key = p.next()
	case phaseAnswered:
		p.phase, key = phaseIdle, []byte{'\r'}
	}
	if key == nil {
		return nil, errNothing
	}
	return key, nil
}

// next finds the next key: a request to stop comes before everything, what was
// typed before news.
func (p *keyParser) next() []byte {
	switch {
	case p.fault != nil || p.sources.ctx.Err() != nil || arrived(p.sources.stop):
		return p.ask(keyStop)
	case arrived(p.sources.intr):
		return p.ask(keyInterrupt)
	case p.place:
		p.place = false
		return p.ask(keyPlace)
	}
	if key := p.split(); key != nil {
		return key
	}
	if p.receive() {
		return p.split()
	}
	switch {
	case p.fault != nil:
		return p.ask(keyStop)
	case arrived(p.sources.redraw):
		return p.ask(keyRedraw)
	case !p.sources.choosing() && p.news():
		return p.ask(keyNews)
	}
	return nil
}

// ask sends a private key on its way.
func (p *keyParser) ask(key string) []byte {
	p.phase = phaseAsked
	return []byte(key)
}

// split takes the first key that means something off the pending bytes.
func (p *keyParser) split() []byte {
	for {
		key, taken := splitKey(p.pending)
		if taken == 0 {
			return nil
		}
		switch string(p.pending[:taken]) {
		case pasteBegins:
			p.pasting = true
		case pasteEnds:
			p.pasting = false
		}
		p.pending, p.quiet = p.pending[taken:], 0
		if key != nil {
			return p.deliver(key)
		}
	}
}

// deliver hands out a key; those that may end the line need a second step.
func (p *keyParser) deliver(key []byte) []byte {
	switch key[0] {
	case '\r':
		p.phase, p.end = phaseIdle, endEnter
	case ctrlC:
		return p.ask(keyInterrupt)
	case ctrlD:
		return p.ask(keyCtrlD)
	case '\t':
		if p.pasting {
			return []byte{' '}
		}
	}
	return key
}

// receive reads what has been typed and tells whether there was anything.
// No byte and no error is how a terminal says that it has hung up.
func (p *keyParser) receive() bool {
	b, err := p.inner.Read()
	switch {
	case err == nil && len(b) > 0:
		p.pending = append(p.pending, b...)
		return true
	case err == nil:
		p.fault = errors.New("the terminal has hung up")
	case !nothingYet(err):
		p.fault = fmt.Errorf("cannot read the terminal: %w", err)
	case len(p.pending) > 0 && p.pending[0] == escape:
		if p.quiet++; p.quiet >= escapePatience {
			p.pending, p.quiet = nil, 0
		}
	}
	return false
}

// news tells whether the wake channel has something; a closed one has not.
func (p *keyParser) news() bool {
	select {
	case _, open := <-p.sources.wake:
		if !open {
			p.sources.wake = nil
		}
		return open
	default:
		return false
	}
}

// arrived takes a signal that is waiting, if there is one.
func arrived(signals <-chan os.Signal) bool {
	select {
	case <-signals:
		return true
	default:
		return false
	}
}
