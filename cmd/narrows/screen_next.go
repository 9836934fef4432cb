package main

import (
	"fmt"
	"math"
	"strings"

	"narrows/session"
)

// follows tells an offer that comes after its suspects.
func follows(v session.View) bool { return v.Next != nil && len(v.Suspects) == 0 }

// offerRows is about how many rows an offer takes that is still to come: with
// why the first stands first, or at the least.
func offerRows(squeeze int) int {
	if squeeze <= 1 {
		return 13
	}
	return 8
}

// next is the offer: what to do, what it costs, and what it is worth.
func (s *screen) next(n *session.NextView, rows, squeeze int) []string {
	more := squeeze < 3
	if n == nil || len(n.Options) == 0 {
		return nil
	}
	const title = screenCols - 5 - 11 - 11
	out := []string{s.heading(fmt.Sprintf("%3s  %s%11s%11s", "", cut("do next", title), "costs", "saves"))}
	for _, o := range n.Options[:min(rows, len(n.Options))] {
		name := o.Title
		if o.Kind == "repair" {
			name += " (repair)"
		}
		if len(o.Needs) > 0 {
			name += " [" + strings.Join(o.Needs, ", ") + "]"
		}
		saves := "-"
		if o.Saves >= 0.5 {
			saves = minutes(o.Saves)
		}
		out = append(out, fmt.Sprintf("%3d  %s%11s%11s", o.N, cut(name, title), minutes(o.Minutes), saves))
	}
	expects := minutes(n.Expected)
	if n.Expected < n.Bound {
		// Where one symptom is worked on first, the rest is counted roughly.
		expects = "about as much"
	}
	out = append(out, wrapped("  ", fmt.Sprintf("No plan can beat %s; the best here expects %s.", minutes(n.Bound), expects))...)
	if n.First != "" && more {
		out = append(out, wrapped("  ", "Worked on first: "+n.First+"; what the rest will take is in the minutes, roughly.")...)
	}
	if n.Why != "" && squeeze <= 1 {
		out = append(out, wrapped("  ", n.Why)...)
	}
	if len(n.Open) > 0 && more {
		out = append(out, wrapped("  ", "Open now: "+strings.Join(n.Open, ", "))...)
	}
	if len(n.While) > 0 {
		list := n.While
		if !more {
			list = list[:min(2, len(list))]
		}
		out = append(out, wrapped("  ", "While it is open: "+strings.Join(list, ", "))...)
	}
	return out
}

// ask is the question that the next line may answer.
func (s *screen) ask(a *session.Ask) []string {
	if a == nil {
		return nil
	}
	out := []string{s.heading(strings.ToUpper(a.Title[:min(1, len(a.Title))]) + a.Title[min(1, len(a.Title)):])}
	for _, step := range a.Steps {
		out = append(out, wrapped("  ", "- "+step)...)
	}
	out = append(out, wrapped("", a.Prompt)...)
	for i, c := range a.Choices {
		out = append(out, wrapped("  ", fmt.Sprintf("%d  %s", i+1, c))...)
	}
	return out
}

func hint(text string) []string {
	if text == "" {
		return nil
	}
	return wrapped("", "-> "+text)
}

// minutes writes a time: hours from an hour and a half on.
func minutes(m float64) string {
	whole := math.Round(m)
	if whole >= 90 {
		return fmt.Sprintf("%.0f h %02.0f min", math.Floor(whole/60), math.Mod(whole, 60))
	}
	return fmt.Sprintf("%.0f min", whole)
}
