package measure

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// fittedTable is positions 1, 2, ... with the marks expected and found.
func fittedTable(expected, found []string) []Fitted {
	var rows []Fitted
	for i := range expected {
		rows = append(rows, Fitted{Position: fmt.Sprint(i + 1), Expected: expected[i], Found: found[i]})
	}
	return rows
}

func TestCheckFitted(t *testing.T) {
	jets := []string{"42", "45", "45", "40"}
	for _, c := range []struct {
		expected, found []string
		state           FittedState
		words           string
	}{
		{jets, []string{"42", " 45", "45", "40"}, FittedRight, "as it should be"},
		{jets, []string{"40", "45", "45", "42"}, FittedExchanged, "the parts of 1 and 4 are exchanged"},
		{jets, []string{"45", "42", "45", "40"}, FittedExchanged, "the parts of 1 and 2 are exchanged"},
		{jets, []string{"45", "40", "45", "42"}, FittedExchanged, "the parts have gone round: 1 holds the part of 2, 2 that of 4, 4 that of 1"},
		{jets, []string{"42", "45", "48", "40"}, FittedWrong, "3 holds 48 in place of 45"},
		{jets, []string{"40", "48", "45", "42"}, FittedWrong, "the parts of 1 and 4 are exchanged; 2 holds 48 in place of 45"},
		{jets, []string{"45", "45", "45", "40"}, FittedWrong, "1 holds 45 in place of 42"},
		{jets, []string{"40", "45", "", "42"}, FittedExchanged, "the parts of 1 and 4 are exchanged; not read: 3"},
		{jets, []string{"40", "45", "45", ""}, FittedExchanged, "the parts of 1 and 4 are exchanged, if 4 holds that part (not read); not read: 4"},
		{jets, []string{"", "45", "45", "42"}, FittedExchanged, "the parts of 1 and 4 are exchanged, if 1 holds that part (not read); not read: 1"},
		{jets, []string{"", "", "", ""}, FittedRight, "nothing to judge; not read: 1, 2, 3, 4"},
		{jets, []string{"42", "", "45", "40"}, FittedRight, "as it should be where read; not read: 2"},
		{jets, []string{"none", "45", "45", "40"}, FittedWrong, "1 holds none in place of 42"},
		{[]string{"", "45"}, []string{"99", "45"}, FittedRight, "as it should be"},
		{[]string{"a", "b", "a", "b"}, []string{"b", "a", "b", "a"}, FittedExchanged,
			"the parts of 1 and 2 are exchanged; the parts of 3 and 4 are exchanged; other exchanges would explain it as well"},
		{[]string{"Type A", "type b"}, []string{"TYPE B", "typea"}, FittedExchanged, "the parts of 1 and 2 are exchanged"},
		{nil, nil, FittedRight, "the sheet names no part"},
		{[]string{""}, []string{"45"}, FittedRight, "the sheet names no part"},
	} {
		got, err := CheckFitted(fittedTable(c.expected, c.found))
		require.NoError(t, err)
		require.Equal(t, c.state, got.State, c.words)
		require.Equal(t, c.words, got.String())
	}
	require.Equal(t, "no parts are exchanged", Exchange{}.String())
	require.Equal(t, "wrong parts", FittedWrong.String())
}

func TestCheckFittedRefuses(t *testing.T) {
	_, err := CheckFitted(make([]Fitted, 9))
	require.EqualError(t, err, "a table of 9 fitted parts; check up to 8 positions at a time")
	_, err = CheckFitted([]Fitted{{Position: "1"}, {Position: "1"}})
	require.EqualError(t, err, `position "1" stands twice in the table of fitted parts; name each once`)
}

// everyAssignment finds the best explanation by trying, for every position, each
// position whose part it might hold: all permutations.
func everyAssignment(rows []Fitted) effort {
	n := len(rows)
	best := effort{swaps: n + 1}
	perm := make([]int, 0, n)
	used := make([]bool, n)
	var try func()
	try = func() {
		if len(perm) == n {
			if e := measured(rows, perm); best.swaps > n || e.better(best) {
				best = e
			}
			return
		}
		i := len(perm)
		for j := range n {
			fits := j == i || rows[i].Found == "" || rows[i].Found == rows[j].Expected
			if used[j] || !fits {
				continue
			}
			used[j], perm = true, append(perm, j)
			try()
			used[j], perm = false, perm[:i]
		}
	}
	try()
	return best
}

