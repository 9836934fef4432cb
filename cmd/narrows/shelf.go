package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"narrows/session"
	"narrows/session/journal"
)

func (p *program) casesCommand() *cobra.Command {
	return &cobra.Command{
		Use: "cases", Short: "list the cases", Args: takes(0, 0),
		RunE: func(*cobra.Command, []string) error {
			st, err := p.store()
			if err != nil {
				return err
			}
			all, err := st.Overviews()
			if err != nil {
				return err
			}
			v := session.View{Kind: "cases"}
			for _, o := range all {
				v.Text = append(v.Text, overviewLine(o))
			}
			if len(all) == 0 {
				v.Text = []string{"There are no cases yet; narrows begins one."}
			}
			return p.screen().show(v)
		},
	}
}

func overviewLine(o session.Overview) string {
	state := "open  "
	switch {
	case o.Damage != nil:
		return fmt.Sprintf("%-14s damaged  see: narrows verify %s", o.ID, o.ID)
	case o.Closed:
		state = "closed"
	}
	words := o.Complaint
	if words == "" {
		words = "(no complaint yet)"
	}
	return fmt.Sprintf("%-14s %s  %s: %s", o.ID, state, o.Engine, words)
}

func (p *program) verifyCommand() *cobra.Command {
	return &cobra.Command{
		Use: "verify CASE", Short: "check the chain of a case's journal", Args: takes(1, 1),
		RunE: func(_ *cobra.Command, args []string) error {
			st, err := p.store()
			if err != nil {
				return err
			}
			dir, err := st.Folder(args[0])
			if err != nil {
				return err
			}
			rep, err := journal.VerifyDir(dir)
			if err != nil {
				return err
			}
			if err := p.screen().show(verified(args[0], rep)); err != nil {
				return err
			}
			if rep.Damage != nil {
				return errFound
			}
			return nil
		},
	}
}

func verified(id string, rep journal.Report) session.View {
	v := session.View{Kind: "verify"}
	if rep.Damage != nil {
		v.Error = rep.Damage.Error()
		v.Text = []string{fmt.Sprintf("The %d entries before it fit.", rep.Entries)}
	} else {
		v.Text = []string{fmt.Sprintf("All %d entries of case %s fit.", rep.Entries, id)}
	}
	v.Text = append(v.Text, "Head hash:", rep.Head)
	for _, w := range rep.Warnings {
		v.Text = append(v.Text, fmt.Sprintf("Entry %d: %s.", w.Line, w.Reason))
	}
	return v
}
