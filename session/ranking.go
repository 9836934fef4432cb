package session

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"sync"
	"sync/atomic"

	"narrows/faulttree/plan"
)

// A Ranker ranks what to do next; plan.Problem.Advise is one. It ends early
// with the context's error.
type Ranker func(ctx context.Context, p *plan.Problem) (*plan.Advice, error)

func advise(ctx context.Context, p *plan.Problem) (*plan.Advice, error) {
	return p.Advise(ctx, plan.Budget{})
}

// ErrOutdated says that a ranking was given up: the case has moved on, it was
// stopped, or what it is about is not asked for any more.
var ErrOutdated = errors.New("the ranking is not wanted any more")

// newRanking is a ranking of a problem that nobody has begun.
func newRanking(p *plan.Problem, rank Ranker, mark string) *Ranking {
	r := &Ranking{problem: p, rank: rank, mark: mark}
	r.wanted, r.giveUp = context.WithCancel(context.Background())
	return r
}

// A Ranking is what to do next in one state of a case, ranked or still to be
// ranked. It holds all that it needs and never touches its case, so that it can
// run on another goroutine while the case answers lines; all of its methods
// are safe for concurrent use.
type Ranking struct {
	problem *plan.Problem
	rank    Ranker
	mark    string          // of the state that it is about
	thought bool            // about a state that may come: its answer is for nobody
	ahead   atomic.Bool     // begun before anybody has asked for it
	wanted  context.Context // ends when it is given up
	giveUp  context.CancelFunc

	mu      sync.Mutex
	running chan struct{} // closed when the run that is going on ends; nil without one
	ran     bool          // a run has ended
	advice  *plan.Advice  // of a run that went well
	err     error         // of the last run, if none went well
}

// Run ranks, or waits for a run that is going on. It returns nil once there is
// an offer; the context's error if that ends first, which ends the run if it is
// this one's; ErrOutdated when the ranking is given up. It starts no goroutine
// that outlives it.
func (r *Ranking) Run(ctx context.Context) error {
	for {
		mine, wait, err := r.begin()
		if mine {
			return r.work(ctx)
		}
		if wait == nil {
			return err
		}
		select {
		case <-wait: // ended: its result, or another run if it was stopped
		case <-r.wanted.Done():
			return ErrOutdated
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// begin claims the run, or gives the run to wait for, or what came of it.
func (r *Ranking) begin() (mine bool, wait <-chan struct{}, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	switch {
	case r.wanted.Err() != nil:
		return false, nil, ErrOutdated
	case r.advice != nil:
		return false, nil, nil
	case r.running != nil:
		return false, r.running, nil
	case r.err != nil && !errors.Is(r.err, context.Canceled) && !errors.Is(r.err, context.DeadlineExceeded):
		return false, nil, r.err
	}
	r.running = make(chan struct{})
	return true, nil, nil
}

// work is one run, which ends with the context or when the ranking is given up.
func (r *Ranking) work(ctx context.Context) error {
	within, stop := context.WithCancel(ctx)
	defer stop()
	defer context.AfterFunc(r.wanted, stop)()
	adv, err := r.guarded(within)

	r.mu.Lock()
	defer r.mu.Unlock()
	close(r.running)
	r.running = nil
	switch {
	case r.wanted.Err() != nil:
		err = ErrOutdated
	case err != nil && ctx.Err() != nil: // whatever it stumbled over as it was stopped
		err = ctx.Err()
	}
	r.ran, r.err = true, err
	if err == nil {
		r.advice = adv
	}
	return err
}

// guarded makes an error of a fault in the ranking: on a goroutine of its own
// nobody above could catch it, and whoever waits for it would wait for good.
func (r *Ranking) guarded(ctx context.Context) (adv *plan.Advice, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("an internal fault ended the ranking: %v; next tries again, and report this line if it comes back", fault)
		}
	}()
	return r.rank(ctx, r.problem)
}

// Ahead tells whether nobody has asked for the ranking yet: its offer is kept
// till someone does.
func (r *Ranking) Ahead() bool { return r.ahead.Load() }

// Ready tells whether a run has ended and none is going on.
func (r *Ranking) Ready() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.ran && r.running == nil
}

// result is what the runs so far came to; neither of them if none has ended.
func (r *Ranking) result() (*plan.Advice, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.advice, r.err
}

// mark names the state in what a ranking depends on: the entries that count.
// What only stands in the record, or only shows, is not among them, and a state gone
// back to has its mark again.
func (s *state) mark() string {
	var b []byte
	for _, e := range s.effective {
		switch e.Kind {
		case kindNote, kindLedger, kindUnits, kindSurroundings:
		default:
			b = append(strconv.AppendInt(b, int64(e.Seq), 10), ' ')
		}
	}
	return string(b)
}
