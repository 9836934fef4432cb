package diagnosability

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"narrows/faulttree"
	"narrows/knowledge"
)

func open(t *testing.T, sheet string) *knowledge.Engine {
	t.Helper()
	lib, err := knowledge.LoadEmbedded()
	require.NoError(t, err)
	e, err := knowledge.Open(lib, sheet)
	require.NoError(t, err)
	return e
}

var sheets = []string{"marsh_tern_60", "holm_pump_5"}

// told are the gates of which the belief learns something from soundness elsewhere:
// those below a condition that raises a mode, which would then be there.
func told(m *faulttree.Model) map[faulttree.Event]bool {
	out := make(map[faulttree.Event]bool)
	for _, it := range m.Items() {
		for _, ev := range it.Modes {
			mode, _ := m.ModeOf(ev)
			for _, s := range mode.Sources {
				for _, below := range m.Below(s.Event) {
					out[below] = true
				}
			}
		}
	}
	return out
}

// Every cell of the small pack against the belief of package faulttree. Checks are
// left out of which the belief says something else by its meaning: those that see a
// symptom, since something unlisted is at work there, and those below a condition
// that raises a mode, whose absence is seen there and set here.
func TestCellsOfThePumpEqualBelief(t *testing.T) {
	e := open(t, "holm_pump_5")
	x, err := Of(e)
	require.NoError(t, err)
	compared, raising := 0, told(e.Model())
	for f, fault := range x.Faults {
		b := alone(t, e.Model(), fault.Event)
		for c, check := range x.Checks {
			if !x.views[f][c].seen || slices.ContainsFunc(sightOf(e.Model(), e.Model().Checks()[check.ID]).gates, func(ev faulttree.Event) bool {
				g, _ := e.Model().GateOf(ev)
				return g.Unlisted > 0 || raising[ev]
			}) {
				continue
			}
			post, err := b.Watching(check.ID).Solve()
			require.NoError(t, err)
			require.InDeltaSlice(t, post.Outcomes(check.ID), x.views[f][c].outcomes, 1e-9, "%s by %s", fault.Name(), check.Name)
			compared++
		}
	}
	require.Greater(t, compared, 50)
}

// Two faults and a sound engine by hand: our own. One check that a fault fails with
// 0.9 and a sound engine with 0.1 is wrong in one case of ten; two of 0.8 and 0.2,
// independent, by at most 0.8^2/2; through one doubtful gate the second adds nothing.
func TestChanceOfErrorByHand(t *testing.T) {
	look := func(p float64, doubt ...faulttree.Event) *view {
		return &view{looks: looks{cells: []float64{p, 1 - p}}, seen: true, doubt: doubt}
	}
	var one pair
	one.add(look(.9), look(.1))
	require.InDelta(t, .1, one.wrong(), 1e-12)
	var two pair
	two.single = 0
	for range 6 {
		two.add(look(.8), look(.2))
	}
	require.InDelta(t, .5*.8*.8*.8*.8*.8*.8, two.wrong(), 1e-12)
	var hung pair
	for range 6 {
		hung.add(look(.8, 7), look(.2))
	}
	require.InDelta(t, .2, hung.wrong(), 1e-12)
	hung.add(look(.8, 9), look(.2))
	hung.add(look(.8, 7, 9), look(.2)) // joins the two clusters
	require.Len(t, hung.clusters, 1)
}

