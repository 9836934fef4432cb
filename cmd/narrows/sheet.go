package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"narrows/knowledge"
	"narrows/session"
)

// ownSheets is the folder, in the data folder, where new sheets are put.
const ownSheets = "packs"

func (p *program) sheetCommand() *cobra.Command {
	c := &cobra.Command{Use: "sheet", Short: "write a sheet: one engine's limits and fitted parts", Args: takes(0, 0),
		RunE: func(*cobra.Command, []string) error {
			return &usageError{"sheet needs a word", "narrows sheet new asks for a new sheet"}
		}}
	c.AddCommand(p.newSheetCommand())
	return c
}

func (p *program) newSheetCommand() *cobra.Command {
	var out string
	var with []string
	c := &cobra.Command{
		Use: "new", Short: "ask for the values of a new sheet, and write it", Args: takes(0, 0),
		Long: "Asks, line by line, for one engine's limits and fitted parts, as far as its pack can use\n" +
			"them, and writes a sheet. Every answer is checked at once. Enter leaves a value out, or\n" +
			"keeps what was answered before; none takes it out again; back goes one question back;\n" +
			"done ends with what there is. Nothing is written over. Where it breaks off, what was\n" +
			"answered is kept in a file that ends in .draft.",
		RunE: func(cmd *cobra.Command, _ []string) error { return p.newSheet(cmd.Context(), out, with) },
	}
	c.Flags().StringVar(&out, "out", "", "the `file` to write (default: ID.yaml in the folder "+ownSheets+" of the data folder)")
	c.Flags().StringArrayVar(&with, "with", nil, "a pack `FILE` of your own; may be given again")
	return c
}

// A sheetTalk asks for a new sheet.
type sheetTalk struct {
	p     *program
	with  []string
	out   string // the file that was named; empty: by the identifier
	draft *knowledge.SheetDraft
	lines lineReader
}

func (p *program) newSheet(ctx context.Context, out string, with []string) error {
	t := &sheetTalk{p: p, out: out, with: with}
	if out != "" {
		if err := vacant(out); err != nil {
			return &usageError{err.Error(), "name another file with --out"}
		}
	}
	sources, err := p.sources(with)
	if err != nil {
		return err
	}
	lib, problems := knowledge.Load(sources)
	if len(lib.Packs()) == 0 && len(problems) > 0 { // a faulty file of one's own hides no other
		return fmt.Errorf("%w\nnarrows lint lists every fault", problems[0])
	}
	t.draft = knowledge.NewSheetDraft(lib)
	ctx, stop := signal.NotifyContext(ctx, os.Interrupt)
	defer stop()
	t.lines, err = newLineReader(lineOptions{In: p.in, Out: p.out, Env: p.env, Plain: p.plain || p.json})
	if err != nil {
		return err
	}
	return withTerminalRestored(t.lines, p.errOut, func() error { return t.ask(ctx) })
}

// ask goes through the questions to the end, and writes the sheet.
func (t *sheetTalk) ask(ctx context.Context) error {
	at := 0
	for {
		questions := t.draft.Questions()
		if at >= len(questions) {
			return t.finish()
		}
		q := questions[at]
		if err := t.show(q); err != nil {
			return err
		}
		line, err := t.lines.ReadLine(ctx, "sheet> ")
		switch {
		case errors.Is(err, errLineTooLong):
			err = t.refuse(err)
		case err != nil:
			return t.brokenOff(err)
		default:
			at, err = t.take(q, at, strings.TrimSpace(line))
		}
		if errors.Is(err, errComplete) {
			return t.finish()
		}
		if err != nil {
			return err
		}
	}
}

// errComplete ends the questions before the last.
var errComplete = errors.New("complete")

// take does what a line says and gives the place of the next question.
func (t *sheetTalk) take(q knowledge.SheetQuestion, at int, line string) (int, error) {
	switch line {
	case "back":
		return max(0, at-1), nil
	case "done":
		if lacks, ok := t.draft.Lacking(); ok {
			return at, t.refuse(fmt.Errorf("a sheet cannot do without this: %s", lacks.Ask))
		}
		return at, errComplete
	case "":
		if t.draft.Said(q.Key) != "" {
			return at + 1, nil
		}
	case "none":
		line = ""
	}
	if q.Key == "sheet" && t.out == "" {
		path, err := t.path(line)
		if err == nil {
			err = vacant(path)
		}
		if err != nil {
			return at, t.refuse(fmt.Errorf("%w; give another identifier", err))
		}
	}
	if err := t.draft.Answer(q, line); err != nil {
		return at, t.refuse(err)
	}
	if line == "" && q.Lacks != "" {
		return at + 1, t.p.screen().show(session.View{Kind: "sheet", Text: []string{"Left out: " + q.Lacks + "."}})
	}
	return at + 1, nil
}

