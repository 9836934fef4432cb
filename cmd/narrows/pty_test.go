//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/hinshun/vt10x"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
	"golang.org/x/term"
)

// patience is how long a test waits for something that should come at once.
const patience = 30 * time.Second

// A terminal is a pseudo-terminal with the toy program at its far end and a
// screen at ours.
type terminal struct {
	t          *testing.T
	near, far  *os.File // near is for the size only
	keyboard   *os.File // near once more, in a way that Close ends a Read
	cmd        *exec.Cmd
	screen     vt10x.Terminal
	before     *term.State
	reportName string
	exited     chan error
	drained    chan struct{}

	mu  sync.Mutex
	raw []byte // everything the program has written
}

// toyOptions are what the tests vary.
type toyOptions struct {
	cols, rows uint16
	env        []string
	foreign    bool   // there is no controlling terminal, as after setsid
	other      bool   // the controlling terminal is another one
	program    string // the test that is the program; TestToyProgram if empty
}

// startToy runs the toy on a new pseudo-terminal, as its controlling terminal.
func startToy(t *testing.T, opt toyOptions) *terminal {
	t.Helper()
	near, far, err := pty.Open()
	if err != nil {
		t.Skipf("no pseudo-terminal can be had here, so the prompt is not tried: %v", err)
	}
	require.NoError(t, pty.Setsize(near, &pty.Winsize{Cols: opt.cols, Rows: opt.rows}))
	x := &terminal{
		t: t, near: near, far: far,
		screen:     vt10x.New(vt10x.WithSize(max(int(opt.cols), 8), max(int(opt.rows), 2))),
		reportName: filepath.Join(t.TempDir(), "report"),
		exited:     make(chan error, 1),
		drained:    make(chan struct{}),
	}
	keyboard, err := unix.FcntlInt(near.Fd(), unix.F_DUPFD_CLOEXEC, 0)
	require.NoError(t, err)
	require.NoError(t, syscall.SetNonblock(keyboard, true))
	x.keyboard = os.NewFile(uintptr(keyboard), "keyboard")
	x.before, err = term.GetState(int(far.Fd()))
	require.NoError(t, err)
	if opt.program == "" {
		opt.program = "TestToyProgram"
	}
	x.cmd = exec.Command(os.Args[0], "-test.run=^"+opt.program+"$")
	x.cmd.Env = append([]string{"TOY=1", "TOY_REPORT=" + x.reportName, "TERM=xterm-256color", "GORACE=atexit_sleep_ms=0", "PATH=" + os.Getenv("PATH")}, opt.env...)
	x.cmd.Stdin, x.cmd.Stdout, x.cmd.Stderr = far, far, far
	x.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: !opt.foreign}
	if opt.other {
		control, controlled, err := pty.Open()
		require.NoError(t, err)
		t.Cleanup(func() { _ = errors.Join(control.Close(), controlled.Close()) })
		x.cmd.Stderr, x.cmd.SysProcAttr.Ctty = controlled, 2
	}
	require.NoError(t, x.cmd.Start())
	go func() { x.exited <- x.cmd.Wait() }()
	go x.watch()
	t.Cleanup(x.cleanUp)
	return x
}

// watch copies what the program writes to the screen.
func (x *terminal) watch() {
	defer close(x.drained)
	buf := make([]byte, 4096)
	for {
		n, err := x.keyboard.Read(buf)
		if n > 0 {
			x.mu.Lock()
			x.raw = append(x.raw, buf[:n]...)
			x.mu.Unlock()
			_, _ = x.screen.Write(buf[:n])
		}
		if err != nil {
			return
		}
	}
}

func (x *terminal) cleanUp() {
	_ = x.cmd.Process.Kill()
	_ = x.far.Close()
	x.hangUp()
}

// hangUp takes the terminal away from the program.
func (x *terminal) hangUp() {
	_ = x.keyboard.Close()
	_ = x.near.Close()
	<-x.drained
}

// output is everything the program has written.
func (x *terminal) output() string {
	x.mu.Lock()
	defer x.mu.Unlock()
	return string(x.raw)
}

// text is the screen without the blanks at the ends of its lines.
func (x *terminal) text() string {
	lines := strings.Split(x.screen.String(), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.TrimRight(strings.Join(lines, "\n"), "\n")
}

// until waits for something to come true.
func (x *terminal) until(what string, is func() bool) {
	x.t.Helper()
	for end := time.Now().Add(patience); !is(); time.Sleep(2 * time.Millisecond) {
		if time.Now().After(end) {
			require.Failf(x.t, "waited in vain", "for %s; the screen:\n%s\nthe last output: %q", what, x.text(), tail(x.output()))
		}
	}
}

func tail(s string) string { return s[max(0, len(s)-400):] }

// sees waits for a text on the screen.
func (x *terminal) sees(text string) {
	x.t.Helper()
	x.until(fmt.Sprintf("%q", text), func() bool { return strings.Contains(x.text(), text) })
}

// endsWith waits for the screen's last lines.
func (x *terminal) endsWith(text string) {
	x.t.Helper()
	x.until(fmt.Sprintf("%q at the end", text), func() bool { return strings.HasSuffix(x.text(), text) })
}

// ready waits for an empty prompt in the last line.
func (x *terminal) ready() {
	x.t.Helper()
	x.endsWith("toy>")
}

func (x *terminal) types(keys string) {
	x.t.Helper()
	_, err := io.WriteString(x.keyboard, keys)
	require.NoError(x.t, err)
}

func (x *terminal) signal(s os.Signal) {
	x.t.Helper()
	require.NoError(x.t, x.cmd.Process.Signal(s))
}

// ended waits for the end of the program and gives its exit code.
func (x *terminal) ended() int {
	x.t.Helper()
	select {
	case <-x.exited:
	case <-time.After(patience):
		require.Failf(x.t, "the program does not end", "the screen:\n%s", x.text())
	}
	return x.cmd.ProcessState.ExitCode()
}

// exits waits for the end of the program and gives its exit code and report.
func (x *terminal) exits() (code int, report string) {
	x.t.Helper()
	x.ended()
	b, err := os.ReadFile(x.reportName)
	require.NoError(x.t, err)
	return x.cmd.ProcessState.ExitCode(), string(b)
}

// leaves checks an exit: its code, its reason, the terminal as it was found,
// no goroutine left.
func (x *terminal) leaves(code int, reason string) {
	x.t.Helper()
	got, report := x.exits()
	require.Equal(x.t, code, got, report)
	require.Equal(x.t, "end: "+reason+"\nstate: same\ngoroutines left: 0\n", report)
	x.asFound()
}

// asFound checks that the terminal is as it was before the program.
func (x *terminal) asFound() {
	x.t.Helper()
	now, err := term.GetState(int(x.far.Fd()))
	require.NoError(x.t, err)
	require.Equal(x.t, x.before, now, "the terminal is not as it was found")
}
