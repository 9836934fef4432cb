package session

import (
	"encoding/json"

	"narrows/session/journal"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// ledgerAt is one position of an entry of the ledger.
type ledgerAt struct{ entry, place string }

// written is what stands at one position.
type written struct {
	said             string // as it is shown
	grade            string
	measure.Estimate     // of a number, in the entry's unit
	stage            int // repairs made before it
}

// book is the ledger as the entries leave it.
type book struct{ found, left map[ledgerAt]written }

func newBook() *book {
	return &book{found: make(map[ledgerAt]written), left: make(map[ledgerAt]written)}
}

// now is what is there as far as anyone wrote it down.
func (b *book) now(at ledgerAt) (written, bool) {
	if w, ok := b.left[at]; ok {
		return w, true
	}
	w, ok := b.found[at]
	return w, ok
}

// onLedger takes an entry into the ledger. It is no evidence.
func (f *folder) onLedger(j journal.Entry) error {
	var p ledgered
	if err := json.Unmarshal(j.Payload, &p); err != nil {
		return err
	}
	e, err := f.b.ledgerOf(p.Entry)
	if err != nil {
		return err
	}
	to := f.s.ledger.found
	if p.Left {
		to = f.s.ledger.left
	}
	for _, v := range p.Values {
		at := ledgerAt{p.Entry, v.Place}
		w := written{said: v.Typed, grade: v.Grade, stage: f.s.belief.Stage()}
		switch {
		case v.Unit != "":
			if w.Estimate, err = v.estimate(e); err != nil {
				return err
			}
		case v.Grade != "":
			w.said = gradeTitle(e, v.Grade)
		}
		have, ok := to[at]
		if ok && isNote(e) {
			w.said = have.said + "; " + w.said
		}
		if ok { // a correction belongs to the stage of what it corrects
			w.stage = min(w.stage, have.stage)
		}
		to[at] = w
	}
	return nil
}

// onLedgerReading takes what a check has read for the entries that stand for it: as
// found, unless that is known from before a repair, or something was left there since.
func (f *folder) onLedgerReading(at checkAt, r *reading) {
	unit, err := quantity.ParseUnit(r.Unit)
	if err != nil {
		return
	}
	for _, e := range f.b.e.Pack().Ledger {
		if !e.Counts() || e.Check.ID != at.check {
			continue
		}
		est, err := measure.Estimate{Value: r.Corrected, U: r.Uncertainty, Unit: unit}.In(e.In)
		if err != nil {
			continue
		}
		w := written{said: r.Typed, Estimate: est, stage: f.s.belief.Stage()}
		if len(r.Corrections) > 0 || r.Typed == "" {
			w.said = quantity.Format(est.Value, e.In, 4)
		}
		key := ledgerAt{e.ID, at.place}
		have, found := f.s.ledger.found[key]
		_, left := f.s.ledger.left[key]
		if left || found && have.stage < w.stage {
			f.s.ledger.left[key] = w
		} else {
			f.s.ledger.found[key] = w
		}
	}
}
