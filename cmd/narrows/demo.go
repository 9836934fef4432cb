package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"time"

	"github.com/spf13/cobra"

	"narrows/session"
)

// fastVariable set to anything plays the demo without pauses, as --fast does.
const fastVariable = "NARROWS_FAST"

// The reading pace of the demo at a terminal.
const (
	pauseComment = 2500 * time.Millisecond
	pauseTyped   = 1200 * time.Millisecond
	pauseScreen  = 4 * time.Second
)

func (p *program) demoCommand() *cobra.Command {
	fast := false
	cmd := &cobra.Command{
		Use: "demo", Short: "play a whole made-up case, from complaint to report", Args: takes(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			ctx, stop := signal.NotifyContext(cmd.Context(), os.Interrupt)
			defer stop()
			return p.demo(ctx, fast || p.env(fastVariable) != "")
		},
	}
	cmd.Flags().BoolVar(&fast, "fast", false, "without pauses (so does "+fastVariable+")")
	return cmd
}

// demo plays the script through a case like any other.
func (p *program) demo(ctx context.Context, fast bool) error {
	if p.home == "" {
		dir, err := os.MkdirTemp("", "narrows-demo-")
		if err != nil {
			return fmt.Errorf("there is no room for the demo: %w; give a folder with --home", err)
		}
		p.home = dir
	}
	p.engine = usualEngine
	o, err := p.start(ctx)
	if err != nil {
		return err
	}
	out, isFile := p.out.(*os.File)
	d := &demo{p: p, o: o, screen: p.screen(), paced: !fast && isFile && isControllingTerminal(out)}
	return errors.Join(d.play(ctx, demoScript()), o.Close())
}

// A demo is a script being played.
type demo struct {
	p      *program
	o      *session.Open
	screen *screen
	paced  bool
}

func (d *demo) play(ctx context.Context, script []scene) error {
	for _, s := range script {
		v, err := d.scene(ctx, s)
		if err == nil && v.Kind == "caution" { // read, and gone on from
			v, err = d.scene(ctx, scene{})
		}
		if err == nil && v.Report != "" {
			err = d.p.writeReport(d.o, d.screen)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// scene says the comment, shows the line as typed, and does it.
func (d *demo) scene(ctx context.Context, s scene) (session.View, error) {
	if err := d.typed(ctx, s); err != nil {
		return session.View{}, err
	}
	v, err := d.o.Do(ctx, session.Parse(s.line))
	if err != nil {
		return v, err
	}
	if v.Error != "" {
		return v, fmt.Errorf("the demo's line %q was refused: %s", s.line, v.Error)
	}
	if err := d.screen.show(v); err != nil || v.Done {
		return v, err
	}
	if !d.screen.json {
		err = d.screen.raw("\n")
	}
	d.wait(ctx, pauseScreen)
	return v, err
}

// typed shows the comment and the line.
func (d *demo) typed(ctx context.Context, s scene) error {
	if s.comment != "" {
		if err := d.screen.show(session.View{Kind: "comment", Text: []string{"# " + s.comment}}); err != nil {
			return err
		}
		d.wait(ctx, pauseComment)
	}
	if !d.screen.json {
		if err := d.screen.raw(promptText + s.line + "\n"); err != nil {
			return err
		}
		d.wait(ctx, pauseTyped)
	}
	if ctx.Err() != nil {
		return stoppedBy(ctx.Err())
	}
	return nil
}

func (d *demo) wait(ctx context.Context, t time.Duration) {
	if d.paced {
		d.p.pause(ctx, t)
	}
}