// measured is the effort of the assignment in which position i holds the part
// of perm[i]; one that holds its own is not explained by an exchange.
func measured(rows []Fitted, perm []int) effort {
	var e effort
	seen := make([]bool, len(perm))
	for i := range perm {
		if perm[i] != i && rows[i].Found == "" {
			e.assumed++
		}
		if perm[i] != i && rows[i].Found != "" && rows[i].Found != rows[i].Expected {
			e.explained++
		}
		for j := i; !seen[j]; j = perm[j] {
			seen[j] = true
			if perm[j] != i {
				e.swaps++
			}
		}
	}
	return e
}

func TestLeastExchangesAgainstAllAssignments(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, MostFitted).Draw(t, "positions")
		marks := []string{"a", "b", "c", "d", "e", "f", "g", "h"}[:rapid.IntRange(1, MostFitted).Draw(t, "marks")]
		expected := rapid.SliceOfN(rapid.SampledFrom(marks), n, n).Draw(t, "expected")
		found := rapid.Permutation(expected).Draw(t, "found")
		for i := range found { // now and then a foreign part, or one not read
			switch rapid.IntRange(0, 9).Draw(t, "fate") {
			case 0:
				found[i] = "x"
			case 1:
				found[i] = ""
			case 2:
				found[i] = rapid.SampledFrom(marks).Draw(t, "other")
			}
		}
		rows := fittedTable(expected, found)
		got, err := CheckFitted(rows)
		require.NoError(t, err)
		want := everyAssignment(rows)
		swaps, assumed := 0, 0
		for _, e := range got.Exchanges {
			swaps += len(e.Positions) - 1
			assumed += len(e.Unread)
			requireRound(t, rows, e)
		}
		require.Equal(t, want.explained, len(got.Wrong)-len(got.Foreign))
		require.Equal(t, want.swaps, swaps)
		require.Equal(t, want.assumed, assumed)
		require.Positive(t, got.Ways)
		require.Equal(t, len(got.Foreign) > 0, got.State == FittedWrong)
	})
}

// requireRound requires that each position of an exchange holds the part of the
// next, or was not read.
func requireRound(t require.TestingT, rows []Fitted, e Exchange) {
	at := map[string]Fitted{}
	for _, r := range rows {
		at[r.Position] = r
	}
	for i, p := range e.Positions {
		next := at[e.Positions[(i+1)%len(e.Positions)]]
		if at[p].Found == "" {
			require.Contains(t, e.Unread, p)
			continue
		}
		require.Equal(t, next.Expected, at[p].Found)
	}
}

func TestExchangesAreTheFewestByHand(t *testing.T) {
	// A second, plainer reference: exchange two parts at a time, breadth first,
	// until the table is right.
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "positions")
		expected := rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c", "d"}), n, n).Draw(t, "expected")
		found := rapid.Permutation(expected).Draw(t, "found")
		got, err := CheckFitted(fittedTable(expected, found))
		require.NoError(t, err)
		require.Empty(t, got.Foreign)
		swaps := 0
		for _, e := range got.Exchanges {
			swaps += len(e.Positions) - 1
		}
		require.Equal(t, fewestSwaps(found, expected), swaps)
	})
}

func fewestSwaps(from, to []string) int {
	goal := fmt.Sprint(to)
	level, seen := [][]string{from}, map[string]bool{fmt.Sprint(from): true}
	for depth := 0; ; depth++ {
		var next [][]string
		for _, s := range level {
			if fmt.Sprint(s) == goal {
				return depth
			}
			for i := range s {
				for j := range i {
					c := append([]string(nil), s...)
					c[i], c[j] = c[j], c[i]
					if k := fmt.Sprint(c); !seen[k] {
						seen[k] = true
						next = append(next, c)
					}
				}
			}
		}
		level = next
	}
}

func TestEightPositions(t *testing.T) {
	expected := []string{"a", "b", "c", "d", "e", "f", "g", "h"}
	found := []string{"b", "c", "d", "e", "f", "g", "h", "a"}
	got, err := CheckFitted(fittedTable(expected, found))
	require.NoError(t, err)
	require.Equal(t, []string{"1", "2", "3", "4", "5", "6", "7", "8"}, got.Exchanges[0].Positions)
	require.Equal(t, 1, got.Ways)
}
