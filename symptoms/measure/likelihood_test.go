package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"narrows/symptoms/quantity"
)

var (
	sound = Population{Mean: 125, SD: 8}
	worn  = Population{Mean: 85, SD: 15}
)

func compression(t require.TestingT) Model {
	return Model{Unit: unit(t, "psi"), Rows: []Population{worn}, Else: sound}
}

func TestCompressionLikelihood(t *testing.T) {
	// Our own case of two normal populations, computed outside this project.
	ratio := PureRatio(worn, sound, 95, 4)
	require.InDelta(t, 129.8196229, ratio, 5e-8)
	require.InDelta(t, 129.8196229, compression(t).Ratio(0, 95, 4), 5e-8)
	require.InDelta(t, 0.8723286645, 0.05*ratio/(0.05*ratio+0.95), 1e-9)
	require.InDelta(t, 8.9442719, math.Sqrt(sound.variance(4)), 5e-8)
	require.InDelta(t, 15.5241747, math.Sqrt(worn.variance(4)), 5e-8)
	four := take(t, Instrument{Noise: q(t, "4 psi")}, "95 psi", "95 psi", "95 psi", "95 psi")
	require.InDelta(t, 8.2462113, math.Sqrt(sound.variance(four.U)), 5e-8)

	// With one slip in a thousand: 1/(0.999/129.8196229 + 0.001).
	l := compression(t).Likelihoods(95, 4)
	require.Equal(t, 1.0, l[0])
	require.InDelta(t, 0.999/129.8196229+0.001, l[1], 1e-11)
}

func TestRatioIsHeldAtTheTurn(t *testing.T) {
	// Derivative zero: (y-85)/241 = (y-125)/80, so y = (241*125-80*85)/161.
	y, ok := turn(worn, sound, 4)
	require.True(t, ok)
	require.InDelta(t, 23325.0/161, y, 1e-9)
	back, ok := turn(sound, worn, 4)
	require.True(t, ok)
	require.InDelta(t, y, back, 1e-9)

	m := compression(t)
	at := m.Likelihoods(y, 4)
	for _, far := range []float64{y + 1e-9, y + 1, 200, 1000, 1e6, 1e90} {
		require.Greater(t, PureRatio(worn, sound, far, 4), PureRatio(worn, sound, y, 4)*(1-1e-12))
		require.Equal(t, at, m.Likelihoods(far, 4), "held at %v", far)
	}
	require.Greater(t, m.Ratio(0, 200, 4), 1.0, "the pure ratio turns round")
	require.Less(t, at[0], at[1])

	// A narrow fault population turns on the fault's side.
	m.Rows[0] = Population{Mean: 85, SD: 3}
	y, ok = turn(m.Rows[0], sound, 4)
	require.True(t, ok)
	require.Less(t, y, 85.0)
	require.Less(t, PureRatio(m.Rows[0], sound, 40, 4), PureRatio(m.Rows[0], sound, y, 4))
	require.Equal(t, m.Likelihoods(y, 4), m.Likelihoods(40, 4))
	// Equal variances or equal means have no turn.
	_, ok = turn(Population{85, 8}, sound, 4)
	require.False(t, ok)
	_, ok = turn(Population{125, 15}, sound, 4)
	require.False(t, ok)
}

func TestEqualMeansDifferBySpread(t *testing.T) {
	m := Model{Unit: unit(t, "psi"), Rows: []Population{{Mean: 125, SD: 30}}, Else: sound}
	low, middle, high := m.Likelihoods(60, 4), m.Likelihoods(125, 4), m.Likelihoods(190, 4)
	require.Equal(t, low, high)
	require.Less(t, middle[0], 1.0)
	require.Less(t, high[1], 1.0)
}

