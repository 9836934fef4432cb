package main

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"narrows/faulttree"
	"narrows/knowledge"
	"narrows/session"
	"narrows/session/treechart"
)

// latestCase stands for --case without a name.
const latestCase = "latest"

type treeFlags struct {
	svg, text bool
	caseID    string
	files     []string
}

func (p *program) treeCommand() *cobra.Command {
	var f treeFlags
	c := &cobra.Command{
		Use: "tree [SYMPTOM | CASE]", Short: "the fault tree of a symptom, as text, picture or data",
		Long: "With a symptom it draws the fault tree below it: as indented text, with --svg as pages\n" +
			"for A4 in the symbols of IEC 61025, with --json as data. Like parts at several places\n" +
			"are one event, the few inputs that matter most are drawn, the rest stands in one\n" +
			"diamond, and what does not fit goes on on a page of its own. The probabilities are\n" +
			"those before anything is known of an engine; with --case they, and the shades, are\n" +
			"those of a case, the latest one unless it is named: --case=NAME.\n\n" +
			"With a case, or nothing, it lists the tree of that case's complaint on one screen.",
		Example: "  narrows tree 'stumbles at idle' --svg > tree.svg\n  narrows tree rough_idle --case --svg > case.svg\n  narrows tree",
		RunE: func(cmd *cobra.Command, args []string) error {
			words := strings.Join(args, " ")
			drawn := f.svg || f.text || f.caseID != "" || len(f.files) > 0
			if f.svg && (f.text || p.json) || f.text && p.json {
				return &usageError{"--svg, --text and --json exclude each other", "ask for one of them"}
			}
			isCase, err := p.isCase(words)
			switch {
			case err != nil:
				return err
			case (words == "" || isCase) && !drawn:
				return p.look(args, func(o *session.Open) error { return p.answer(cmd.Context(), o, "tree") })
			case words == "" || isCase:
				return &usageError{"the drawing is of a symptom", "name it, for instance: narrows tree 'stumbles at idle' --svg"}
			}
			return p.drawTree(words, f)
		},
	}
	c.Flags().BoolVar(&f.svg, "svg", false, "pages for A4 as SVG")
	c.Flags().BoolVar(&f.text, "text", false, "indented text, as without flags")
	c.Flags().StringVar(&f.caseID, "case", "", "with the beliefs of this `case`; without a name the latest that is not closed")
	c.Flags().Lookup("case").NoOptDefVal = latestCase
	c.Flags().StringArrayVar(&f.files, "with", nil, "a pack or sheet `FILE` of your own; may be given again")
	return c
}

// isCase tells whether the words are the name of a case.
func (p *program) isCase(words string) (bool, error) {
	if words == "" {
		return false, nil
	}
	st, err := p.store()
	if err != nil {
		return false, err
	}
	all, err := st.List()
	return slices.Contains(all, words), err
}

// drawTree writes the tree of a symptom in the form asked for.
func (p *program) drawTree(words string, f treeFlags) error {
	if f.caseID == "" {
		e, err := p.openEngine(f.files...)
		if err != nil {
			return err
		}
		return p.writeTree(e, e.Model().NewBelief(), words, "", f)
	}
	var args []string
	if f.caseID != latestCase {
		args = []string{f.caseID}
	}
	return p.look(args, func(o *session.Open) error {
		return p.writeTree(o.Engine(), o.Belief(), words, o.ID, f)
	})
}

func (p *program) writeTree(e *knowledge.Engine, b *faulttree.Belief, words, id string, f treeFlags) error {
	top, err := symptomNamed(e, words)
	if err != nil {
		return err
	}
	post, err := b.Including(e.Model().Below(top)...).Solve()
	if err != nil {
		return err
	}
	root := treechart.Grow(e, post, top)
	switch {
	case p.json:
		return p.writeLine(struct {
			Kind   string          `json:"kind"`
			Engine string          `json:"engine"`
			Case   string          `json:"case,omitempty"`
			Tree   *treechart.Node `json:"tree"`
		}{"fault_tree", e.Sheet().ID, id, root})
	case f.svg:
		var out bytes.Buffer
		if err := treechart.SVG(&out, root, treechart.Caption{Engine: e.Sheet().Title, Case: id}); err != nil {
			return fmt.Errorf("the tree cannot be drawn: %w", err)
		}
		return p.screen().raw(out.String())
	}
	return p.screen().raw(strings.Join(treechart.Text(root), "\n") + "\n")
}
