package measure

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"narrows/symptoms/quantity"
)

// Model is the reading model of a check: how the true value is spread in each
// state that the check tells apart, and in parts that are in none of them. All
// numbers are in Unit, deviations in its difference.
//
// # From a reading to likelihoods
//
// The densities of a reading y with standard uncertainty u are normal with
// variance sd^2 + u^2. Two things are done to their ratios.
//
// Held at the turn. With unequal deviations the ratio of two normal densities
// turns round beyond one of the means: a compression far above every sound one
// would again speak for worn rings, only because worn engines spread more.
// There the ratio is held at its extremum. So a reading further out on the side
// away from a fault never starts to count for the fault, and one further out on
// the fault's side never starts to count against it. Populations with equal
// means differ by spread alone, in both directions, and are not held.
//
// A heavy tail. With probability Slip a reading is not of this part at all: the
// wrong hole, a leaking hose, a misread scale. Nothing is known of such
// readings, so they are given no weight between two states: their density is
// taken as that of whichever of the two fits better. A ratio r <= 1 becomes
//
//	(1-Slip) r + Slip
//
// and a ratio above 1 the inverse of what its inverse becomes. It stays between
// Slip and 1/Slip, so that one wild reading cannot outweigh everything else,
// keeps its order and is continuous.
//
// Several states stand in a row by their means, on either side of Else. Each is
// compared in this way with its neighbour toward Else, and the ratios are
// multiplied. So every ratio on one side moves one way with the reading, is
// bounded by one factor of 1/Slip a step, and equals the ratio of the normal
// densities but for the tail and the turns. A population whose mean is that of
// Else is compared with Else.
type Model struct {
	Unit quantity.Unit `json:"unit"`
	Rows []Population  `json:"rows"` // in the order of the check's rows
	Else Population    `json:"else"` // parts in no state of the rows
}

// Slip is the probability that a reading is not of the part at all: one in a
// thousand, judgement. It bounds what one reading can say to 1000 to 1 between
// neighbouring states.
const Slip = 0.001

// Check says everything that is wrong with the model, joined; nil if nothing.
func (m Model) Check() error {
	var all []error
	if m.Unit.IsZero() {
		all = append(all, fmt.Errorf("the reading model has no unit; give it one"))
	}
	for i, p := range m.Rows {
		all = append(all, p.check(fmt.Sprintf("row %d of the reading model", i+1)))
	}
	all = append(all, m.Else.check("the else row of the reading model"))
	return errors.Join(all...)
}

// In is the model in the unit u; deviations take no offset.
func (m Model) In(u quantity.Unit) (Model, error) {
	out := Model{Unit: u, Rows: make([]Population, 0, len(m.Rows))}
	for _, p := range append(append([]Population{}, m.Rows...), m.Else) {
		e, err := Estimate{Value: p.Mean, U: p.SD, Unit: m.Unit}.In(u)
		if err != nil {
			return Model{}, err
		}
		out.Rows = append(out.Rows, Population{Mean: e.Value, SD: e.U})
	}
	last := len(m.Rows)
	out.Rows, out.Else = out.Rows[:last], out.Rows[last]
	return out, nil
}

// Of is the likelihoods of an estimate in any unit of the model's dimension,
// with all that can be wrong as errors.
func (m Model) Of(e Estimate) ([]float64, error) {
	if err := m.Check(); err != nil {
		return nil, err
	}
	e, err := e.In(m.Unit)
	if err != nil {
		return nil, err
	}
	l := m.Likelihoods(e.Value, e.U)
	if l == nil {
		return nil, fmt.Errorf("a value of %v with a standard uncertainty of %v has no likelihood; take the reading again", e.Value, e.U)
	}
	return l, nil
}

