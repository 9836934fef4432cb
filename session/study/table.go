package study

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Estimate is a mean, of values of at least 0, with its 95 % confidence
// interval. With one case alone the interval is the mean itself, which says
// nothing.
type Estimate struct {
	Mean float64 `json:"mean"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Row is how one policy did over all cases.
type Row struct {
	Policy     string    `json:"policy"`
	Title      string    `json:"title"`
	Minutes    Estimate  `json:"minutes"`
	Median     float64   `json:"median"`
	P90        float64   `json:"p90"`
	OfChart    *Estimate `json:"of_chart,omitempty"` // mean minutes over the fixed chart's, if that was played
	FirstRight Estimate  `json:"first_suspect_right"`
	Needless   Estimate  `json:"needless_openings"`
	InVain     Estimate  `json:"parts_in_vain"`
	Actions    float64   `json:"actions"`
	HandedOn   int       `json:"handed_on"`
	Uncomputed int       `json:"uncomputed"` // of those handed on: because the model could not be computed
}

// Table is what a study found.
type Table struct {
	Engine      string `json:"engine"`
	Seed        uint64 `json:"seed"`
	Runs        int    `json:"runs"`   // asked for
	Played      int    `json:"played"` // to the end
	Interrupted bool   `json:"interrupted"`
	Rows        []Row  `json:"policies"`
}

// tabulate sums up the results, by case and then policy.
func tabulate(policies []Policy, results [][]Result) *Table {
	t := &Table{Played: len(results)}
	if len(results) == 0 {
		return t
	}
	minutes := func(k int) []float64 {
		return column(results, k, func(r Result) float64 { return r.Minutes })
	}
	against := slices.IndexFunc(policies, func(p Policy) bool { return p.ID() == "chart" })
	for k, p := range policies {
		x := minutes(k)
		row := Row{Policy: p.ID(), Title: p.Title(), Minutes: estimate(x), Median: quantile(x, 0.5), P90: quantile(x, 0.9),
			FirstRight: share(column(results, k, func(r Result) float64 { return one(r.FirstRight) })),
			Needless:   estimate(column(results, k, func(r Result) float64 { return float64(r.Needless) })),
			InVain:     estimate(column(results, k, func(r Result) float64 { return float64(r.InVain) })),
			Actions:    estimate(column(results, k, func(r Result) float64 { return float64(r.Actions) })).Mean}
		for _, r := range results {
			row.HandedOn += int(one(!r[k].Cured))
			row.Uncomputed += int(one(r[k].Uncomputed))
		}
		if against >= 0 {
			q := ratio(x, minutes(against))
			row.OfChart = &q
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func column(results [][]Result, k int, of func(Result) float64) []float64 {
	out := make([]float64, len(results))
	for i, r := range results {
		out[i] = of(r[k])
	}
	return out
}

func one(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// sure is the quantile of Student's t for a two-sided 95 % interval.
func sure(n int) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(n - 1)}.Quantile(0.975)
}

// estimate is the mean with Student's interval.
func estimate(x []float64) Estimate {
	m, n := mean(x), len(x)
	if n < 2 {
		return Estimate{m, m, m}
	}
	sum := 0.0
	for _, v := range x {
		sum += float64((v - m) * (v - m))
	}
	half := sure(n) * math.Sqrt(sum/float64(n-1)/float64(n))
	return Estimate{m, max(0, m-half), m + half}
}

// share is the share of ones with Wilson's score interval (Wilson 1927), which
// stays within 0 and 1 and does not vanish where none or all are ones.
func share(x []float64) Estimate {
	const z = 1.959963984540054
	p, n := mean(x), float64(len(x))
	mid := (p + z*z/(2*n)) / (1 + z*z/n)
	half := z / (1 + z*z/n) * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	return Estimate{p, max(0, mid-half), min(1, mid+half)}
}

// ratio is the ratio of the means of paired values with the interval of its
// linearised variance (Cochran, Sampling Techniques, 1977, section 6.4; from
// memory): the deviations of x - r y within each pair.
func ratio(x, y []float64) Estimate {
	r, n := mean(x)/mean(y), len(x)
	if n < 2 {
		return Estimate{r, r, r}
	}
	sum := 0.0
	for i := range x {
		d := x[i] - float64(r*y[i])
		sum += float64(d * d)
	}
	half := sure(n) * math.Sqrt(sum/float64(n-1)/float64(n)) / mean(y)
	return Estimate{r, max(0, r-half), r + half}
}

// quantile is the smallest value that at least that share of the values does
// not exceed.
func quantile(x []float64, q float64) float64 {
	s := slices.Sorted(slices.Values(x))
	return s[max(0, int(math.Ceil(q*float64(len(s))))-1)]
}
