package main

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"narrows/session"
)

// mistake is what was wrong with the line.
func (s *screen) mistake(v session.View) []string {
	if v.Error == "" {
		return nil
	}
	return wrapped("", "! "+v.Error)
}

func (s *screen) cautions(cs []session.CautionView) []string {
	if len(cs) == 0 {
		return nil
	}
	out := []string{s.heading("Caution")}
	for _, c := range cs {
		out = append(out, wrapped("  ", c.Title+": "+strings.TrimSpace(c.Text))...)
	}
	return out
}

// text is what a view says in sentences, or the list of commands, which is
// laid out already.
func (s *screen) text(v session.View) []string {
	var out []string
	if v.Kind == "help" && len(v.Text) > 3 {
		out = append(out, s.heading("Commands"))
	}
	for _, t := range v.Text {
		if v.Kind == "help" {
			out = append(out, strings.TrimRight(cut(t, screenCols), " "))
			continue
		}
		out = append(out, wrapped("", t)...)
	}
	return out
}

func (s *screen) stated(list []session.StatedView) []string {
	if len(list) == 0 {
		return nil
	}
	out := []string{s.heading("The complaint, as understood")}
	for _, st := range list {
		line := fmt.Sprintf("%-8s %s", st.State, st.Title)
		switch {
		case st.Verified:
			line += " (seen by you)"
		case st.Words != "" && st.Assumed:
			line += fmt.Sprintf(" (assumed from %q)", st.Words)
		case st.Words != "":
			line += fmt.Sprintf(" (%q)", st.Words)
		case st.Assumed:
			line += " (assumed)"
		}
		out = append(out, wrapped("  ", line)...)
	}
	return out
}

func missed(words []string) []string {
	if len(words) == 0 {
		return nil
	}
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = fmt.Sprintf("%q", w)
	}
	return wrapped("", "Not understood: "+strings.Join(quoted, ", "))
}

func (s *screen) changed(list []session.Change, squeeze int) []string {
	if len(list) == 0 {
		return nil
	}
	if squeeze >= 3 {
		list = list[:1]
	}
	var parts []string
	for _, c := range list {
		parts = append(parts, fmt.Sprintf("%s %s -> %s", c.Title, percent(c.Before), percent(c.After)))
	}
	return wrapped("", "Changed: "+strings.Join(parts, "; "))
}

// suspects is the table of suspects with what is left beside them.
func (s *screen) suspects(v session.View, rows int) []string {
	if len(v.Suspects) == 0 {
		return nil
	}
	const title = screenCols - 5 - 2*12
	out := []string{s.heading(fmt.Sprintf("%3s  %s%12s%12s", "N", cut("suspect", title), "there", "cures alone"))}
	for _, x := range v.Suspects[:min(rows, len(v.Suspects))] {
		out = append(out, fmt.Sprintf("%3d  %s%12s%12s", x.N, cut(x.Title, title), percent(x.Present), percent(x.Cures)))
	}
	if v.Several > 0 {
		out = append(out, fmt.Sprintf("     %s%12s%12s", cut("several faults at once, or something else", title), "", percent(v.Several)))
	}
	if v.Unlisted > 0 {
		out = append(out, fmt.Sprintf("     %s%12s", cut("something not in this pack", title), percent(v.Unlisted)))
	}
	return out
}

// why lists what each finding says of a suspect. Those that say nothing worth
// a line are counted.
func (s *screen) why(list []session.WeightView) []string {
	if len(list) == 0 {
		return nil
	}
	const finding, least = screenCols - 7 - 11 - 27, 0.5
	out := []string{s.heading(fmt.Sprintf("%5s  %s%9s  %s", "entry", cut("finding", finding), "decibans", "says"))}
	idle := 0
	for _, w := range list {
		if math.Abs(w.Decibans) < least {
			idle++
			continue
		}
		lines := strings.Split(ansi.Wrap(w.Finding, finding, ""), "\n")
		out = append(out, fmt.Sprintf("%5d  %s%9.1f  %s", w.Entry, cut(lines[0], finding), w.Decibans, w.Words))
		for _, l := range lines[1:] {
			out = append(out, strings.Repeat(" ", 9)+strings.TrimSpace(l))
		}
	}
	if idle > 0 {
		out = append(out, fmt.Sprintf("       %d more say nearly nothing either way (under %.1f decibans each)", idle, least))
	}
	return out
}

// together lists the likeliest sets of faults, and how the findings go together.
func (s *screen) together(v session.View) []string {
	var out []string
	if len(v.Sets) > 0 {
		out = append(out, s.heading(cut("there together, and nothing else of what was looked at", screenCols-12)+fmt.Sprintf("%12s", "chance")))
	}
	for _, set := range v.Sets {
		names := make([]string, 0, len(set.Faults))
		for _, f := range set.Faults {
			names = append(names, f.Title)
		}
		text := strings.Join(names, " + ")
		if text == "" {
			text = "none of the faults of this pack"
		}
		lines := strings.Split(ansi.Wrap(text, screenCols-14, ""), "\n")
		out = append(out, cut(lines[0], screenCols-12)+fmt.Sprintf("%12s", fine(set.P)))
		for _, l := range lines[1:] {
			out = append(out, "  "+strings.TrimSpace(l))
		}
	}
	if v.Conflict != nil {
		out = append(out, wrapped("", fmt.Sprintf("Taken as a whole, %s (%+.1f bits).", v.Conflict.Words, v.Conflict.Bits))...)
	}
	return out
}

// fine is percent for what is to be told apart where it is small.
func fine(p float64) string {
	if p > 0 && p < 0.1 {
		return fmt.Sprintf("%.2g %%", 100*p)
	}
	return percent(p)
}

// tree draws the fault tree with its branches.
func (s *screen) tree(lines []session.TreeLine) []string {
	var out []string
	for _, l := range lines {
		branch := ""
		if l.Depth > 0 {
			branch = strings.Repeat("|  ", l.Depth-1) + "+- "
		}
		text := branch + l.Title
		for _, note := range []string{l.Gate, l.Note} { // as far as there is room: the title counts
			if n := text + " (" + note + ")"; note != "" && ansi.StringWidth(n) <= screenCols-11 {
				text = n
			}
		}
		out = append(out, cut(text, screenCols-11)+fmt.Sprintf("%11s", percent(l.P)))
	}
	return out
}

func (s *screen) log(lines []session.LogLine) []string {
	var out []string
	for _, l := range lines {
		text := l.Text
		if l.Undone {
			text = "(taken back) " + text
		}
		out = append(out, wrapped("", fmt.Sprintf("%3d  %s  %s", l.Seq, l.Time, text))...)
	}
	return out
}

// percent writes a probability: never 0 % or 100 % where it is not certain.
func percent(p float64) string {
	switch {
	case math.IsNaN(p):
		return "?"
	case p > 0 && p < 0.01:
		return "under 1 %"
	case p > 0.99 && p < 1:
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}
