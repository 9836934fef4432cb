package main

import (
	"slices"

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
	given, err := readSources(files)
	if err != nil {
		return nil, err
	}
	built, err := knowledge.EmbeddedSources()
	if err != nil {
		return nil, err
	}
	return append(slices.Clone(given), missing(given, built)...), nil
}

// missing are the built-in files that the given ones rest on: the vocabulary, the
// packs of sheets and amendments, the packs that include a fragment, and the
// fragments of packs. A file given takes the place of the built-in one of its name.
func missing(given, built []knowledge.Source) []knowledge.Source {
	heads := make([]knowledge.Head, len(built))
	for i, s := range built {
		heads[i] = knowledge.HeadOf(s)
	}
	words := false
	have := make(map[string]bool) // packs and fragments that are there
	want := make(map[string]bool)
	rest := func(h knowledge.Head) {
		switch h.Kind {
		case "sheet":
			want["pack "+h.Pack] = true
		case "amends":
			want["pack "+h.ID] = true
		case "pack":
			have["pack "+h.ID] = true
			for _, v := range h.Variants {
				have["pack "+v] = true
			}
			for _, f := range h.Includes {
				want["fragment "+f] = true
			}
		case "fragment":
			have["fragment "+h.ID] = true
			for _, b := range heads {
				if b.Kind == "pack" && slices.Contains(b.Includes, h.ID) {
					want["pack "+b.ID] = true
				}
			}
		case "vocabulary":
			words = true
		}
	}
	for _, s := range given {
		rest(knowledge.HeadOf(s))
	}
	var out []knowledge.Source
	take := func(kind string) {
		for i, h := range heads {
			if h.Kind != kind || have[kind+" "+h.ID] {
				continue
			}
			names := append([]string{h.ID}, h.Variants...)
			if slices.ContainsFunc(names, func(n string) bool { return want[kind+" "+n] }) {
				rest(h)
				out = append(out, built[i])
			}
		}
	}
	take("pack")
	take("fragment")
	for i, h := range heads {
		if h.Kind == "vocabulary" && !words {
			out = append(out, built[i])
		}
	}
	return out
}
