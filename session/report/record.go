package report

// cautions writes what the work of this case needed to be careful of.
func (p *page) cautions() {
	p.heading("Cautions observed")
	for _, c := range p.h.Cautions {
		p.item(0, "**%s** (from entry %d): %s", esc(c.Title), c.Seq, esc(c.Text))
	}
	if len(p.h.Cautions) > 0 {
		p.end()
		p.line("These are the cautions that belong to the work recorded; the record cannot show that they were kept.")
	} else {
		p.line("The work recorded has no cautions of its own in the pack.")
	}
	p.line("Local codes, the engine's own manual and licensed practice come first, before anything written here.")
}

// knowledge writes what the numbers rest on.
func (p *page) knowledge() {
	p.heading("Knowledge")
	p.item(0, "Pack: %s, version %s", esc(p.h.Pack), esc(or(p.h.PackVersion, "not given")))
	p.item(0, "Sheet: %s", esc(p.h.Sheet))
	p.end()
	p.table("File", "SHA-256")
	for _, s := range p.h.Sources {
		p.row(esc(s.Name), "`"+s.SHA256+"`")
	}
	p.end()
}

// record writes what the journal holds and what it proves.
func (p *page) record() {
	p.heading("Record")
	if p.h.Closed && p.h.Closing != "" {
		p.line("Words at closing: %s", esc(p.h.Closing))
	}
	if len(p.h.Undone) > 0 {
		p.line("Taken back, and counted nowhere above; the entries stay in the journal:")
		for _, u := range p.h.Undone {
			p.item(0, "Entry %d, taken back by entry %d: %s", u.Seq, u.UndoneBy, esc(u.Words))
		}
		p.end()
	}
	p.line("Entries in the journal: %d, of which %d taken back.", p.h.Entries, len(p.h.Undone))
	if p.h.Head == "" {
		p.line("No head hash is kept for this record.")
		return
	}
	p.line("Head hash (SHA-256 of the last entry): `%s`", p.h.Head)
	p.line("Each entry holds the hash of the one before. Whoever noted the head hash can show that no entry up to it was changed, taken out or put in after it was noted. It does not prove when the entries were made, nor by whom, nor that what they say is true; a journal rewritten as a whole has another head hash.")
}
