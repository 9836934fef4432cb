package study

import (
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/knowledge"
)

func read(text string) (*CaseFile, error) {
	return ReadCases(knowledge.Source{Name: "x.yaml", Data: []byte(text)})
}

const head = "study: x\nformat: 1\nengine: marsh_tern_60\ncases:\n"

func TestFaultsOfTheFile(t *testing.T) {
	for text, want := range map[string]string{
		"":                             "x.yaml: the file is empty",
		"a: [":                         "x.yaml:1:1: not readable as YAML",
		"- a":                          "x.yaml:1:1: wrong type",
		"study: x\nformat: 2\n":        "x.yaml:2:9: format 2 is not known",
		head + "  {}":                  "there are no cases",
		head + "  One: {}":             `x.yaml:5:3: bad identifier "One"`,
		head + "  a: {causes: []}":     "x.yaml:5:3: case a has no complaint",
		head + "  a: {}\n  a: {}":      `x.yaml:6:3: key "a" is given twice; keep one of the two; the first stands on line 5`,
		head + "  a: {causes: [x, x]}": `x.yaml:5:19: "x" is named twice`,
		head + "  a: {causes: [3]}":    "x.yaml:5:16: wrong type",
		head + "  a: {complaint: {}}":  "the complaint has no present",
		head + "  a: {expect: {rank_at_most: 0}}": "x.yaml:5:30: rank 0 is none",
		head + "  a: {shows: {x: }}":              "x.yaml:5:18: wrong type",
		head + "  a: 1\n---\nb: 2":                "a second document begins here",
	} {
		_, err := read(text)
		require.ErrorContains(t, err, want, text)
	}
}

func TestNamesOfTheEngine(t *testing.T) {
	e := engineOf(t, "marsh_tern_60")
	one := func(body string) (*Worked, error) {
		f, err := read(head + "  a: {complaint: {present: [stumble_idle]}, " + body + "}\n")
		require.NoError(t, err, body)
		ws, err := f.On(e)
		return ws[0], err
	}
	w, err := one("causes: [pilot_jet.blocked at 3, stale_fuel], history: [since_layup]")
	require.NoError(t, err)
	require.Len(t, w.Causes, 2)
	require.Len(t, w.History, 1)
	require.Equal(t, "pilot jet, carburettor 3: blocked or part-blocked", e.Describe(w.Causes[0]).Title)
	for body, want := range map[string]string{
		"causes: [pilot_jet.blocked]":      `"pilot_jet.blocked" stands at several places; write pilot_jet.blocked at one of: 1, 2, 3, 4`,
		"causes: [pilot_jet.blocked at 9]": `there is no "pilot_jet.blocked" at "9"; write one of: 1, 2, 3, 4`,
		"causes: [stale_fuel at 1]":        `"stale_fuel" stands at no place of its own`,
		"causes: [], history: [since]":     `no history entry "since"`,
		"causes: [], shows: {drop: no}":    `no check "drop"`,
	} {
		_, err := one(body)
		require.ErrorContains(t, err, want, body)
	}
}

// A case whose causes cannot be together is refused before it is played.
func TestFaultsThatExcludeOneAnother(t *testing.T) {
	g := pump(t)
	f, err := read("study: x\nformat: 1\nengine: holm_pump_5\ncases: {a: {complaint: {present: [fades], absent: [fades]}, causes: [choke.not_closing, choke.not_opening]}}")
	require.NoError(t, err)
	_, err = f.On(g.Engine())
	require.ErrorContains(t, err, "two faults of one part")
	require.ErrorContains(t, err, "present and absent at once")
}
