package main

import (
	"encoding/json"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"narrows/knowledge"
	"narrows/session"
)

func (p *program) packsCommand() *cobra.Command {
	c := &cobra.Command{
		Use: "packs", Short: "list the packs and sheets, those of the program and your own",
		Long: "Lists the packs and sheets that come with the program and those of your own, which\n" +
			"lie as YAML files in the folder " + ownPacks + " of the data folder. A file of yours takes the place\n" +
			"of the program's of the same name; one that begins with amends: changes a pack by\n" +
			"its name, and packs changes NAME shows what is different by them.",
		Args: takes(0, 0),
		RunE: func(*cobra.Command, []string) error { return p.listPacks() },
	}
	c.AddCommand(&cobra.Command{
		Use: "changes PACK", Short: "show how your own files change a pack of the program", Args: takes(1, 1),
		RunE: func(_ *cobra.Command, args []string) error { return p.packChanges(args[0]) },
	})
	return c
}

func (p *program) listPacks() error {
	sources, err := p.sources(nil)
	if err != nil {
		return err
	}
	lib, problems := knowledge.Load(sources)
	var amended []string
	for _, s := range sources {
		if h := knowledge.HeadOf(s); h.Kind == "amends" {
			amended = append(amended, h.ID)
		}
	}
	v := session.View{Kind: "packs"}
	for _, pack := range lib.Packs() {
		mark := ""
		switch {
		case p.isOwn(pack.Pos.File):
			mark = " (your own)"
		case slices.Contains(amended, pack.ID):
			mark = " (changed by you: narrows packs changes " + pack.ID + ")"
		}
		v.Text = append(v.Text, fmt.Sprintf("pack  %-16s %s: %d checks, %d repairs, %d symptoms%s",
			pack.ID, pack.Title, len(pack.Checks), len(pack.Repairs), len(pack.Symptoms), mark))
		for _, s := range lib.Sheets() {
			if s.Pack.ID != pack.ID {
				continue
			}
			mark := ""
			if p.isOwn(s.Pos.File) {
				mark = " (your own)"
			}
			v.Text = append(v.Text, fmt.Sprintf("sheet %-16s %s%s", s.ID, s.Title, mark))
		}
	}
	if len(problems) > 0 {
		if err := p.screen().warn(p.errOut, []string{
			"narrows: " + problems[0].Error(),
			"Packs and sheets with a fault are left out; narrows lint FILE lists every fault.",
		}); err != nil {
			return err
		}
	}
	return p.screen().show(v)
}

// changeJSON is one line of the differences.
type changeJSON struct {
	Path   string `json:"path"`
	Before string `json:"before,omitempty"`
	After  string `json:"after,omitempty"`
	Where  string `json:"where"`
}

// packChanges shows what the user's files make of a pack of the program.
func (p *program) packChanges(pack string) error {
	built, err := knowledge.EmbeddedSources()
	if err != nil {
		return err
	}
	known := slices.ContainsFunc(built, func(s knowledge.Source) bool { return knowledge.HeadOf(s).Makes(pack) })
	if !known {
		return &usageError{fmt.Sprintf("no pack of the program is called %q", pack), "narrows packs lists them"}
	}
	all, err := p.sources(nil)
	if err != nil {
		return err
	}
	diff, err := knowledge.Differences(built, all, pack)
	if err != nil {
		return err
	}
	if p.json {
		list := []changeJSON{}
		for _, d := range diff {
			list = append(list, changeJSON{d.Path, d.Before, d.After, d.Pos.String()})
		}
		b, err := json.Marshal(struct {
			Kind    string       `json:"kind"`
			Pack    string       `json:"pack"`
			Changes []changeJSON `json:"changes"`
		}{"changes", pack, list})
		if err != nil {
			return err
		}
		return p.screen().raw(string(b) + "\n")
	}
	v := session.View{Kind: "changes"}
	for _, d := range diff {
		v.Text = append(v.Text, d.String(), "  "+d.Pos.String())
	}
	if len(diff) == 0 {
		v.Text = []string{"Your own files change nothing of it."}
	}
	return p.screen().show(v)
}
