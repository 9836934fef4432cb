package diagnosability

import (
	"math"
	"slices"
)

// Share is a part of the faults: their number, and their part of all that is
// measured against, by number and by prior.
type Share struct {
	Faults  int     `json:"faults"`
	ByCount float64 `json:"by_count"`
	ByPrior float64 `json:"by_prior"`
}

// Figures are the figures of a set of checks. Of no faults every part is 0.
type Figures struct {
	Faults   int   `json:"faults"`   // all that are counted
	Detected Share `json:"detected"` // FFD; of all
	// Isolated holds FFI to groups of at most 1, 2 and 3; of those detected.
	Isolated [3]Share `json:"isolated"`
	Larger   Share    `json:"larger"` // in groups of more than 3; of those detected
	// MeanSize is the mean size of the group that a fault stands in, over those
	// detected, by prior; 0 if none is.
	MeanSize float64 `json:"mean_group_size"`
}

// Measure makes the figures of faults with their priors, whether each is detected
// and how large the group is that it stands in.
func Measure(prior []float64, detected []bool, size []int) Figures {
	f := Figures{Faults: len(prior)}
	all, found, weighted := 0.0, 0.0, 0.0
	var mass [4]float64 // by size, the last larger
	var count [4]int
	for i, p := range prior {
		all += p
		if !detected[i] {
			continue
		}
		found += p
		f.Detected.Faults++
		weighted += float64(p * float64(size[i]))
		k := min(size[i], 4) - 1
		mass[k] += p
		count[k]++
	}
	f.Detected = share(f.Detected.Faults, f.Faults, found, all)
	n, sum := 0, 0.0
	for k := range f.Isolated {
		n, sum = n+count[k], sum+mass[k]
		f.Isolated[k] = share(n, f.Detected.Faults, sum, found)
	}
	f.Larger = share(count[3], f.Detected.Faults, mass[3], found)
	if found > 0 {
		f.MeanSize = weighted / found
	}
	return f
}

func share(n, of int, mass, whole float64) Share {
	s := Share{Faults: n}
	if of > 0 {
		s.ByCount = float64(n) / float64(of)
	}
	if whole > 0 {
		s.ByPrior = mass / whole
	}
	return s
}

// Signatures partitions rows of a D-matrix: rows alike in every column given stand
// in one group, in the order of their first. The groups and their members rise.
func Signatures(rows [][]int, columns []int) [][]int {
	at := make(map[string]int)
	var out [][]int
	for i, row := range rows {
		var key []byte
		for _, c := range columns {
			key = append(key, byte(row[c]), byte(row[c]>>8))
		}
		k, ok := at[string(key)]
		if !ok {
			k = len(out)
			at[string(key)] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], i)
	}
	return out
}

// Fold says which faults need not be told from one another.
type Fold string

// The foldings.
const (
	ByPlace  Fold = "place"  // every fault at every place counts by itself
	ByMode   Fold = "mode"   // the same fault at another position counts as such
	ByRepair Fold = "repair" // what one repair puts right as well needs no telling apart
)

// Folds lists them.
func Folds() []Fold { return []Fold{ByPlace, ByMode, ByRepair} }

// size counts a fault and those others that it may be taken for.
func (x *Matrix) size(fold Fold, fault int, others []int) int {
	switch fold {
	case ByMode:
		ids := []string{x.Faults[fault].ID}
		for _, o := range others {
			if !slices.Contains(ids, x.Faults[o].ID) {
				ids = append(ids, x.Faults[o].ID)
			}
		}
		return len(ids)
	case ByRepair:
		n := 1
		for _, o := range others {
			if !x.oneRepair(fault, o) {
				n++
			}
		}
		return n
	}
	return 1 + len(others)
}

// oneRepair tells whether some repair puts both faults right.
func (x *Matrix) oneRepair(a, b int) bool {
	for _, r := range x.Faults[a].Repairs {
		if slices.Contains(x.Faults[b].Repairs, r) {
			return true
		}
	}
	return false
}

// reading is how a level tells faults from soundness and from each other.
type reading struct {
	detected []bool
	others   [][]int // by fault: those that it may be taken for, rising
}

func (x *Matrix) figures(r reading, fold Fold) Figures {
	prior, size := make([]float64, len(x.Faults)), make([]int, len(x.Faults))
	for i, f := range x.Faults {
		prior[i], size[i] = f.Prior, x.size(fold, i, r.others[i])
	}
	return Measure(prior, r.detected, size)
}

// entries is the whole D-matrix.
func (x *Matrix) entries() [][]int {
	rows := make([][]int, len(x.Faults))
	for f := range rows {
		rows[f] = make([]int, len(x.Checks))
		for c := range rows[f] {
			rows[f][c] = x.Entry(f, c)
		}
	}
	return rows
}

// classical is the reading by equal rows of the D-matrix, and its groups.
func classical(entries [][]int, columns []int) (reading, [][]int) {
	r := reading{make([]bool, len(entries)), make([][]int, len(entries))}
	groups := Signatures(entries, columns)
	for _, g := range groups {
		shown := slices.ContainsFunc(columns, func(c int) bool { return entries[g[0]][c] != 0 })
		for _, f := range g {
			r.detected[f] = shown
			r.others[f] = slices.DeleteFunc(slices.Clone(g), func(o int) bool { return o == f })
		}
	}
	return r, groups
}

// coefficient is the Bhattacharyya coefficient of two distributions: the sum of
// the roots of their products, 1 for equal ones, 0 where they never agree.
func coefficient(p, q []float64) float64 {
	sum := 0.0
	for i := range p {
		sum += math.Sqrt(p[i] * q[i])
	}
	return min(1, sum)
}

// variation is their total variation distance.
func variation(p, q []float64) float64 {
	sum := 0.0
	for i := range p {
		sum += math.Abs(p[i] - q[i])
	}
	return min(1, sum/2)
}
