package session

import (
	"context"
	"errors"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"narrows/faulttree/plan"
)

// gated is a planner that waits at a gate: each value sent through it lets one
// ranking go on. begun tells of each that has come to the gate.
type gated struct {
	begun chan *plan.Problem
	gate  chan error
}

func newGated() *gated { return &gated{make(chan *plan.Problem, 16), make(chan error)} }

func (g *gated) rank(ctx context.Context, p *plan.Problem) (*plan.Advice, error) {
	g.begun <- p
	select {
	case err := <-g.gate:
		if err != nil {
			return nil, err
		}
		return advise(ctx, p)
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// later is a case whose rankings wait at a gate.
func later(t *testing.T) (*bout, *gated) {
	t.Helper()
	b, g := start(t, "holm_pump_5"), newGated()
	b.RankLater(g.rank)
	return b, g
}

// beside runs a ranking on a goroutine of its own, up to the gate.
func (g *gated) beside(ctx context.Context, r *Ranking) <-chan error {
	out := make(chan error, 1)
	go func() { out <- r.Run(ctx) }()
	<-g.begun
	return out
}

// offers runs what is owed and takes it over.
func (b *bout) offers() View {
	b.t.Helper()
	r := b.Ranking()
	require.NotNil(b.t, r)
	require.NoError(b.t, r.Run(b.t.Context()))
	v, ok, err := b.Offer(r)
	require.NoError(b.t, err)
	require.True(b.t, ok)
	require.Nil(b.t, b.Ranking())
	return v
}

// noneLeft waits for the goroutines to be as many as before.
func noneLeft(t *testing.T, before int) {
	t.Helper()
	for end := time.Now().Add(10 * time.Second); runtime.NumGoroutine() > before; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			buf := make([]byte, 1<<16)
			require.Failf(t, "goroutines are left", "%s", buf[:runtime.Stack(buf, true)])
		}
	}
}

// The view of an entry is there before the ranking has begun; what can be asked
// without the offer is answered while it runs; then the offer is the one that is
// computed otherwise.
func TestViewBeforeRanking(t *testing.T) {
	before := runtime.NumGoroutine()
	b, g := later(t)
	v := b.say("stumbles under load", "")
	require.True(t, v.Ranking)
	require.Nil(t, v.Next)
	require.NotEmpty(t, v.Suspects)
	require.Empty(t, g.begun, "nobody has run it")
	r := b.Ranking()
	_, ok, err := b.Offer(r)
	require.NoError(t, err)
	require.False(t, ok, "not run yet")

	ran := g.beside(t.Context(), r)
	require.NotEmpty(t, b.say("suspects").Suspects)
	b.say("note smells of varnish", "tree", "log")
	require.True(t, b.say("").Ranking, "Enter does not wait")
	require.Same(t, r, b.Ranking(), "a note moves nothing")
	g.gate <- nil
	require.NoError(t, <-ran)
	v, ok, err = b.Offer(r)
	require.NoError(t, err)
	require.True(t, ok)
	require.Nil(t, b.Ranking())

	at := start(t, "holm_pump_5")
	once := at.say("stumbles under load", "")
	require.False(t, once.Ranking)
	require.Equal(t, once.Next, v.Next)
	require.Equal(t, once.Hint, v.Hint)
	again := b.say("")
	require.Equal(t, once.Next, again.Next, "repeated without ranking anew")
	require.Equal(t, once.Suspects, again.Suspects)
	require.Empty(t, g.begun)
	noneLeft(t, before)
}

