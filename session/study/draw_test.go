package study

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
	"narrows/knowledge"
)

func engineOf(tb testing.TB, sheet string) *knowledge.Engine {
	tb.Helper()
	sources, err := knowledge.EmbeddedSources()
	require.NoError(tb, err)
	e, err := knowledge.OpenSheet(sources, sheet)
	require.NoError(tb, err)
	return e
}

func pump(tb testing.TB) *Ground {
	tb.Helper()
	g, err := NewGround(engineOf(tb, "holm_pump_5"))
	require.NoError(tb, err)
	return g
}

// near wants a frequency within four standard errors of a probability.
func near(t *testing.T, p float64, count, n int, what string) {
	t.Helper()
	require.InDelta(t, p, float64(count)/float64(n), 4*math.Sqrt(p*(1-p)/float64(n))+1e-12, what)
}

// Every event is as frequent among the engines drawn as the exact computation,
// which shares no code with the drawing, says it is probable.
func TestEventsAreAsFrequentAsTheyAreProbable(t *testing.T) {
	m := pump(t).model
	s := NewSimulator(m)
	const n = 20_000
	count := make([]int, m.Len())
	rng := rand.New(rand.NewPCG(1, 2))
	for range n {
		for e, there := range s.Draw(rng).present {
			count[e] += int(one(there))
		}
	}
	for _, e := range m.Symptoms() {
		post, err := m.NewBelief().Including(e).Solve()
		require.NoError(t, err)
		near(t, post.P(e), count[e], n, m.Name(e))
	}
	post, err := m.NewBelief().Solve()
	require.NoError(t, err)
	for _, it := range m.Items() {
		for _, e := range it.Modes {
			near(t, post.P(e), count[e], n, m.Name(e))
		}
	}
}

// with draws engines that have a symptom.
func with(s *Simulator, symptom ft.Event, n int, each func(*Truth)) {
	rng := rand.New(rand.NewPCG(3, 4))
	for k := 0; k < n; {
		if tr := s.Draw(rng); tr.present[symptom] {
			k++
			each(tr)
		}
	}
}

func TestCuresAndAnswersAreAsFrequentAsTheyAreProbable(t *testing.T) {
	g := pump(t)
	for _, x := range []struct{ symptom, repair, check string }{
		{"fades", "clear_cap_vent", "fuel_flow"},
		{"surge_light", "clean_carburettor", "plug_look"}, // may leave the joint leaking
	} {
		symptom, ok := g.Engine().Event(x.symptom, knowledge.Place{})
		require.True(t, ok)
		repair, ok := g.Engine().Repair(x.repair, knowledge.Place{})
		require.True(t, ok)
		check, ok := g.Engine().Check(x.check, knowledge.Place{})
		require.True(t, ok)
		const n = 4000
		cured, shown := 0, make([]int, len(check.Def.Outcomes))
		with(g.sim, symptom, n, func(tr *Truth) {
			k := tr.Outcome(check.ID)
			shown[k]++
			tr.Repair(repair.ID)
			cured += int(one(!tr.Present(symptom)))
		})
		b, err := g.model.NewBelief().Find(ft.Present(symptom))
		require.NoError(t, err)
		b, err = b.Complaining(symptom)
		require.NoError(t, err)
		cures, err := b.Cures()
		require.NoError(t, err)
		require.Greater(t, cures.Repair(repair.ID), 0.05)
		near(t, cures.Repair(repair.ID), cured, n, x.repair)
		post, err := b.Watching(check.ID).Solve()
		require.NoError(t, err)
		for k, p := range post.Outcomes(check.ID) {
			near(t, p, shown[k], n, x.check)
		}
	}
}

// Whoever works on an engine has the same luck with a repair, whatever was done
// before it.
func TestLuckBelongsToTheEngine(t *testing.T) {
	g := pump(t)
	a, ok := g.Engine().Repair("free_decompressor", knowledge.Place{})
	require.True(t, ok)
	b, ok := g.Engine().Repair("relieve_load", knowledge.Place{})
	require.True(t, ok)
	held, ok := g.Engine().Event("decompressor.held", knowledge.Place{})
	require.True(t, ok)
	tries, failed := 0, 0
	for run := range uint64(20_000) {
		draw := func() *Truth { return g.sim.Draw(rand.New(rand.NewPCG(5, run))) }
		x, y := draw(), draw()
		if !x.present[held] {
			continue
		}
		x.Repair(a.ID)
		x.Repair(b.ID)
		y.Repair(b.ID)
		y.Repair(a.ID)
		require.Equal(t, x.present, y.present)
		tries++
		failed += int(one(x.present[held]))
	}
	near(t, 0.10, failed, tries, "free_decompressor succeeds in 0.90")
}

// Among the engines with one complaint every fault is as frequent as the belief
// given that complaint has it.
func TestComplaint(t *testing.T) {
	g := pump(t)
	for symptoms, draws := range map[int]uint64{1: 12000, 2: 12000} {
		byComplaint := make(map[string][]*Truth)
		common, toldOf := "", make(map[string][]ft.Event)
		for run := range draws {
			tr, told, err := g.sim.Complaint(context.Background(), rand.New(rand.NewPCG(7, run)), symptoms)
			require.NoError(t, err)
			require.Len(t, told, symptoms)
			key := fmt.Sprint(told)
			byComplaint[key], toldOf[key] = append(byComplaint[key], tr), told
			if len(byComplaint[key]) > len(byComplaint[common]) {
				common = key
			}
		}
		b := g.model.NewBelief()
		for _, e := range toldOf[common] {
			var err error
			b, err = b.Find(ft.Present(e))
			require.NoError(t, err)
		}
		post, err := b.Solve()
		require.NoError(t, err)
		drawn, frequent := byComplaint[common], 0
		for _, it := range g.model.Items() {
			for _, e := range it.Modes {
				n := 0
				for _, tr := range drawn {
					n += int(one(tr.Present(e)))
				}
				near(t, post.P(e), n, len(drawn), g.model.Name(e))
				frequent += int(one(post.P(e) > 0.1))
			}
		}
		require.Greater(t, len(drawn), 250)
		require.Positive(t, frequent)
	}
}

// A working cause put right changes something; where none is, the complaint is
// of something unlisted.
func TestWorkingCausesAreThere(t *testing.T) {
	g := pump(t)
	for run := range uint64(200) {
		tr, told, err := g.sim.Complaint(context.Background(), rand.New(rand.NewPCG(9, run)), 1)
		require.NoError(t, err)
		working := tr.Working(told)
		bare := true
		for e, on := range working {
			require.True(t, !on || tr.present[e])
			_, mode := g.model.ModeOf(ft.Event(e))
			bare = bare && !(on && mode)
		}
		extra := false
		for i, g := range tr.s.gates {
			extra = extra || tr.extra[i] && working[g.event]
		}
		if bare {
			require.True(t, extra)
		}
	}
}

func BenchmarkDraw(b *testing.B) {
	for _, sheet := range []string{"holm_pump_5", "marsh_tern_60"} {
		s := NewSimulator(engineOf(b, sheet).Model())
		b.Run(sheet, func(b *testing.B) {
			t, rng := s.blank(), rand.New(rand.NewPCG(1, 1))
			for b.Loop() {
				t.draw(rng)
			}
		})
	}
}