func (t *sheetTalk) show(q knowledge.SheetQuestion) error {
	v := session.View{Kind: "sheet", Text: append([]string{q.Ask}, q.Ways...)}
	switch said := t.draft.Said(q.Key); {
	case said != "":
		v.Hint = "now: " + said + "; Enter keeps it, back goes back, done ends"
	case q.Must:
		v.Hint = "back goes back"
	default:
		v.Hint = "Enter leaves it out, back goes back, done ends"
	}
	return t.p.screen().show(v)
}

func (t *sheetTalk) refuse(err error) error {
	return t.p.screen().show(session.View{Kind: "error", Error: err.Error()})
}

// tell writes whole lines, since paths stand in them.
func (t *sheetTalk) tell(text []string) error {
	return t.p.screen().list(session.View{Kind: "sheet", Text: text})
}

// path is where the sheet of that identifier will lie.
func (t *sheetTalk) path(id string) (string, error) {
	if t.out != "" {
		return t.out, nil
	}
	if id == "" {
		id = "sheet"
	}
	st, err := t.p.store()
	return filepath.Join(filepath.Dir(st.Dir), ownSheets, id+".yaml"), err
}

// vacant is an error where there is a file of that name already.
func vacant(path string) error {
	_, err := os.Lstat(path)
	switch {
	case err == nil:
		return fmt.Errorf("%s is there already and is not written over", path)
	case errors.Is(err, fs.ErrNotExist):
		return nil
	}
	return fmt.Errorf("%s cannot be looked at: %w", path, err)
}

// finish writes the sheet, checks it with the pack and says how to use it.
func (t *sheetTalk) finish() error {
	path, err := t.path(t.draft.ID())
	if err != nil {
		return err
	}
	if err := create(path, t.draft.YAML()); err != nil {
		return errors.Join(err, t.keep(path))
	}
	sources, err := t.p.sources(append(t.with, path))
	if err != nil {
		return err
	}
	text, found := []string{"Written: " + path}, false
	for _, q := range t.draft.Open() {
		if q.Lacks != "" {
			text = append(text, q.Name+" is left out: "+q.Lacks+".")
		}
	}
	// Of a pack that came with the program, what this sheet leaves out is no fault.
	_, problems := knowledge.Load(sources)
	for _, f := range problems {
		mine := f.File == filepath.ToSlash(path)
		found = found || mine
		if mine || slices.Contains(t.with, f.File) {
			text = append(text, f.Error())
		}
	}
	if found {
		return errors.Join(t.tell(text), errFound)
	}
	return t.tell(append(text, "Begin a case with it: narrows --new --engine "+t.use(path)))
}

// use is what --engine takes for the sheet: its name where it lies among one's own.
func (t *sheetTalk) use(path string) string {
	if t.out == "" {
		return t.draft.ID()
	}
	return path
}

// brokenOff keeps what was answered, since it may be an hour's work.
func (t *sheetTalk) brokenOff(why error) error {
	if errors.Is(why, io.EOF) {
		why = &usageError{"the answers end before the sheet is complete", "answer on, or end with done"}
	}
	if t.draft.Said("pack") == "" {
		return why
	}
	path, err := t.path(t.draft.ID())
	if err != nil {
		return errors.Join(why, err)
	}
	return errors.Join(why, t.keep(path))
}

// keep writes what was answered beside the place of the sheet, over nothing.
func (t *sheetTalk) keep(path string) error {
	for i := 1; ; i++ {
		name := path + ".draft"
		if i > 1 {
			name = fmt.Sprintf("%s.%d.draft", path, i)
		}
		err := create(name, t.draft.YAML())
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return err
		}
		return t.p.screen().warn(t.p.errOut, []string{"What was answered is kept in " + name + "; no sheet was written."})
	}
}

// create writes a file that must not be there yet, and its folder.
func create(path string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return fmt.Errorf("the folder of the sheet cannot be made: %w", err)
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return fmt.Errorf("the sheet cannot be written: %w", err)
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("the sheet cannot be written: %w", err)
	}
	return nil
}
