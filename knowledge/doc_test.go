package knowledge

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// docExample collects the example lines of one section of the package comment.
func docExample(t *testing.T, section string) []byte {
	data, err := os.ReadFile("doc.go")
	require.NoError(t, err)
	var out strings.Builder
	in := false
	for _, line := range strings.Split(string(data), "\n") {
		if title, ok := strings.CutPrefix(line, "// # "); ok {
			in = title == section
		}
		if code, ok := strings.CutPrefix(line, "//\t"); ok && in {
			out.WriteString(code + "\n")
		}
	}
	return []byte(out.String())
}

// TestDocExample loads and opens the examples of the package comment.
func TestDocExample(t *testing.T) {
	lib, problems := Load([]Source{
		{"pack", docExample(t, "The pack format, version 1")},
		{"sheet", docExample(t, "The sheet format, version 1")},
		vocabularySource(t),
	})
	require.NoError(t, problems.Err())
	e, err := Open(lib, "marsh_tern_60")
	require.NoError(t, err)
	u, ok := e.Check("compression_dry", Place{"cylinder", "3"})
	require.True(t, ok)
	r, ok := e.Reading(u)
	require.True(t, ok)
	require.Equal(t, "at least 110 psi", r.Limit.String())
	require.Equal(t, "lowest over highest at least 75 %", r.Siblings.String())

	words := docExample(t, "Vocabulary")
	_, problems = Load([]Source{{"words", words}})
	require.NoError(t, problems.Err())

	lib, problems = Load([]Source{{"instruments", docExample(t, "Instruments")}})
	require.NoError(t, problems.Err())
	require.Len(t, lib.Instruments(), 2)
	require.Equal(t, "noise 2 psi, gauge 3 psi", lib.Instruments()[0].Figures.String())
}
