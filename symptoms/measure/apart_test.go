package measure

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"narrows/symptoms/quantity"
)

// siblingsOf is positions 1, 2, ... with readings as typed.
func siblingsOf(t require.TestingT, typed ...string) []Sibling {
	var all []Sibling
	for i, s := range typed {
		q, err := quantity.Parse(s)
		require.NoError(t, err)
		r, err := Take(Instrument{}, q)
		require.NoError(t, err)
		all = append(all, Sibling{Position: fmt.Sprint(i + 1), Reading: r})
	}
	return all
}

func TestStandApart(t *testing.T) {
	for _, c := range []struct {
		typed []string
		state ApartState
		words string
	}{
		{[]string{"2 1/4 turns", "2 1/4 turns", "2 1/4 turns", "2 1/4 turns"}, AllAgree, "all agree"},
		{[]string{"2 1/4 turns", "2 1/4 turns", "1 turns", "2 1/4 turns"}, StandsApart, "3 stands apart, 1.25 turns below the middle of the others"},
		{[]string{"2 1/4 turns", "2 turns", "2 1/2 turns", "5 turns"}, StandsApart, "4 stands apart, 2.75 turns above the middle of the others"},
		{[]string{"14.0 mm", "14.1 mm", "16.4 mm", "14.0 mm"}, StandsApart, "3 stands apart, 2.40 mm above the middle of the others"},
		{[]string{"14.0 mm", "14.4 mm", "14.8 mm", "15.2 mm"}, Scattered, "none stands apart; they differ by up to 1.20 mm, 1 the lowest and 4 the highest"},
		// Two of four that are out hide each other.
		{[]string{"14.0 mm", "14.0 mm", "16.0 mm", "16.0 mm"}, Scattered, "none stands apart; they differ by up to 2.00 mm, 1 the lowest and 4 the highest"},
		{[]string{"4.0 mm", "2.0 mm"}, TwoDiffer, "1 reads 2.00 mm more than 2; of two it cannot be said which is out"},
		{[]string{"4.0 mm"}, OneAlone, "nothing to compare with"},
	} {
		got, err := StandApart(siblingsOf(t, c.typed...))
		require.NoError(t, err)
		require.Equal(t, c.state, got.State, c.typed)
		require.Equal(t, c.words, got.String())
	}
	_, err := StandApart(nil)
	require.EqualError(t, err, "there is no reading; take one")
	_, err = StandApart(siblingsOf(t, "2 mm", "3 V"))
	require.ErrorContains(t, err, "position 2: 3 V is a voltage")
	_, err = StandApart([]Sibling{{Position: "a", Reading: Reading{Estimate: Estimate{Value: math.NaN(), Unit: quantity.Length.Units()[0]}}}})
	require.Error(t, err)
}

// Four readings of which three lie close and one far off: that one is named, and none
// of its sisters, whichever it is and whatever it is measured in.
func TestOneOfFourStandsApart(t *testing.T) {
	mm, err := quantity.ParseUnit("mm")
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		middle := rapid.Float64Range(1, 100).Draw(t, "middle")
		scatter := float64(0.01 * middle)
		out := rapid.IntRange(0, 3).Draw(t, "out")
		var all []Sibling
		for i := range 4 {
			v := middle + float64(scatter*rapid.Float64Range(-1, 1).Draw(t, "off"))
			if i == out {
				v = middle + float64(rapid.SampledFrom([]float64{-1, 1}).Draw(t, "side")*float64(scatter*rapid.Float64Range(15, 60).Draw(t, "far")))
			}
			all = append(all, Sibling{fmt.Sprint(i), Reading{Estimate: Estimate{Value: v, U: scatter / 10, Unit: mm}}})
		}
		got, err := StandApart(all)
		require.NoError(t, err)
		require.Equal(t, StandsApart, got.State)
		require.Equal(t, fmt.Sprint(out), got.Position)

		thou, err := quantity.ParseUnit("thou")
		require.NoError(t, err)
		for i := range all {
			e, err := all[i].Reading.Estimate.In(thou)
			require.NoError(t, err)
			all[i].Reading.Estimate = e
		}
		same, err := StandApart(all)
		require.NoError(t, err)
		require.Equal(t, got.Position, same.Position)
		require.InEpsilon(t, got.By, float64(same.By*0.0254), 1e-9)
	})
}

// Of positions that are nothing but normal scatter, one in twenty sets has one that is
// called apart: the definition of the critical values, by simulation.
func TestDixonBySimulation(t *testing.T) {
	mm, err := quantity.ParseUnit("mm")
	require.NoError(t, err)
	draw := rand.New(rand.NewPCG(7, 11))
	const sets = 20000
	for n := 3; n < len(dixon); n++ {
		apart := 0
		for range sets {
			var all []Sibling
			for i := range n {
				all = append(all, Sibling{fmt.Sprint(i), Reading{Estimate: Estimate{Value: draw.NormFloat64(), Unit: mm}}})
			}
			got, err := StandApart(all)
			require.NoError(t, err)
			if got.State == StandsApart {
				apart++
			}
		}
		// Four standard deviations of the simulation: sqrt(0.05*0.95/20000) = 0.0015.
		require.InDelta(t, 0.05, float64(apart)/sets, 0.0062, "%d positions", n)
	}
}
