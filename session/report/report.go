// Package report writes a case down for people: complaint, cause and
// correction, with the path that led there and what the record proves.
package report

import (
	"context"
	"fmt"
	"math"
	"strings"

	"narrows/session"
)

// Markdown writes the report of a case, in any state that it may be in. The
// error is one of reading the case.
func Markdown(o *session.Open) (string, error) {
	return MarkdownContext(context.Background(), o)
}

// MarkdownContext is Markdown that stops computing the numbers of the steps
// when the context ends; the report then says that some are left out.
func MarkdownContext(ctx context.Context, o *session.Open) (string, error) {
	h, err := o.HistoryContext(ctx)
	if err != nil {
		return "", err
	}
	damage := ""
	if o.Recovery.Damage != nil {
		damage = o.Recovery.Damage.Error()
	}
	return write(&h, damage), nil
}

// page is a report on its way.
type page struct {
	h *session.History
	b strings.Builder
}

func write(h *session.History, damage string) string {
	p := &page{h: h}
	p.line("# %s: case %s", esc(h.Engine), esc(h.Case))
	if h.Owner != "" {
		p.line("Owner: %s", esc(h.Owner))
	}
	p.line("**%s**", p.standing())
	if damage != "" {
		p.line("**The journal is damaged: %s. This report covers the entries before that alone.**", esc(damage))
	}
	p.complaint()
	p.causes()
	p.correction()
	p.path()
	p.found()
	p.beforeAfter()
	p.labour()
	p.cautions()
	p.knowledge()
	p.record()
	// What is left out leaves blank lines behind; escaped text has none.
	text := p.b.String()
	for strings.Contains(text, "\n\n\n") {
		text = strings.ReplaceAll(text, "\n\n\n", "\n\n")
	}
	return strings.TrimRight(text, "\n") + "\n"
}

// standing says in one sentence how the case stands.
func (p *page) standing() string {
	h := p.h
	switch {
	case h.Closed && h.Cured:
		return "Closed: the complaint is gone."
	case h.Closed:
		return "Closed without a cure: the complaint was not seen to be gone."
	case h.Cured:
		return "Not closed yet: the complaint is gone."
	case h.Untried:
		return "Not closed yet: a repair has been made and the complaint not tried since."
	case h.Complaint.Text == "":
		return "Not closed yet: no complaint has been entered."
	}
	return "Not closed yet: the complaint stands."
}

// line writes a paragraph.
func (p *page) line(format string, args ...any) {
	fmt.Fprintf(&p.b, format+"\n\n", args...)
}

// item writes a list item; depth 0 is the outer list.
func (p *page) item(depth int, format string, args ...any) {
	fmt.Fprintf(&p.b, strings.Repeat("  ", depth)+"- "+format+"\n", args...)
}

// end closes a list or table.
func (p *page) end() { p.b.WriteString("\n") }

func (p *page) heading(s string) { p.line("## %s", s) }

// row writes a table's row; cells are escaped already.
func (p *page) row(cells ...string) {
	p.b.WriteString("| " + strings.Join(cells, " | ") + " |\n")
}

// table begins a table.
func (p *page) table(heads ...string) {
	p.row(heads...)
	p.b.WriteString(strings.Repeat("|---", len(heads)) + "|\n")
}

// percent writes a probability: never 0 % or 100 % where it is not certain.
func percent(x float64) string {
	switch {
	case math.IsNaN(x):
		return "?"
	case x > 0 && x < 0.01:
		return "under 1 %"
	case x > 0.99 && x < 1:
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*x)
}

// minutes writes minutes to a tenth at most.
func minutes(m float64) string {
	return fmt.Sprintf("%g min", math.Round(10*m)/10)
}

// or puts a word in the place of nothing.
func or(s, none string) string {
	if s == "" {
		return none
	}
	return s
}
