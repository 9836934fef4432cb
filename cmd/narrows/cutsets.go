package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"narrows/faulttree"
	"narrows/knowledge"
	"narrows/symptoms"
)

// cutsetsFlags are what the command was asked for.
type cutsetsFlags struct {
	order, limit int
	above        float64
	files        []string
}

// listedCutSets is how many sets and events a text lists unless told otherwise.
const listedCutSets = 20

func (p *program) cutsetsCommand() *cobra.Command {
	var f cutsetsFlags
	c := &cobra.Command{
		Use: "cutsets SYMPTOM", Short: "minimal cut sets and importances of a symptom, before anything is known",
		Long: "Classical fault-tree analysis of one symptom: its minimal cut sets (the smallest\n" +
			"sets of faults that bring it about if every one works through), its probability\n" +
			"before anything is known, and how important each fault is for it.",
		Example: "  narrows cutsets 'stumbles at mid throttle'\n  narrows cutsets no_start --engine holm_pump_5 --json\n" +
			"  narrows cutsets dies_idle --order 2 --above 1e-6",
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return &usageError{"cutsets wants a symptom", "for instance: narrows cutsets 'stumbles at idle'"}
			}
			if f.order < 0 || f.limit < 0 || !(f.above >= 0 && f.above < 1) {
				return &usageError{"--order and --limit must be at least 0, --above at least 0 and below 1", cmd.CommandPath() + " --help tells more"}
			}
			if p.json && !cmd.Flags().Changed("limit") {
				f.limit = 0
			}
			return p.cutsets(strings.Join(args, " "), f)
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			e, err := p.openEngine(f.files...)
			if err != nil {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			var ids []string
			for _, s := range e.Model().Symptoms() {
				ids = append(ids, e.Describe(s).ID+"\t"+e.Describe(s).Title)
			}
			return ids, cobra.ShellCompDirectiveNoFileComp
		},
	}
	c.Flags().IntVar(&f.order, "order", 0, "only sets of at most `N` faults (0: all)")
	c.Flags().Float64Var(&f.above, "above", 0, "only sets more probable than `P` (0: all)")
	c.Flags().IntVar(&f.limit, "limit", listedCutSets, "list the `N` likeliest (0: all; all with --json)")
	c.Flags().StringArrayVar(&f.files, "with", nil, "a pack or sheet `FILE` of your own; may be given again")
	return c
}

func (p *program) cutsets(words string, f cutsetsFlags) error {
	e, err := p.openEngine(f.files...)
	if err != nil {
		return err
	}
	top, err := symptomNamed(e, words)
	if err != nil {
		return err
	}
	c, err := e.Model().CutSets(top, faulttree.CutSetOptions{MaxOrder: f.order, Above: f.above, Limit: f.limit, Importance: true})
	if errors.Is(err, faulttree.ErrTooLarge) {
		return fmt.Errorf("%w; ask for the small ones alone, for instance --order 2", err)
	}
	if err != nil {
		return err
	}
	if p.json {
		return p.writeCutSets(e, c)
	}
	return p.screen().raw(strings.Join(p.screen().cutSets(e, c, f), "\n") + "\n")
}

// symptomNamed finds a symptom by its identifier or its words.
func symptomNamed(e *knowledge.Engine, words string) (faulttree.Event, error) {
	for _, ev := range e.Model().Symptoms() {
		if d := e.Describe(ev); d.ID == words || strings.EqualFold(d.Title, words) {
			return ev, nil
		}
	}
	found := e.Lexicon().Find(words)
	own := slices.DeleteFunc(slices.Clone(found), func(s symptoms.Symptom) bool {
		return !strings.Contains(strings.ToLower(s.Title), strings.ToLower(words))
	})
	if len(own) == 1 {
		found = own
	}
	if len(found) == 1 {
		if evs := e.EventsOf(found[0].ID); len(evs) > 0 {
			return evs[0], nil
		}
	}
	var near []string
	for _, s := range found[:min(6, len(found))] {
		near = append(near, s.ID)
	}
	if len(near) > 0 {
		return faulttree.None, &usageError{fmt.Sprintf("%q fits more than one symptom", words), "which of these is meant: " + strings.Join(near, ", ")}
	}
	for _, ev := range e.Model().Symptoms() {
		near = append(near, e.Describe(ev).ID)
	}
	return faulttree.None, &usageError{fmt.Sprintf("no symptom of this pack fits %q", words), "it has " + strings.Join(near, ", ")}
}

