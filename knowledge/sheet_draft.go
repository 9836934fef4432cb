package knowledge

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// SheetDraft is a sheet in the making: what was answered so far to the questions
// that a pack raises. Every answer is read by the code that reads sheets, at once,
// so that a finished draft is a sound sheet.
type SheetDraft struct {
	lib     *Library
	answers map[string]string // by the question's Key
}

// NewSheetDraft begins a sheet of one of the library's packs.
func NewSheetDraft(lib *Library) *SheetDraft {
	return &SheetDraft{lib, make(map[string]string)}
}

// Said is the answer to a question so far, or "".
func (d *SheetDraft) Said(key string) string { return d.answers[key] }

// ID is the identifier of the sheet, or "" as long as it has none.
func (d *SheetDraft) ID() string { return d.answers[askSheet] }

func (d *SheetDraft) pack() *packFile {
	for _, p := range d.lib.packs {
		if p.pack.ID == d.answers[askPack] {
			return p
		}
	}
	return nil
}

// Answer takes the answer to a question; "" leaves the value out. An answer that
// the loader would refuse changes nothing, and the error says why.
func (d *SheetDraft) Answer(q SheetQuestion, text string) error {
	text = strings.TrimSpace(text)
	if text == "" && q.Must {
		return fmt.Errorf("a sheet cannot do without it; %s", q.mustMend())
	}
	was := maps.Clone(d.answers)
	if q.Key == askPack && text != was[askPack] {
		// Answers to what another pack asks for are none to this one's questions.
		maps.DeleteFunc(d.answers, func(key, _ string) bool { return strings.Contains(key, " ") })
	}
	d.answers[q.Key] = text
	if err := d.wrong(q, text); err != nil {
		d.answers = was
		return err
	}
	return nil
}

func (q SheetQuestion) mustMend() string {
	if strings.HasPrefix(q.Key, "fitted ") {
		return "type it, or go back to the first position and leave the whole table out"
	}
	return "type it"
}

// wrong says what the loader would say of the draft as it now stands.
func (d *SheetDraft) wrong(q SheetQuestion, text string) error {
	switch {
	case q.Key == askPack && d.pack() == nil:
		var ids []string
		for _, p := range d.lib.Packs() {
			ids = append(ids, p.ID)
		}
		return fmt.Errorf("unknown pack %s; %s", quote(text), (&faults{}).meant(text, ids, "name one of: "+strings.Join(ids, ", ")))
	case q.Key == askSheet && d.lib.sheet(text) != nil:
		return fmt.Errorf("sheet %s: the identifier is in use; give it another", quote(text))
	case q.limit != nil && text != "":
		if _, err := parseLimit(text); err != nil {
			return fmt.Errorf("%w; write %s", err, strings.Join(q.Ways, ", or "))
		}
	}
	f := &faults{file: "the sheet"}
	root := parse(Source{f.file, d.text(true)}, f)
	if root != nil {
		s := &sheetFile{f: f, sheet: (&decoder{f}).sheet(root), pack: d.pack()}
		checkSheet(s)
	}
	if len(f.list) == 0 {
		return nil
	}
	first := f.list[0]
	if first.Mend == "" {
		return fmt.Errorf("%s", first.What)
	}
	return fmt.Errorf("%s; %s", first.What, first.Mend)
}

// Open are the questions that have no answer and can do without.
func (d *SheetDraft) Open() []SheetQuestion {
	return slices.DeleteFunc(d.Questions(), func(q SheetQuestion) bool { return d.answers[q.Key] != "" })
}

// Lacking is the first question that must be answered and is not.
func (d *SheetDraft) Lacking() (SheetQuestion, bool) {
	for _, q := range d.Questions() {
		if q.Must && d.answers[q.Key] == "" {
			return q, true
		}
	}
	return SheetQuestion{}, false
}

// YAML is the sheet as far as it goes. What was left out stands in comments.
func (d *SheetDraft) YAML() []byte {
	out := d.text(false)
	for _, q := range d.Open() {
		if q.Lacks != "" {
			out = fmt.Appendf(out, "# left out: %s; %s\n", q.Name, q.Lacks)
		}
	}
	return out
}
