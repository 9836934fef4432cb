package main

import (
	"context"
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"narrows/session"
	"narrows/session/report"
)

// lookCommands look at a case without changing it.
func (p *program) lookCommands() []*cobra.Command {
	var out []*cobra.Command
	for _, c := range []struct{ use, line, short string }{
		{"suspects [CASE]", "suspects", "every suspect of a case, the likeliest cure first"},
		{"next [CASE]", "next", "what to do next, with its cost"},
	} {
		out = append(out, &cobra.Command{
			Use: c.use, Short: c.short, Args: takes(0, 1),
			RunE: func(cmd *cobra.Command, args []string) error {
				return p.look(args, func(o *session.Open) error { return p.answer(cmd.Context(), o, c.line) })
			},
		})
	}
	return out
}

// look opens a case for reading, says what is amiss with its journal, and
// hands it to f.
func (p *program) look(args []string, f func(*session.Open) error) (err error) {
	st, err := p.store()
	if err != nil {
		return err
	}
	id, err := pick(st, args)
	if err != nil {
		return err
	}
	o, err := st.Read(id)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, o.Close()) }()
	if lines := recovered(o.Recovery, true); len(lines) > 0 {
		if err := p.screen().warn(p.errOut, lines); err != nil {
			return err
		}
	}
	return f(o)
}

// answer shows what a case answers to a line. A line that it refuses is a
// call that was wrong.
func (p *program) answer(ctx context.Context, o *session.Open, line string) error {
	v, err := o.Do(ctx, session.Parse(line))
	if err != nil {
		return err
	}
	if v.Error != "" {
		return &usageError{strings.TrimSuffix(v.Error, "."), ""}
	}
	v.Hint = "" // it speaks of what can be typed at the prompt
	return p.screen().show(v)
}

func (p *program) replayCommand() *cobra.Command {
	return &cobra.Command{
		Use: "replay CASE", Short: "compute a case anew from its journal and print its suspects", Args: takes(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.look(args, func(o *session.Open) error {
				if o.Recovery.Damage != nil {
					return errors.Join(errFound, o.Recovery.Damage)
				}
				return p.answer(cmd.Context(), o, "suspects all")
			})
		},
	}
}

func (p *program) reportCommand() *cobra.Command {
	return &cobra.Command{
		Use: "report CASE", Short: "print the report of a case, as Markdown", Args: takes(1, 1),
		RunE: func(_ *cobra.Command, args []string) error {
			return p.look(args, func(o *session.Open) error {
				text, err := report.Markdown(o)
				if err != nil {
					return err
				}
				if p.json {
					return p.screen().show(session.View{Kind: "report", Report: text})
				}
				return p.screen().raw(text)
			})
		},
	}
}
