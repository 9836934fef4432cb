package knowledge

import (
	"fmt"

	"narrows/faulttree"
)

// Open builds the engine of a sheet. The error says what to do if there is no
// such sheet.
func Open(lib *Library, sheetID string) (*Engine, error) {
	sheet := lib.sheet(sheetID)
	if sheet == nil {
		ids := make([]string, len(lib.sheets))
		for i, s := range lib.sheets {
			ids[i] = s.sheet.ID
		}
		f := &faults{}
		return nil, fmt.Errorf("no sheet is called %s; %s", quote(sheetID), f.meant(sheetID, ids, "load the file that holds it"))
	}
	b := &engineBuilder{
		e: &Engine{
			pack: sheet.pack, sheet: sheet, words: lib.words,
			snap:   lib.Snapshot(sheet.pack.pack.ID),
			events: make(map[string][]faulttree.Event, len(sheet.pack.events)),
			reads:  make(map[faulttree.CheckID]*ReadingUse),
		},
		lay: sheet.pack.lay, pr: sheet.pack.pr, fb: faulttree.NewBuilder(),
	}
	b.declare()
	b.raise()
	b.define()
	if err := b.checks(); err != nil {
		return nil, err
	}
	b.history()
	b.repairs()
	model, err := b.fb.Build()
	if err != nil {
		return nil, fmt.Errorf("%s: pack %s with sheet %s makes no sound model: %w", sheet.src.Name, sheet.pack.pack.ID, sheetID, err)
	}
	b.e.model = model
	return b.e, nil
}

// engineBuilder turns the definitions of a pack, as they stand in the store,
// each at its places, into a fault model. The order is fixed by the pack: definitions as written, places
// in the order of their set.
type engineBuilder struct {
	e   *Engine
	lay *layout
	pr  *presence
	fb  *faulttree.Builder
}

// at names a thing at a place: "pilot_jet.blocked@carb:3".
func at(id string, p Place) string {
	if p.Set == "" {
		return id
	}
	return id + "@" + p.Set + ":" + p.Member
}

// declare gives every event at every place its number.
func (b *engineBuilder) declare() {
	items := make(map[*Item][]faulttree.ItemID)
	for _, def := range b.e.snap.Events() {
		exists := b.pr.of(def)
		evs := make([]faulttree.Event, len(exists))
		if def.Kind == KindMode && items[def.Mode.Item] == nil {
			it := def.Mode.Item
			for _, p := range b.lay.places(def.At) {
				items[it] = append(items[it], b.fb.Item(at(it.ID, p)))
			}
		}
		for i := range exists {
			evs[i] = faulttree.None
			if !exists[i] {
				continue
			}
			p := b.lay.place(def.At, i)
			switch def.Kind {
			case KindCause:
				evs[i] = b.fb.Cause(def.ID, def.Cause.Prior)
			case KindMode:
				evs[i] = b.fb.Mode(items[def.Mode.Item][i], at(def.ID, p), def.Mode.Prior)
			default:
				evs[i] = b.fb.Gate(at(def.ID, p))
			}
			b.e.about = append(b.e.about, about{def, p})
		}
		b.e.events[def.ID] = evs
	}
}

// joined returns the events that a reference means as seen from a place.
func (b *engineBuilder) joined(set string, i int, r Ref) []faulttree.Event {
	var out []faulttree.Event
	for _, j := range b.pr.inputs(set, i, r) {
		out = append(out, b.e.events[r.ID][j])
	}
	return out
}

func (b *engineBuilder) raise() {
	for _, def := range b.e.snap.Events() {
		for i, ev := range b.e.events[def.ID] {
			if ev == faulttree.None {
				continue
			}
			for _, r := range def.raises() {
				for _, mode := range b.joined(def.At, i, r.Mode) {
					b.fb.Raise(ev, mode, r.Chance)
				}
			}
		}
	}
}

