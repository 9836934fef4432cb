package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"os/signal"
	"strings"

	"github.com/spf13/cobra"

	"narrows/knowledge"
	"narrows/session/study"
)

// studyFlags are what the command was asked for.
type studyFlags struct {
	runs     int
	told     int
	seed     uint64
	policies []string
	pack     string // a pack, played on its first sheet; or a sheet; empty for the engine of the flag
	cases    string
	files    []string
}

func (p *program) studyCommand() *cobra.Command {
	var f studyFlags
	c := &cobra.Command{
		Use: "study [PACK]", Short: "measure the advice on engines drawn from the pack, or play worked cases",
		Long: "Draws engines with a complaint from the pack's own chances and lets several\n" +
			"policies work on each of them: ours, a fixed chart, and plainer rules. Every policy\n" +
			"has the same engines with the same luck. With --cases it plays worked cases of\n" +
			"yours instead (go doc ./session/study has the format), and ends with 1 where one\n" +
			"of their expectations fails.",
		Example: "  narrows study pump_single --runs 500\n  narrows study --policies ours,chart --seed 7 --json\n" +
			"  narrows study --cases testdata/study/pump_cases.yaml",
		Args: takes(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				f.pack = args[0]
			}
			ctx, stop := signal.NotifyContext(cmd.Context(), os.Interrupt)
			defer stop()
			if f.cases != "" {
				if !cmd.Flags().Changed("policies") {
					f.policies = []string{"ours"}
				}
				return p.playCases(ctx, f)
			}
			if f.runs < 1 || f.runs > 1_000_000 {
				return &usageError{"--runs must be from 1 to 1000000", cmd.CommandPath() + " --help tells more"}
			}
			if f.told < 1 || f.told > 3 {
				return &usageError{"--symptoms must be from 1 to 3", cmd.CommandPath() + " --help tells more"}
			}
			return p.study(ctx, f)
		},
	}
	var all []string
	for _, q := range study.Policies() {
		all = append(all, q.ID())
	}
	c.Flags().IntVar(&f.runs, "runs", 200, "draw `N` engines")
	c.Flags().IntVar(&f.told, "symptoms", 1, "complaints of `N` symptoms, 1 to 3")
	c.Flags().Uint64Var(&f.seed, "seed", 1, "the `number` that the drawing starts from; the same draws the same")
	c.Flags().StringSliceVar(&f.policies, "policies", all, "play by these `policies`, parted by commas")
	c.Flags().StringVar(&f.cases, "cases", "", "play the worked cases of this `FILE` instead")
	c.Flags().StringArrayVar(&f.files, "with", nil, "a pack or sheet `FILE` of your own; may be given again")
	return c
}

// named finds the policies of the flag.
func (f *studyFlags) named() ([]study.Policy, error) {
	policies, err := study.Named(f.policies...)
	if err == nil && len(policies) == 0 {
		err = errors.New("--policies names none")
	}
	if err != nil {
		return nil, &usageError{err.Error(), ""}
	}
	return policies, nil
}

// ground lays the engine of the flag out.
func (p *program) ground(f studyFlags) (*study.Ground, error) {
	if f.pack != "" {
		return p.groundOf(f.pack, f.files)
	}
	e, err := p.openEngine(f.files...)
	if err != nil {
		return nil, err
	}
	return study.NewGround(e)
}

// groundOf lays out the first engine of a pack, or the engine of a sheet.
func (p *program) groundOf(name string, files []string) (*study.Ground, error) {
	e, err := p.openSheet(func(h knowledge.Head) bool { return h.ID == name || h.Pack == name },
		&usageError{fmt.Sprintf("there is no pack or sheet %q with an engine to play", name), "narrows packs lists them"}, files)
	if err != nil {
		return nil, err
	}
	return study.NewGround(e)
}

func (p *program) study(ctx context.Context, f studyFlags) error {
	policies, err := f.named()
	if err != nil {
		return err
	}
	g, err := p.ground(f)
	if err != nil {
		return err
	}
	o := study.Options{Runs: f.runs, Seed: f.seed, Told: f.told, Policies: policies}
	tty, ok := p.errOut.(*os.File)
	showing := ok && !p.plain && p.env("ACCESSIBLE") == "" && isControllingTerminal(tty)
	if showing {
		o.Progress = func(played int) { fmt.Fprintf(tty, "\r%d of %d engines played", played, f.runs) }
	}
	t, err := study.Run(ctx, g, o)
	if showing {
		fmt.Fprint(tty, "\r\x1b[K")
	}
	if err != nil {
		return err
	}
	if err := p.showStudy(t); err != nil {
		return err
	}
	if t.Interrupted {
		fmt.Fprintf(p.errOut, "narrows: interrupted: %d of %d engines were played to the end\n", t.Played, t.Runs)
		return errInterrupted
	}
	return nil
}

func (p *program) showStudy(t *study.Table) error {
	if p.json {
		return p.writeLine(struct {
			Kind string `json:"kind"`
			*study.Table
		}{"study", t})
	}
	return p.screen().raw(strings.Join(p.screen().study(t), "\n") + "\n")
}

// writeLine writes a value as one line of JSON.
func (p *program) writeLine(v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("the study cannot be written as JSON: %w", err)
	}
	return p.screen().raw(string(b) + "\n")
}

