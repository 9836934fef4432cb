package report

import (
	"slices"

	"narrows/session"
)

// ledger tells an entry of the ledger by position; columns in which nothing stands
// are left out.
func (p *page) ledger(t session.PartTable) {
	columns := []struct {
		head, none string
		of         func(session.PartRow) string
	}{
		{"Position", "", func(r session.PartRow) string { return r.Title }},
		{"Sheet", "-", func(r session.PartRow) string { return r.Sheet }},
		{"As found", "not read", func(r session.PartRow) string { return r.Found }},
		{"As left", "-", func(r session.PartRow) string { return r.Left }},
		{"Judged", "-", func(r session.PartRow) string { return r.Judged }},
	}
	var heads []string
	rows := make([][]string, len(t.Rows))
	for _, c := range columns {
		empty := !slices.ContainsFunc(t.Rows, func(r session.PartRow) bool { return c.of(r) != "" })
		if empty && (c.head == "Sheet" || c.head == "Judged") {
			continue
		}
		heads = append(heads, c.head)
		for i, r := range t.Rows {
			rows[i] = append(rows[i], or(esc(c.of(r)), c.none))
		}
	}
	p.table(heads...)
	for _, r := range rows {
		p.row(r...)
	}
	p.end()
	if t.Found != "" {
		p.line("As found: %s.", esc(t.Found))
	}
	if t.Now != "" {
		p.line("As left: %s.", esc(t.Now))
	}
}
