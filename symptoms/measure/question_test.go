package measure

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestQuestionable(t *testing.T) {
	m := Model{Rows: []Population{{Mean: 85, SD: 15}, {Mean: 30, SD: 9}}, Else: Population{Mean: 125, SD: 8}}
	require.InDelta(t, 0, m.Away(85, 4), 1e-12)
	require.InDelta(t, 1.5, m.Away(140, 6), 1e-12) // sqrt(8^2 + 6^2) = 10

	slips := func(y float64) []float64 { return []float64{-y, y / 10, y * 10} }
	for y, want := range map[float64][]int{
		118: nil, 60: nil, 20: nil, 140: nil, // sound, worn, broken, a little high
		1180: {1}, -118: {0}, 11.8: nil, 2.5: nil, 400: {1}, 5000: {},
	} {
		meant, ask := m.Questionable(y, 4, slips(y)...)
		if want == nil {
			require.False(t, ask, "%v", y)
			continue
		}
		require.True(t, ask, "%v", y)
		require.ElementsMatch(t, want, meant, "%v", y)
	}
	narrow := Model{Rows: []Population{{Mean: .6, SD: .1}}, Else: Population{Mean: 1, SD: .05}}
	meant, ask := narrow.Questionable(.1, .02, -.1, .01, 1)
	require.True(t, ask)
	require.Equal(t, []int{2}, meant, "ten times too small")
	low := Model{Rows: []Population{{Mean: 30, SD: 1}}, Else: Population{Mean: 20, SD: 1}}
	_, ask = low.Questionable(-20, .1)
	require.True(t, ask)
	growth := Model{Rows: []Population{{Mean: 0, SD: .2}}, Else: Population{Mean: 5, SD: 1}}
	_, ask = growth.Questionable(-.3, .1)
	require.False(t, ask, "a part that shrinks a little")
}
