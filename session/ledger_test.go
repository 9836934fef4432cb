package session

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The main jets of carburettors 1 and 2 were exchanged at the last rebuild: the
// table says so, and that counts as the check of the jets with that outcome at both.
func TestExchangedJets(t *testing.T) {
	b := start(t, "marsh_tern_60")
	b.say("stumbles at all rpm", "")
	before := b.suspect("main_jet.exchanged", "carb:2")
	v := b.say("found main jet 112 118 112 118")
	require.Contains(t, v.Text, "As found: the main jets of 1 and 2 are exchanged.")
	got := b.suspect("main_jet.exchanged", "carb:2")
	require.Greater(t, got.Present, 5*before.Present)

	c := start(t, "marsh_tern_60")
	c.say("stumbles at all rpm", "", "check jets by position carb:1", "", "exchanged", "check jets by position carb:2", "exchanged")
	require.Greater(t, got.Present, c.suspect("main_jet.exchanged", "carb:2").Present, "the table tells which jet it is")
	require.Less(t, b.suspect("pilot_jet.exchanged", "carb:2").Present, c.suspect("pilot_jet.exchanged", "carb:2").Present)

	require.Equal(t, got, again(t, b).suspect("main_jet.exchanged", "carb:2"), "taken up again it is the same")
	b.say("left main jet 118 112 112 118")
	require.Equal(t, got, b.suspect("main_jet.exchanged", "carb:2"), "what is left fitted is no evidence of what was wrong")
	v = b.say("parts main jet")
	require.Equal(t, "as it should be", v.Parts[0].Now)
	require.Equal(t, PartRow{Place: "carb:2", Title: "carburettor 2", Sheet: "112", Found: "118", Left: "112"}, v.Parts[0].Rows[1])
	b.say("undo", "undo")
	require.Equal(t, before, b.suspect("main_jet.exchanged", "carb:2"))
	require.Empty(t, b.say("parts main jet").Parts[0].Rows[1].Found)
}

// again takes a case up anew from its journal.
func again(t *testing.T, b *bout) *bout {
	t.Helper()
	s, err := b.b.fold(b.Log.Entries())
	require.NoError(t, err)
	c := &Case{ID: b.ID, b: b.b, log: b.log, s: s}
	return &bout{t, b.store, &Open{Case: c, Log: b.Log}}
}

// Position by position: a mark that seems to belong nowhere belongs to a sister once
// she is read, and the answer follows; a part of neither belongs nowhere.
func TestJetsOneByOne(t *testing.T) {
	b := start(t, "marsh_tern_60")
	b.say("stumbles at all rpm", "")
	v := b.say("found main jet 99 on carb 3")
	require.Contains(t, v.Text, "As found: 3 holds 99 in place of 112; not read: 1, 2, 4.")
	wrong := b.suspect("main_jet.wrong_size", "carb:3")
	require.Greater(t, wrong.Present, .2)
	b.say("found main jet = 112 on carb 3") // misread: it is the right one
	require.Less(t, b.suspect("main_jet.wrong_size", "carb:3").Present, wrong.Present/3)
	v = b.say("found main jet 112 on carb 1")
	require.Contains(t, v.Text[len(v.Text)-1], "if 2 holds that part (not read)")
	// The check itself, made after it, counts in its place.
	b.say("check jets by position carb:1", "", "right mark but no light")
	require.Less(t, b.suspect("main_jet.exchanged", "carb:1").Present, .2)

	n := b.entries()
	for line, want := range map[string]string{
		"found":                        "Found what?",
		"found main jet 118 112":       "4 positions, and 2 marks",
		"found main jet on carb 1":     "Which mark?",
		"found enricher W4 on cyl 1":   "cylinder 1 is none",
		"found main jet - - - -":       "No mark was given",
		"left nozzle 3 on carb 2":      "No one table of parts or entry of the ledger fits",
		"parts propeller":              "No one table",
		"found main jet 118 on carb 9": "no position",
	} {
		require.Contains(t, b.try(line).Error, want, line)
	}
	require.Equal(t, n, b.entries())
}