// study draws the table of a study.
func (s *screen) study(t *study.Table) []string {
	out := []string{fmt.Sprintf("%s: %d engines with a complaint drawn with seed %d, each played by every policy.", t.Engine, t.Played, t.Seed)}
	if len(t.Rows) == 0 {
		return append(out, "Nothing was played to the end.")
	}
	out = append(out, "", s.heading(fmt.Sprintf("%-32s%6s%13s%8s%8s%13s", "minutes to a confirmed cure", "mean", "95 %", "median", "90 %", "of chart's")))
	for _, r := range t.Rows {
		of := ""
		if r.OfChart != nil {
			of = fmt.Sprintf("%.2f±%.2f", r.OfChart.Mean, r.OfChart.High-r.OfChart.Mean)
		}
		out = append(out, fmt.Sprintf("%s%6.0f%13s%8.0f%8.0f%13s", cut(r.Title, 32), r.Minutes.Mean, span(r.Minutes, 0), r.Median, r.P90, of))
	}
	out = append(out, "", s.heading(fmt.Sprintf("%-31s%8s%15s%6s%6s%14s", "in a case", "needless", "95 %", "parts", "work", "cases handed")),
		s.heading(fmt.Sprintf("%-31s%8s%15s%6s%6s%14s", "", "openings", "", "vain", "steps", "on")))
	for _, r := range t.Rows {
		out = append(out, fmt.Sprintf("%s%8.2f%15s%6.2f%6.1f%9d%4.0f%%", cut(r.Title, 31), r.Needless.Mean, span(r.Needless, 2), r.InVain.Mean, r.Actions,
			r.HandedOn, 100*float64(r.HandedOn)/float64(t.Played)))
	}
	first := t.Rows[0].FirstRight
	out = append(out, "", fmt.Sprintf("First suspect at the start a working cause: %.0f %% (%.0f to %.0f).", 100*first.Mean, 100*first.Low, 100*first.High))
	out = append(out, wrapped("", "A job handed on counts with the minutes that handing on costs.")...)
	for _, r := range t.Rows {
		if r.Uncomputed > 0 {
			out = append(out, wrapped("", fmt.Sprintf("%s: %d of those handed on because the model could not be computed any more.", r.Title, r.Uncomputed))...)
		}
	}
	return out
}

func span(e study.Estimate, digits int) string {
	return fmt.Sprintf("%.*f to %.*f", digits, e.Low, digits, e.High)
}

// playCases plays worked cases and holds them against what they expect.
func (p *program) playCases(ctx context.Context, f studyFlags) error {
	policies, err := f.named()
	if err != nil {
		return err
	}
	src, err := knowledge.ReadSource(f.cases)
	if err != nil {
		return err
	}
	file, err := study.ReadCases(src)
	if err != nil {
		return err
	}
	p.engine = file.Engine.String()
	g, err := p.ground(f)
	var usage *usageError
	if errors.As(err, &usage) {
		return file.Fault(usage.what, usage.mend)
	}
	if err != nil {
		return err
	}
	cases, err := file.On(g.Engine())
	if err != nil {
		return err
	}
	tallies := make([]*study.Tally, len(policies))
	for i, pol := range policies {
		tallies[i] = &study.Tally{Policy: pol.ID()}
	}
	for _, w := range cases {
		for i, pol := range policies {
			a, err := g.Play(ctx, w, pol)
			if err != nil {
				return fmt.Errorf("case %s: %w", w.ID, err)
			}
			tallies[i].Add(a)
			if err := p.showAccount(a); err != nil {
				return err
			}
		}
	}
	failed := false
	for _, t := range tallies {
		failed = failed || t.Failed > 0
		if err := p.showTally(t); err != nil {
			return err
		}
	}
	if failed {
		return errFound
	}
	return nil
}

// showTally sums the cases of one policy up.
func (p *program) showTally(t *study.Tally) error {
	if p.json {
		return p.writeLine(struct {
			Kind string `json:"kind"`
			*study.Tally
		}{"study_cases", t})
	}
	words := fmt.Sprintf("%s: %d of %d cured, in %.0f minutes together; the truth was first or second before the first repair in %d, by the end in %d.",
		t.Policy, t.Cured, t.Cases, t.Minutes, t.SecondThen, t.Second)
	if t.Failed > 0 {
		words += fmt.Sprintf(" %d did not meet what was expected.", t.Failed)
	}
	return p.screen().raw(strings.Join(wrapped("", words), "\n") + "\n")
}

func (p *program) showAccount(a *study.Account) error {
	if p.json {
		return p.writeLine(struct {
			Kind string `json:"kind"`
			*study.Account
		}{"study_case", a})
	}
	return p.screen().raw(strings.Join(p.screen().account(a), "\n") + "\n\n")
}

// account draws how a worked case went.
func (s *screen) account(a *study.Account) []string {
	out := []string{s.heading(a.Case + ", " + a.Policy)}
	if a.Title != "" {
		out = append(out, wrapped("  ", a.Title)...)
	}
	out = append(out, s.heading(fmt.Sprintf("  %-58s%8s%12s", "", "minutes", "truth ranks")),
		fmt.Sprintf("  %s%8s%12s", cut("the complaint", 58), "", place(a.Rank)))
	for _, st := range a.Steps {
		words := st.Action
		switch {
		case len(st.Results) > 0:
			words += ": " + strings.Join(st.Results, ", ")
		case st.Still:
			words += ": still there"
		default:
			words += ": gone"
		}
		out = append(out, fmt.Sprintf("  %s%8.0f%12s", cut(words, 58), st.Minutes, place(st.Rank)))
	}
	end := "cured and closed"
	if !a.Cured {
		end = "handed on"
	}
	out = append(out, fmt.Sprintf("  %s%8.0f", cut(end, 58), math.Round(a.Minutes)))
	if len(a.Missed) > 0 {
		out = append(out, wrapped("  ", "not understood: "+strings.Join(a.Missed, ", "))...)
	}
	for _, why := range a.Failed {
		out = append(out, wrapped("  ", "FAILED: "+why)...)
	}
	return out
}

func place(rank int) string {
	if rank == 0 {
		return "-"
	}
	return fmt.Sprint(rank)
}
