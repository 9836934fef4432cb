package faulttree_test

import (
	"go/parser"
	"go/token"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
)

func decibans(ratio float64) float64 { return 10 * math.Log10(ratio) }

// Every fault of a model is reported at once, by name.
func TestBuildReportsEveryFault(t *testing.T) {
	b := ft.NewBuilder()
	item := b.Item("jet")
	blocked := b.Mode(item, "jet.blocked", 0)
	b.Mode(item, "jet.blocked", .1)
	b.Item("empty")
	b.Raise(blocked, blocked, 1.5)
	g := b.Gate("top")
	b.Define(g, ft.Gate{Kind: ft.Voting, K: 3, Symptom: true, Inputs: []ft.Input{{Event: blocked, Strength: 0}, {Event: 99, Strength: 1}}})
	b.Gate("never defined")
	b.Check(ft.Check{Name: "look", Outcomes: []string{"a", "b"}, Rows: []ft.Row{{Event: blocked, P: []float64{.5, .4}}}, Else: []float64{1}})
	b.Repair(ft.Repair{Name: "fix", Fixes: []ft.Event{g}, Success: 2})
	_, err := b.Build()
	require.Error(t, err)
	for _, want := range []string{
		`"jet.blocked" is declared twice`, `has prior 0`, `item "empty" has no failure mode`,
		`weight 1.5`, `of the same item`, `at least 3 of 2 inputs`, `strength 0`, `an input that does not exist`,
		`no unlisted prior`, `declared but never defined`, `add up to 0.9`, `1 probabilities for 2 outcomes`,
		`fixes "top"`, `success 2`,
	} {
		require.ErrorContains(t, err, want)
	}
}

func TestCycleIsNamed(t *testing.T) {
	b := ft.NewBuilder()
	x, y := b.Gate("x"), b.Gate("y")
	b.Define(x, ft.Gate{Inputs: []ft.Input{{Event: y, Strength: 1}}})
	b.Define(y, ft.Gate{Inputs: []ft.Input{{Event: x, Strength: 1}}})
	_, err := b.Build()
	require.ErrorContains(t, err, "x -> y -> x")
}

// An item with many sources is taken apart; by hand: P(sound) is the product
// of what each present source leaves, .9 * .5^8 with all eight present.
func TestManySources(t *testing.T) {
	b := ft.NewBuilder()
	mode := b.Mode(b.Item("jet"), "blocked", .1)
	var fs []ft.Finding
	for i := range 8 {
		c := b.Cause(string(rune('a'+i)), .3)
		b.Raise(c, mode, .5)
		fs = append(fs, ft.Present(c))
	}
	m := build(t, b)
	near(t, 1-.9*math.Pow(.5, 8), solve(t, believe(t, m, fs...)).P(mode))
	near(t, 1-.9*math.Pow(1-.3*.5, 8), solve(t, m.NewBelief()).P(mode))
}

// The room imports nothing but the standard library's arithmetic and its own.
func TestRoomKnowsNoOthers(t *testing.T) {
	allowed := map[string]bool{"errors": true, "fmt": true, "math": true, "math/bits": true, "math/rand/v2": true, "container/heap": true, "slices": true, "strings": true, "sync": true, "cmp": true, "context": true}
	for _, dir := range []string{".", "internal/circuit", "plan"} {
		files, err := filepath.Glob(filepath.Join(dir, "*.go"))
		require.NoError(t, err)
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") {
				continue
			}
			src, err := os.ReadFile(f)
			require.NoError(t, err)
			ast, err := parser.ParseFile(token.NewFileSet(), f, src, parser.ImportsOnly)
			require.NoError(t, err)
			for _, im := range ast.Imports {
				path := strings.Trim(im.Path.Value, `"`)
				require.True(t, allowed[path] || strings.HasPrefix(path, "narrows/faulttree"), "%s imports %s", f, path)
			}
		}
	}
}
