package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
)

// usualEngine is the sheet of a new case where none is named.
const usualEngine = "marsh_tern_60"

// commands builds the tree of commands.
func (p *program) commands() *cobra.Command {
	var id string
	var fresh bool
	root := &cobra.Command{
		Use:   "narrows",
		Short: "Narrow a complaint of a small carburetted engine to its cause",
		Long: "Narrows a running complaint of a small carburetted engine to its cause, and keeps\n" +
			"the reasoning beside the fix. Without a command it goes on with the latest case\n" +
			"that is not closed, or begins one. Where standard input is no terminal it reads\n" +
			"the same language line by line.",
		Example: "  narrows\n  narrows --new --engine holm_pump_5\n  printf '%s\\n' 'stumbles at idle' next | narrows --new",
		Args:    knownCommand, SilenceUsage: true, SilenceErrors: true,
		RunE: func(cmd *cobra.Command, _ []string) error { return p.bench(cmd.Context(), id, fresh) },
	}
	root.CompletionOptions.DisableDefaultCmd = true
	root.SetIn(p.in)
	root.SetOut(p.out)
	root.SetErr(p.errOut)
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return &usageError{err.Error(), cmd.CommandPath() + " --help lists the flags"}
	})
	all := root.PersistentFlags()
	all.StringVar(&p.home, "home", "", "`folder` for cases (default: narrows in the user's data folder)")
	all.BoolVar(&p.plain, "plain", false, "plain lines, no prompt, no colours")
	all.BoolVar(&p.json, "json", false, "one JSON object a line")
	all.StringVar(&p.engine, "engine", usualEngine, "`sheet` of the engine, for a new case")
	var clock string
	all.StringVar(&clock, "clock", "", "take the time from this `file`, to try out what waits")
	_ = all.MarkHidden("clock")
	root.PersistentPreRunE = func(*cobra.Command, []string) (err error) {
		if clock != "" {
			p.clock, err = clockOf(clock)
		}
		return err
	}
	root.Flags().StringVar(&id, "case", "", "go on with this `case`")
	root.Flags().BoolVar(&fresh, "new", false, "begin a new case")
	root.AddCommand(p.casesCommand(), p.packsCommand(), p.verifyCommand(), p.replayCommand(),
		p.reportCommand(), p.withReport(p.lintCommand()), p.demoCommand(), p.cutsetsCommand())
	root.AddCommand(p.studyCommand())
	root.AddCommand(p.instrumentsCommand(), p.limitsCommand(), p.treeCommand())
	root.AddCommand(p.schemaCommand(), p.sheetCommand())
	root.AddCommand(p.lookCommands()...)
	return root
}

// knownCommand refuses a word that is no command, and says which is meant.
func knownCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	mend := "narrows --help lists the commands"
	if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
		mend = "is " + strings.Join(near, " or ") + " meant? " + mend
	}
	return &usageError{fmt.Sprintf("there is no command %q", args[0]), mend}
}

// takes checks how many arguments a command was given.
func takes(least, most int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		switch {
		case len(args) < least:
			return &usageError{fmt.Sprintf("%s needs more: %s", cmd.Name(), cmd.UseLine()), ""}
		case most >= 0 && len(args) > most:
			return &usageError{fmt.Sprintf("%s takes no %q: %s", cmd.Name(), args[most], cmd.UseLine()), ""}
		}
		return nil
	}
}