// An offer for a state that is no more is neither shown nor acted on, and its
// run ends as the entry is made.
func TestOutdatedOffer(t *testing.T) {
	before := runtime.NumGoroutine()
	b, g := later(t)
	b.say("stumbles under load", "")
	old := b.Ranking()
	ran := g.beside(t.Context(), old)
	require.True(t, b.say("skip check oil level").Ranking)
	require.ErrorIs(t, <-ran, ErrOutdated)
	require.ErrorIs(t, old.Run(t.Context()), ErrOutdated)
	_, ok, err := b.Offer(old)
	require.NoError(t, err)
	require.False(t, ok)
	require.NotSame(t, old, b.Ranking())

	next := g.beside(t.Context(), b.Ranking())
	g.gate <- nil
	require.NoError(t, <-next)
	v := b.offers()
	require.Nil(t, offered(v, "oil_dip"), "ranked with the entry in it")
	b.say("absent hard to start cold") // the complaint is shown back, nothing asked for
	require.True(t, b.Ranking().Ahead())
	n := b.entries()
	require.Contains(t, b.try("1").Error, "There is no list")
	require.NotEmpty(t, b.try("next 1").Error)
	require.NotEmpty(t, b.try("skip 1").Error)
	require.Equal(t, n, b.entries())
	noneLeft(t, before)
}

// While the complaint is read back, what to do next is ranked already, and kept till
// it is asked for; a correction has it ranked anew.
func TestRankedAhead(t *testing.T) {
	before := runtime.NumGoroutine()
	b, g := later(t)
	b.say("stumbles under load, hard to start cold")
	early := b.Ranking()
	require.True(t, early.Ahead())
	ran := g.beside(t.Context(), early)
	require.Contains(t, b.try("1").Error, "There is no list")

	b.say("absent hard to start cold")
	require.ErrorIs(t, <-ran, ErrOutdated)
	r := b.Ranking()
	require.NotSame(t, early, r)
	ran = g.beside(t.Context(), r)
	g.gate <- nil
	require.NoError(t, <-ran)
	require.True(t, r.Ready())
	_, ok, err := b.Offer(r)
	require.NoError(t, err)
	require.False(t, ok, "nobody has asked for it")

	v := b.say("")
	require.False(t, v.Ranking)
	require.NotEmpty(t, v.Next.Options, "there at once")
	require.NotEmpty(t, v.Suspects)
	require.Nil(t, b.Ranking())
	require.Equal(t, v.Next.Options, b.say("next").Next.Options)

	// Asked for before it has ended, it comes as any other.
	b.say("present hard to start cold")
	ran = g.beside(t.Context(), b.Ranking())
	require.True(t, b.say("").Ranking)
	g.gate <- nil
	require.NoError(t, <-ran)
	require.NotEmpty(t, b.offers().Next.Options)
	noneLeft(t, before)
}

// While the complaint is tried again, what would be next if it is still there is
// thought about: the very problem that is ranked then, and never shown.
func TestThinkingAhead(t *testing.T) {
	before := runtime.NumGoroutine()
	b := start(t, "holm_pump_5")
	var asked []*plan.Problem
	b.RankLater(func(ctx context.Context, p *plan.Problem) (*plan.Advice, error) {
		asked = append(asked, p)
		return advise(ctx, p)
	})
	b.say("stumbles under load", "")
	b.offers()
	n := len(asked)
	b.say("check fuel sample", "")
	require.True(t, b.Ranking().Ahead())
	require.NoError(t, b.Ranking().Run(t.Context()))
	last := asked[len(asked)-1].Belief.Findings()
	require.Len(t, last, len(asked[n-1].Belief.Findings())+1)
	require.Equal(t, []float64{1, 1}, last[len(last)-1].Weight[:2], "it says nothing")
	require.NotEmpty(t, b.say("cancel").Next.Options, "the list as it was")
	b.say("fixed main jet")
	asked = nil
	r := b.Ranking()
	require.True(t, r.Ahead())
	require.NoError(t, r.Run(t.Context()))
	_, ok, err := b.Offer(r)
	require.NoError(t, err)
	require.False(t, ok)
	require.Contains(t, b.try("1").Error, "names nothing of the complaint")
	require.True(t, b.say("still").Ranking)
	require.NotSame(t, r, b.Ranking())
	b.offers()
	require.Len(t, asked, 2)
	thought, real := asked[0], asked[1]
	require.Equal(t, real.Open, thought.Open)
	require.Equal(t, real.Belief.Repairs(), thought.Belief.Repairs())
	require.Equal(t, real.Belief.Findings(), thought.Belief.Findings())
	noneLeft(t, before)
}

