package quantity

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Between every two units of every dimension, both ways: there and back, straight
// or by way of a third unit, is the same reading to one rounding a step. An offset
// leaves an error of its own size.
func TestEveryPairOfUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "value")
		pairs := 0
		for _, d := range Dimensions() {
			units := d.Units()
			for _, from := range units {
				for i, to := range units {
					pairs++
					there, err := Quantity{Value: v, Unit: from}.To(to)
					require.NoError(t, err)
					back, err := there.In(from)
					require.NoError(t, err)
					require.InDelta(t, v, back, near(v, from, to), "%g %s by way of %s", v, from, to)

					third := units[(i+1)%len(units)]
					straight, err := Quantity{Value: v, Unit: from}.In(third)
					require.NoError(t, err)
					round, err := there.In(third)
					require.NoError(t, err)
					require.InDelta(t, straight, round, near(straight, third, to), "%g %s to %s by way of %s", v, from, third, to)
				}
			}
		}
		require.Greater(t, pairs, 400, "all of them")
	})
}

// near is one rounding each way of a value in one unit taken by way of another.
func near(v float64, in, by Unit) float64 {
	offset, _ := Quantity{Value: 0, Unit: by}.In(in)
	return 4e-16*(math.Abs(v)+2*math.Abs(offset)) + 1e-300
}

// Differences, and so uncertainties, are converted by the ratio of the steps of the
// scales alone, whatever the value stands beside.
func TestDifferencesGoByTheFactor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e5, 1e5).Draw(t, "value")
		step := rapid.Float64Range(.01, 100).Draw(t, "step")
		for _, d := range Dimensions() {
			for _, from := range d.Units() {
				for _, to := range d.Units() {
					low, err := Quantity{Value: v, Unit: from}.In(to)
					require.NoError(t, err)
					high, err := Quantity{Value: v + step, Unit: from}.In(to)
					require.NoError(t, err)
					apart, err := Quantity{Value: step, Unit: from.Difference()}.In(to.Difference())
					require.NoError(t, err)
					// v + step is rounded before it is converted.
					scale := math.Abs(low) + math.Abs(high) + math.Abs(apart/step*v) + 500
					require.InDelta(t, high-low, apart, 1e-15*scale, "%g %s in %s", step, from, to)
				}
			}
		}
	})
}
