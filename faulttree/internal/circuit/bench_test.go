package circuit

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// loadNetworks reads every network of the folder, with its first set of
// evidence where there is one.
func loadNetworks(tb testing.TB, each func(name string, n *bifNetwork, evidence map[string]string)) {
	tb.Helper()
	for _, f := range networkFiles(tb) {
		src, err := os.ReadFile(f)
		require.NoError(tb, err)
		n, err := parseBIF(string(src))
		require.NoError(tb, err)
		name := strings.TrimSuffix(filepath.Base(f), ".bif")
		var ref reference
		if data, err := os.ReadFile(filepath.Join(*networks, "reference", name+".json")); err == nil {
			require.NoError(tb, json.Unmarshal(data, &ref))
		}
		evidence := map[string]string{}
		for _, set := range ref.Sets {
			if len(set.Evidence) > 0 {
				evidence = set.Evidence
				break
			}
		}
		each(name, n, evidence)
	}
}

// weights are the leaf weights of some evidence.
func (n *bifNetwork) weights(leaves int, first []int, evidence map[string]string) []float64 {
	w := make([]float64, leaves)
	for i := range w {
		w[i] = 1
	}
	for name, state := range evidence {
		v := n.index[name]
		for i, s := range n.states[v] {
			if s != state {
				w[first[v]+i] = 0
			}
		}
	}
	return w
}

func BenchmarkNetworks(b *testing.B) {
	loadNetworks(b, func(name string, n *bifNetwork, evidence map[string]string) {
		b.Run(name+"/Compile", func(b *testing.B) {
			for b.Loop() {
				n.compile()
			}
		})
		prog, first := n.compile()
		s, w := prog.NewScratch(), n.weights(prog.Leaves(), first, evidence)
		b.Run(name+"/AllMarginals", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				prog.Up(s, w)
				prog.Down(s)
			}
		})
	})
}

// A pass allocates nothing.
func TestPassesAllocateNothing(t *testing.T) {
	loadNetworks(t, func(name string, n *bifNetwork, evidence map[string]string) {
		prog, first := n.compile()
		s, w := prog.NewScratch(), n.weights(prog.Leaves(), first, evidence)
		require.Zero(t, testing.AllocsPerRun(3, func() {
			prog.Up(s, w)
			prog.UpBounded(s, w)
			prog.Down(s)
		}), name)
	})
}

var peers = flag.String("peers", "", "folder to write the networks to as plain text, with evidence and our marginals")

// TestWritePeers writes what other programs are compared on: NAME.net,
// NAME.evidence and NAME.ours, as .ci/peers/jointree.cpp reads and writes them.
func TestWritePeers(t *testing.T) {
	if *peers == "" {
		t.Skip("SKIPPED: writes files for .ci/peers.sh alone; name a folder with -peers DIR")
	}
	loadNetworks(t, func(name string, n *bifNetwork, evidence map[string]string) {
		require.NoError(t, writeTo(filepath.Join(*peers, name+".net"), n.plain))
		require.NoError(t, writeTo(filepath.Join(*peers, name+".evidence"), func(w *bufio.Writer) {
			fmt.Fprintln(w, len(evidence))
			for _, v := range n.names {
				if state, ok := evidence[v]; ok {
					fmt.Fprintln(w, n.index[v], indexOf(n.states[n.index[v]], state))
				}
			}
		}))
		require.NoError(t, writeTo(filepath.Join(*peers, name+".ours"), func(w *bufio.Writer) { n.marginals(w, evidence) }))
	})
}

func writeTo(path string, f func(*bufio.Writer)) error {
	file, err := os.Create(path)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(file)
	f(w)
	if err := w.Flush(); err != nil {
		return err
	}
	return file.Close()
}

func (n *bifNetwork) plain(w *bufio.Writer) {
	fmt.Fprintln(w, len(n.names))
	for _, s := range n.states {
		fmt.Fprint(w, len(s), " ")
	}
	fmt.Fprintln(w)
	byChild := make([]bifTable, len(n.names))
	for _, t := range n.tables {
		byChild[t.vars[0]] = t
	}
	for _, t := range byChild {
		fmt.Fprint(w, len(t.vars)-1, " ")
		for _, p := range t.vars[1:] {
			fmt.Fprint(w, p, " ")
		}
		for _, x := range t.p {
			fmt.Fprintf(w, "%.17g ", x)
		}
		fmt.Fprintln(w)
	}
}

func (n *bifNetwork) marginals(w *bufio.Writer, evidence map[string]string) {
	prog, first := n.compile()
	s, weights := prog.NewScratch(), n.weights(prog.Leaves(), first, evidence)
	p := prog.Up(s, weights)
	d := prog.Down(s)
	for v := range n.names {
		for i := range n.states[v] {
			fmt.Fprintf(w, "%.17g ", weights[first[v]+i]*d[first[v]+i]/p)
		}
		fmt.Fprintln(w)
	}
}
