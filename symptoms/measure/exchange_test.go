package measure

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// tables says how many tables of six to eight positions are tried; there are too many
// to try them all.
var tables = flag.Int("tables", 1, "try so many times as many tables of fitted parts of 6 to 8 positions")

// permutations calls f with every order of 0 to n-1; the slice is used again.
func permutations(n int, f func(perm []int)) {
	perm := make([]int, 0, n)
	used := make([]bool, n)
	var next func()
	next = func() {
		if len(perm) == n {
			f(perm)
			return
		}
		for i := range n {
			if !used[i] {
				used[i], perm = true, append(perm, i)
				next()
				used[i], perm = false, perm[:len(perm)-1]
			}
		}
	}
	next()
}

// byExchange is how many exchanges of two parts lead from the right table to every
// arrangement of its parts: breadth first, one exchange a step, knowing nothing of
// rounds. Parts are letters; like parts are the same letter.
func byExchange(right string) map[string]int {
	steps := map[string]int{right: 0}
	for level := []string{right}; len(level) > 0; {
		var next []string
		for _, s := range level {
			b := []byte(s)
			for i := range b {
				for j := range i {
					b[i], b[j] = b[j], b[i]
					if _, seen := steps[string(b)]; !seen {
						steps[string(b)] = steps[s] + 1
						next = append(next, string(b))
					}
					b[i], b[j] = b[j], b[i]
				}
			}
		}
		level = next
	}
	return steps
}

// bestByExchange is the best explanation of a table by its arrangements: each of them
// agrees with the table where it can, and a position that it leaves unexplained keeps
// its own part, so that exchanges there explain nothing. Of those that explain most
// wrong positions, the one that is reached by the fewest exchanges, then with the
// fewest positions not read that hold another part.
func bestByExchange(right, found string, steps map[string]int) effort {
	best := effort{swaps: len(right) + 1}
	for s, n := range steps {
		e := effort{swaps: n}
		ok := true
		for i := range s {
			switch moved := s[i] != right[i]; {
			case found[i] == '?':
				if moved {
					e.assumed++
				}
			case found[i] == right[i]:
				ok = ok && !moved
			case s[i] == found[i]:
				e.explained++
			default:
				ok = ok && !moved // a foreign part stays out of every exchange
			}
		}
		if ok && (best.swaps > len(right) || e.better(best)) {
			best = e
		}
	}
	return best
}

// requireLeast compares a table with what breadth first search finds.
func requireLeast(t *testing.T, right, found string, steps map[string]int) {
	rows := make([]Fitted, len(right))
	for i := range right {
		rows[i] = Fitted{Position: fmt.Sprint(i + 1), Expected: right[i : i+1], Found: strings.TrimSuffix(found[i:i+1], "?")}
	}
	got, err := CheckFitted(rows)
	if err != nil {
		require.NoError(t, err)
	}
	have := effort{explained: len(got.Wrong) - len(got.Foreign)}
	for _, e := range got.Exchanges {
		have.swaps += len(e.Positions) - 1
		for _, p := range e.Unread {
			// One of like parts that goes on in a round may hold its own mark.
			if i := int(p[0] - '1'); holderOf(rows, e, p) != right[i:i+1] {
				have.assumed++
			}
		}
		requireRoundPlain(t, rows, e)
	}
	if want := bestByExchange(right, found, steps); !have.equal(want) {
		require.Failf(t, "not the least", "sheet %s, found %s: %+v by search, %+v in %v", right, found, want, have, got.Exchanges)
	}
}

// holderOf is the mark of the part that a position of a round holds: that of the next.
func holderOf(rows []Fitted, e Exchange, position string) string {
	i := slices.Index(e.Positions, position)
	next := e.Positions[(i+1)%len(e.Positions)]
	return rows[next[0]-'1'].Expected
}

func requireRoundPlain(t *testing.T, rows []Fitted, e Exchange) {
	for i, p := range e.Positions {
		have, next := rows[p[0]-'1'], rows[e.Positions[(i+1)%len(e.Positions)][0]-'1']
		if have.Found != "" && have.Found != next.Expected {
			require.Failf(t, "no round", "%v: %s holds %q, not %q", rows, p, have.Found, next.Expected)
		}
	}
}

// All permutations of up to eight parts of which no two are alike: 8! = 40320 of the
// largest. With distinct parts there is one explanation, and its exchanges are as many
// as breadth first search needs.
func TestEveryPermutation(t *testing.T) {
	for n := 1; n <= MostFitted; n++ {
		right := "abcdefgh"[:n]
		steps := byExchange(right)
		tried := 0
		permutations(n, func(perm []int) {
			tried++
			rows := make([]Fitted, n)
			found := make([]byte, n)
			for i, p := range perm {
				found[i] = right[p]
				rows[i] = Fitted{Position: fmt.Sprint(i + 1), Expected: right[i : i+1], Found: right[p : p+1]}
			}
			got, err := CheckFitted(rows)
			swaps := 0
			for _, e := range got.Exchanges {
				swaps += len(e.Positions) - 1
				requireRoundPlain(t, rows, e)
			}
			if err != nil || got.Ways != 1 || len(got.Foreign) > 0 || swaps != steps[string(found)] {
				require.Failf(t, "not the least", "found %s: %d exchanges, %d by search, %d ways", found, swaps, steps[string(found)], got.Ways)
			}
		})
		require.Len(t, steps, tried, "the search has seen them all")
	}
}

// Every table of up to five positions, with parts not read, of no position, and too
// often, of sheets with distinct parts and with like ones in every way; of six to eight
// a sample of each sheet.
func TestEveryTable(t *testing.T) {
	draw := rand.New(rand.NewPCG(3, 5))
	for n := 2; n <= MostFitted; n++ {
		for _, right := range sheetsOf(n) {
			steps := byExchange(right)
			if n <= 5 {
				everyFound(right, func(found string) { requireLeast(t, right, found, steps) })
				continue
			}
			for range *tables * max(4, 20000/len(steps)) {
				requireLeast(t, right, drawnFound(draw, right), steps)
			}
		}
	}
}

// sheetsOf is what n positions are to hold, up to the names of the parts: all distinct,
// or like parts in every way, as growing letters.
func sheetsOf(n int) []string {
	var out []string
	var grow func(s string, last byte)
	grow = func(s string, last byte) {
		if len(s) == n {
			out = append(out, s)
			return
		}
		for p := byte('a'); p <= last+1; p++ {
			if p >= s[len(s)-1] { // like parts side by side: positions have no order for exchanges
				grow(s+string(p), max(last, p))
			}
		}
	}
	grow("a", 'a')
	return out
}

// everyFound calls f with every way to find the parts of a sheet, parts of no position
// (x) and positions not read (?).
func everyFound(right string, f func(found string)) {
	marks := []byte("?x")
	for i := range right {
		if !slices.Contains(marks, right[i]) {
			marks = append(marks, right[i])
		}
	}
	found := make([]byte, len(right))
	var next func(i int)
	next = func(i int) {
		if i == len(found) {
			f(string(found))
			return
		}
		for _, m := range marks {
			found[i] = m
			next(i + 1)
		}
	}
	next(0)
}

// drawnFound is one of them, now and then with a part too often.
func drawnFound(draw *rand.Rand, right string) string {
	b := []byte(right)
	draw.Shuffle(len(b), func(i, j int) { b[i], b[j] = b[j], b[i] })
	for i := range b {
		switch draw.IntN(8) {
		case 0:
			b[i] = '?'
		case 1:
			b[i] = 'x'
		case 2:
			b[i] = right[draw.IntN(len(right))]
		}
	}
	return string(b)
}