func (b *engineBuilder) define() {
	for _, def := range b.e.snap.Events() {
		g := def.gate()
		if g == nil {
			continue
		}
		for i, ev := range b.e.events[def.ID] {
			if ev == faulttree.None {
				continue
			}
			gate := faulttree.Gate{Kind: g.Kind, K: g.AtLeast}
			for _, in := range g.From {
				for _, src := range b.joined(def.At, i, in.Event) {
					gate.Inputs = append(gate.Inputs, faulttree.Input{Event: src, Strength: in.Strength})
				}
			}
			for _, u := range g.Unless {
				for _, src := range b.joined(def.At, i, u) {
					gate.Inputs = append(gate.Inputs, faulttree.Input{Event: src, Strength: 1, Inverted: true})
				}
			}
			if def.Kind == KindSymptom {
				gate.Symptom, gate.Unlisted = true, def.Symptom.Unlisted
			}
			b.fb.Define(ev, gate)
		}
	}
}

// checks adds every check at every place where one of its rows can hold and
// tells something.
func (b *engineBuilder) checks() error {
	for _, def := range b.e.snap.Checks() {
		for i, p := range b.lay.places(def.At.ID) {
			var rows []builtRow
			for _, r := range def.Rows {
				for _, ev := range b.joined(def.At.ID, i, r.Event) {
					rows = append(rows, builtRow{ev, r})
				}
			}
			if len(rows) == 0 {
				continue
			}
			c, reading, err := b.check(def, p, rows)
			if err != nil {
				return err
			}
			if def.Reading != nil && reading == nil {
				continue
			}
			id := b.fb.Check(c)
			if reading != nil {
				b.e.reads[id] = reading
			}
			b.e.checks = append(b.e.checks, CheckUse{def, p, id, b.lay.useTitle(def.Title, p)})
		}
	}
	return nil
}

// builtRow is a row of a check at one event.
type builtRow struct {
	event faulttree.Event
	Row
}

func (b *engineBuilder) check(def *Check, p Place, rows []builtRow) (faulttree.Check, *ReadingUse, error) {
	c := faulttree.Check{Name: at(def.ID, p)}
	if def.Reading != nil {
		reading, err := b.reading(&c, def, rows)
		return c, reading, err
	}
	for _, o := range def.Outcomes {
		c.Outcomes = append(c.Outcomes, o.ID)
	}
	for _, r := range rows {
		c.Rows = append(c.Rows, faulttree.Row{Event: r.event, P: append([]float64(nil), r.P...)})
	}
	c.Else = append([]float64(nil), def.Else.P...)
	return c, nil, nil
}

// history adds the history entries as checks of two outcomes.
func (b *engineBuilder) history() {
	for _, def := range b.e.snap.History() {
		c := faulttree.Check{Name: "history:" + def.ID, Outcomes: []string{"said", "not said"}}
		for _, s := range def.Said {
			for _, ev := range b.joined("", 0, s.Event) {
				c.Rows = append(c.Rows, faulttree.Row{Event: ev, P: []float64{s.Chance, 1 - s.Chance}})
			}
		}
		c.Else = []float64{def.Else, 1 - def.Else}
		b.e.history = append(b.e.history, CircumstanceUse{def, b.fb.Check(c)})
	}
}

// repairs adds every repair at every place where it fixes something.
func (b *engineBuilder) repairs() {
	for _, def := range b.e.snap.Repairs() {
		for i, p := range b.lay.places(def.At.ID) {
			r := faulttree.Repair{Name: at(def.ID, p), Success: def.Success}
			for _, m := range def.Fixes {
				r.Fixes = append(r.Fixes, b.joined(def.At.ID, i, m)...)
			}
			if len(r.Fixes) == 0 {
				continue
			}
			for _, in := range def.Introduces {
				for _, ev := range b.joined(def.At.ID, i, in.Mode) {
					r.Introduces = append(r.Introduces, faulttree.Introduced{Mode: ev, P: in.Chance})
				}
			}
			id := b.fb.Repair(r)
			b.e.repairs = append(b.e.repairs, RepairUse{def, p, id, b.lay.useTitle(def.Title, p)})
		}
	}
}
