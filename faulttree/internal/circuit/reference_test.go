package circuit

import (
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// networks names a folder with *.bif files and, in its folder reference, a
// NAME.json for each: nodes, and sets of evidence with log_p_evidence and
// marginals in the order of nodes and of the file's states. Any folder laid out
// so can be read:
//
//	go test ./faulttree/... -run Reference -networks DIR
//
// A relative DIR may be meant from the top of the project.
var networks = flag.String("networks", usualNetworks, "folder with BIF networks and reference answers")

const usualNetworks = "../../../../shared/networks"

// networkFiles lists the networks of the folder. That there are none is a
// fault if a folder was named.
func networkFiles(tb testing.TB) []string {
	tb.Helper()
	for _, dir := range []string{*networks, filepath.Join("..", "..", "..", *networks)} {
		files, err := filepath.Glob(filepath.Join(dir, "*.bif"))
		require.NoError(tb, err)
		if len(files) > 0 {
			*networks = dir
			return files
		}
	}
	if *networks != usualNetworks {
		require.Fail(tb, "no networks", "the folder %s holds no *.bif file", *networks)
	}
	tb.Skip("SKIPPED: no reference networks beside the project; name a folder with -networks DIR")
	return nil
}

type reference struct {
	Nodes []string
	Sets  []struct {
		Evidence  map[string]string
		LogP      float64 `json:"log_p_evidence"`
		Marginals [][]float64
	}
}

// Published networks; the answers were computed by at least two independent
// libraries, which agree to 4e-14.
func TestReferenceNetworks(t *testing.T) {
	for _, f := range networkFiles(t) {
		name := strings.TrimSuffix(filepath.Base(f), ".bif")
		t.Run(name, func(t *testing.T) { compareReference(t, f, filepath.Join(*networks, "reference", name+".json")) })
	}
}

func compareReference(t *testing.T, bif, answers string) {
	src, err := os.ReadFile(bif)
	require.NoError(t, err)
	n, err := parseBIF(string(src))
	require.NoError(t, err)
	data, err := os.ReadFile(answers)
	require.NoError(t, err)
	var ref reference
	require.NoError(t, json.Unmarshal(data, &ref))
	require.NotEmpty(t, ref.Sets)
	prog, first := n.compile()
	s := prog.NewScratch()
	w := make([]float64, prog.Leaves())
	for _, set := range ref.Sets {
		for i := range w {
			w[i] = 1
		}
		for name, state := range set.Evidence {
			v := n.index[name]
			for i := range n.states[v] {
				if n.states[v][i] != state {
					w[first[v]+i] = 0
				}
			}
		}
		p := prog.Up(s, w)
		// Twelve digits are printed; log to the same absolute accuracy.
		require.InDelta(t, set.LogP, math.Log(p), 1e-10)
		d := prog.Down(s)
		for k, name := range ref.Nodes {
			v := n.index[name]
			require.Len(t, set.Marginals[k], len(n.states[v]))
			for i, want := range set.Marginals[k] {
				require.InDelta(t, want, w[first[v]+i]*d[first[v]+i]/p, 1e-10, "%s", name)
			}
		}
	}
}

// The circuit is linear in the leaves of each variable: for every variable the
// leaves times their derivatives add up to the value (Darwiche 2003, from
// memory; an identity). And derivative and difference agree.
func TestNetworkPolynomial(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := drawNetwork(t)
		prog, first := n.compile()
		s := prog.NewScratch()
		w := make([]float64, prog.Leaves())
		for i := range w {
			w[i] = rapid.Float64Range(0.1, 2).Draw(t, "w")
		}
		p, bound := prog.UpBounded(s, w)
		require.Positive(t, p)
		require.InDelta(t, n.brute(first, w), p, bound+1e-12*p)
		d := prog.Down(s)
		for v := range n.states {
			sum := 0.0
			for i := range n.states[v] {
				sum += w[first[v]+i] * d[first[v]+i]
			}
			require.InEpsilon(t, p, sum, 1e-12)
		}
	})
}

// drawNetwork draws a small network of up to six variables.
func drawNetwork(t *rapid.T) *bifNetwork {
	n := &bifNetwork{index: map[string]int{}}
	for v := range rapid.IntRange(1, 6).Draw(t, "variables") {
		n.names = append(n.names, string(rune('a'+v)))
		n.states = append(n.states, []string{"0", "1", "2"}[:rapid.IntRange(1, 3).Draw(t, "states")])
		tab := bifTable{vars: []int{v}}
		size := len(n.states[v])
		for u := range v {
			if len(tab.vars) < 4 && rapid.Bool().Draw(t, "parent") {
				tab.vars = append(tab.vars, u)
				size *= len(n.states[u])
			}
		}
		for range size {
			tab.p = append(tab.p, rapid.Float64Range(0.01, 1).Draw(t, "p"))
		}
		tab.normalise(len(n.states[v]))
		n.tables = append(n.tables, tab)
	}
	return n
}

// brute sums over every assignment.
func (n *bifNetwork) brute(first []int, w []float64) float64 {
	val := make([]int, len(n.states))
	sum := 0.0
	for {
		p := 1.0
		for v, x := range val {
			p *= w[first[v]+x]
		}
		for _, t := range n.tables {
			row := 0
			for _, u := range append(append([]int(nil), t.vars[1:]...), t.vars[0]) {
				row = row*len(n.states[u]) + val[u]
			}
			p *= t.p[row]
		}
		sum += p
		v := 0
		for ; v < len(val); v++ {
			if val[v]++; val[v] < len(n.states[v]) {
				break
			}
			val[v] = 0
		}
		if v == len(val) {
			return sum
		}
	}
}
