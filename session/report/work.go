package report

import (
	"fmt"
	"strings"

	"narrows/session"
)

// correction writes the repairs in order, those without effect among them.
func (p *page) correction() {
	p.heading("Correction")
	if len(p.h.Repairs) == 0 {
		p.line("No repair has been recorded.")
		return
	}
	for _, a := range p.attempts() {
		for i, r := range a.repairs {
			p.line("%d\\. **%s**, %s (entry %d). %s. Chance to cure alone, as believed before: %s. %s",
				a.first+i, esc(r.Title), esc(r.At), r.Seq, minutes(r.Minutes), percent(r.Cure), p.outcome(r, a))
		}
	}
}

// outcome says how the complaint fared after a repair.
func (p *page) outcome(r session.RepairPast, a attempt) string {
	t := r.Retry
	switch {
	case t == nil && a.retry != nil:
		return "The complaint was not tried before the next repair."
	case t == nil:
		return "The complaint has not been tried since."
	case t.Cured:
		return fmt.Sprintf("The complaint was tried again (entry %d): gone.", t.Seq)
	case len(a.gone) > 0:
		return fmt.Sprintf("The complaint was tried again (entry %d): changed, not gone.", t.Seq)
	}
	return fmt.Sprintf("The complaint was tried again (entry %d): still there as before. The work stays in the record as tried and without effect on the complaint.", t.Seq)
}

// shownSuspects is how many suspects a step's change names on each side.
const shownSuspects = 3

// path writes the steps.
func (p *page) path() {
	p.heading("The path")
	p.line("Suspects are given with the chance that putting each right alone cures; an arrow leads from before the step to after it. Where the mechanic chose otherwise than advised the step says so; no such word means that the advice was followed or none had been asked for.")
	if p.h.Partial {
		p.line("The numbers of some steps are left out: they could not be computed, or not in the time given.")
	}
	for i, s := range p.h.Steps {
		p.item(0, "**Entry %d**, %s UTC: %s", s.Seq, s.Time.UTC().Format("2006-01-02 15:04:05"), esc(s.Words))
		if s.Advised != "" {
			p.item(1, "Advised first was: %s. The mechanic chose otherwise.", esc(s.Advised))
		}
		for _, a := range s.Answers {
			if a.Reading != nil {
				p.item(1, "Reading, %s: %s", esc(a.At), shown(a))
			}
		}
		if s.After != nil {
			p.change(p.before(i), s.After)
		}
	}
	p.end()
}

// change writes the leading suspects before and after a step.
func (p *page) change(before, after []session.Suspect) {
	now := leading(after)
	if before == nil {
		p.item(1, "Suspects: %s", now)
		return
	}
	if was := leading(before); was != now {
		p.item(1, "Suspects: %s → %s", was, now)
		return
	}
	p.item(1, "The leading suspects did not change: %s", now)
}

func leading(list []session.Suspect) string {
	var out []string
	for _, s := range list[:min(shownSuspects, len(list))] {
		out = append(out, fmt.Sprintf("%s %s", esc(s.Title), percent(s.Cures)))
	}
	return strings.Join(out, ", ")
}

// labour writes the minutes by step and in all.
func (p *page) labour() {
	p.heading("Labour")
	any := false
	diagnosis, repair := 0.0, 0.0
	for _, s := range p.h.Steps {
		if s.Minutes == 0 {
			continue
		}
		if !any {
			p.table("Entry", "Operation", "Minutes")
			any = true
		}
		p.row(fmt.Sprint(s.Seq), esc(s.Title), strings.TrimSuffix(minutes(s.Minutes), " min"))
		if s.Kind == session.StepRepair {
			repair += s.Minutes
		} else {
			diagnosis += s.Minutes
		}
	}
	if !any {
		p.line("No work with a time has been recorded.")
		return
	}
	p.end()
	p.line("Checks, trials and access %s; repairs %s; in all %s.", minutes(diagnosis), minutes(repair), minutes(p.h.Minutes))
	p.line("Minutes are the pack's standard times, not clocked. What had to come off or go back on is counted once, in the step that first needed it; what was open already costs nothing again.")
	if len(p.h.StillOpen) > 0 {
		var open []string
		for _, o := range p.h.StillOpen {
			open = append(open, esc(o))
		}
		p.line("Open or off where the record ends, so that putting it back is not in the sum: %s.", strings.Join(open, ", "))
	}
}
