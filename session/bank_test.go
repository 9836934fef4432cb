package session

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestColumnsNameTheScrew: where the columns of two neighbouring bodies stand alike and
// apart from the others, it is the screw that moves both; where one stands alone, its own
// (common practice, no source: the screws of a bank of four whose cable works body 3).
func TestColumnsNameTheScrew(t *testing.T) {
	for _, c := range []struct {
		columns []string
		screw   string
	}{
		{[]string{"16.1 cmHg", "16.0 cmHg", "20.2 cmHg", "19.9 cmHg"}, "sync_screw.ahead at screw:2-3"},
		{[]string{"20.1 cmHg", "19.8 cmHg", "20.0 cmHg", "24.4 cmHg"}, "sync_screw.behind at screw:3-4"},
		{[]string{"24.2 cmHg", "20.1 cmHg", "20.2 cmHg", "19.9 cmHg"}, "sync_screw.behind at screw:1-2"},
	} {
		b := start(t, "tide_runner_75")
		b.say(append([]string{"shakes at idle since the carbs were done", "seen", "check balance_columns"}, c.columns...)...)
		v := b.say("suspects")
		require.NotEmpty(t, v.Suspects)
		require.Equal(t, c.screw, v.Suspects[0].Event+" at "+v.Suspects[0].Place, "%v", c.columns)
	}
}
