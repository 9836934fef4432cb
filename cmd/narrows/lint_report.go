package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"narrows/knowledge"
	"narrows/knowledge/diagnosability"
)

// reportFlags are what lint was asked for beyond faults of the files.
type reportFlags struct {
	report bool
	matrix string // csv or svg; "" for none
	limit  int
}

// listedGroups is how many ambiguity groups of a level a text lists unless told
// otherwise.
const listedGroups = 5

// withReport adds the report of diagnosability and the coverage matrix to lint.
func (p *program) withReport(c *cobra.Command) *cobra.Command {
	var f reportFlags
	flags := c.Flags()
	flags.BoolVar(&f.report, "report", false, "what the checks can find and tell apart, by how much is opened (IEEE 1522)")
	flags.StringVar(&f.matrix, "matrix", "", "write the coverage matrix, faults by checks, as `csv|svg`")
	flags.IntVar(&f.limit, "limit", listedGroups, "with --report: list the `N` worst ambiguity groups of a level (0: all)")
	c.Use = strings.TrimSpace(c.Use + " | lint --report|--matrix csv|svg [PACK|SHEET|FILE...]")
	c.Example = strings.TrimPrefix(c.Example+"\n  narrows lint --report holm_pump_5\n  narrows lint --matrix svg my_pack.yaml my_sheet.yaml > matrix.svg", "\n")
	lintArgs, lintRun := c.Args, c.RunE
	c.Args = func(cmd *cobra.Command, args []string) error {
		if f.report || f.matrix != "" {
			return nil
		}
		return lintArgs(cmd, args)
	}
	c.RunE = func(cmd *cobra.Command, args []string) error {
		switch {
		case f.report || f.matrix != "":
			return p.runReport(args, f)
		case flags.Changed("limit"):
			return &usageError{"--limit goes with --report", cmd.CommandPath() + " --help tells more"}
		}
		return lintRun(cmd, args)
	}
	return c
}

// runReport writes the report, or the matrix, of the engines named.
func (p *program) runReport(args []string, f reportFlags) error {
	if f.limit < 0 {
		return &usageError{"--limit must be at least 0", "0 lists all"}
	}
	if f.matrix != "" && f.matrix != "csv" && f.matrix != "svg" {
		return &usageError{fmt.Sprintf("--matrix %s is not known", f.matrix), "csv and svg are"}
	}
	if f.matrix != "" && f.report {
		return &usageError{"--report and --matrix are two outputs", "ask for one at a time"}
	}
	engines, err := p.reported(args)
	if err != nil {
		return err
	}
	if f.matrix != "" {
		if len(engines) > 1 {
			return &usageError{"a matrix is of one engine", "name one sheet of " + strings.Join(sheetIDs(engines), ", ")}
		}
		return p.writeMatrix(engines[0], f.matrix)
	}
	for i, e := range engines {
		r, err := diagnosability.Make(e)
		if err != nil {
			return err
		}
		if p.json {
			err = p.writeDiagnosability(e, r)
		} else {
			text := p.screen().diagnosability(e, r, f.limit)
			if i > 0 {
				text = append([]string{""}, text...)
			}
			err = p.screen().raw(strings.Join(text, "\n") + "\n")
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (p *program) writeMatrix(e *knowledge.Engine, as string) error {
	x, err := diagnosability.Of(e)
	if err != nil {
		return err
	}
	if as == "csv" {
		return x.WriteCSV(p.out)
	}
	return x.WriteSVG(p.out, "Coverage matrix: "+e.Pack().Title+"; "+e.Sheet().Title)
}

func sheetIDs(engines []*knowledge.Engine) []string {
	var out []string
	for _, e := range engines {
		out = append(out, e.Sheet().ID)
	}
	return out
}

// reported opens the engines named: by sheet, by pack, or by files, of which sheets
// stand for themselves and packs for all their sheets. Without a name it is the engine of
// the flag.
func (p *program) reported(args []string) ([]*knowledge.Engine, error) {
	if len(args) == 0 {
		e, err := p.openEngine()
		return []*knowledge.Engine{e}, err
	}
	var files, names []string
	for _, a := range args {
		if info, err := os.Stat(a); err == nil && !info.IsDir() || strings.ContainsAny(a, `./\`) {
			files = append(files, a)
		} else {
			names = append(names, a)
		}
	}
	given, err := readSources(files)
	if err != nil {
		return nil, err
	}
	for _, s := range given {
		switch h := knowledge.HeadOf(s); h.Kind {
		case "pack":
			names = append(append(names, h.ID), h.Variants...)
		case "sheet", "amends":
			names = append(names, h.ID)
		default:
			return nil, &usageError{s.Name + " is neither a pack nor a sheet", "a report is of engines"}
		}
	}
	sources, err := p.sources(files)
	if err != nil {
		return nil, err
	}
	return enginesOf(sources, names)
}

// enginesOf are those of the sheets, or of all sheets of the packs, of these names.
func enginesOf(sources []knowledge.Source, names []string) ([]*knowledge.Engine, error) {
	var out []*knowledge.Engine
	var known []string
	found := make(map[string]bool)
	for _, s := range sources {
		h := knowledge.HeadOf(s)
		if h.Kind != "sheet" {
			continue
		}
		known = append(known, h.ID, h.Pack)
		if !slices.Contains(names, h.ID) && !slices.Contains(names, h.Pack) {
			continue
		}
		found[h.ID], found[h.Pack] = true, true
		e, err := knowledge.OpenSheet(sources, h.ID)
		var problems knowledge.Problems
		if errors.As(err, &problems) {
			return nil, fmt.Errorf("%w\na report needs files without faults", problems[0])
		}
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	for _, name := range names {
		if !found[name] {
			slices.Sort(known)
			return nil, &usageError{fmt.Sprintf("no sheet is called %q, and no pack of that name has one", name), "there are " + strings.Join(slices.Compact(known), ", ")}
		}
	}
	return out, nil
}
