package session

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/faulttree/plan"
	"narrows/knowledge"
)

// indexOf is the action of a check or repair of the engine as a whole.
func (b *bout) indexOf(k plan.Kind, id string) int {
	b.t.Helper()
	i := b.b.find(k, id, knowledge.Place{})
	require.GreaterOrEqual(b.t, i, 0, id)
	return i
}

// By hand from the pump's pack. Draining the bowl: 2 of work, 1 for the fuel, 1
// for petrol (its solvents charge nothing). Setting the clearance: 8 of work, 3
// for the gasket. The coil: 8 of work, 30 for it, 1 for the spark. Unloading: 6
// of work, and 1, 3 and 1 for machine, current and gas.
func TestCostByHand(t *testing.T) {
	b := start(t, "holm_pump_5")
	for id, minutes := range map[string]float64{"drain_bowl": 4, "set_clearance": 11, "renew_coil": 39} {
		require.InDelta(t, minutes, b.b.actions[b.indexOf(plan.Repair, id)].Minutes, 1e-9, id)
	}
	unload := b.indexOf(plan.Check, "unload")
	require.InDelta(t, 11, b.b.actions[unload].Minutes, 1e-9)
	require.Equal(t, cost{work: 6, risk: 5}, b.b.about[unload].cost)
	require.Equal(t, "It costs 6 min of work, 5 weighed for the risk (running engine and driven machine, generator output and pump pressure, carbon monoxide).",
		b.costWords(unload))
	require.Equal(t, "It costs 2 min of work, 1 for what it uses up (fuel drained), 1 weighed for the risk (petrol and vapour).",
		b.costWords(b.indexOf(plan.Repair, "drain_bowl")))
	require.Empty(t, b.costWords(b.indexOf(plan.Check, "fins_look")), "nothing beside the work")
	bench, err := NewBench(b.Engine())
	require.NoError(t, err)
	require.InDelta(t, 5, bench.Risk(unload), 1e-9)
}

// The exhaust valve is looked at in 5 minutes; ground in, 30 more and 20 for
// parts, where it leaks.
func TestFoundMinutes(t *testing.T) {
	b := start(t, "holm_pump_5")
	grind := b.indexOf(plan.Repair, "grind_exhaust_valve")
	leaks, ok := b.Engine().Event("exhaust_valve.leaking", knowledge.Place{})
	require.True(t, ok)
	require.Equal(t, []plan.Found{{Mode: leaks, Minutes: 50}}, b.b.actions[grind].Found)
	require.InDelta(t, 5, b.b.actions[grind].Minutes, 1e-9)
	require.Equal(t, "It costs 5 min of work; 50 more for each fault that it finds, parts included.", b.costWords(grind))
	require.Empty(t, b.b.actions[b.indexOf(plan.Repair, "renew_coil")].Found)
}

// What the record counts is work and access, by hand from the pack: no parts,
// nothing used up, no risk. Coil: tank off 8, housing 6, 8 of work.
func TestLabourIsWork(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("stumbles under load", "")
	b.say("fixed renew the ignition coil", "undo", "check unload the machine", "1")
	require.InDelta(t, 6, b.s.minutes, 1e-9)
	b.say("fixed renew the ignition coil")
	require.InDelta(t, 6+8+6+8, b.s.minutes, 1e-9)
}

// What a repair finds takes its minutes where it was known to be there: valve
// known to leak, 5 to look and 30 to grind; opening head off and all below it:
// plug 2, valve cover 4, filter cover 1, side cover 2, carburettor 6, tank 8,
// housing 6, head 20.
func TestLabourOfWhatIsFound(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("stumbles under load", "", "noticed exhaust valve leaking", "fixed grind in or renew the exhaust valve")
	require.InDelta(t, 2+4+1+2+6+8+6+20+5+30, b.s.minutes, 1e-9)
}

// The costs stand in the offer's data beside the whole.
func TestOfferTellsCosts(t *testing.T) {
	b := start(t, "holm_pump_5")
	v := b.say("stumbles under load", "")
	told := false
	for _, o := range v.Next.Options {
		require.GreaterOrEqual(t, o.Minutes+1e-9, o.Work+o.Parts+o.Consumables+o.Risk, o.ID)
		data, err := json.Marshal(o)
		require.NoError(t, err)
		if o.Risk > 0 {
			told = true
			require.Contains(t, string(data), `"risk_minutes":`)
			require.Contains(t, b.say("next " + string(rune('0'+o.N))).Text[1], "weighed for the risk")
		}
	}
	require.True(t, told, "something offered has a risk")
}
