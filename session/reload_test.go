package session

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/knowledge"
)

// amended makes the engine of a sheet with an amendment of its pack.
func amended(change *string) func(string) (*knowledge.Engine, error) {
	return func(sheet string) (*knowledge.Engine, error) {
		built, err := knowledge.EmbeddedSources()
		if err != nil {
			return nil, err
		}
		own := knowledge.Source{Name: "mine.yaml", Data: fmt.Appendf(nil, "amends: pump_single\nformat: 1\ntitle: What the yard has learnt\nchange:\n  %s\n", *change)}
		return knowledge.OpenSheet(knowledge.Overlay(built, []knowledge.Source{own}), sheet)
	}
}

// TestReload: a case keeps the packs that it was opened with until reload; then what
// was entered counts by the new ones, undo goes back, and the case taken up again is
// the same.
func TestReload(t *testing.T) {
	b := start(t, "holm_pump_5")
	change := "items: {pilot_jet: {modes: {blocked: {prior: 0.3}}}}"
	b.Reshelve(amended(&change))
	b.say("stumbles when loaded and hunts when unloaded", "seen", "check air filter", "1")
	before := b.suspect("pilot_jet.blocked", "")
	v := b.say("reload")
	require.Equal(t, "The packs were read anew: one change.", v.Text[0])
	require.Equal(t, "items.pilot_jet.modes.blocked.prior: 0.02 -> 0.3", v.Text[1])
	after := b.suspect("pilot_jet.blocked", "")
	require.Greater(t, after.Present, before.Present+0.1)
	require.Len(t, b.s.done, 1, "what was entered stays")
	n := b.entries()
	require.Equal(t, "The packs are as the case has them.", b.say("reload").Text[0])
	require.Equal(t, n, b.entries())

	again, err := b.store.Read(b.ID)
	require.NoError(t, err)
	defer again.Close()
	same := (&bout{t, b.store, again}).suspect("pilot_jet.blocked", "")
	require.Equal(t, after, same)
	def, ok := again.Engine().Snapshot().Event("pilot_jet.blocked")
	require.True(t, ok)
	require.Equal(t, 0.3, def.Mode.Prior)
	past, err := again.History()
	require.NoError(t, err)
	require.Len(t, past.Sources, len(again.Engine().Sources()))

	b.say("undo")
	require.Equal(t, before, b.suspect("pilot_jet.blocked", ""))
	b.say("reload")
	require.Equal(t, after, b.suspect("pilot_jet.blocked", ""))
}

// TestReloadKeeps: packs with a fault, or in which an entry of the case has no meaning
// any more, do not take the place of those that the case has.
func TestReloadKeeps(t *testing.T) {
	for change, want := range map[string]string{
		"items: {pilot_jet: {modes: {blocked: {prior: 3}}}}": "mine.yaml:5:48: prior 3 is out of range",
		"items: {nothing: ~}":                                `there is no "items.nothing" to take out`,
		"checks: {without_filter: ~}":                        "without_filter",
	} {
		b := start(t, "holm_pump_5")
		b.Reshelve(amended(&change))
		b.say("stumbles when loaded", "check run briefly without the filter element", "1")
		n, before := b.entries(), b.suspect("pilot_jet.blocked", "")
		v := b.try("reload")
		require.Contains(t, v.Error, "The case keeps its packs", change)
		require.NotEmpty(t, v.Text)
		require.Contains(t, v.Text[0], want)
		require.Equal(t, n, b.entries())
		require.Equal(t, before, b.suspect("pilot_jet.blocked", ""))
	}
}
