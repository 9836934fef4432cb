package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strings"

	"narrows/session"
	"narrows/session/journal"
	"narrows/session/report"
)

// promptText stands before the line at a terminal.
const promptText = "narrows> "

// A bench is a case with somebody at it.
type bench struct {
	p      *program
	o      *session.Open
	lines  lineReader
	screen *screen
	prompt bool // a person types at a terminal
	ranks  *ranks
	timer  *timer
	// between takes a Ctrl-C that comes when a line has ended and its work has not
	// begun.
	between chan os.Signal
}

// bench opens a case and reads lines for it to the end of the input.
func (p *program) bench(ctx context.Context, id string, fresh bool) error {
	if fresh && id != "" {
		return &usageError{"--case and --new exclude each other", "give one of them"}
	}
	o, err := p.open(ctx, id, fresh)
	if err != nil {
		return err
	}
	o.Reshelve(p.sheetNow)
	if err = p.equip(o); err == nil {
		err = p.work(ctx, o)
	}
	return errors.Join(err, o.Close())
}

// open gives the case that was named, else the latest that is not closed, else
// a new one.
func (p *program) open(ctx context.Context, id string, fresh bool) (*session.Open, error) {
	st, err := p.store()
	if err != nil {
		return nil, err
	}
	if !fresh && id == "" {
		if id, err = st.Latest(); err != nil {
			return nil, err
		}
	}
	if fresh || id == "" {
		return p.start(ctx)
	}
	o, err := st.Resume(id)
	if errors.Is(err, journal.ErrInUse) {
		return nil, fmt.Errorf("%w; narrows --new begins another case", err)
	}
	return o, err
}

func newBench(p *program, o *session.Open) *bench {
	b := &bench{p: p, o: o, screen: p.screen(), ranks: newRanks(o.Case)}
	b.timer = newTimer(o.Case, b.ranks.wake, p.pause)
	return b
}

func (p *program) work(ctx context.Context, o *session.Open) error {
	b := newBench(p, o)
	lines, err := newLineReader(lineOptions{
		In: p.in, Out: p.out, Env: p.env, Plain: p.plain || p.json, Complete: completing(o.Case),
		Wake: b.ranks.wake, Busy: b.busy,
	})
	if err != nil {
		return err
	}
	b.lines = lines
	if _, b.prompt = lines.(*promptReader); b.prompt {
		o.RankLater(p.rank)
	}
	return withTerminalRestored(lines, p.errOut, func() error {
		if b.prompt { // between two lines Ctrl-C must not end the program either
			b.between = make(chan os.Signal, 1)
			signal.Notify(b.between, os.Interrupt)
			defer signal.Stop(b.between)
		}
		return b.loop(ctx)
	})
}

// loop reads a line, does it and shows what comes of it.
func (b *bench) loop(ctx context.Context) error {
	defer b.ranks.close()
	defer b.timer.close()
	if err := b.welcome(ctx); err != nil {
		return err
	}
	for {
		b.ranks.follow(ctx)
		if err := b.waited(ctx); err != nil {
			return err
		}
		line, err := b.read(ctx)
		switch {
		case errors.Is(err, errWoken):
			if _, err := b.offer(ctx); err != nil {
				return err
			}
			continue
		case errors.Is(err, errInterrupted) && b.prompt:
			if err := b.interrupted(ctx); err != nil {
				return err
			}
			continue
		case errors.Is(err, errLineTooLong):
			if err := b.screen.show(session.View{Kind: "error", Error: err.Error()}); err != nil {
				return err
			}
			continue
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return err
		}
		if done, err := b.do(ctx, line); done || err != nil {
			return err
		}
	}
}

// waited follows the wait of a timed check, and says so when it is over.
func (b *bench) waited(ctx context.Context) error {
	if !b.prompt || !b.timer.follow(ctx, b.p.clock) {
		return nil
	}
	v, err := b.o.Do(ctx, session.Command{})
	if err != nil {
		return b.failed(ctx, err)
	}
	if err := b.screen.ring(); err != nil {
		return err
	}
	return b.screen.show(v)
}

// busy is what stands before the line in place of the prompt's text.
func (b *bench) busy() string {
	if _, waits := b.o.Wait(); waits {
		return ""
	}
	return b.ranks.word()
}

// offer shows what a ranking beside the typing has come to, if it has.
func (b *bench) offer(ctx context.Context) (shown bool, err error) {
	v, ok, err := b.o.Offer(b.ranks.r)
	switch {
	case err != nil:
		return true, b.failed(ctx, err)
	case ok:
		return true, b.screen.show(v)
	}
	return false, nil
}

// interrupted is Ctrl-C while a line is typed: it stops the ranking that goes
// on beside it, and nothing else.
func (b *bench) interrupted(ctx context.Context) error {
	if shown, err := b.offer(ctx); shown || err != nil { // it has come to its end just now
		return err
	}
	if r := b.o.Ranking(); r == nil || r.Ahead() || !b.o.StopRanking() {
		return nil
	}
	return b.screen.show(session.View{Kind: "stopped", Text: []string{"The ranking was stopped."}, Hint: "next ranks what to do; everything else goes on without"})
}

// read reads a line. At the prompt Ctrl-C is a key; without one it ends the
// program, and nothing that was entered is lost.
func (b *bench) read(ctx context.Context) (string, error) {
	if b.prompt {
		arrived(b.between) // what it holds was meant for earlier work
		return b.lines.ReadLine(ctx, b.timer.prefix())
	}
	within, stop := signal.NotifyContext(ctx, os.Interrupt)
	defer stop()
	return b.lines.ReadLine(within, "")
}

