package session

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/faulttree/plan"
	"narrows/knowledge"
)

// offered is the option of that check or repair in an offer, or nil.
func offered(v View, id string) *OptionView {
	if v.Next == nil {
		return nil
	}
	for i := range v.Next.Options {
		if v.Next.Options[i].ID == id {
			return &v.Next.Options[i]
		}
	}
	return nil
}

// The pump stumbles under load, and the man has no tools but what is in the
// shed: what needs a missing tool is not offered, and comes back with it.
func TestStoryMissingTool(t *testing.T) {
	b := start(t, "holm_pump_5")
	v := b.say("stumbles under load", "")
	all := v.Next.Options
	i := slices.IndexFunc(all, func(o OptionView) bool { return len(o.Tools) > 0 })
	require.GreaterOrEqual(t, i, 0, "something that is advised needs a tool")
	first := all[i]
	v = b.say("without " + first.Tools[0])
	require.Contains(t, v.Text[0], "Not at hand")
	require.Nil(t, offered(v, first.ID))
	require.Contains(t, b.try("without "+first.Tools[0]).Error, "so already")
	require.Contains(t, b.try("without a magic wand").Error, "Which tool")
	v = b.say("with " + first.Tools[0])
	require.Equal(t, all, v.Next.Options, "the advice is what it was")
	v = b.say("log")
	require.Contains(t, v.Log[len(v.Log)-1].Text, "at hand again")
	v = b.say("undo")
	require.Nil(t, offered(b.say("next"), first.ID), "the tool is missing again")
}

// The engine stands where it cannot be run: nothing that needs it running is
// offered, and the expected minutes do not become fewer for it.
func TestStoryCannotRunHere(t *testing.T) {
	b := start(t, "holm_pump_5")
	before := b.say("stumbles under load", "")
	running := func(v View) (n int) {
		for _, o := range v.Next.Options {
			if def, ok := b.Engine().Snapshot().Check(o.ID); ok && o.Kind == "check" && def.Engine == knowledge.Running {
				n++
			}
		}
		return n
	}
	require.NotZero(t, running(before))
	v := b.say("without running")
	require.Zero(t, running(v))
	require.GreaterOrEqual(t, v.Next.Expected, before.Next.Expected-1e-9)
}

// The side cover is off already: what lies behind it costs its opening less,
// and is listed as worth doing while it is open.
func TestStoryOpenAlready(t *testing.T) {
	b := start(t, "holm_pump_5")
	v := b.say("stumbles under load", "")
	var shut *OptionView
	for i := range v.Next.Options {
		if slices.Contains(v.Next.Options[i].Needs, "side cover") {
			shut = &v.Next.Options[i]
		}
	}
	require.NotNil(t, shut, "something behind the side cover is advised")
	v = b.say("open side cover")
	open := offered(v, shut.ID)
	require.NotNil(t, open)
	require.Less(t, open.Minutes, shut.Minutes)
	require.NotContains(t, open.Needs, "side cover")
}

// A check refused is not offered again, the reason is in the record, and the
// advice goes on without it.
func TestStoryCheckRefused(t *testing.T) {
	b := start(t, "holm_pump_5")
	v := b.say("stumbles under load", "")
	first := v.Next.Options[0]
	v = b.say("skip 1 the owner will not wait")
	require.Nil(t, offered(v, first.ID))
	require.NotEmpty(t, v.Next.Options)
	log := b.say("log").Log
	require.Contains(t, log[len(log)-1].Text, "the owner will not wait")
}

// A dear check that tells much stands above a cheap one that tells little: the
// order is not by minutes.
func TestStoryDearAboveCheap(t *testing.T) {
	b := start(t, "holm_pump_5")
	v := b.say("stumbles under load", "")
	dearer := false
	for i, x := range v.Next.Options {
		for _, y := range v.Next.Options[i+1:] {
			dearer = dearer || x.Minutes > y.Minutes && x.Saves > y.Saves
		}
	}
	require.True(t, dearer)
}

// The mechanic tries one part of the complaint himself and it is not there: what
// he has seen outweighs what the owner said, and its suspects fall back.
func TestStoryNotReproduced(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("stumbles under load, hard to start cold", "")
	before := b.suspect("main_jet.blocked", "")
	b.say("absent stumbles under load")
	require.Less(t, b.suspect("main_jet.blocked", "").Present, before.Present/2)
}

// barredRunning counts what runs the engine, and how much of it is barred on
// the bench.
func (b *bout) barredRunning() (barred, running int) {
	b.t.Helper()
	for i, a := range b.problem().Actions {
		// Seeing the complaint: TestStoryCannotSeeItHere. Nothing was read to be read again.
		if !a.Running || a.Kind == plan.Try || a.Again != nil {
			continue
		}
		running++
		if a.Barred != "" {
			require.Contains(b.t, a.Barred, "not on the bench: it needs the engine ", b.b.about[i].id)
			barred++
		}
	}
	return barred, running
}