func TestNothingUnderflows(t *testing.T) {
	m := compression(t)
	m.Rows = append(m.Rows, Population{Mean: 20, SD: 1}, Population{Mean: 300, SD: 0.001})
	for _, y := range []float64{-1e9, -40, 0, 20, 95, 1e5, 1e9, 1e100} {
		l := m.Likelihoods(y, 0)
		largest := 0.0
		for _, v := range l {
			require.Positive(t, v)
			largest = math.Max(largest, v)
		}
		require.Equal(t, 1.0, largest)
	}
	require.Nil(t, m.Likelihoods(math.NaN(), 4))
	require.Nil(t, m.Likelihoods(math.Inf(1), 4))
	require.Nil(t, m.Likelihoods(1e101, 4))
	require.Nil(t, m.Likelihoods(95, math.Inf(1)))
	require.Nil(t, m.Likelihoods(95, -1))
	require.Equal(t, []float64{1}, Model{Else: sound}.Likelihoods(3, 1))
}

func TestThreeStatesAreToldApart(t *testing.T) {
	holed := Population{Mean: 20, SD: 15}
	m := compression(t)
	m.Rows = []Population{worn, holed}
	l := m.Likelihoods(20, 4)
	require.Equal(t, 1.0, l[1], "20 psi is a hole")
	require.Less(t, l[0], 0.002, "and not worn rings")
	require.Less(t, l[2], l[0]*0.002, "let alone sound")
	l = m.Likelihoods(85, 4)
	require.Equal(t, 1.0, l[0])
	// In between the tail hardly matters: the ratio of neighbours is the pure one.
	l = m.Likelihoods(60, 4)
	r := PureRatio(holed, worn, 60, 4)
	require.InDelta(t, (1-Slip)*math.Min(r, 1/r)+Slip, math.Min(l[0]/l[1], l[1]/l[0]), 1e-12)
	// The order of the rows does not matter.
	m.Rows = []Population{holed, worn}
	swapped := m.Likelihoods(60, 4)
	require.Equal(t, []float64{l[1], l[0], l[2]}, swapped)
}

func TestNeighbours(t *testing.T) {
	m := Model{Rows: []Population{{20, 1}, {85, 1}, {85, 2}, {150, 1}, {125, 9}, {170, 1}}, Else: sound}
	want := []int{1, 6, 6, 6, 6, 3}
	for i, w := range want {
		require.Equal(t, w, m.toward(i), "row %d", i)
	}
	require.Equal(t, []int{4, 3, 1, 2, 5, 0}, m.outward())
}

func drawPopulation(t *rapid.T, name string) Population {
	return Population{
		Mean: rapid.Float64Range(-200, 200).Draw(t, name+" mean"),
		SD:   rapid.Float64Range(0.5, 60).Draw(t, name+" sd"),
	}
}

func models(t *rapid.T) Model {
	m := Model{Unit: unit(t, "psi"), Else: drawPopulation(t, "else")}
	for range rapid.IntRange(1, 4).Draw(t, "rows") {
		m.Rows = append(m.Rows, drawPopulation(t, "row"))
	}
	return m
}

func TestEveryRowMovesOneWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := models(t)
		u := rapid.Float64Range(0, 30).Draw(t, "u")
		a := rapid.Float64Range(-500, 500).Draw(t, "a")
		b := rapid.Float64Range(a, 500).Draw(t, "b")
		la, lb := m.Likelihoods(a, u), m.Likelihoods(b, u)
		last := len(m.Rows)
		for i, p := range m.Rows {
			ra, rb := math.Log(la[i]/la[last]), math.Log(lb[i]/lb[last])
			switch {
			case p.levelWith(m.Else): // differs by spread, in both directions
			case p.Mean > m.Else.Mean:
				require.GreaterOrEqual(t, rb, ra-1e-9)
			case p.Mean < m.Else.Mean:
				require.LessOrEqual(t, rb, ra+1e-9)
			}
			require.LessOrEqual(t, math.Abs(ra), -math.Log(Slip)*float64(last)+1e-9, "bounded")
		}
	})
}

