package main

import (
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"narrows/session"
)

func (p *program) limitsCommand() *cobra.Command {
	var files []string
	cmd := &cobra.Command{
		Use: "limits", Short: "what the sheet's limits make of sound and faulty parts, before anything is read", Args: takes(0, 0),
		Long: "For every limit of the sheet (--engine): how many sound parts it condemns or leaves too\n" +
			"close to call, and how many faulty ones it passes at most, by the populations of the\n" +
			"pack and the uncertainty that the check assumes (JCGM 106). A limit that condemns\n" +
			"many sound parts, or passes most faulty ones, does not fit its check.",
		RunE: func(*cobra.Command, []string) error {
			e, err := p.openEngine(files...)
			if err != nil {
				return err
			}
			v := session.View{Kind: "limits"}
			if v.Limits, err = session.Screening(e); err != nil {
				return err
			}
			if p.json {
				return p.screen().show(v)
			}
			v.Text = []string{cut("check; limit, standard uncertainty", 48) + "  condemned  too close  passed"}
			for _, l := range v.Limits {
				v.Text = append(v.Text, l.Title,
					fmt.Sprintf("%s  %9s  %9s  %6s", cut("  "+l.Limit+", "+l.Doubt, 48), share(l.Condemned), share(l.Open), share(l.Passed)))
			}
			if len(v.Limits) == 0 {
				v.Text = []string{"No check of this sheet has a limit."}
			}
			return p.screen().list(v)
		},
	}
	cmd.Flags().StringArrayVar(&files, "with", nil, "a pack or sheet `FILE` of your own; may be given again")
	return cmd
}

// share is a share in percent to what matters.
func share(x float64) string {
	switch {
	case x > 0 && x < 0.0005:
		return "<0.1 %"
	case x < 0.1:
		return fmt.Sprintf("%.1f %%", 100*x)
	}
	return fmt.Sprintf("%.0f %%", math.Round(100*x))
}
