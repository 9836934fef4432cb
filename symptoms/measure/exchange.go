package measure

import "math/bits"

// A set of positions is a bit set over the open rows of a table: those that
// are wrong or not read. A set is closed if the parts found in it are parts
// expected in it, each as often at most; its positions not read then hold what
// is left. A closed set that holds no smaller closed one is a single round of
// exchanges. Every explanation parts some open rows into closed sets.

// effort is what an explanation is measured by; the better one explains more,
// then exchanges less, then assumes less.
type effort struct {
	explained int // wrong positions in exchanges
	swaps     int // exchanges of two parts: positions less rounds
	assumed   int // positions not read in exchanges
	ways      int // how many explanations are as good
}

func (e effort) better(f effort) bool {
	switch {
	case e.explained != f.explained:
		return e.explained > f.explained
	case e.swaps != f.swaps:
		return e.swaps < f.swaps
	}
	return e.assumed < f.assumed
}

func (e effort) equal(f effort) bool {
	return e.explained == f.explained && e.swaps == f.swaps && e.assumed == f.assumed
}

// leastExchanges is the best explanation of the open rows, its sets in the order
// of their first positions. It walks all subsets, for each the closed sets that
// hold its first position: 3^8 = 6561 steps at most.
func leastExchanges(open []Fitted) (effort, []int) {
	all := 1<<len(open) - 1
	best := make([]effort, all+1)
	taken := make([]int, all+1) // the set that the first position goes into; 0: none
	closed := closedSets(open)
	best[0].ways = 1
	for rest := 1; rest <= all; rest++ {
		first := rest & -rest
		best[rest] = best[rest&^first] // left out: a foreign part, or not read
		for set := rest; set > 0; set = (set - 1) & rest {
			if set&first == 0 || bits.OnesCount(uint(set)) < 2 || !closed[set] {
				continue
			}
			try := best[rest&^set].with(open, set)
			switch {
			case try.better(best[rest]):
				best[rest], taken[rest] = try, set
			case try.equal(best[rest]):
				best[rest].ways += try.ways
				if taken[rest] == 0 || set < taken[rest] {
					taken[rest] = set
				}
			}
		}
	}
	var sets []int
	for rest := all; rest != 0; {
		set := taken[rest]
		if set == 0 {
			rest &^= rest & -rest
			continue
		}
		sets = append(sets, set)
		rest &^= set
	}
	return best[all], sets
}

// with is the effort of an explanation and one more round.
func (e effort) with(open []Fitted, set int) effort {
	e.swaps += bits.OnesCount(uint(set)) - 1
	for i, r := range open {
		switch {
		case set&(1<<i) == 0:
		case mark(r.Found) == "":
			e.assumed++
		default:
			e.explained++
		}
	}
	return e
}

// closedSets says for every set whether it is closed.
func closedSets(open []Fitted) []bool {
	closed := make([]bool, 1<<len(open))
	for set := range closed {
		closed[set] = isClosed(open, set)
	}
	return closed
}

func isClosed(open []Fitted, set int) bool {
	left := map[string]int{} // looked up only
	for i, r := range open {
		if set&(1<<i) != 0 {
			left[mark(r.Expected)]++
		}
	}
	for i, r := range open {
		found := mark(r.Found)
		if set&(1<<i) == 0 || found == "" {
			continue
		}
		if left[found] == 0 {
			return false
		}
		left[found]--
	}
	return true
}

// round puts the positions of a closed set that holds no smaller one in the
// order of Exchange, from the first position on.
func round(open []Fitted, set int) Exchange {
	var e Exchange
	at := bits.TrailingZeros(uint(set))
	for set != 0 {
		set &^= 1 << at
		e.Positions = append(e.Positions, open[at].Position)
		found := mark(open[at].Found)
		if found == "" {
			e.Unread = append(e.Unread, open[at].Position)
		}
		next := -1
		for i, r := range open {
			// A part not read is that which nobody else in the round holds.
			if set&(1<<i) != 0 && (mark(r.Expected) == found || (found == "" && !holds(open, set, mark(r.Expected)))) {
				next = i
				break
			}
		}
		if next < 0 {
			break
		}
		at = next
	}
	return e
}

// holds says whether a part of the mark was found in the set.
func holds(open []Fitted, set int, m string) bool {
	for i, r := range open {
		if set&(1<<i) != 0 && mark(r.Found) == m {
			return true
		}
	}
	return false
}
