package diagram

import (
	"encoding/xml"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// The reader of the Open-PSA exchange format, as far as the published trees use
// it: one fault tree of gates with and, or, atleast, and the probabilities of
// basic events.

type psaGate struct {
	Name    string     `xml:"name,attr"`
	Formula psaFormula `xml:",any"`
}

type psaFormula struct {
	XMLName xml.Name
	Min     int `xml:"min,attr"`
	Gates   []struct {
		Name string `xml:"name,attr"`
	} `xml:"gate"`
	Basics []struct {
		Name string `xml:"name,attr"`
	} `xml:"basic-event"`
}

type psaFile struct {
	Gates  []psaGate `xml:"define-fault-tree>define-gate"`
	Basics []struct {
		Name  string `xml:"name,attr"`
		Float struct {
			Value float64 `xml:"value,attr"`
		} `xml:"float"`
	} `xml:"model-data>define-basic-event"`
}

// published reads one of the trees beside the project; without them the test
// is skipped.
func published(t testing.TB, name string) (*Tree, []float64) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../../../../shared/faulttrees", name+".xml"))
	if os.IsNotExist(err) {
		t.Skip("SKIPPED: the published trees are not beside the project (../shared/faulttrees)")
	}
	require.NoError(t, err)
	var file psaFile
	require.NoError(t, xml.Unmarshal(data, &file))
	tree, p := &Tree{Vars: len(file.Basics)}, make([]float64, len(file.Basics))
	basic, gate := make(map[string]int), make(map[string]int)
	for i, b := range file.Basics {
		basic[b.Name], p[i] = i, b.Float.Value
	}
	for i, g := range file.Gates {
		gate[g.Name] = i
	}
	ops := map[string]Op{"or": Or, "and": And, "atleast": AtLeast, "xor": Xor}
	used := make([]bool, len(file.Gates))
	for _, g := range file.Gates {
		op, ok := ops[g.Formula.XMLName.Local]
		require.True(t, ok, g.Formula.XMLName.Local)
		made := Gate{Op: op, K: g.Formula.Min}
		for _, b := range g.Formula.Basics {
			i, ok := basic[b.Name]
			require.True(t, ok, b.Name)
			made.Operands = append(made.Operands, Operand{Index: i})
		}
		for _, b := range g.Formula.Gates {
			i, ok := gate[b.Name]
			require.True(t, ok, b.Name)
			used[i] = true
			made.Operands = append(made.Operands, Operand{Index: i, Gate: true})
		}
		tree.Gates = append(tree.Gates, made)
	}
	tree.Top = Operand{Index: -1, Gate: true}
	for i, yes := range used {
		if !yes {
			require.Negative(t, tree.Top.Index, "one top event")
			tree.Top.Index = i
		}
	}
	return tree, p
}
