//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package main

import (
	"context"
	"errors"
	"os"
	"syscall"

	"golang.org/x/sys/unix"
	"golang.org/x/term"
)

// A ttyDevice is the controlling terminal, opened for its state and its size.
// Opened anew, it is the very terminal that the prompt reads, whatever has
// become of the standard streams.
type ttyDevice struct {
	file  *os.File
	saved *term.State
}

// openDevice opens the controlling terminal.
func openDevice() (*ttyDevice, error) {
	file, err := os.OpenFile("/dev/tty", os.O_RDWR, 0)
	if err != nil {
		return nil, err
	}
	return &ttyDevice{file: file}, nil
}

// Save keeps the state that Restore goes back to: the one found the first
// time, so that nothing done since can become the state to go back to.
func (d *ttyDevice) Save() error {
	if d.saved != nil {
		return nil
	}
	state, err := term.GetState(int(d.file.Fd()))
	if err == nil {
		d.saved = state
	}
	return err
}

// Restore goes back to the saved state, if there is one.
func (d *ttyDevice) Restore() error {
	if d.saved == nil {
		return nil
	}
	return term.Restore(int(d.file.Fd()), d.saved)
}

// Size gives columns and rows, or zeros where the terminal does not know.
func (d *ttyDevice) Size() (cols, rows int) {
	cols, rows, err := term.GetSize(int(d.file.Fd()))
	if err != nil {
		return 0, 0
	}
	return cols, rows
}

// Close closes the file; the state is not touched.
func (d *ttyDevice) Close() error { return d.file.Close() }

// isControllingTerminal tells whether f is the terminal that /dev/tty means.
// Asking for the foreground process group works on that terminal only.
func isControllingTerminal(f *os.File) bool {
	fd := int(f.Fd())
	if !term.IsTerminal(fd) {
		return false
	}
	_, err := unix.IoctlGetInt(fd, unix.TIOCGPGRP)
	return err == nil
}

// stopSignals ask the program to end.
func stopSignals() []os.Signal { return []os.Signal{syscall.SIGTERM, syscall.SIGHUP} }

// redrawSignals say that the line on the screen can no longer be trusted: the
// window has a new size, or the shell had the terminal while we were stopped.
func redrawSignals() []os.Signal { return []os.Signal{syscall.SIGWINCH, syscall.SIGCONT} }

// nothingYet tells whether a read found no byte waiting, which is no fault.
func nothingYet(err error) bool {
	return errors.Is(err, syscall.EAGAIN) || errors.Is(err, syscall.EINTR)
}

// waitReadable waits until f has a byte or an end to give, or ctx is done.
// Where f cannot be waited for it returns at once, and the read may block.
func waitReadable(ctx context.Context, f *os.File) error {
	conn, err := f.SyscallConn()
	if err != nil {
		return nil
	}
	const slice = 100 // milliseconds until ctx is looked at again
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		var ready int
		var pollErr error
		err := conn.Control(func(fd uintptr) {
			ready, pollErr = unix.Poll([]unix.PollFd{{Fd: int32(fd), Events: unix.POLLIN}}, slice)
		})
		if err != nil || ready > 0 || (pollErr != nil && !errors.Is(pollErr, unix.EINTR)) {
			return nil
		}
	}
}
