package plan

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// The optimum, found with bounds, is that of plainly trying everything in every
// order.
func TestOptimumAsByTryingEverything(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 16))
	for range 40 {
		p := twoFaults(t, r)
		p.Actions = p.Actions[:5] // three repairs, two checks
		best, err := p.Optimum(context.Background())
		require.NoError(t, err)
		ws, err := p.newWorlds(true, 0)
		require.NoError(t, err)
		require.InDelta(t, everything(ws, ws.start()), best, 1e-9)
	}
}

func everything(ws *worlds, st *state) float64 {
	mass := st.mass()
	if mass < 1e-14 {
		return 0
	}
	p := ws.p
	best := mass * (p.HandOn + p.Openings.CloseAll(st.open))
	if st.untried {
		persists, minutes, cured := ws.retry(st)
		best = min(best, mass*minutes+cured*p.Openings.CloseAll(persists.open)+everything(ws, persists))
	}
	for a, act := range p.Actions {
		switch {
		case st.done[a]:
		case act.Kind == Repair:
			if next, minutes, err := ws.repair(st, a); err == nil {
				best = min(best, mass*minutes+everything(ws, next))
			}
		case !st.untried:
			if results, minutes, err := ws.check(st, a); err == nil {
				sum := mass * minutes
				for _, o := range results {
					sum += everything(ws, o.state)
				}
				best = min(best, sum)
			}
		}
	}
	return best
}