// A ranking that has ended, but was not taken over before the next entry, is
// thrown away as well.
func TestOutdatedThoughReady(t *testing.T) {
	b, _ := later(t)
	b.RankLater(advise)
	b.say("stumbles under load", "")
	old := b.Ranking()
	require.NoError(t, old.Run(t.Context()))
	require.True(t, old.Ready())
	b.say("without running")
	_, ok, err := b.Offer(old)
	require.NoError(t, err)
	require.False(t, ok)
	require.NotSame(t, old, b.Ranking())
}

// What needs the offer waits for the run that is going on, or runs it itself,
// and then means the numbers of that offer.
func TestEarlyLinesWait(t *testing.T) {
	once := start(t, "holm_pump_5")
	list := once.say("stumbles under load", "").Next.Options
	for line, want := range map[string]func(View){
		"1":      func(v View) { require.Contains(t, []string{"ask", "caution"}, v.Kind) },
		"next":   func(v View) { require.Equal(t, list, v.Next.Options) },
		"next 1": func(v View) { require.Equal(t, "option", v.Kind) },
		"skip 1": func(v View) { require.True(t, v.Ranking) },
		"skip":   func(v View) { require.True(t, v.Ranking) },
	} {
		for _, running := range []bool{true, false} {
			before := runtime.NumGoroutine()
			b, g := later(t)
			b.say("stumbles under load", "")
			var ran <-chan error
			if running {
				ran = g.beside(t.Context(), b.Ranking())
			}
			got := make(chan View, 1)
			go func() {
				v, err := b.Do(t.Context(), Parse(line))
				if err != nil {
					v.Error = err.Error()
				}
				got <- v
			}()
			if !running {
				<-g.begun
			}
			require.Empty(t, got, line)
			g.gate <- nil
			v := <-got
			require.Empty(t, v.Error, line)
			want(v)
			if running {
				require.NoError(t, <-ran)
			}
			require.Empty(t, g.begun, "ranked once")
			switch line {
			case "1":
				require.Equal(t, list[0].ID, b.b.about[b.asked.action].id)
			case "skip", "skip 1":
				log := b.say("log").Log
				require.Contains(t, log[len(log)-1].Text, list[0].Title)
			}
			noneLeft(t, before)
		}
	}
}

// A ranking that is stopped leaves no goroutine and no offer; next ranks anew.
// So do a context that ends, a check that is begun, and a case that is closed.
func TestRankingStopped(t *testing.T) {
	for name, stop := range map[string]func(b *bout, cancel func()){
		"stopped":      func(b *bout, _ func()) { require.True(t, b.StopRanking()) },
		"context":      func(_ *bout, cancel func()) { cancel() },
		"check":        func(b *bout, _ func()) { b.say("check oil level") },
		"closed":       func(b *bout, _ func()) { b.say("close given up") },
		"journal":      func(b *bout, _ func()) { require.NoError(t, b.Close()) },
		"while waited": func(b *bout, _ func()) { b.stoppedWaiting("1") },
	} {
		before := runtime.NumGoroutine()
		b, g := later(t)
		b.say("stumbles under load", "")
		r := b.Ranking()
		ctx, cancel := context.WithCancel(t.Context())
		ran := g.beside(ctx, r)
		stop(b, cancel)
		require.Error(t, <-ran, name)
		cancel()
		if name != "context" {
			require.False(t, b.Ranking() != nil && !b.Ranking().Ahead(), name)
			_, ok, err := b.Offer(r)
			require.NoError(t, err)
			require.False(t, ok, name)
		}
		if name == "stopped" {
			require.False(t, b.StopRanking())
			require.True(t, b.say("next").Ranking)
			require.NotSame(t, r, b.Ranking())
			b.StopRanking()
		}
		noneLeft(t, before)
	}
}

