//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"reflect"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/term"
)

// TestToyProgram is no test: it is the program that the terminal tests run, as
// a process of its own, since terminals, signals and hang-ups belong to
// processes. It reads lines with newLineReader, as the real one does.
func TestToyProgram(t *testing.T) {
	if os.Getenv("TOY") == "" {
		t.Skip("runs as the child of other tests only")
	}
	os.Exit(newToy().run())
}

// A toy reads lines and says them back.
type toy struct {
	wake   chan struct{}
	start  *term.State
	report *os.File
}

func newToy() *toy {
	p := &toy{wake: make(chan struct{}, 1), report: os.Stderr}
	p.start, _ = term.GetState(0)
	if name := os.Getenv("TOY_REPORT"); name != "" {
		p.report, _ = os.Create(name)
	}
	news := make(chan os.Signal, 8)
	signal.Notify(news, syscall.SIGUSR1)
	go func() {
		for range news {
			p.wake <- struct{}{}
		}
	}()
	return p
}

// toyWords are what the toy completes.
func toyWords() []suggestion {
	return []suggestion{
		{"suspects", "what may be wrong"}, {"sleep", "long work"}, {"state", "of the terminal"},
		{"skip", ""}, {"measure µA", "not in ASCII"}, {"sure", ""}, {"sooty", "plug"}, {"stop", ""}, {"quit", "leave"},
	}
}

func toyComplete(line string, cursor int) []suggestion {
	before := []rune(line)[:cursor]
	word := string(before)[strings.LastIndexByte(string(before), ' ')+1:]
	if word == "boom" {
		panic("the completer fell over")
	}
	var found []suggestion
	for _, s := range toyWords() {
		if word != "" && strings.HasPrefix(s.Text, word) {
			found = append(found, s)
		}
	}
	return found
}

func (p *toy) run() int {
	ctx, cancel := signal.NotifyContext(context.Background(), syscall.SIGTERM, syscall.SIGHUP)
	defer cancel()
	time.AfterFunc(time.Minute, func() { os.Exit(99) }) // never outlive the tests
	before := runtime.NumGoroutine()
	r, err := newLineReader(lineOptions{
		In: os.Stdin, Out: os.Stdout, Env: os.Getenv, Plain: os.Getenv("TOY_PLAIN") != "",
		Complete: toyComplete, Wake: p.wake,
	})
	if err != nil {
		fmt.Println(err)
		return 9
	}
	end := withTerminalRestored(r, os.Stdout, func() error { return p.loop(ctx, r) })
	fmt.Printf("end: %v\r\n", end)
	fmt.Fprintf(p.report, "end: %v\nstate: %s\ngoroutines left: %d\n", end, p.state(), goroutinesOver(before))
	switch {
	case end == nil:
		return 0
	case errors.Is(end, errStopped):
		return 3
	}
	return 4
}

// goroutinesOver counts the goroutines beyond those before, after giving them
// time to come to their end.
func goroutinesOver(before int) int {
	for until := time.Now().Add(5 * time.Second); time.Now().Before(until); time.Sleep(5 * time.Millisecond) {
		if runtime.NumGoroutine() <= before {
			return 0
		}
	}
	return runtime.NumGoroutine() - before
}

func (p *toy) loop(ctx context.Context, r lineReader) error {
	fmt.Printf("reader: %T\n", r)
	for n := 1; ; n++ {
		line, err := r.ReadLine(ctx, "toy> ")
		switch {
		case errors.Is(err, errInterrupted):
			fmt.Println("dropped")
			continue
		case errors.Is(err, errWoken):
			fmt.Println("news: the ranking is ready")
			continue
		case errors.Is(err, errLineTooLong):
			fmt.Println("refused:", err)
			continue
		case errors.Is(err, io.EOF):
			fmt.Println("end of input")
			return nil
		case err != nil:
			return err
		}
		if line == "quit" {
			return nil
		}
		p.do(line)
	}
}

func (p *toy) do(line string) {
	switch line {
	case "sleep":
		ctx, cancel := signal.NotifyContext(context.Background(), os.Interrupt)
		defer cancel()
		fmt.Println("sleeping")
		select {
		case <-ctx.Done():
			fmt.Println("woken early")
		case <-time.After(sleepTime()):
			fmt.Println("slept")
		}
	case "panic":
		panic("the toy fell over\nin two lines")
	case "state":
		fmt.Println("state:", p.state())
	default:
		fmt.Printf("you said: %s.\n", line)
	}
}

// sleepTime is long where a test ends the sleep itself.
func sleepTime() time.Duration {
	if os.Getenv("TOY_LONG") != "" {
		return 40 * time.Second
	}
	return 300 * time.Millisecond
}

// state compares the terminal with what it was at the start.
func (p *toy) state() string {
	now, err := term.GetState(0)
	switch {
	case err != nil:
		return "unknown"
	case reflect.DeepEqual(now, p.start):
		return "same"
	}
	return "differs"
}
