package main

import (
	"context"
	"fmt"
	"os"
	"strings"
	"sync"
	"time"

	"narrows/session"
)

// tick is how often a wait is looked at; it is shown by the second.
const tick = 200 * time.Millisecond

// barCells is how wide the bar of a wait is.
const barCells = 10

// A timer shows a wait of a timed check before the line, beside the typing: it
// wakes the line reader every second, and once more when the wait is over.
type timer struct {
	c     *session.Case
	wake  chan<- struct{}
	pause func(ctx context.Context, d time.Duration)

	until time.Time // of the wait that is followed; zero if none is
	stop  context.CancelFunc
	ended chan struct{} // closed when its goroutine is gone
}

func newTimer(c *session.Case, wake chan<- struct{}, pause func(context.Context, time.Duration)) *timer {
	return &timer{c: c, wake: wake, pause: pause, stop: func() {}}
}

// follow follows the wait that the case is in now, if any. Over tells that the one
// followed so far has come to its end.
func (t *timer) follow(ctx context.Context, now func() time.Time) (over bool) {
	w, ok := t.c.Wait()
	if ok && w.Until.Equal(t.until) {
		return false
	}
	over = !ok && !t.until.IsZero() && !now().Before(t.until)
	t.close()
	if !ok {
		return over
	}
	t.until, t.ended = w.Until, make(chan struct{})
	within, stop := context.WithCancel(ctx)
	t.stop = stop
	go t.run(within, now, w.Until, secondsLeft(w.Until, now()), t.ended)
	return over
}

func (t *timer) run(ctx context.Context, now func() time.Time, until time.Time, shown int, ended chan<- struct{}) {
	defer close(ended)
	for ctx.Err() == nil && shown > 0 {
		t.pause(ctx, tick)
		left := secondsLeft(until, now())
		if left == shown {
			continue
		}
		shown = left
		select {
		case t.wake <- struct{}{}:
		case <-ctx.Done():
		default: // one is on its way
		}
	}
	// The end must not be missed.
	select {
	case t.wake <- struct{}{}:
	case <-ctx.Done():
	}
}

func secondsLeft(until, now time.Time) int {
	return int((until.Sub(now) + time.Second - 1) / time.Second)
}

// prefix is what stands before the line: the wait, or the usual text.
func (t *timer) prefix() string {
	w, ok := t.c.Wait()
	if !ok {
		return promptText
	}
	done := barCells - int(int64(barCells)*int64(w.Left)/int64(max(w.Whole, 1)))
	done = max(0, min(done, barCells))
	return fmt.Sprintf("[%s%s] %d:%02d> ", strings.Repeat("#", done), strings.Repeat(".", barCells-done), w.LeftSeconds/60, w.LeftSeconds%60)
}

// close follows nothing any more, and waits for the end of its goroutine.
func (t *timer) close() {
	t.stop()
	if t.ended != nil {
		<-t.ended
	}
	t.until, t.ended, t.stop = time.Time{}, nil, func() {}
}

// sit waits a wait out where nobody types at a terminal.
func (p *program) sit(ctx context.Context, until time.Time) error {
	for p.clock().Before(until) && ctx.Err() == nil {
		p.pause(ctx, min(tick, max(until.Sub(p.clock()), time.Millisecond)))
	}
	return ctx.Err()
}

// clockOf is a clock that shows the time which stands in a file, in RFC 3339: whoever
// tries a wait out sets it forward by writing the file anew. Where the file cannot be
// read it stands still.
func clockOf(path string) (func() time.Time, error) {
	read := func() (time.Time, error) {
		b, err := os.ReadFile(path)
		if err != nil {
			return time.Time{}, err
		}
		return time.Parse(time.RFC3339, strings.TrimSpace(string(b)))
	}
	last, err := read()
	if err != nil {
		return nil, &usageError{"the clock cannot be read: " + err.Error(), "write a time like 2026-05-04T08:00:00Z into the file"}
	}
	var mu sync.Mutex
	return func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		if t, err := read(); err == nil {
			last = t
		}
		return last
	}, nil
}
