//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package main

import (
	"context"
	"errors"
	"os"
)

// On these systems the prompt has not been tried, so plain lines serve.

// A ttyDevice does nothing here.
type ttyDevice struct{}

func openDevice() (*ttyDevice, error) {
	return nil, errors.New("the completing prompt is not offered on this system")
}

// Save keeps nothing here.
func (d *ttyDevice) Save() error { return nil }

// Restore changes nothing here.
func (d *ttyDevice) Restore() error { return nil }

// Size knows no size here.
func (d *ttyDevice) Size() (cols, rows int) { return 0, 0 }

// Close closes nothing here.
func (d *ttyDevice) Close() error { return nil }

func isControllingTerminal(*os.File) bool { return false }

func stopSignals() []os.Signal { return nil }

func redrawSignals() []os.Signal { return nil }

func nothingYet(error) bool { return false }

// waitReadable cannot wait here: the read itself will.
func waitReadable(ctx context.Context, _ *os.File) error { return ctx.Err() }
