package session

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

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
	first := v.Next.Options[0]
	require.NotEmpty(t, first.Tools, "the first advice needs a tool")
	v = b.say("without " + first.Tools[0])
	require.Contains(t, v.Text[0], "Not at hand")
	require.Nil(t, offered(v, first.ID))
	require.Contains(t, b.try("without "+first.Tools[0]).Error, "so already")
	require.Contains(t, b.try("without a magic wand").Error, "Which tool")
	v = b.say("with " + first.Tools[0])
	require.Equal(t, first.ID, v.Next.Options[0].ID)
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
