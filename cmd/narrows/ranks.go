package main

import (
	"context"
	"errors"
	"sync"

	"narrows/session"
)

// rankingText stands in the place of promptText while what to do next is being
// ranked: as wide, so that nothing on the line moves.
const rankingText = "ranking> "

// ranks runs the rankings that a case owes, beside the typing. It belongs to
// the goroutine of the loop, but for the runs themselves: each is a goroutine
// that knows its ranking and the wake channel, and no more.
type ranks struct {
	c    *session.Case
	wake chan struct{}      // for the line reader: a run has ended
	r    *session.Ranking   // being run, or run and not shown yet; nil for none
	stop context.CancelFunc // of its run
	runs sync.WaitGroup
}

func newRanks(c *session.Case) *ranks {
	return &ranks{c: c, wake: make(chan struct{}, 1), stop: func() {}}
}

// follow runs what the case owes now, and nothing else.
func (k *ranks) follow(ctx context.Context) {
	owed := k.c.Ranking()
	if owed == k.r {
		return
	}
	k.stop()
	k.r = owed
	if owed == nil {
		return
	}
	within, stop := context.WithCancel(ctx)
	k.stop = stop
	k.runs.Go(func() {
		if errors.Is(owed.Run(within), session.ErrOutdated) {
			return // nobody waits for it
		}
		select { // any other error is given out by the case, as the offer would be
		case k.wake <- struct{}{}:
		default: // one is on its way
		}
	})
}

// word is what stands before the line while something is being ranked.
func (k *ranks) word() string {
	if k.r == nil || k.r.Ahead() {
		return ""
	}
	return rankingText
}

// close stops what runs and waits for its end.
func (k *ranks) close() {
	k.c.StopRanking()
	k.stop()
	k.r = nil
	k.runs.Wait()
}
