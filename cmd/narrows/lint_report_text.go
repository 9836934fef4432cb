package main

import (
	"fmt"
	"slices"
	"strings"

	"narrows/knowledge"
	"narrows/knowledge/diagnosability"
)

// diagnosability draws the report as text.
func (s *screen) diagnosability(e *knowledge.Engine, r *diagnosability.Report, limit int) []string {
	x := r.Matrix
	out := []string{s.heading("Diagnosability: " + e.Pack().Title + "; " + e.Sheet().Title)}
	out = append(out, wrapped("  ", fmt.Sprintf("%d faults by place, %d checks by place. One fault alone; shares are of prior mass, "+
		"isolated ones of those detected. go doc narrows/knowledge/diagnosability says what each figure means.", len(x.Faults), len(x.Checks)))...)
	last := r.Levels[len(r.Levels)-1]
	out = append(out, s.levels("Usual outcomes (D-matrix)", r, func(l diagnosability.LevelReport) map[diagnosability.Fold]diagnosability.Figures { return l.Classical })...)
	out = append(out, s.levels(fmt.Sprintf("All chances weighed, told apart with at most %.0f %% error", 100*diagnosability.ToldApart), r,
		func(l diagnosability.LevelReport) map[diagnosability.Fold]diagnosability.Figures { return l.Soft })...)
	out = append(out, wrapped("  ", "to 1, 2, 3: isolated to groups of at most so many. mode: to 1, the same fault at another position counting "+
		"as such. repair: told apart from all that the same repair does not put right as well.")...)
	out = append(out, s.groups("Ambiguity groups, nothing opened", x, r.Levels[0], limit)...)
	if len(r.Levels) > 1 {
		out = append(out, s.groups("Ambiguity groups, everything opened that a check asks for", x, last, limit)...)
	}
	return append(out, s.undetected(x, last, limit)...)
}

// levels draws one table of figures, a line for each level.
func (s *screen) levels(title string, r *diagnosability.Report, of func(diagnosability.LevelReport) map[diagnosability.Fold]diagnosability.Figures) []string {
	const line = "%s %6s %10s %5s %5s %5s %5s %5s %6s"
	out := []string{"", s.heading(title), fmt.Sprintf(line, cut("  each opens at most", 24), "checks", "detected", "to 1", "to 2", "to 3", "over", "mode", "repair")}
	for _, l := range r.Levels {
		f := of(l)
		all := f[diagnosability.ByPlace]
		out = append(out, fmt.Sprintf(line, cut("  "+levelTitle(l.Level), 24), fmt.Sprint(len(l.Checks)),
			fmt.Sprintf("%d %s", all.Detected.Faults, inHundred(all.Detected)),
			inHundred(all.Isolated[0]), inHundred(all.Isolated[1]), inHundred(all.Isolated[2]), inHundred(all.Larger),
			inHundred(f[diagnosability.ByMode].Isolated[0]), inHundred(f[diagnosability.ByRepair].Isolated[0])))
	}
	return out
}

func inHundred(x diagnosability.Share) string { return fmt.Sprintf("%.0f %%", 100*x.ByPrior) }

// levelTitle names a level by what it opens beyond the level before.
func levelTitle(l diagnosability.Level) string {
	if l.Access == 0 {
		return "nothing"
	}
	return fmt.Sprintf("%g min: %s", l.Access, strings.Join(l.Opens, ", "))
}

// groups lists the worst ambiguity groups of a level.
func (s *screen) groups(title string, x *diagnosability.Matrix, l diagnosability.LevelReport, limit int) []string {
	out := []string{"", s.heading(title)}
	if len(l.Groups) == 0 {
		return append(out, "  None: every fault that is detected is isolated.")
	}
	list := l.Groups
	if limit > 0 {
		list = list[:min(limit, len(list))]
	}
	for i, g := range list {
		out = append(out, fmt.Sprintf("%3d  prior mass %.3g, %d faults, %s", i+1, g.Mass, len(g.Faults), counted(g.Modes, "mode", "modes")))
		for _, f := range g.Faults {
			out = append(out, wrapped("       ", fmt.Sprintf("%s (%.3g)", x.Faults[f].Title, x.Faults[f].Prior))...)
		}
		out = append(out, wrapped("     ", parting(x, g))...)
	}
	if rest := len(l.Groups) - len(list); rest > 0 {
		out = append(out, fmt.Sprintf("  %s more; --limit 0 lists all.", counted(rest, "group", "groups")))
	}
	return out
}

// parting says what would part a group.
func parting(x *diagnosability.Matrix, g diagnosability.Group) string {
	var words []string
	for i, p := range g.Parts {
		c := x.Checks[p.Check]
		if i == 3 {
			words = append(words, fmt.Sprintf("and %d more", len(g.Parts)-3))
			break
		}
		opens := "nothing opened"
		if len(c.Opens) > 0 {
			opens = strings.Join(c.Opens, ", ")
		}
		words = append(words, fmt.Sprintf("%s [%s]", c.Title, opens))
	}
	say := "Parted by: " + strings.Join(words, "; ") + "."
	if n := len(slices.Concat(g.Left...)); n > 0 {
		say += fmt.Sprintf(" %d of them stay together whatever is opened.", n)
	}
	if len(words) == 0 {
		say = "No usual outcome in the pack parts them."
		if g.Nearest != nil {
			say = fmt.Sprintf("No usual outcome in the pack parts them; %s comes nearest (distance %.2f).", x.Checks[g.Nearest.Check].Title, g.Nearest.Share)
		}
	}
	if g.SoftApart > 0 {
		say += fmt.Sprintf(" By all chances weighed, %d of %s are told apart all the same.", g.SoftApart, counted(g.Pairs, "pair", "pairs"))
	}
	if g.Repaired {
		say += " One repair puts all of them right."
	}
	return say
}

// undetected lists what no check shows whatever is opened.
func (s *screen) undetected(x *diagnosability.Matrix, l diagnosability.LevelReport, limit int) []string {
	out := []string{"", s.heading("Shown by no check, whatever is opened")}
	if len(l.Undetected) == 0 {
		return append(out, "  None.")
	}
	list := l.Undetected
	if limit > 0 {
		list = list[:min(2*limit, len(list))]
	}
	for _, f := range list {
		out = append(out, wrapped("  ", fmt.Sprintf("%s (%.3g)", x.Faults[f].Title, x.Faults[f].Prior))...)
	}
	if rest := len(l.Undetected) - len(list); rest > 0 {
		out = append(out, fmt.Sprintf("  %s more; --limit 0 lists all.", counted(rest, "fault", "faults")))
	}
	return out
}