func TestReadingsOnASideNeverSpeakForTheOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Model{Unit: unit(t, "psi"), Rows: []Population{drawPopulation(t, "row")}, Else: drawPopulation(t, "else")}
		u := rapid.Float64Range(0, 30).Draw(t, "u")
		away := m.Else.Mean - m.Rows[0].Mean
		if m.Rows[0].levelWith(m.Else) {
			t.Skip("no side to speak of")
		}
		out := rapid.Float64Range(0, 1000).Draw(t, "out")
		// Beyond a mean the weight is never less on that side than at the mean.
		beyondElse := m.Likelihoods(m.Else.Mean+math.Copysign(out, away), u)
		beyondRow := m.Likelihoods(m.Rows[0].Mean-math.Copysign(out, away), u)
		atElse := m.Likelihoods(m.Else.Mean, u)
		atRow := m.Likelihoods(m.Rows[0].Mean, u)
		require.LessOrEqual(t, math.Log(beyondElse[0]/beyondElse[1]), math.Log(atElse[0]/atElse[1])+1e-9)
		require.GreaterOrEqual(t, math.Log(beyondRow[0]/beyondRow[1]), math.Log(atRow[0]/atRow[1])-1e-9)
	})
}

func TestLikelihoodsAreContinuous(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := models(t)
		u := rapid.Float64Range(0, 30).Draw(t, "u")
		y := rapid.Float64Range(-500, 500).Draw(t, "y")
		if rapid.Bool().Draw(t, "at a turn") {
			if at, ok := turn(m.Rows[0], m.Else, u); ok && math.Abs(at) < 1e6 {
				y = at
			}
		}
		const step = 1e-7
		before, after, wider := m.Likelihoods(y-step, u), m.Likelihoods(y+step, u), m.Likelihoods(y, u+step)
		here := m.Likelihoods(y, u)
		for i := range here {
			// Slopes of the log densities are at most |y-mean|/sd^2, summed over
			// neighbours; 0.5 is the least sd.
			slope := 10 * (math.Abs(y) + 1000) / 0.25
			require.InDelta(t, math.Log(before[i]), math.Log(after[i]), 4*slope*step)
			require.InDelta(t, math.Log(here[i]), math.Log(wider[i]), 4*slope*slope*step+1e-6)
		}
	})
}

func TestWeightShrinksWithUncertainty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := compression(t)
		m.Else = Population{Mean: rapid.Float64Range(100, 140).Draw(t, "else mean"), SD: rapid.Float64Range(2, 12).Draw(t, "else sd")}
		// A fault spread at least as wide, its mean two of its deviations away.
		sd := rapid.Float64Range(m.Else.SD, 20).Draw(t, "sd")
		m.Rows[0] = Population{Mean: m.Else.Mean - 2*sd - rapid.Float64Range(0, 40).Draw(t, "apart"), SD: sd}
		y := m.Rows[0].Mean - rapid.Float64Range(0, 100).Draw(t, "further")
		u := rapid.Float64Range(0, 15).Draw(t, "u")
		more := u + rapid.Float64Range(0, 15).Draw(t, "more")
		if u > sd {
			t.Skip("the means are no longer apart")
		}
		sharp, dull := m.Likelihoods(y, u), m.Likelihoods(y, more)
		require.GreaterOrEqual(t, math.Log(sharp[0]/sharp[1]), math.Log(dull[0]/dull[1])-1e-9)
	})
}

func TestSameReadingInAnyUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := models(t)
		u := rapid.SampledFrom(quantity.Pressure.Units()).Draw(t, "unit")
		e := Estimate{Value: rapid.Float64Range(-300, 300).Draw(t, "y"), U: rapid.Float64Range(0, 30).Draw(t, "u"), Unit: m.Unit}
		want, err := m.Of(e)
		require.NoError(t, err)
		other, err := e.In(u)
		require.NoError(t, err)
		got, err := m.Of(other)
		require.NoError(t, err)
		moved, err := m.In(u)
		require.NoError(t, err)
		there := moved.Likelihoods(other.Value, other.U)
		for i := range want {
			require.InDelta(t, want[i], got[i], 1e-7)
			require.InDelta(t, want[i], there[i], 1e-7)
		}
	})
	// Temperatures: deviations take no offset.
	m := Model{Unit: unit(t, "degC"), Rows: []Population{{90, 9}}, Else: Population{60, 5}}
	f, err := m.In(unit(t, "degF"))
	require.NoError(t, err)
	require.InDelta(t, 194, f.Rows[0].Mean, 1e-9)
	require.InDelta(t, 16.2, f.Rows[0].SD, 1e-9)
	require.InDelta(t, 140, f.Else.Mean, 1e-9)
	want, err := m.Of(Estimate{Value: 70, U: 2, Unit: m.Unit})
	require.NoError(t, err)
	got, err := f.Of(Estimate{Value: 70, U: 2, Unit: m.Unit})
	require.NoError(t, err)
	require.InDelta(t, want[0], got[0], 1e-9)
	require.InDelta(t, want[1], got[1], 1e-9)
}

