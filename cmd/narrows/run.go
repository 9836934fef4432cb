package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"time"

	"github.com/adrg/xdg"

	"narrows/session"
)

// The exit codes.
const (
	exitDone        = 0   // what was asked for has been done
	exitFault       = 1   // the work found something wrong: a pack, a journal
	exitUsage       = 2   // the call was wrong
	exitCannot      = 3   // it could not be done: disk, lock, permission
	exitInterrupted = 130 // ended by Ctrl-C or by a request to stop
)

// A program is one run: everything it has of the world outside.
type program struct {
	in     io.Reader
	out    io.Writer
	errOut io.Writer
	env    func(string) string
	clock  func() time.Time
	// pause waits, or less if the context ends.
	pause func(ctx context.Context, d time.Duration)
	rank  session.Ranker // of the prompt; nil for the planner's
	args  []string

	home   string // the folder for data; empty for the usual one
	plain  bool
	json   bool
	engine string // the sheet of a new case
}

// standard is the program as it is started by a person.
func standard() *program {
	return &program{
		in: os.Stdin, out: os.Stdout, errOut: os.Stderr,
		env: os.Getenv, clock: time.Now, pause: pause, args: os.Args[1:],
	}
}

func pause(ctx context.Context, d time.Duration) {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
	case <-t.C:
	}
}

// run does what the arguments ask for and returns the exit code.
func run(p *program) int {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	if signals := stopSignals(); len(signals) > 0 {
		ctx, stop = signal.NotifyContext(ctx, signals...)
		defer stop()
	}
	root := p.commands()
	root.SetArgs(append([]string{}, p.args...)) // nil would stand for the arguments of the process
	return p.exit(root.ExecuteContext(ctx))
}

// A usageError is a call that was wrong.
type usageError struct{ what, mend string }

func (e *usageError) Error() string {
	if e.mend == "" {
		return e.what
	}
	return e.what + "; " + e.mend
}

// errFound ends a command whose work found something wrong and has shown it.
var errFound = errors.New("something is wrong")

// exit says what went wrong and gives the exit code for it.
func (p *program) exit(err error) int {
	var usage *usageError
	var none *session.NoCaseError
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errFound):
		return exitFault
	case errors.Is(err, errFault): // said already
		return exitCannot
	case errors.Is(err, errStopped), errors.Is(err, errInterrupted), errors.Is(err, context.Canceled):
		return exitInterrupted
	}
	fmt.Fprintf(p.errOut, "narrows: %s\n", err)
	if errors.As(err, &usage) || errors.As(err, &none) {
		return exitUsage
	}
	return exitCannot
}

// store is where the cases lie.
func (p *program) store() (session.Store, error) {
	home, err := p.dataFolder()
	if err != nil {
		return session.Store{}, err
	}
	return session.Store{Dir: filepath.Join(home, "cases"), Clock: p.clock}, nil
}

// dataHome is the folder for data of this user, as the XDG rules have it. The
// environment handed in comes first, since the library reads the process's.
func (p *program) dataHome() string {
	if dir := p.env("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return dir
	}
	return xdg.DataHome
}

// start begins a case on the engine of the flag.
func (p *program) start(ctx context.Context) (*session.Open, error) {
	e, err := p.openEngine()
	if err != nil {
		return nil, err
	}
	st, err := p.store()
	if err != nil {
		return nil, err
	}
	return st.Start(ctx, e)
}

// pick gives the case that was named, or the one begun last of those not
// closed.
func pick(st session.Store, args []string) (string, error) {
	if len(args) > 0 {
		return args[0], nil
	}
	id, err := st.Latest()
	if err == nil && id == "" {
		err = &usageError{"there is no case that is not closed", "name one (narrows cases lists them), or begin one: narrows"}
	}
	return id, err
}
