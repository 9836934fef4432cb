package main

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"narrows/knowledge"
	"narrows/session"
)

func (p *program) lintCommand() *cobra.Command {
	return &cobra.Command{
		Use: "lint FILE...", Short: "check packs and sheets; every fault as file:line:column with its mend", Args: takes(1, -1),
		RunE: func(_ *cobra.Command, args []string) error {
			problems, err := lint(args)
			if err != nil {
				return err
			}
			v := session.View{Kind: "lint"}
			for _, q := range problems {
				v.Text = append(v.Text, q.Error())
			}
			if len(problems) == 0 {
				v.Text = []string{"No faults."}
			}
			if err := p.screen().list(v); err != nil || len(problems) == 0 {
				return err
			}
			return errFound
		},
	}
}

// lint loads files together with what of the program's own they rest on.
func lint(files []string) (knowledge.Problems, error) {
	sources, err := withFiles(files)
	if err != nil {
		return nil, err
	}
	_, problems := knowledge.Load(sources)
	return problems, nil
}

// withFiles are files together with what of the program's own they rest on: its
// vocabulary, unless one is among them, and the packs of sheets given alone.
func withFiles(files []string) ([]knowledge.Source, error) {
	var given []knowledge.Source
	for _, f := range files {
		s, err := knowledge.ReadSource(f)
		if err != nil {
			return nil, err
		}
		given = append(given, s)
	}
	built, err := knowledge.EmbeddedSources()
	if err != nil {
		return nil, err
	}
	return append(slices.Clone(given), missing(given, built)...), nil
}

// missing are the built-in files that the given ones rest on.
func missing(given, built []knowledge.Source) []knowledge.Source {
	words := false
	packs, wanted := make(map[string]bool), make(map[string]bool)
	for _, s := range given {
		words = words || has(s, "shows")
		if has(s, "sheet") {
			wanted[value(s, "pack")] = true
		} else {
			packs[value(s, "pack")] = true
		}
	}
	var out []knowledge.Source
	for _, s := range built {
		id := value(s, "pack")
		switch {
		case has(s, "sheet"):
		case has(s, "shows") && !words, wanted[id] && !packs[id]:
			out = append(out, s)
		}
	}
	return out
}

// value is what stands behind a key at the start of a line. It serves only to
// find the files that belong together; the reading proper is the loader's.
func value(s knowledge.Source, key string) string {
	for line := range strings.Lines(string(s.Data)) {
		if rest, ok := strings.CutPrefix(line, key+":"); ok {
			word, _, _ := strings.Cut(rest, " #")
			return strings.Trim(strings.TrimSpace(word), `"'`)
		}
	}
	return ""
}

func has(s knowledge.Source, key string) bool {
	return strings.HasPrefix(string(s.Data), key+":") || strings.Contains(string(s.Data), "\n"+key+":")
}
