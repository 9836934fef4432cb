package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The first case in README.md is what the program says to these lines.
func TestReadmeCase(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	_, rest, found := strings.Cut(string(readme), "## A first case\n")
	require.True(t, found)
	_, rest, found = strings.Cut(rest, "```\n")
	require.True(t, found)
	block, _, found := strings.Cut(rest, "```\n")
	require.True(t, found)
	var typed, want []string
	for _, line := range strings.Split(strings.TrimSuffix(block, "\n"), "\n") {
		if l, ok := strings.CutPrefix(line, "narrows>"); ok {
			typed = append(typed, strings.TrimSpace(l))
		} else {
			want = append(want, line)
		}
	}
	require.NotEmpty(t, typed)
	var out, errOut bytes.Buffer
	p := &program{
		in: strings.NewReader(strings.Join(typed, "\n") + "\n"), out: &out, errOut: &errOut,
		env:   func(string) string { return "" },
		clock: func() time.Time { return time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC) },
		pause: func(context.Context, time.Duration) {},
		args:  []string{"--home", t.TempDir()},
	}
	require.Equal(t, exitDone, run(p), errOut.String())
	require.Equal(t, strings.Join(want, "\n"), strings.TrimSuffix(out.String(), "\n"))
}
