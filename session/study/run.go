package study

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

	ft "narrows/faulttree"
)

// Options of a study.
type Options struct {
	Runs     int    // engines drawn, at least 1
	Seed     uint64 // the same seed draws the same engines
	Told     int    // symptoms of the complaint, 1 to 3
	Policies []Policy
	Progress func(played int) // called after each engine, by one goroutine at a time; may be nil
}

// Run draws engines with a complaint and lets every policy play each of them.
// It uses all cores; what it finds does not depend on how many there are. Where
// the context ends it returns the engines played without a gap from the first,
// marked as interrupted.
func Run(ctx context.Context, g *Ground, o Options) (*Table, error) {
	if o.Runs < 1 || len(o.Policies) == 0 {
		return nil, fmt.Errorf("a study plays at least one engine by at least one policy")
	}
	if o.Told < 1 || o.Told > 3 {
		return nil, fmt.Errorf("a complaint of a study has 1 to 3 symptoms, not %d", o.Told)
	}
	o.Policies = slices.Clone(o.Policies)
	for i, pol := range o.Policies {
		o.Policies[i] = &remembering{Policy: pol}
	}
	r := &runner{g: g, o: o, results: make([][]Result, o.Runs), errs: make([]error, o.Runs)}
	work, stop := context.WithCancel(ctx)
	defer stop()
	for from := 0; from < o.Runs && work.Err() == nil; {
		to := min(from+max(batch, from), o.Runs)
		if err := r.batch(work, stop, from, to); err != nil {
			return nil, err
		}
		from = to
	}
	played := r.results
	if i := slices.IndexFunc(played, func(x []Result) bool { return x == nil }); i >= 0 {
		played = played[:i]
	}
	t := tabulate(o.Policies, played)
	t.Engine, t.Seed, t.Runs, t.Interrupted = g.bench.Engine().Sheet().ID, o.Seed, o.Runs, len(played) < o.Runs
	return t, nil
}

// batch is how many engines at least are drawn ahead: those of a batch with the
// same complaint are played one after the other, since much of what has to be
// computed is then the same. What was played of a batch is lost where a study is
// ended early, so a batch is never larger than all before it.
const batch = 40

// runner shares the runs out.
type runner struct {
	g       *Ground
	o       Options
	results [][]Result // by run, then policy; nil where not played to the end
	errs    []error

	mu     sync.Mutex
	played int
}

// batch plays the runs from one to before another.
func (r *runner) batch(ctx context.Context, stop func(), from, to int) error {
	runs, complaint := make([]int, to-from), make([][]ft.Event, to-from)
	for i := range runs {
		runs[i] = from + i
		_, told, err := r.g.draw(ctx, r.o, uint64(from+i))
		if ctx.Err() != nil {
			return nil
		}
		if err != nil {
			return err
		}
		complaint[i] = told
	}
	slices.SortStableFunc(runs, func(a, b int) int { return slices.Compare(complaint[a-from], complaint[b-from]) })
	next := make(chan int, len(runs))
	for _, i := range runs {
		next <- i
	}
	close(next)
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(runs)) {
		wg.Go(func() { r.work(ctx, stop, next) })
	}
	wg.Wait()
	for _, err := range r.errs {
		if err != nil && !errors.Is(err, context.Canceled) && !errors.Is(err, context.DeadlineExceeded) {
			return err
		}
	}
	return nil
}

func (r *runner) work(ctx context.Context, stop func(), next <-chan int) {
	for i := range next {
		if ctx.Err() != nil {
			return
		}
		if r.results[i], r.errs[i] = r.g.playAll(ctx, r.o, uint64(i)); r.errs[i] != nil {
			r.results[i] = nil
			stop()
			return
		}
		r.mu.Lock()
		r.played++
		if r.o.Progress != nil {
			r.o.Progress(r.played)
		}
		r.mu.Unlock()
	}
}

// draw draws the engine of a run.
func (g *Ground) draw(ctx context.Context, o Options, run uint64) (*Truth, []ft.Event, error) {
	return g.sim.Complaint(ctx, rand.New(rand.NewPCG(mix(o.Seed), mix(run))), o.Told)
}

// playAll draws one engine and lets every policy play it from the start.
func (g *Ground) playAll(ctx context.Context, o Options, run uint64) ([]Result, error) {
	var out []Result
	right := false
	for k, pol := range o.Policies {
		// Drawn anew, it is the same engine again, untouched.
		t, told, err := g.draw(ctx, o, run)
		if err != nil {
			return nil, err
		}
		b, err := g.begin(t, told)
		if err != nil {
			return nil, err
		}
		if k == 0 {
			if right, err = g.firstRight(b.belief, t.Working(told)); err != nil {
				return nil, err
			}
		}
		r, err := b.play(ctx, pol)
		if err != nil {
			return nil, fmt.Errorf("engine %d of seed %d, policy %s: %w", run+1, o.Seed, pol.ID(), err)
		}
		r.FirstRight = right
		out = append(out, r)
	}
	return out, nil
}

// firstRight tells whether the suspect that most probably cures is one of the
// working causes. A complaint that cannot be computed has no suspects.
func (g *Ground) firstRight(b *ft.Belief, working []bool) (bool, error) {
	cures, err := b.Cures()
	if errors.Is(err, ft.ErrEntangled) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	first := firstSuspect(g.model, cures)
	return first != ft.None && working[first], nil
}
