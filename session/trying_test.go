package session

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/faulttree/plan"
)

// seeing is what is advised about seeing the complaint, and its action.
func (b *bout) seeing() (option *plan.Option, action int) {
	b.t.Helper()
	adv, err := b.problem().Advise(context.Background(), plan.Budget{})
	require.NoError(b.t, err)
	for i, a := range b.b.actions {
		if a.Kind == plan.Try {
			action = i
		}
	}
	for i, o := range adv.Options {
		if o.Action == action {
			return &adv.Options[i], action
		}
	}
	return nil, action
}

// What the owner tells of is not there this time. Seeing it is among what can be
// done, with its minutes and what either way leads to; that it did not show is
// weighed, once, and stands in the record with its minutes.
func TestStorySeeItFirst(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("stumbles under load", "")
	o, action := b.seeing()
	require.NotNil(t, o)
	require.InDelta(t, b.b.e.Pack().Recheck.Minutes, o.Minutes, 1e-9)
	require.Equal(t, "it does not show", b.resultTitle(b.b.actions[action], o.Outcomes[1]))
	require.Contains(t, b.thenTitle(b.b.actions[action], o.Outcomes[1]), "not reproduced")
	require.Less(t, o.Saves, 0.5, "owners of pumps are right more often than not")
	require.Equal(t, "See the complaint for yourself: 4 min, and it changes no decision enough to be worth them.", b.reason(*o, &plan.Advice{}))
	worth := *o
	worth.Saves = 12
	require.Equal(t, "See the complaint for yourself first: 4 min, and 12 min less to be expected than by repairing at once.", b.reason(worth, &plan.Advice{}))

	before, spent := b.suspect("main_jet.blocked", ""), b.s.minutes
	v, err := b.start(context.Background(), action)
	require.NoError(t, err)
	require.Equal(t, "try", v.Kind)
	require.Contains(t, v.Ask.Steps[0], "stumbles under load")
	b.say("unseen")
	once := b.suspect("main_jet.blocked", "")
	require.Less(t, once.Present, before.Present)
	require.InDelta(t, spent+4, b.s.minutes, 1e-9)
	o, _ = b.seeing()
	require.Nil(t, o, "a second try says nothing new")
	require.NotEmpty(t, b.try("unseen").Error)
	require.Equal(t, once, b.suspect("main_jet.blocked", ""))

	h, err := b.History()
	require.NoError(t, err)
	require.True(t, h.Complaint.Symptoms[0].Unseen)
	last := h.Steps[len(h.Steps)-1]
	require.InDelta(t, 4, last.Minutes, 1e-9)
	require.Equal(t, "tried and not seen: stumbles under load", last.Words)

	b.say("undo")
	require.Equal(t, before, b.suspect("main_jet.blocked", ""))
	require.InDelta(t, spent, b.s.minutes, 1e-9)
	_, err = b.start(context.Background(), action)
	require.NoError(t, err)
	b.say("seen")
	require.InDelta(t, spent+4, b.s.minutes, 1e-9, "it was seen at a try that was made for it")
	h, err = b.History()
	require.NoError(t, err)
	last = h.Steps[len(h.Steps)-1]
	require.InDelta(t, 4, last.Minutes, 1e-9)
	require.Equal(t, "seen: stumbles under load present", last.Title)
	require.Greater(t, b.suspect("main_jet.blocked", "").Present, once.Present)
	o, _ = b.seeing()
	require.Nil(t, o, "it has been seen")
}

// A try that is left before it was made takes nothing, whatever is seen later.
func TestStoryTryLeft(t *testing.T) {
	for _, leave := range []string{"cancel", "next"} {
		b := start(t, "holm_pump_5")
		b.say("stumbles under load", "")
		_, action := b.seeing()
		spent := b.s.minutes
		_, err := b.start(context.Background(), action)
		require.NoError(t, err)
		b.say(leave, "seen")
		require.InDelta(t, spent, b.s.minutes, 1e-9, leave)
	}
}

// Where the engine cannot be run, or stands where it must not, the complaint
// cannot be seen.
func TestStoryCannotSeeItHere(t *testing.T) {
	b := start(t, "marsh_tern_60")
	b.say("dies at idle", "", "at bench")
	_, action := b.seeing()
	require.NotEmpty(t, b.barred(action))
	b.say("at stand with water")
	require.Empty(t, b.barred(action))
	b.say("without running")
	require.Contains(t, b.barred(action), "cannot be run")
	require.NotEmpty(t, b.try("unseen dies when opened").Error, "not in the complaint")
}
