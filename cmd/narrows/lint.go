package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"narrows/knowledge"
	"narrows/session"
)

// A linter checks files and tells what it finds.
type linter struct {
	p      *program
	advice bool
	strict bool
	rules  bool
	watch  bool
}

func (p *program) lintCommand() *cobra.Command {
	l := &linter{p: p}
	cmd := &cobra.Command{
		Use: "lint [FILE...]", Short: "check packs and sheets; every fault as file:line:column with its mend", Args: takes(0, -1),
		Long: "Checks packs, sheets, vocabularies and lists of instruments together with what of the\n" +
			"program's own they rest on; without files, what comes with the program and lies in\n" +
			"your folder of packs. Errors keep a file from being used. Advice, told of files without\n" +
			"errors, is what is most likely not meant so. Each ends with the code of its rule;\n" +
			"--rules lists them.\n\n" +
			"It ends with 1 if there is an error (with --strict also if there is advice). With\n" +
			"--json each is an object on a line of its own: file, line and column (from 1; left out\n" +
			"for the file as a whole), severity (error or advice), rule, what, mend.",
		Example: "  narrows lint\n  narrows lint my_engine.yaml my_sheet.yaml --strict\n  narrows lint --watch my_engine.yaml",
		RunE:    func(cmd *cobra.Command, args []string) error { return l.run(cmd.Context(), args) },
	}
	cmd.Flags().BoolVar(&l.advice, "advice", true, "tell advice too")
	cmd.Flags().BoolVar(&l.strict, "strict", false, "advice counts as errors do")
	cmd.Flags().BoolVar(&l.rules, "rules", false, "list the rules and end")
	cmd.Flags().BoolVar(&l.watch, "watch", false, "check again whenever a file changes, until Ctrl-C")
	return cmd
}

func (l *linter) run(ctx context.Context, files []string) error {
	switch {
	case l.rules:
		return l.table()
	case l.watch && len(files) == 0:
		return &usageError{"there is nothing to watch", "name files: narrows lint --watch FILE..."}
	case l.watch:
		return l.follow(ctx, files)
	}
	problems, err := l.check(files)
	if err != nil {
		return err
	}
	if err := l.tell(problems); err != nil {
		return err
	}
	if e, a := count(problems); e > 0 || l.strict && a > 0 {
		return errFound
	}
	return nil
}

// check is what is wrong with the files, or with those of the program where none is
// named. Of what they rest on only errors are told.
func (l *linter) check(files []string) (knowledge.Problems, error) {
	var given []knowledge.Source
	for _, f := range files {
		s, err := knowledge.ReadSource(f)
		if long := (knowledge.Problem{}); err != nil && !errors.As(err, &long) {
			return nil, err
		}
		given = append(given, s) // that it is too long is told with the rest
	}
	built, err := knowledge.EmbeddedSources()
	if err != nil {
		return nil, err
	}
	var sources, mine []knowledge.Source
	if len(files) > 0 {
		sources, mine = append(slices.Clone(given), missing(given, built)...), given
	} else if sources, err = l.p.sources(nil); err != nil {
		return nil, err
	} else {
		mine = sources
	}
	var all knowledge.Problems
	for _, q := range knowledge.Lint(sources) {
		own := slices.ContainsFunc(mine, func(s knowledge.Source) bool { return s.Name == q.File })
		if q.Severity == knowledge.SeverityError || l.advice && own {
			all = append(all, q)
		}
	}
	return all, nil
}

func count(problems knowledge.Problems) (errors, advice int) {
	for _, q := range problems {
		if q.Severity == knowledge.SeverityAdvice {
			advice++
		} else {
			errors++
		}
	}
	return errors, advice
}

// tell writes the problems, and how many there are.
func (l *linter) tell(problems knowledge.Problems) error {
	if l.p.json {
		for _, q := range problems {
			if err := l.object(lintLine{q.File, q.Line, q.Col, q.Severity.String(), string(q.Rule), q.What, q.Mend}); err != nil {
				return err
			}
		}
		return nil
	}
	v := session.View{Kind: "lint"}
	for _, q := range problems {
		if q.Severity == knowledge.SeverityAdvice {
			q.What = "advice: " + q.What
		}
		v.Text = append(v.Text, q.Error())
	}
	e, a := count(problems)
	sum := counted(e, "error", "errors")
	if l.advice {
		sum += ", " + counted(a, "piece of advice", "pieces of advice")
	}
	v.Text = append(v.Text, sum)
	return l.p.screen().list(v)
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// lintLine is one problem as --json writes it. Its names are kept for good.
type lintLine struct {
	File     string `json:"file"`
	Line     int    `json:"line,omitempty"` // from 1; left out: the file as a whole
	Column   int    `json:"column,omitempty"`
	Severity string `json:"severity"` // error or advice
	Rule     string `json:"rule,omitempty"`
	What     string `json:"what"`
	Mend     string `json:"mend,omitempty"`
}

// ruleLine is one rule as --rules --json writes it.
type ruleLine struct {
	Rule     string `json:"rule"`
	Severity string `json:"severity"`
	Means    string `json:"means"`
	Mend     string `json:"mend"`
}

func (l *linter) object(x any) error {
	b, err := json.Marshal(x)
	if err != nil {
		return fmt.Errorf("a line cannot be written as JSON: %w", err)
	}
	return l.p.screen().raw(string(b) + "\n")
}

// table lists the rules.
func (l *linter) table() error {
	v := session.View{Kind: "lint"}
	for _, r := range knowledge.Rules() {
		if l.p.json {
			if err := l.object(ruleLine{string(r.Rule), r.Severity.String(), r.Means, r.Mend}); err != nil {
				return err
			}
		}
		v.Text = append(v.Text, fmt.Sprintf("%-22s %-6s  %s; %s", r.Rule, r.Severity, r.Means, r.Mend))
	}
	if l.p.json {
		return nil
	}
	return l.p.screen().list(v)
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
// fragments of packs. A file given takes the place of the built-in one of its name. With
// a pack that was not given come its sheets, since each of its limits must stand on one.
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
			have["sheet "+h.ID] = true
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
		h := knowledge.HeadOf(s)
		rest(h)
		if h.Kind == "pack" {
			have["given "+h.ID] = true
			for _, v := range h.Variants {
				have["given "+v] = true
			}
		}
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
		if h.Kind == "sheet" && !have["sheet "+h.ID] && !have["given "+h.Pack] && have["pack "+h.Pack] {
			out = append(out, built[i])
		}
	}
	for i, h := range heads {
		if h.Kind == "vocabulary" && !words {
			out = append(out, built[i])
		}
	}
	return out
}
