package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
)

// Hypotheses .30 .25 .25 .20 with decisions a, a, b, b; checks 1010, 1100 and
// 1000. Edge weight .2475; expected cut .18375, .2475, .16875, where the gain of
// information, .9927744540 for the first two, cannot tell them apart (our own
// example; Golovin, Krause & Ray 2010, arXiv 1010.3091; values computed outside
// this project).
func TestEdgesCut(t *testing.T) {
	ws := &worlds{g: &generator{}, place: make(map[ft.CheckID]int)}
	b := ft.NewBuilder()
	e := b.Cause("h", .5)
	want := []float64{.18375, .2475, .16875}
	answers := []string{"1010", "1100", "1000"}
	for i := range answers {
		c := b.Check(ft.Check{Name: answers[i], Outcomes: []string{"1", "0"}, Rows: []ft.Row{{Event: e, P: []float64{1, 0}}}, Else: []float64{0, 1}})
		ws.place[c] = i
	}
	m, err := b.Build()
	require.NoError(t, err)
	ws.g.m = m
	st := &state{}
	for h, p := range []float64{.30, .25, .25, .20} {
		f := &face{}
		for _, a := range answers {
			row := uint8(0)
			if a[h] == '0' {
				row = 1
			}
			f.rows = append(f.rows, row)
		}
		st.alive = append(st.alive, alive{&world{faces: []*face{f}}, p, 0})
	}
	for i := range answers {
		got := ws.cuts(st, &Action{Checks: []ft.CheckID{ft.CheckID(i)}}, []int{0, 0, 1, 1})
		require.InDelta(t, want[i], got, 1e-12, answers[i])
	}
}