func TestEqualMeansStayEqualInOtherUnits(t *testing.T) {
	m := Model{Unit: unit(t, "psi"), Rows: []Population{{0.3, 0.1}, {math.Nextafter(0.3, 1), 0.01}}, Else: Population{math.Nextafter(0.3, 0), 0.02}}
	require.Equal(t, 2, m.toward(0), "rounding makes no neighbours")
	require.Equal(t, 2, m.toward(1))
	low, high := m.Likelihoods(0.1, 0), m.Likelihoods(0.5, 0)
	for i := range low {
		require.InDelta(t, low[i], high[i], 1e-9)
	}
}

func TestModelsRefuse(t *testing.T) {
	m := Model{Rows: []Population{{Mean: 1, SD: 0}, {Mean: math.NaN(), SD: 1}}}
	err := m.Check()
	for _, part := range []string{"no unit", "row 1", "row 2", "else row"} {
		require.ErrorContains(t, err, part)
	}
	_, err = m.Of(Estimate{})
	require.Error(t, err)
	_, err = compression(t).Of(Estimate{Value: 3, Unit: unit(t, "V")})
	require.ErrorContains(t, err, "voltage")
	_, err = compression(t).Of(Estimate{Value: 3, U: -1, Unit: unit(t, "psi")})
	require.ErrorContains(t, err, "no likelihood")
	_, err = compression(t).In(unit(t, "V"))
	require.Error(t, err)
}

func TestBins(t *testing.T) {
	m := compression(t)
	bins := m.Bins([]float64{110}, 4)
	// Phi((110-85)/15.5241747) and Phi((110-125)/8.9442719): normal tables give
	// Phi(1.61) = 0.9463 and Phi(-1.677) = 0.0468.
	require.InDelta(t, 0.9463, bins[0][0], 1e-3)
	require.InDelta(t, 0.0468, bins[1][0], 1e-3)
	require.Equal(t, [][]float64{{1}, {1}}, Model{Rows: []Population{worn}, Else: sound}.Bins(nil, 0))
	// A limit's own cuts.
	limit := Limit{Name: "c", Quantity: quantity.Pressure, Min: ptr(q(t, "110 psi"))}
	cuts, err := limit.Cuts(m.Unit)
	require.NoError(t, err)
	require.Equal(t, bins, m.Bins(cuts, 4))
	for _, bad := range [][]float64{{110, 110}, {110, 100}, {math.NaN()}, {plusInf}} {
		require.Nil(t, m.Bins(bad, 4))
	}
	require.Nil(t, m.Bins(nil, -1))
}

func TestBinsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := models(t)
		u := rapid.Float64Range(0, 30).Draw(t, "u")
		var cuts []float64
		at := rapid.Float64Range(-300, 300).Draw(t, "first")
		for range rapid.IntRange(0, 4).Draw(t, "cuts") {
			cuts = append(cuts, at)
			at += rapid.Float64Range(0.1, 200).Draw(t, "apart")
		}
		whole := m.Bins(cuts, u)
		require.Len(t, whole, len(m.Rows)+1)
		for _, row := range whole {
			sum := 0.0
			for _, p := range row {
				require.Positive(t, p)
				sum += p
			}
			require.InDelta(t, 1, sum, 1e-12)
		}
	})
}