// Likelihoods is how likely the reading y with standard uncertainty u >= 0 is in
// each state: one number in (0,1] for each row, then one for Else, scaled so
// that the largest is 1. The model must pass Check. It is nil where y or u is
// not a number, larger than 1e100, or u is below 0.
func (m Model) Likelihoods(y, u float64) []float64 {
	const largestRead = 1e100 // squares stay finite
	if !(math.Abs(y) <= largestRead && u >= 0 && u <= largestRead) {
		return nil
	}
	logs := make([]float64, len(m.Rows)+1) // the last, Else, stays 0
	largest := 0.0
	for _, i := range m.outward() {
		toward := m.toward(i)
		ratio := steadyLogRatio(m.Rows[i], m.population(toward), y, u)
		logs[i] = logs[toward] + withTail(ratio)
		largest = math.Max(largest, logs[i])
	}
	for i := range logs {
		logs[i] = math.Exp(logs[i] - largest)
	}
	return logs
}

// Ratio is how many times likelier the reading y with standard uncertainty u >= 0
// is for the row, an index of Rows, than for Else, by the normal densities
// alone: PureRatio, without tail or turn. It is for people and for checking by
// hand; a belief takes Likelihoods.
func (m Model) Ratio(row int, y, u float64) float64 {
	return PureRatio(m.Rows[row], m.Else, y, u)
}

// withTail is the logarithm of a ratio after slips are allowed for.
func withTail(logRatio float64) float64 {
	const kept = 1 - Slip
	small := math.Log(float64(kept*math.Exp(-math.Abs(logRatio))) + Slip)
	if logRatio > 0 {
		return -small
	}
	return small
}

// population is that of a row, or Else behind the last.
func (m Model) population(i int) Population {
	if i == len(m.Rows) {
		return m.Else
	}
	return m.Rows[i]
}

// outward is the rows by the distance of their means from that of Else, equals
// in their order.
func (m Model) outward() []int {
	order := make([]int, len(m.Rows))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return m.distance(order[a]) < m.distance(order[b]) })
	return order
}

func (m Model) distance(i int) float64 { return math.Abs(m.Rows[i].Mean - m.Else.Mean) }

// toward is the neighbour of row i toward Else: the row with the nearest mean
// strictly between, the first of equals, or Else.
func (m Model) toward(i int) int {
	found := len(m.Rows)
	row := m.Rows[i]
	if row.levelWith(m.Else) {
		return found
	}
	for j, p := range m.Rows {
		beyond := (p.Mean > m.Else.Mean) != (row.Mean > m.Else.Mean) || m.distance(j) >= m.distance(i)
		if beyond || p.levelWith(m.Else) || p.levelWith(row) {
			continue
		}
		if found == len(m.Rows) || (m.distance(j) > m.distance(found) && !p.levelWith(m.Rows[found])) {
			found = j
		}
	}
	return found
}

// Bins is the probability, before the reading is taken, that it will lie in each
// of the bins that the cuts part: for each row, then for Else, one number a
// bin, the lowest bin first, adding up to 1. The cuts are in Unit and rise; u is
// the standard uncertainty that the reading will have. Normal densities with
// variance sd^2 + u^2, and with probability Slip any bin as likely as another,
// so that no outcome is impossible. It is nil where the cuts do not rise or a
// number is not finite.
//
// The bins are of the normal populations as they stand, not held at a turn: the
// turns lie in tails that hardly add to a bin's probability.
func (m Model) Bins(cuts []float64, u float64) [][]float64 {
	if !finite(u) || u < 0 {
		return nil
	}
	for i, c := range cuts {
		if !finite(c) || (i > 0 && c <= cuts[i-1]) {
			return nil
		}
	}
	all := make([][]float64, 0, len(m.Rows)+1)
	for i := range len(m.Rows) + 1 {
		all = append(all, m.population(i).bins(cuts, u))
	}
	return all
}

// bins is the row of Bins for one population.
func (p Population) bins(cuts []float64, u float64) []float64 {
	n := len(cuts) + 1
	row := make([]float64, 0, n)
	a := math.Inf(-1)
	for i := range n {
		b := math.Inf(1)
		if i < len(cuts) {
			b = cuts[i]
		}
		row = append(row, float64((1-Slip)*p.between(a, b, u))+Slip/float64(n))
		a = b
	}
	return row
}
