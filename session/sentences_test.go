package session

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Complaints in wordings that stand in no phrase list, with the findings that
// a mechanic would note (judgement, no source). Only what is named here is
// compared; "!" means absent.
var sentences = []struct {
	text string
	want []string
}{
	{"She coughs along at every speed and never runs clean", []string{"stumble_idle", "stumble_mid", "stumble_full"}},
	{"it hesitated at full throttle yesterday but idles nicely", []string{"stumble_full", "!stumble_idle", "!rough_idle"}},
	{"falls flat on its face when he guns it", []string{"bog_opening"}},
	{"lumpy when ticking over, then cleans up above idle", []string{"rough_idle", "!stumble_mid", "!stumble_full"}},
	{"the starter turns her over really slowly", []string{"slow_crank"}},
	{"spins over well enough yet will not fire", []string{"no_start"}},
	{"needs ages of cranking on cold mornings", []string{"hard_start_cold"}},
	{"runs terribly once she has warmed up, fine while cold", []string{"poor_hot", "!poor_cold"}},
	{"only making about 4000 revs flat out and lots of sooty black smoke", []string{"smoke_black"}},
	{"spits back through the carbs when the throttle is snapped open", []string{"popback_opening"}},
	{"stalls every time I drop it into gear", []string{"dies_idle"}},
	{"goes well for ten minutes and then fades away", []string{"fades"}},
}

func TestComplaintsInFreshWords(t *testing.T) {
	phrases := engine(t, "marsh_tern_60")
	for _, s := range sentences {
		t.Run(s.text, func(t *testing.T) {
			for _, src := range phrases.Sources() {
				require.NotContains(t, strings.ToLower(string(src.Data)), strings.ToLower(s.text))
			}
			got := map[string]string{}
			for _, st := range phrases.Lexicon().Read(s.text).Standing() {
				got[st.Symptom] = strings.ToLower(st.State.String())
			}
			for _, w := range s.want {
				id, absent := strings.CutPrefix(w, "!")
				require.Equal(t, presence(!absent), got[id], "%s in %v", id, got)
			}
		})
	}
}

// What cannot be understood is named back, and nothing is recorded.
func TestComplaintsNotUnderstood(t *testing.T) {
	for _, text := range []string{"the wibble has gone all sproingy", "my cousin says hello", "frobnicates at dusk"} {
		b := start(t, "marsh_tern_60")
		v := b.try(text)
		require.NotEmpty(t, v.Error, text)
		require.NotEmpty(t, v.Missed, text)
		require.Equal(t, 1, b.entries(), text)
	}
}