// stoppedWaiting gives a line that waits for the offer, under a context that is
// over.
func (b *bout) stoppedWaiting(line string) {
	b.t.Helper()
	ctx, cancel := context.WithCancel(b.t.Context())
	cancel()
	_, err := b.Do(ctx, Parse(line))
	require.ErrorIs(b.t, err, context.Canceled)
}

// Whoever waits for a run that its own caller stops makes it himself.
func TestJoinedRunThatIsStopped(t *testing.T) {
	b, g := later(t)
	b.say("stumbles under load", "")
	r := b.Ranking()
	ctx, cancel := context.WithCancel(t.Context())
	first := g.beside(ctx, r)
	second := make(chan error, 1)
	go func() { second <- r.Run(t.Context()) }()
	cancel()
	require.ErrorIs(t, <-first, context.Canceled)
	<-g.begun
	g.gate <- nil
	require.NoError(t, <-second)
	b.offers()
}

// What goes wrong in a ranking, a fault included, comes out where its result
// would, once; the case goes on.
func TestRankingThatFails(t *testing.T) {
	b, g := later(t)
	b.say("stumbles under load", "")
	broken := errors.New("the planner is broken")
	r := b.Ranking()
	ran := g.beside(t.Context(), r)
	g.gate <- broken
	require.ErrorIs(t, <-ran, broken)
	require.ErrorIs(t, r.Run(t.Context()), broken, "whoever joins late is told the same")
	_, ok, err := b.Offer(r)
	require.ErrorIs(t, err, broken)
	require.False(t, ok)
	require.Nil(t, b.Ranking())
	require.True(t, b.say("").Ranking)

	b.RankLater(func(context.Context, *plan.Problem) (*plan.Advice, error) { panic("fell over") })
	b.StopRanking()
	b.say("")
	_, err = b.Do(t.Context(), Parse("1"))
	require.ErrorContains(t, err, "fell over")
	b.RankLater(advise)
	b.say("")
	require.NotEmpty(t, b.offers().Next.Options)
}

// An entry that contradicts the rest is taken back, and the ranking is owed as
// before.
func TestContradictionWhileRanking(t *testing.T) {
	if testing.Short() {
		t.Skip("the large pack is slow under the race detector")
	}
	b, g := start(t, "marsh_tern_60"), newGated()
	b.RankLater(g.rank)
	b.say(stumbles, "noticed float low on carb 2")
	old := b.Ranking()
	ran := g.beside(t.Context(), old)
	v := b.try("noticed float high on carb 2")
	require.Contains(t, v.Error, "cannot be true together")
	require.ErrorIs(t, <-ran, ErrOutdated)
	require.NotNil(t, b.Ranking())
	require.NotSame(t, old, b.Ranking())
}

// The same lines give the same journal and the same offers, whether an offer is
// computed before the answer or after it.
func TestLaterIsTheSame(t *testing.T) {
	lines := []string{"stumbles under load, hard to start cold", "", "2", "cancel", "skip 1 no time", "check oil level", "1",
		"open side cover", "next", "noticed water in the fuel", "undo", "fixed 1", "still", "next 1", "close enough"}
	at, b := start(t, "holm_pump_5"), start(t, "holm_pump_5")
	b.RankLater(nil)
	for _, l := range lines {
		want, got := at.try(l), b.try(l)
		if got.Ranking {
			o := b.offers()
			got.Ranking, got.Next, got.Hint = false, o.Next, o.Hint
		}
		require.Equal(t, want, got, l)
	}
	require.Equal(t, payloads(at), payloads(b))
}

func payloads(b *bout) (out []string) {
	for _, e := range b.Log.Entries() {
		out = append(out, e.Kind+" "+string(e.Payload))
	}
	return out
}
