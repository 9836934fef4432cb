package measure

import (
	"fmt"
	"math"
	"slices"

	"narrows/symptoms/quantity"
)

// Like parts of one engine are compared with one another where no sheet says what
// they should read.

// Apart is how the readings of like positions stand to one another.
type Apart struct {
	State   ApartState `json:"state"`
	Lowest  string     `json:"lowest"`  // its position, the first of equals
	Highest string     `json:"highest"` // its position, the last of equals
	Spread  float64    `json:"spread"`  // highest less lowest, in Unit, at least 0
	// Position stands apart from the others by By, in Unit, above 0 where it reads
	// more than their median; StandsApart only.
	Position string  `json:"position,omitempty"`
	By       float64 `json:"by,omitempty"`
	Unit     Unit    `json:"unit"` // the difference of the first reading's unit
}

// ApartState says how like positions stand to one another.
type ApartState string

// The states.
const (
	OneAlone    ApartState = "nothing to compare with"
	AllAgree    ApartState = "all agree"         // within their uncertainties
	StandsApart ApartState = "one stands apart"  // and is told
	Scattered   ApartState = "none stands apart" // they differ, and no single one from all others
	TwoDiffer   ApartState = "the two differ"    // and nothing tells which of them is out
)

// differs is by how many standard uncertainties of a difference two readings have to
// differ: 95 %, two-sided.
const differs = 1.96

// dixon are the critical values of Dixon's ratio r10 for 3 to 10 values, a chance of
// 5 % that one of normal scatter is called an outlier, at either end (W. J. Dixon,
// Biometrics 9 (1953) 74; D. B. Rorabacher, Anal. Chem. 63 (1991) 139; both from
// memory, checked by simulation).
var dixon = [...]float64{3: 0.970, 4: 0.829, 5: 0.710, 6: 0.625, 7: 0.568, 8: 0.526, 9: 0.493, 10: 0.466}

// StandApart compares like positions with one another. One stands apart where the
// gap to its neighbour is larger than their uncertainties explain, and so large a
// share of the spread that normal scatter gives it in one case of twenty at most
// (Dixon's r10). The readings of the others are taken as they are, so that one that
// is out does not widen what it is held against. Two that are out hide each other:
// then none stands apart. Of more than ten positions the bound of ten is used, which
// calls fewer apart. No reading, or one that cannot be had in the first one's unit, is
// an error.
func StandApart(siblings []Sibling) (Apart, error) {
	if len(siblings) == 0 {
		return Apart{}, fmt.Errorf("there is no reading; take one")
	}
	unit := siblings[0].Reading.Unit
	all := make([]placedEstimate, 0, len(siblings))
	for _, s := range siblings {
		e, err := s.Reading.Estimate.In(unit)
		if err != nil {
			return Apart{}, fmt.Errorf("position %s: %w", s.Position, err)
		}
		if !finite(e.Value) || !finite(e.U) || e.U < 0 {
			return Apart{}, fmt.Errorf("position %s: a value of %v with a standard uncertainty of %v cannot be compared; take the reading again", s.Position, e.Value, e.U)
		}
		all = append(all, placedEstimate{s.Position, e})
	}
	slices.SortStableFunc(all, func(a, b placedEstimate) int {
		switch {
		case a.Value < b.Value:
			return -1
		case a.Value > b.Value:
			return 1
		}
		return 0
	})
	n := len(all)
	a := Apart{State: Scattered, Lowest: all[0].position, Highest: all[n-1].position, Spread: all[n-1].Value - all[0].Value, Unit: unit.Difference()}
	switch {
	case n == 1:
		a.State = OneAlone
	case !differ(all[0], all[n-1]):
		a.State = AllAgree
	case n == 2:
		a.State = TwoDiffer
	default:
		a.outlier(all)
	}
	return a, nil
}

type placedEstimate struct {
	position string
	Estimate
}

// differ tells whether two readings differ by more than their uncertainties explain;
// a hair of rounding is no difference.
func differ(a, b placedEstimate) bool {
	by := math.Abs(b.Value - a.Value)
	return by > float64(differs*math.Hypot(a.U, b.U))+float64(1e-9*math.Max(math.Abs(a.Value), math.Abs(b.Value)))
}

// outlier finds the one of three or more rising readings that stands apart.
func (a *Apart) outlier(all []placedEstimate) {
	n := len(all)
	low, high := all[1].Value-all[0].Value, all[n-1].Value-all[n-2].Value
	at, next, others := n-1, n-2, all[:n-1]
	gap := high
	if low > high {
		at, next, others, gap = 0, 1, all[1:], low
	}
	bound := dixon[min(n, len(dixon)-1)]
	if !differ(all[at], all[next]) || gap < float64(bound*a.Spread) {
		return
	}
	a.State, a.Position, a.By = StandsApart, all[at].position, all[at].Value-median(others)
}

// median is the middle of rising values, the mean of the two in the middle.
func median(all []placedEstimate) float64 {
	n := len(all)
	return (all[(n-1)/2].Value + all[n/2].Value) / 2
}

// String is the comparison in words, with the positions as they are named.
func (a Apart) String() string {
	switch a.State {
	case StandsApart:
		side := "above"
		if a.By < 0 {
			side = "below"
		}
		return fmt.Sprintf("%s stands apart, %s %s the middle of the others", a.Position, quantity.Format(math.Abs(a.By), a.Unit, 3), side)
	case Scattered:
		return fmt.Sprintf("none stands apart; they differ by up to %s, %s the lowest and %s the highest", quantity.Format(a.Spread, a.Unit, 3), a.Lowest, a.Highest)
	case TwoDiffer:
		return fmt.Sprintf("%s reads %s more than %s; of two it cannot be said which is out", a.Highest, quantity.Format(a.Spread, a.Unit, 3), a.Lowest)
	}
	return string(a.State)
}