// The outboard hangs on a dry stand in the shed: nothing that runs it may be
// done, for its water pump would run dry. On a stand with water all of it comes
// back but what needs full load in the water.
func TestStoryOutboardWithoutWater(t *testing.T) {
	b := start(t, "marsh_tern_60")
	barred, running := b.barredRunning()
	require.Zero(t, barred, "nothing was said of the place")
	require.NotZero(t, running)
	require.Contains(t, b.say("at stand without water").Text[0], "The engine stands on the bench")
	barred, _ = b.barredRunning()
	require.Equal(t, running, barred)
	pump := b.b.find(plan.Check, "water_pump_look", knowledge.Place{})
	require.Empty(t, b.problem().Actions[pump].Barred, "the lower unit comes off on the bench")

	b.say("at the stand with water")
	trial := b.b.find(plan.Check, "load_trial", knowledge.Place{})
	for i, a := range b.problem().Actions {
		if strings.Contains(a.Barred, "stand") {
			require.Equal(t, "not on a stand with water: it needs the engine in the water", a.Barred, b.b.about[i].id)
		}
	}
	require.NotEmpty(t, b.problem().Actions[trial].Barred)
	require.Empty(t, b.problem().Actions[b.indexOf(plan.Check, "idle_speed")].Barred)
	b.say("at mooring")
	require.Empty(t, b.problem().Actions[trial].Barred)
	require.NotEmpty(t, b.problem().Actions[pump].Barred, "not over open water")
}

// The pump has been carried into the shed, away from its load: what needs the
// load is not offered until it is coupled up again. The record says where it
// stood; taking it back brings everything back, and so does taking up the case.
func TestStoryAwayFromItsLoad(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("stumbles under load", "")
	choke := b.indexOf(plan.Check, "choke_a_little")
	v := b.say("at bench")
	require.Equal(t, "The engine stands on the bench.", v.Text[0])
	require.Nil(t, offered(v, "choke_a_little"))
	require.Equal(t, "not on the bench: it needs the engine in the field at its machine", b.problem().Actions[choke].Barred)
	log := b.say("log").Log
	require.Equal(t, "the engine stands on the bench", log[len(log)-1].Text)
	require.Contains(t, b.say("at").Text, "at field: in the field at its machine")
	require.Contains(t, b.try("at the bench").Error, "so already")
	require.NotEmpty(t, b.try("at sea").Text, "the places are listed")
	require.Contains(t, b.say("check choke a little", "").Text[0], "Not on the bench", "he may do it all the same, and is told after the cautions")
	b.say("cancel")

	require.NoError(t, b.Close())
	again, err := b.store.Resume(b.ID)
	require.NoError(t, err)
	b.Open = again
	require.NotEmpty(t, b.problem().Actions[choke].Barred)
	b.say("undo")
	require.Empty(t, b.problem().Actions[choke].Barred)
	require.Contains(t, b.say("at").Text[0], "was not said")
	b.say("at field")
	require.Empty(t, b.problem().Actions[choke].Barred)
}

// With or without water is what keeps an outboard whole: words that might mean
// either are asked again, and none of them is guessed.
func TestPlaceIsNotGuessed(t *testing.T) {
	b := start(t, "marsh_tern_60")
	for _, words := range []string{"stand", "stand water", "stands with water"} {
		require.Contains(t, b.try("at "+words).Error, "more than one place", words)
	}
	for words, id := range map[string]string{"bench": "bench", "the bench": "bench", "stand witout water": "bench", "water": "in_the_water",
		"in_the_water": "in_the_water", "on a stand with water": "stand_with_water", "flushing muff": "stand_with_water"} {
		b.say("at " + words)
		require.Equal(t, id, b.s.stands.ID, words)
		b.say("undo")
	}
}

// An owner's words, and an answer, may begin with "at" as well.
func TestAtBeginsOtherThings(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("at full load it stumbles")
	require.NotNil(t, b.s.complaint)
	b.say("fixed renew the ignition coil")
	b.say("at full load")
	require.False(t, b.s.untried, "that is what of it is still there")
}

// A repair was made on the bench, where the outboard cannot be tried: it is
// asked for all the same, with the reason.
func TestStoryTriedElsewhere(t *testing.T) {
	b := start(t, "marsh_tern_60")
	b.say("at bench", stumbles, "fixed tighten the earth strap")
	v := b.try("")
	require.Equal(t, "retry", v.Kind)
	require.Contains(t, v.Text[0], "Not on the bench: it needs the engine on a stand with water or in the water")
	b.say("at muffs")
	require.Empty(t, b.try("").Text)
}

// Opened by another hand, and bad at all speeds: several faults at once are likely,
// and no plan of repairs alone is worth its minutes. That is no reason to hand the job
// on unseen: what checks will find makes it cheaper.
func TestStoryNotHandedOnUnseen(t *testing.T) {
	for _, said := range []string{"stumbles at all rpm since the carbs were done", "stumbles at all rpm since the carbs were done, starts fine"} {
		b := start(t, "marsh_tern_60")
		v := b.say(said, "")
		require.NotNil(t, v.Next)
		require.Equal(t, "check", v.Next.Options[0].Kind, said)
		require.Positive(t, v.Next.Options[0].Saves, said)
		require.Less(t, v.Next.Expected, b.Engine().Pack().HandingOn.Minutes)
	}
}
