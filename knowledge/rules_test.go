package knowledge

import (
	"fmt"
	"go/ast"
	"go/parser"
	gotoken "go/token"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/sebdah/goldie/v2"
	"github.com/stretchr/testify/require"
)

// written are the broken files that are too large, or too plain, to lie in a folder.
func written(rule Rule) []Source {
	file := func(text string) []Source { return []Source{{string(rule) + ".yaml", []byte(text)}} }
	switch rule {
	case RuleTooLong:
		return file("# " + strings.Repeat("x", maxBytes))
	case RuleTooManyValues:
		return file("pack: x\nitems: [" + strings.Repeat("a,", maxNodes) + "]")
	case RuleTooManyFaults:
		return file("instruments:\n" + strings.Repeat("  ? []\n  : a\n", maxProblems+1))
	}
	return nil
}

// broken are the sources that break one rule: RULE.yaml of testdata/rules with those
// called RULE_*.yaml beside it, and the vocabulary.
func broken(t *testing.T, rule Rule) []Source {
	if w := written(rule); w != nil {
		return w
	}
	names, err := filepath.Glob("testdata/rules/" + string(rule) + "_*.yaml")
	require.NoError(t, err)
	var out []Source
	for _, name := range append([]string{"testdata/rules/" + string(rule) + ".yaml"}, names...) {
		s := read(t, name)
		out = append(out, Source{filepath.Base(name), s.Data})
	}
	if rule == RuleFileTwice {
		out = append(out, out[0])
	}
	if rule != RuleNoVocabulary && rule != RuleBadBand {
		out = append([]Source{{"vocabulary.yaml", []byte(smallWords)}}, out...)
	}
	return out
}

// TestRules breaks every rule of the table in a small file of its own: lint tells that
// rule and no other. What it says is compared whole.
func TestRules(t *testing.T) {
	var said strings.Builder
	for _, r := range Rules() {
		problems := Lint(broken(t, r.Rule))
		require.NotEmpty(t, problems, r.Rule)
		rest := map[Rule]bool{}
		for _, p := range problems {
			rest[p.Rule] = true
			if p.Rule == r.Rule {
				require.Equal(t, r.Severity, p.Severity, r.Rule)
			}
			if written(r.Rule) == nil {
				fmt.Fprintf(&said, "%s: %s\n", p.Severity, p.Error())
			}
		}
		require.True(t, rest[r.Rule], "%s is not told:\n%s", r.Rule, problems.Error())
		if delete(rest, r.Rule); r.Rule != RuleTooManyFaults {
			require.Empty(t, rest, "%s tells others too:\n%s", r.Rule, problems.Error())
		}
	}
	goldie.New(t).Assert(t, "rules", []byte(said.String()))
}

// TestRulesFolder: no file of testdata/rules is for a rule that is not there.
func TestRulesFolder(t *testing.T) {
	known := map[string]bool{}
	for _, r := range Rules() {
		known[string(r.Rule)] = true
	}
	entries, err := os.ReadDir("testdata/rules")
	require.NoError(t, err)
	for _, e := range entries {
		rule, _, _ := strings.Cut(strings.TrimSuffix(e.Name(), ".yaml"), "_")
		require.True(t, known[rule], e.Name())
	}
}

// TestRulesTable reads the source: every rule is a constant of rules.go, stands in the
// table once with its words, and is used elsewhere; nothing is told by a rule that is
// no such constant.
func TestRulesTable(t *testing.T) {
	consts, uses := map[string]string{}, map[string]bool{}
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(gotoken.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		ast.Inspect(f, func(n ast.Node) bool {
			switch x := n.(type) {
			case *ast.ValueSpec:
				if id, ok := x.Type.(*ast.Ident); ok && id.Name == "Rule" && len(x.Values) == 1 {
					require.Equal(t, "rules.go", name)
					consts[x.Names[0].Name], err = strconv.Unquote(x.Values[0].(*ast.BasicLit).Value)
					require.NoError(t, err)
				}
			case *ast.Ident:
				if name != "rules.go" {
					uses[x.Name] = true
				}
			case *ast.CallExpr:
				if s, ok := x.Fun.(*ast.SelectorExpr); ok && len(x.Args) > 3 {
					told := map[string]int{"add": 0, "note": 0, "typed": 0, "bad": 1, "refuse": 1}
					if i, ok := told[s.Sel.Name]; ok {
						id, ok := x.Args[i].(*ast.Ident)
						require.True(t, ok && (strings.HasPrefix(id.Name, "Rule") || id.Name == "rule"), "%s: %s", name, s.Sel.Name)
					}
				}
			}
			return true
		})
	}
	table := map[string]bool{}
	for _, r := range Rules() {
		require.False(t, table[string(r.Rule)], r.Rule)
		table[string(r.Rule)] = true
		require.NotEmpty(t, r.Means, r.Rule)
		require.NotEmpty(t, r.Mend, r.Rule)
		require.Equal(t, r.Severity, r.Rule.Severity())
	}
	require.Len(t, consts, len(table))
	for name, code := range consts {
		require.True(t, table[code], "%s stands in no table", code)
		require.True(t, uses[name], "%s is never told", code)
	}
}

// TestEmbeddedLint: what comes with the program has no fault and needs no advice.
func TestEmbeddedLint(t *testing.T) {
	sources, err := EmbeddedSources()
	require.NoError(t, err)
	require.NoError(t, Lint(sources).Err())
}
