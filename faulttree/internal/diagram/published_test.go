package diagram

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Published trees: the open set of 43 fault trees, DOI 10.5281/zenodo.20160659
// (CC BY-SA 4.0). Counts of minimal cut sets and P(top) as the set's table has
// them, recomputed by an independent program; the count of jbd9601 as
// recomputed (the table repeats its neighbour's there).
var publishedTrees = []struct {
	name string
	sets uint64
	p    float64
}{
	{"chinese", 392, 1.1705818108e-03},
	{"baobab2", 4805, 7.1301825979e-04},
	{"isp9605", 5630, 1.3717088055e-05},
	{"isp9606", 1776, 5.4317355360e-02},
	{"isp9607", 150436, 9.4951018537e-07},
	{"ftr10", 305, 4.4867711968e-01},
	{"das9202", 27778, 1.0115381257e-02},
	{"edf9205", 21308, 2.0935090576e-01},
	{"jbd9601", 14007, 7.5509061506e-01},
}

func TestPublishedTrees(t *testing.T) {
	for _, c := range publishedTrees {
		t.Run(c.name, func(t *testing.T) {
			tree, p := published(t, c.name)
			d, f, err := Compile(tree, 0)
			require.NoError(t, err)
			require.InEpsilon(t, c.p, d.Sweep(f).P(p), 1e-9)
			z := NewFamilies(d, 0)
			cuts := z.Minimal(d, f)
			require.NoError(t, z.Err())
			n, err := z.Count(cuts)
			require.NoError(t, err)
			require.Equal(t, c.sets, n)
			require.Equal(t, f, d.SomeSet(z, cuts), "some cut set is there where the top event is")
		})
	}
}

// Small sets found straight from the tree are the small ones among all.
func TestPublishedTreesBounded(t *testing.T) {
	for _, c := range publishedTrees {
		t.Run(c.name, func(t *testing.T) {
			tree, _ := published(t, c.name)
			d, f, err := Compile(tree, 0)
			require.NoError(t, err)
			z := NewFamilies(d, 0)
			all, err := z.CountByOrder(z.Minimal(d, f))
			require.NoError(t, err)
			const order = 4
			few, cuts, err := CompileBounded(tree, order, 0)
			require.NoError(t, err)
			some, err := few.CountByOrder(cuts)
			require.NoError(t, err)
			for k, n := range all[:min(order+1, len(all))] {
				got := uint64(0)
				if k < len(some) {
					got = some[k]
				}
				require.Equal(t, n, got, k)
			}
		})
	}
}

func BenchmarkPublished(b *testing.B) {
	for _, c := range publishedTrees {
		b.Run(c.name, func(b *testing.B) {
			tree, p := published(b, c.name)
			for b.Loop() {
				d, f, err := Compile(tree, 0)
				if err != nil {
					b.Fatal(err)
				}
				d.Sweep(f).P(p)
				z := NewFamilies(d, 0)
				if z.Minimal(d, f); z.Err() != nil {
					b.Fatal(z.Err())
				}
			}
		})
	}
}
