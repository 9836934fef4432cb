package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"

	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/colorprofile"
	"github.com/charmbracelet/x/ansi"

	"narrows/session"
)

// House style of everything that people see: what is wrong comes first and
// what to do next comes last; whole words and plain sentences; a heading, then
// what belongs to it, two letters in; at most 80 columns, and 24 rows for
// every screen that asks for a decision. Bold marks headings and nothing else,
// and only on a terminal.
const (
	screenCols = 80
	screenRows = 22 // of 24: one for the prompt, one to spare
)

// A screen draws views, or writes them as JSON.
type screen struct {
	out  io.Writer
	json bool
	// plain is set where the output is not a terminal's, or for someone who has it
	// read aloud.
	plain bool
	bold  lipgloss.Style
	top   int // rows of the view shown last, if its offer is to follow
}

// screen is the program's, with bold headings where the output is a terminal.
func (p *program) screen() *screen {
	s := &screen{out: p.out, json: p.json, plain: true}
	f, ok := p.out.(*os.File)
	if !ok || p.plain || p.json || p.env("ACCESSIBLE") != "" || !isControllingTerminal(f) {
		return s
	}
	var env []string
	for _, name := range []string{"TERM", "COLORTERM", "NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE"} {
		if v := p.env(name); v != "" {
			env = append(env, name+"="+v)
		}
	}
	s.out = colorprofile.NewWriter(p.out, env) // takes out what the terminal cannot show
	s.plain = false
	s.bold = lipgloss.NewStyle().Bold(true)
	return s
}

// show writes a view.
func (s *screen) show(v session.View) error {
	if s.json {
		return s.line(v)
	}
	lines := s.draw(v)
	s.top = 0
	if v.Ranking {
		s.top = len(lines)
	}
	return s.raw(strings.Join(lines, "\n") + "\n")
}

// ring calls the mechanic back from the engine: a wait is over.
func (s *screen) ring() error {
	if s.json {
		return nil
	}
	return s.raw("\a")
}

// list writes a view whose texts must stay whole lines, as other programs read
// them.
func (s *screen) list(v session.View) error {
	if s.json {
		return s.line(v)
	}
	return s.raw(strings.Join(v.Text, "\n") + "\n")
}

func (s *screen) line(v session.View) error {
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("the view cannot be written as JSON: %w", err)
	}
	return s.raw(string(b) + "\n")
}

func (s *screen) raw(text string) error {
	if _, err := io.WriteString(s.out, text); err != nil {
		return fmt.Errorf("the output cannot be written: %w", err)
	}
	return nil
}

// warn writes lines beside the output, wrapped; as JSON they would be in the
// way of whoever reads it.
func (s *screen) warn(to io.Writer, lines []string) error {
	for _, l := range lines {
		if _, err := fmt.Fprintln(to, strings.Join(wrapped("", l), "\n")); err != nil {
			return err
		}
	}
	return nil
}

// draw lays a view out. Where it is too long for the window it is laid out
// again with less of what can be asked for: first without empty lines, then
// with shorter tables. What cannot be shortened scrolls. An offer that follows
// its suspects shares the window with them, which leave it room.
func (s *screen) draw(v session.View) []string {
	room := screenRows
	if follows(v) {
		room -= s.top
	}
	var lines []string
	for squeeze := range squeezes {
		lines = s.layout(v, squeeze)
		rest := 0
		if v.Ranking {
			rest = offerRows(squeeze)
		}
		if len(lines)+rest <= room {
			break
		}
	}
	return lines
}

// squeezes is how many layouts there are, from roomy to narrow.
const squeezes = 5

// tableRows is how many rows a table of the offer has in a layout.
func tableRows(squeeze int) int { return [squeezes]int{8, 8, 5, 4, 3}[squeeze] }

// layout is one try; squeeze counts from 0, with everything and empty lines.
func (s *screen) layout(v session.View, squeeze int) []string {
	rows := tableRows(squeeze)
	suspects := rows
	if v.Next == nil && !v.Ranking { // asked for alone
		suspects = len(v.Suspects)
	}
	blocks := [][]string{
		s.mistake(v), s.cautions(v.Cautions), s.text(v), s.stated(v.Stated), missed(v.Missed), s.changed(v.Changed, squeeze),
		s.suspects(v, suspects), s.next(v.Next, rows, squeeze), s.pictures(v.Pictures), s.ask(v.Ask), s.why(v.Why), s.together(v), s.tree(v.Tree), s.log(v.Log), hint(v.Hint),
	}
	var out []string
	for _, b := range blocks {
		if len(b) > 0 && len(out) > 0 && squeeze == 0 {
			out = append(out, "")
		}
		out = append(out, b...)
	}
	if follows(v) && squeeze == 0 {
		out = append([]string{""}, out...)
	}
	return out
}

// pictures draws what was read; in plain characters where lines are not for a
// terminal.
func (s *screen) pictures(ps []session.PictureView) []string {
	var out []string
	for i, p := range ps {
		if i > 0 {
			out = append(out, "")
		}
		out = append(out, p.Lines(screenCols-2, s.plain)...)
	}
	return out
}

// wrapped folds a text behind a first indent; further lines stand two letters
// further in.
func wrapped(indent, text string) []string {
	width := screenCols - len(indent) - 2
	lines := strings.Split(ansi.Wrap(text, width, ""), "\n")
	for i, l := range lines {
		in := indent
		if i > 0 {
			in, l = in+"  ", strings.TrimLeft(l, " ")
		}
		lines[i] = strings.TrimRight(in+l, " ")
	}
	return lines
}

// cut shortens a text to a width, and fills it up to it.
func cut(text string, width int) string {
	text = ansi.Truncate(text, width, "…")
	return text + strings.Repeat(" ", max(0, width-ansi.StringWidth(text)))
}

func (s *screen) heading(text string) string { return s.bold.Render(text) }