// do answers one line; done tells that it was the last.
func (b *bench) do(ctx context.Context, line string) (done bool, err error) {
	within, cancel := context.WithCancel(ctx)
	defer cancel()
	within, stop := signal.NotifyContext(within, os.Interrupt)
	defer stop()
	if arrived(b.between) {
		cancel()
	}
	cmd := session.Parse(line)
	v, err := b.o.Do(within, cmd)
	if err == nil && v.Wait != nil && cmd.Verb == session.WaitVerb && !b.prompt {
		// A script has nothing to do meanwhile.
		if err := b.screen.show(v); err != nil {
			return false, err
		}
		if err := b.p.sit(within, v.Wait.Until); err != nil {
			return false, err
		}
		v, err = b.o.Do(within, session.Command{})
	}
	if err != nil {
		return false, b.failed(ctx, err)
	}
	if err := b.screen.show(v); err != nil || !v.Done {
		return v.Done, err
	}
	if v.Report != "" {
		return true, b.p.writeReport(b.o, b.screen)
	}
	return true, nil
}

// failed says that a line could not be recorded or computed. A person goes on
// from there; a script does not, since the lines behind rest on this one.
func (b *bench) failed(ctx context.Context, err error) error {
	if ctx.Err() != nil || !b.prompt {
		return err
	}
	v := session.View{Kind: "error", Error: err.Error(), Hint: "Enter shows where the case stands"}
	switch {
	case errors.Is(err, context.Canceled):
		v.Error = "Stopped. What had been recorded by then stands."
	case errors.Is(err, session.ErrNotRecorded):
		v.Hint = "look to the disk, then enter the line again; quit leaves"
	}
	return b.screen.show(v)
}

// welcome shows what was found amiss with the record, and where the case
// stands.
func (b *bench) welcome(ctx context.Context) error {
	within, stop := signal.NotifyContext(ctx, os.Interrupt)
	defer stop()
	v, err := b.o.Welcome(within)
	if err != nil {
		return b.failed(ctx, err)
	}
	v.Text = append(recovered(b.o.Recovery, b.o.Log.ReadOnly()), v.Text...)
	if v.Kind != "begin" {
		v.Text = append([]string{"Case " + b.o.ID + ": " + b.o.Engine().Sheet().Title + "."}, v.Text...)
	}
	return b.screen.show(v)
}

// recovered says what opening a journal found.
func recovered(r journal.Recovery, readOnly bool) []string {
	var out []string
	if t := r.Torn; t != nil {
		s := fmt.Sprintf("The last line of the journal, %d bytes, had not been written to its end; it was never acknowledged.", t.Bytes)
		if t.File != "" {
			s += " It is kept in " + filepath.Base(t.File) + "."
		}
		out = append(out, s)
	}
	if r.Damage != nil {
		out = append(out, fmt.Sprintf("The journal is damaged: %s. The %d entries before it count.", r.Damage, r.Entries))
		if readOnly {
			out = append(out, "The case can be looked at; nothing more can be recorded in it.")
		}
	}
	for _, w := range r.Warnings {
		out = append(out, fmt.Sprintf("Entry %d: %s.", w.Line, w.Reason))
	}
	return out
}

// reportName is the report's file in the folder of its case.
const reportName = "report.md"

// writeReport writes the report next to the case and says where it lies. The
// new one takes the place of an old one only when it is whole.
func (p *program) writeReport(o *session.Open, s *screen) error {
	text, err := report.Markdown(o)
	if err != nil {
		return fmt.Errorf("the report cannot be made: %w; the case itself is kept", err)
	}
	path := filepath.Join(o.Dir, reportName)
	drawings, err := drawings(o)
	if err != nil {
		return err
	}
	for _, d := range drawings {
		text += fmt.Sprintf("![%s](%s)\n\n", d.title, d.name)
		if err := replace(filepath.Join(o.Dir, d.name), d.svg); err != nil {
			return fmt.Errorf("a drawing of the report cannot be written: %w; narrows report %s prints it without", err, o.ID)
		}
	}
	if err := replace(path, []byte(text)); err != nil {
		return fmt.Errorf("the report cannot be written: %w; narrows report %s prints it", err, o.ID)
	}
	return s.list(session.View{Kind: "report", Text: []string{"Report: " + path}, Report: path})
}

// replace writes a file that takes the place of an old one only when it is whole.
func replace(path string, data []byte) error {
	if err := os.WriteFile(path+".new", data, 0o600); err != nil {
		return err
	}
	return os.Rename(path+".new", path)
}

// drawing is a picture of the report as a file of its own.
type drawing struct {
	name, title string
	svg         []byte
}

// drawings are those of all that was read.
func drawings(o *session.Open) ([]drawing, error) {
	var out []drawing
	for i, p := range o.Drawings() {
		var b bytes.Buffer
		if err := p.SVG(&b); err != nil {
			return nil, fmt.Errorf("%s cannot be drawn: %w", p.Title, err)
		}
		out = append(out, drawing{fmt.Sprintf("reading-%d.svg", i+1), strings.NewReplacer("[", "(", "]", ")").Replace(p.Title), b.Bytes()})
	}
	return out, nil
}
