package diagram

import (
	"bufio"
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// synthetic reads the fault tree of 200 basic events and 82 gates. Line 1 holds
// the counts, line 2 the probabilities; then a line for each gate: its type (0
// or, 1 and, 2 voting), k, the number of inputs, and pairs of 0 for an event or
// 1 for a gate and an index. The last gate is the top.
func synthetic(t testing.TB) (*Tree, []float64) {
	t.Helper()
	file, err := os.Open("../../../testdata/engine/fault_tree_200.txt")
	require.NoError(t, err)
	defer file.Close()
	in := bufio.NewReader(file)
	scan := func(into ...any) {
		_, err := fmt.Fscan(in, into...)
		require.NoError(t, err)
	}
	var vars, gates int
	scan(&vars, &gates)
	p := make([]float64, vars)
	for i := range p {
		scan(&p[i])
	}
	tree := &Tree{Vars: vars, Top: Operand{Index: gates - 1, Gate: true}}
	for range gates {
		var kind, k, n int
		scan(&kind, &k, &n)
		g := Gate{Op: []Op{Or, And, AtLeast}[kind], K: k}
		for range n {
			var gate, index int
			scan(&gate, &index)
			g.Operands = append(g.Operands, Operand{Index: index, Gate: gate == 1})
		}
		tree.Gates = append(tree.Gates, g)
	}
	return tree, p
}

// P(top) as two decision-diagram libraries have it, independently of each other
// and of this project.
const syntheticTop = 0.0245294288943142

func TestFaultTree200(t *testing.T) {
	tree, p := synthetic(t)
	d, f, err := Compile(tree, 0)
	require.NoError(t, err)
	s := d.Sweep(f)
	require.InEpsilon(t, syntheticTop, s.P(p), 1e-12)
	require.Zero(t, testing.AllocsPerRun(10, func() { s.P(p) }))
	require.Zero(t, testing.AllocsPerRun(10, func() { s.Derive(p, make([]float64, 0, 200)[:200]) }))
}

func BenchmarkFaultTree200(b *testing.B) {
	tree, p := synthetic(b)
	d, f, err := Compile(tree, 0)
	require.NoError(b, err)
	b.Run("Build", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, _, err := Compile(tree, 0); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(d.Size(f)), "nodes")
	})
	s := d.Sweep(f)
	b.Run("PTop", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			s.P(p)
		}
	})
	derivatives := make([]float64, len(p))
	b.Run("Derivatives", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			s.Derive(p, derivatives)
		}
	})
	b.Run("MinimalCutSets", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			z := NewFamilies(d, 0)
			if z.Minimal(d, f); z.Err() != nil {
				b.Fatal(z.Err())
			}
		}
	})
}