// basicTitle says a primary event in words.
func basicTitle(e *knowledge.Engine, b faulttree.Basic) string {
	if b.Unlisted {
		return "something not in this pack: " + e.Describe(b.Event).Title
	}
	return e.Describe(b.Event).Title
}

// cutSets draws the analysis as text.
func (s *screen) cutSets(e *knowledge.Engine, c *faulttree.CutSets, f cutsetsFlags) []string {
	out := []string{s.heading("Top event: " + e.Describe(c.Top).Title)}
	out = append(out, wrapped("  ", countWords(c))...)
	if c.Trouble != nil {
		out = append(out, wrapped("  ", "Its probability cannot be computed: "+c.Trouble.Error()+".")...)
	} else {
		out = append(out, fmt.Sprintf("  probability before anything is known  %.6g", c.P))
	}
	if !math.IsNaN(c.RareEvent) {
		out = append(out, fmt.Sprintf("  sum of the cut sets                   %.6g", c.RareEvent),
			fmt.Sprintf("  min-cut upper bound                   %.6g", c.UpperBound))
	}
	out = append(out, "", s.heading(fmt.Sprintf("%4s  %-60s%12s", "N", "minimal cut set", "probability")))
	for i, set := range c.Sets {
		for k, b := range set.Members {
			switch {
			case k == 0:
				out = append(out, fmt.Sprintf("%4d  %s%12.4g", i+1, cut(basicTitle(e, b), 60), set.P))
			default:
				out = append(out, "      and "+strings.TrimRight(cut(basicTitle(e, b), 56), " "))
			}
		}
		if len(set.Members) == 0 {
			out = append(out, fmt.Sprintf("%4d  %s%12.4g", i+1, cut("(nothing need be wrong)", 60), set.P))
		}
	}
	out = append(out, wrapped("  ", leftOut(c))...)
	return append(out, s.importances(e, c, f)...)
}

func countWords(c *faulttree.CutSets) string {
	if c.ByOrder == nil {
		return "more minimal cut sets than can be counted"
	}
	var by []string
	for k, n := range c.ByOrder {
		if n > 0 {
			by = append(by, fmt.Sprintf("%d of order %d", n, k))
		}
	}
	words := fmt.Sprintf("minimal cut sets: %d", c.Total)
	if len(by) > 0 {
		words += " (" + strings.Join(by, ", ") + ")"
	}
	if c.Bounded {
		words += "; larger ones were not looked for"
	}
	return words
}

func leftOut(c *faulttree.CutSets) string {
	var out []string
	for _, x := range []struct {
		n   uint64
		why string
	}{{c.OverOrder, "of a higher order"}, {c.NotAbove, "not probable enough"}, {c.BeyondLimit, "less likely than these"}} {
		if x.n > 0 {
			out = append(out, fmt.Sprintf("%d %s", x.n, x.why))
		}
	}
	if len(out) == 0 {
		return "None is left out."
	}
	return "Not listed: " + strings.Join(out, ", ") + ". --limit 0 lists all."
}

func (s *screen) importances(e *knowledge.Engine, c *faulttree.CutSets, f cutsetsFlags) []string {
	if len(c.Importance) == 0 {
		return nil
	}
	out := []string{"", s.heading(fmt.Sprintf("%-30s%10s%10s%10s%9s%9s", "importance", "Birnbaum", "critical", "Fussell-V", "RAW", "RRW"))}
	list := c.Importance
	if f.limit > 0 {
		list = list[:min(f.limit, len(list))]
	}
	for _, i := range list {
		out = append(out, fmt.Sprintf("%s%10.3g%10.3g%10.3g%9.3g%9.3g", cut(basicTitle(e, i.Basic), 30),
			i.Birnbaum, i.Criticality, i.FussellVesely, i.Achievement, i.Reduction))
	}
	note := "RAW, risk achievement worth: by how much the symptom is likelier if the fault is there. RRW, risk reduction worth: if it is not."
	if !c.Independent {
		note += " Faults depend on each other here: being there speaks for what brought the fault about as well."
	}
	return append(out, wrapped("  ", note)...)
}
