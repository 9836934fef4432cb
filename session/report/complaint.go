package report

import (
	"fmt"
	"slices"
	"strings"

	"narrows/session"
)

// complaint writes the owner's words, and what was seen of them.
func (p *page) complaint() {
	c := p.h.Complaint
	p.heading("Complaint")
	if c.Text == "" {
		p.line("No complaint has been entered yet.")
		return
	}
	p.line("As stated, in the owner's words:")
	p.line("> %s", esc(c.Text))
	p.table("Symptom", "As stated", "As verified")
	for _, s := range c.Symptoms {
		owner := or(s.Owner, "not spoken of")
		if s.Assumed {
			owner += " (assumed)"
		}
		if s.Words != "" {
			owner += fmt.Sprintf(": “%s”", esc(s.Words))
		}
		seen := "not verified"
		if s.Unseen {
			seen = "tried by the mechanic, did not show"
		}
		if s.Seen != "" {
			seen = "seen by the mechanic: " + s.Seen
		}
		p.row(esc(s.Title), owner, seen)
	}
	p.end()
	for _, s := range c.Said {
		told := "Said beside it"
		if s.Denied {
			told = "Denied"
		}
		p.item(0, "%s: %s%s", told, esc(s.Title), quoted(s.Words))
	}
	for _, m := range c.Missed {
		p.item(0, "Not understood, and not counted: “%s”", esc(m))
	}
	p.end()
	if !slices.ContainsFunc(c.Symptoms, func(s session.SymptomPast) bool { return s.Seen != "" || s.Unseen }) {
		p.line("The complaint was not verified: it rests on the owner's words alone.")
	}
}

func quoted(words string) string {
	if words == "" {
		return ""
	}
	return fmt.Sprintf(" (“%s”)", esc(words))
}

// beforeAfter sets the symptoms of the complaint beside what was left of them
// after each repair.
func (p *page) beforeAfter() {
	p.heading("Before and after")
	if len(p.h.Repairs) == 0 {
		p.line("No repair has been recorded, so there is no after.")
		return
	}
	heads := []string{"Symptom", "Before"}
	for i := range p.h.Repairs {
		heads = append(heads, fmt.Sprintf("After repair %d", i+1))
	}
	p.table(heads...)
	for _, s := range p.h.Complaint.Symptoms {
		before, by := or(s.Seen, s.Owner), " (stated)"
		if before != "present" {
			continue
		}
		if s.Seen != "" {
			by = " (seen)"
		}
		cells := []string{esc(s.Title), before + by}
		for _, r := range p.h.Repairs {
			cells = append(cells, retryCell(r.Retry, s.ID))
		}
		p.row(cells...)
	}
	p.end()
}

func retryCell(r *session.RetryPast, symptom string) string {
	if r != nil {
		for _, m := range r.Symptoms {
			if m.Event == symptom && m.Present {
				return "still there"
			} else if m.Event == symptom {
				return "gone"
			}
		}
	}
	return "not tried"
}

// found sets what each check showed before any repair beside what it showed
// after the last.
func (p *page) found() {
	p.heading("As found / as left")
	rows := p.foundRows()
	switch {
	case len(rows) > 0:
		p.foundTable(rows)
	case len(p.h.Parts) == 0:
		p.line("No check has been recorded.")
	}
	p.parts()
	p.pictures()
}

// foundTable tells what checks showed first, and after the last repair.
func (p *page) foundTable(rows []foundRow) {
	p.table("Position", "Check", "As found", "As left", "Limit")
	for _, r := range rows {
		left := "not checked again after the last repair"
		switch {
		case len(p.h.Repairs) == 0:
			left = "no repair made"
		case r.left != nil:
			left = shown(*r.left)
		}
		limit := "none"
		if r.found.Reading != nil {
			limit = or(esc(r.found.Reading.Limit), "none")
		}
		found := shown(r.found)
		if r.stage > 0 {
			found += fmt.Sprintf(" (first checked after repair %d)", r.stage)
		}
		p.row(esc(r.found.At), esc(r.found.Title), found, left, limit)
	}
	p.end()
	for _, r := range p.h.Repairs {
		if r.AsFound != "" || r.AsLeft != "" {
			p.item(0, "%s: as found %s; as left %s", esc(r.Title), esc(or(r.AsFound, "not noted")), esc(or(r.AsLeft, "not noted")))
		}
	}
	p.end()
}

// pictureColumns is how wide a picture in characters is.
const pictureColumns = 72

// pictures draws what was read, as it stood in the end, in characters that every
// reader of the report can show.
func (p *page) pictures() {
	for _, x := range p.h.Pictures {
		fence := "~~~~"
		p.b.WriteString(fence + "\n")
		for _, l := range x.Lines(pictureColumns, true) {
			p.b.WriteString(strings.ReplaceAll(l, "~", "-") + "\n")
		}
		p.b.WriteString(fence + "\n\n")
	}
}

// parts tells the ledger of parts by position.
func (p *page) parts() {
	for _, t := range p.h.Parts {
		p.line("By position: %s", esc(t.Title))
		if t.Kind != "" {
			p.ledger(t)
			continue
		}
		p.table("Position", "Sheet", "As found", "As left")
		for _, r := range t.Rows {
			p.row(esc(r.Title), esc(r.Sheet), esc(or(r.Found, "not read")), esc(or(r.Left, "-")))
		}
		p.end()
		p.line("As found: %s.", esc(t.Found))
		if t.Now != "" {
			p.line("As left: %s.", esc(t.Now))
		}
	}
}

type foundRow struct {
	found session.AnswerPast
	left  *session.AnswerPast
	stage int // repairs made before it was first checked
}

// foundRows takes, for each check and position in order of first use, the last
// answer of the stage in which it was first checked, and the last answer after
// the last repair.
func (p *page) foundRows() []foundRow {
	var rows []foundRow
	for _, s := range p.h.Steps {
		for _, a := range s.Answers {
			i := slices.IndexFunc(rows, func(r foundRow) bool { return r.found.Check == a.Check && r.found.Place == a.Place })
			switch {
			case i < 0:
				i = len(rows)
				rows = append(rows, foundRow{found: a, stage: s.Stage})
			case rows[i].stage == s.Stage:
				rows[i].found = a // corrected by a later answer
			}
			if n := len(p.h.Repairs); n > 0 && s.Stage == n {
				left := a
				rows[i].left = &left
			}
		}
	}
	return rows
}

// shown says an answer; a reading as typed, with what was made of it.
func shown(a session.AnswerPast) string {
	r := a.Reading
	if r == nil {
		return esc(a.Shows)
	}
	s := fmt.Sprintf("“%s”", esc(r.Typed))
	if r.Instrument != "" {
		s += " with the " + esc(r.Instrument)
	}
	if len(r.Corrections) > 0 {
		s += ", corrected " + esc(r.Corrected)
		for _, c := range r.Corrections {
			s += " (" + esc(c) + ")"
		}
	}
	if r.Warmth != "" {
		s += ", engine " + esc(r.Warmth)
	}
	if r.Uncertainty != "" {
		s += ", standard uncertainty " + esc(r.Uncertainty)
	}
	if r.Verdict != "" {
		s += fmt.Sprintf(": %s (within the limit in %s)", esc(r.Verdict), percent(r.Conformance))
	}
	if r.Together != "" {
		s += ". " + esc(r.Together)
	}
	return s
}