func TestLevelsOfEmbeddedPacks(t *testing.T) {
	for _, sheet := range sheets {
		r, err := Make(open(t, sheet))
		require.NoError(t, err)
		before := LevelReport{}
		for i, l := range r.Levels {
			for _, fold := range Folds() {
				require.LessOrEqual(t, l.Classical[fold].Isolated[0].Faults, l.Classical[fold].Detected.Faults)
				require.Equal(t, l.Classical[ByPlace].Detected, l.Classical[fold].Detected, "folding changes nothing in what is detected")
				require.LessOrEqual(t, l.Classical[fold].MeanSize, l.Classical[ByPlace].MeanSize+1e-12)
				require.LessOrEqual(t, l.Soft[fold].MeanSize, l.Soft[ByPlace].MeanSize+1e-12)
			}
			require.Equal(t, len(r.Matrix.Faults), l.Classical[ByPlace].Detected.Faults+len(l.Undetected))
			require.Equal(t, len(r.Matrix.Faults), l.Soft[ByPlace].Detected.Faults+len(l.SoftUndetected))
			grouped := 0
			for _, g := range l.Groups {
				grouped += len(g.Faults)
			}
			require.Equal(t, l.Classical[ByPlace].Detected.Faults-l.Classical[ByPlace].Isolated[0].Faults, grouped)
			if i > 0 {
				require.Greater(t, l.Access, before.Access)
				require.Subset(t, l.Checks, before.Checks)
				require.GreaterOrEqual(t, l.Classical[ByPlace].Detected.Faults, before.Classical[ByPlace].Detected.Faults)
				require.GreaterOrEqual(t, l.Soft[ByPlace].Detected.Faults, before.Soft[ByPlace].Detected.Faults)
			}
			before = l
		}
		require.Len(t, before.Checks, len(r.Matrix.Checks), "the last level has every check")
		require.Empty(t, slices.Concat(partsOf(before)...), "there nothing is left that could part a group")
	}
}

func partsOf(l LevelReport) [][]Part {
	var out [][]Part
	for _, g := range l.Groups {
		out = append(out, g.Parts)
	}
	return out
}

// What is said to part a group parts it, and where nothing does its rows are alike.
func TestPartsPart(t *testing.T) {
	for _, sheet := range sheets {
		r, err := Make(open(t, sheet))
		require.NoError(t, err)
		entries := r.Matrix.entries()
		for _, l := range r.Levels {
			for _, g := range l.Groups {
				var all []int
				for c := range r.Matrix.Checks {
					all = append(all, c)
				}
				var chosen []int
				for _, p := range g.Parts {
					require.NotContains(t, l.Checks, p.Check)
					chosen = append(chosen, p.Check)
				}
				var rows [][]int
				for _, f := range g.Faults {
					rows = append(rows, entries[f])
				}
				require.Len(t, Signatures(rows, l.Checks), 1)
				require.Equal(t, Signatures(rows, all), Signatures(rows, chosen))
				alone := 0
				for _, part := range Signatures(rows, chosen) {
					if len(part) == 1 {
						alone++
					}
				}
				require.Equal(t, len(g.Faults)-alone, len(slices.Concat(g.Left...)))
			}
		}
	}
}

func TestCSV(t *testing.T) {
	x, err := Of(open(t, "holm_pump_5"))
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, x.WriteCSV(&b))
	lines, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, len(x.Faults)+1)
	require.Equal(t, []string{"id", "title", "prior"}, lines[0][:3])
	filled := 0
	for f, line := range lines[1:] {
		for c, cell := range line[3:] {
			if cell == "" {
				require.Less(t, x.Change(f, c), 0.005)
				continue
			}
			filled++
			v, err := strconv.ParseFloat(cell, 64)
			require.NoError(t, err)
			require.InDelta(t, x.Change(f, c), v, 0.005+1e-12)
		}
	}
	require.Greater(t, filled, len(x.Faults))
}

// The picture is well-formed and names every fault once at least.
func TestSVG(t *testing.T) {
	for _, sheet := range sheets {
		x, err := Of(open(t, sheet))
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, x.WriteSVG(&b, "A & B <coverage>"))
		words := make(map[string]bool)
		for d := xml.NewDecoder(&b); ; {
			tok, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err)
			if c, ok := tok.(xml.CharData); ok {
				words[string(c)] = true
			}
		}
		require.True(t, words["A & B <coverage>"])
		for _, f := range x.Faults {
			require.True(t, words[shortened(f.Title)], f.Title)
		}
	}
}
