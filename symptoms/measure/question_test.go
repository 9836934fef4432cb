package measure

import (
	"math"
	"math/rand/v2"
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

// Digits that a broad population of broken parts may well show, and that a usual
// slip makes of a sound part's far more often, are asked about: a heater of 18 ohm,
// broken 100000 +- 30000; a cap of 5000 ohm, bad 15000 +- 6000.
func TestQuestionableWhereASlipIsLikelier(t *testing.T) {
	heater := Model{Rows: []Population{{100_000, 30_000}}, Else: Population{18, 1.1}}
	require.Less(t, heater.Away(18_000, .2), 3.0)
	meant, ask := heater.Questionable(18_000, .2, -18_000, 1_800, 180_000, 18)
	require.True(t, ask)
	require.Equal(t, 3, meant[0], "18 ohm is the likeliest")
	_, ask = heater.Questionable(110_000, .2, -110_000, 11_000, 1_100_000, 110)
	require.False(t, ask, "broken as they mostly are")
	cap := Model{Rows: []Population{{15_000, 6_000}}, Else: Population{5_000, 350}}
	for ohm, asked := range map[float64]bool{500: true, 5: true, 5_000: false, 2_000: false, 12_000: false, 30_000: false} {
		_, ask = cap.Questionable(ohm, 100, -ohm, ohm/10, ohm*10, ohm*1000, ohm/1000)
		require.Equal(t, asked, ask, "%v ohm", ohm)
	}
}

// Below 0 only noise about 0 is taken, unless the thing lies on both sides of 0 by
// its nature.
func TestQuestionableBelow0(t *testing.T) {
	gap := Model{Rows: []Population{{.09, .09}}, Else: Population{.9, .045}}
	for mm, asked := range map[float64]bool{0: false, .02: false, -.05: false, -.07: true, -.9: true} {
		_, ask := gap.Questionable(mm, .03)
		require.Equal(t, asked, ask, "a gap of %v mm", mm)
	}
	drop := Model{Rows: []Population{{1.1, .45}}, Else: Population{.25, .09}}
	meant, ask := drop.Questionable(-.25, .02, .25)
	require.True(t, ask, "the leads are the wrong way round")
	require.Equal(t, []int{0}, meant)
	growth := Model{Rows: []Population{{.08, .12}}, Else: Population{4, .2}}
	_, ask = growth.Questionable(-.2, .05)
	require.False(t, ask, "it may shrink a little")
	_, ask = growth.Questionable(-4, .05)
	require.True(t, ask)
}

// Readings as the populations give them are hardly ever questioned: at most 2 in 100,
// most of them where a population tails off below 0.
func TestPlausibleReadingsAreNotQuestioned(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	m := Model{Rows: []Population{{85, 15}, {31, 12}}, Else: Population{125, 8}}
	const draws, psi, u = 20_000, 6.894757293168, 4.0
	for _, p := range append(m.Rows, m.Else) {
		asked := 0
		for range draws {
			y := p.Mean + math.Hypot(p.SD, u)*r.NormFloat64()
			if _, ask := m.Questionable(y, u, -y, y/10, y*10, y*100/psi, y/psi, y*3.386/psi); ask {
				asked++
			}
		}
		require.Less(t, asked, draws/50, "%v", p)
	}
}
