package session

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"narrows/symptoms/quantity"
)

// The unit that a quantity is shown in, everywhere; what is recorded stays.
func TestUnitsShown(t *testing.T) {
	b := start(t, "marsh_tern_60")
	b.say("stumbles at all rpm", "")
	require.Contains(t, text(b.say("units")), "Length: as each check reads it")
	v := b.say("units pressure bar")
	require.Contains(t, text(v), "Pressure is shown in bar.")
	require.Contains(t, text(b.say("units")), "Pressure: bar, chosen here")
	v = b.say("check dry compression", "")
	require.Contains(t, v.Ask.Prompt, "in bar or any unit")
	require.Contains(t, text(v), "Sheet: 8.618 bar ± 1.034 bar")
	require.Contains(t, text(v), "(standard uncertainty 0.28 bar)")
	v = b.say("125 psi")
	require.Contains(t, text(v), "125 psi, 8.618 bar (standard uncertainty 0.28 bar): conforms; limit 8.618 bar ± 1.034 bar")
	b.say("8.5 bar", "6.5 bar", "8.3 bar")
	log := b.say("log").Log[b.entries()-1].Text
	require.Contains(t, log, "8.3 bar (standard")
	p := b.say("readings compression").Pictures[0]
	require.Equal(t, "bar", p.Unit)
	require.InDelta(t, 8.6184, p.Points[0].Value, 1e-3)
	require.InDelta(t, 7.5842, *p.Lowest, 1e-3)
	h, err := b.History()
	require.NoError(t, err)
	last := h.Steps[len(h.Steps)-1].Answers[0].Reading
	require.Equal(t, "8.618 bar ± 1.034 bar", last.Limit)
	require.Equal(t, "0.28 bar", last.Uncertainty)
	stored := b.s.readings[checkAt{"compression_dry", "cylinder:1"}][0]
	require.Equal(t, "[psi]", stored.Unit)
	require.Equal(t, 125.0, stored.Value)
	require.Equal(t, "125 psi ± 15 psi", stored.Limit)

	b.say("units pressure as the sheet")
	require.Equal(t, "psi", b.say("readings compression").Pictures[0].Unit)
	b.say("undo")
	require.Equal(t, "bar", b.say("readings compression").Pictures[0].Unit)
	b.say("units kPa")
	require.Equal(t, "kPa", b.say("readings compression").Pictures[0].Unit)

	n := b.entries()
	for line, want := range map[string]string{
		"units pressure":              "unit is missing",
		"units pressure ohm":          "resistance",
		"units pressure kPa":          "so already",
		"units torque Nm":             "No check of this pack reads a torque",
		"units furlongs":              "not known",
		"units as the sheet":          "quantity is missing",
		"units length as the sheet":   "so already",
		"units rotational_speed psiq": "not known",
	} {
		require.Contains(t, b.try(line).Error, want, line)
	}
	require.Equal(t, n, b.entries())
}

// What is shown weighs nothing: the same line typed in any unit, and shown in any
// unit, leads to the same chances, to 1e-12; with an instrument too.
func TestUnitsWeighNothing(t *testing.T) {
	e, list := engine(t, "holm_pump_5"), kit(t)
	store := Store{Dir: t.TempDir(), Clock: fixed()}
	rapid.Check(t, func(r *rapid.T) {
		units := quantity.Pressure.Units()
		u := units[rapid.IntRange(0, len(units)-1).Draw(r, "unit")]
		show := units[rapid.IntRange(0, len(units)-1).Draw(r, "shown")]
		with := rapid.SampledFrom([]string{"", "test gauge", "plain pressure gauge"}).Draw(r, "instrument")
		value := rapid.Float64Range(50, 120).Draw(r, "psi")
		in, err := (quantity.Quantity{Value: value, Unit: units[0]}).In(u)
		require.NoError(r, err)
		require.Equal(r, "psi", units[0].Symbol())
		run := func(lines ...string) []Suspect {
			o, err := store.Start(t.Context(), e)
			require.NoError(r, err)
			o.Equip(list)
			b := &bout{t, store, o}
			defer func() { _ = b.Close() }()
			b.RankLater(nil) // nothing of it is looked at
			b.say("hard to start cold", "")
			if with != "" {
				b.say("using " + with)
			}
			for _, l := range lines {
				if v := b.try(l); v.Ask != nil && strings.Contains(v.Ask.Prompt, "Is that what it reads") {
					b.say("yes")
				}
			}
			list, err := b.suspects()
			require.NoError(r, err)
			return list
		}
		plain := run("check compression", "", fmt.Sprintf("%v psi", value))
		other := run("units pressure "+show.String(), "check compression", "", fmt.Sprintf("%v %s", in, u.Symbol()))
		require.Len(r, other, len(plain))
		at := make(map[int32]Suspect)
		for _, s := range plain {
			at[s.id] = s
		}
		for _, s := range other {
			require.InDelta(r, at[s.id].Present, s.Present, 1e-12)
			require.InDelta(r, at[s.id].Cures, s.Cures, 1e-12)
		}
	})
}
