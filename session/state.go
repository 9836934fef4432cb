package session

import (
	"encoding/json"
	"fmt"
	"slices"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
	"narrows/knowledge"
	"narrows/session/journal"
	"narrows/symptoms/quantity"
)

// state is what a case's entries amount to. It is made anew from the entries
// whenever they change, so that undo is nothing but an entry fewer and a
// resumed case equals the one that was left.
type state struct {
	opened    opened
	complaint *complaint
	stated    []StatedView // by symptom, in order of first mention
	belief    *ft.Belief
	entryOf   map[int]int // seq of the entry behind each finding
	open      plan.Set
	minutes   float64
	readings  map[checkAt][]*reading // all of the present stage
	read      map[checkAt]soFar      // what they say together
	latest    map[checkAt]soFar      // the same, of whatever stage was last
	done      map[checkAt]int        // seq of the last entry that answered it, unless a repair may have changed what it looks at
	under     map[checkAt]*underway  // timed checks that have been begun
	skipped   map[checkAt]string
	lacking   map[string]bool     // tools not at hand
	found     map[fittedAt]string // marks of parts as found
	left      map[fittedAt]string // and as left
	ledger    *book               // what else was written down as found and left
	unseen    map[string]bool     // symptoms that did not show when they were tried
	stands    *knowledge.Site     // where the engine stands; nil as long as nothing was said
	untried   bool                // a repair has been made and the complaint not tried since
	cured     bool
	closed    *closed
	effective []journal.Entry // entries not undone
	undone    map[int]bool

	height quantity.Quantity                     // of the place above the sea; zero: not said
	warmth string                                // of the engine; "": not said
	using  map[quantity.Dimension]instrumentUsed // instruments taken for all readings
	units  map[quantity.Dimension]quantity.Unit  // chosen for showing
}

type checkAt struct{ check, place string }

// fold makes the state from the entries.
func (b *bench) fold(entries []journal.Entry) (*state, error) {
	s := &state{
		belief: b.e.Model().NewBelief(), entryOf: make(map[int]int),
		readings: make(map[checkAt][]*reading), read: make(map[checkAt]soFar), latest: make(map[checkAt]soFar),
		done: make(map[checkAt]int), under: make(map[checkAt]*underway), skipped: make(map[checkAt]string), lacking: make(map[string]bool), unseen: make(map[string]bool),
		found: make(map[fittedAt]string), left: make(map[fittedAt]string), ledger: newBook(),
		using: make(map[quantity.Dimension]instrumentUsed), units: make(map[quantity.Dimension]quantity.Unit),
	}
	gone, err := undoneOf(entries)
	if err != nil {
		return nil, err
	}
	s.undone = gone
	for _, e := range entries {
		if !s.undone[e.Seq] && e.Kind != kindUndo {
			s.effective = append(s.effective, e)
		}
	}
	f := folder{b: b, s: s}
	if err := f.gather(); err != nil {
		return nil, err
	}
	return s, f.believe()
}

// undoneOf are the entries that were taken back.
func undoneOf(entries []journal.Entry) (map[int]bool, error) {
	gone := make(map[int]bool)
	for i := len(entries) - 1; i >= 0; i-- {
		e := entries[i]
		if e.Kind != kindUndo || gone[e.Seq] {
			continue // an undo that was taken back itself takes nothing back
		}
		var u undo
		if err := json.Unmarshal(e.Payload, &u); err != nil {
			return nil, entryError(e, err)
		}
		gone[u.Seq] = true
	}
	return gone, nil
}

func entryError(e journal.Entry, err error) error {
	return fmt.Errorf("entry %d (%s) of the journal cannot be understood: %w", e.Seq, e.Kind, err)
}

// folder walks the entries: first for what is to be believed, then in order.
type folder struct {
	b *bench
	s *state
	// last answer of each check at each place and stage: a check repeated is
	// not independent evidence, so the last one counts alone, readings together.
	last map[string]int
}

func stageKey(stage int, check, place string) string {
	return fmt.Sprintf("%d/%s/%s", stage, check, place)
}

// gather reads what must be known before findings can be placed: the
// complaint as it stands now, and which answer of a check is its last.
func (f *folder) gather() error {
	f.last = make(map[string]int)
	stage := 0
	found, shown := make(map[fittedAt]string), make(map[string]string)
	for _, e := range f.s.effective {
		var err error
		switch e.Kind {
		case kindOpened:
			err = json.Unmarshal(e.Payload, &f.s.opened)
		case kindComplaint:
			c := &complaint{}
			err = json.Unmarshal(e.Payload, c)
			f.s.complaint, f.s.stated = c, nil
			for _, st := range c.Stated {
				f.state(st)
			}
		case kindStated:
			var st statement
			err = json.Unmarshal(e.Payload, &st)
			f.state(st)
		case kindVerified:
			var v verified
			err = json.Unmarshal(e.Payload, &v)
			f.state(statement{Symptom: v.Symptom, State: presence(v.Present)})
			f.s.stated[f.index(v.Symptom)].Verified = true
		case kindCheck:
			var c checked
			err = json.Unmarshal(e.Payload, &c)
			for _, a := range c.Results {
				f.last[stageKey(stage, c.Check, a.Place)] = e.Seq
			}
		case kindPart:
			err = f.gatherPart(e, stage, found, shown)
		case kindRepair:
			stage++
		}
		if err != nil {
			return entryError(e, err)
		}
	}
	return nil
}

func presence(p bool) string {
	if p {
		return "present"
	}
	return "absent"
}

func (f *folder) index(symptom string) int {
	return slices.IndexFunc(f.s.stated, func(v StatedView) bool { return v.Symptom == symptom })
}

// state sets what is stated of a symptom.
func (f *folder) state(st statement) {
	i := f.index(st.Symptom)
	if i < 0 {
		title := st.Symptom
		if ev, ok := f.b.e.Event(st.Symptom, knowledge.Place{}); ok {
			title = f.b.title(ev)
		}
		f.s.stated = append(f.s.stated, StatedView{Symptom: st.Symptom, Title: title})
		i = len(f.s.stated) - 1
	}
	v := &f.s.stated[i]
	v.State, v.Assumed = st.State, st.Assumed
	if st.Words != "" {
		v.Words = st.Words
	}
}

// believe enters the findings in order.
func (f *folder) believe() error {
	for _, e := range f.s.effective {
		if err := f.entry(e); err != nil {
			return entryError(e, err)
		}
	}
	return nil
}

func (f *folder) entry(e journal.Entry) error {
	switch e.Kind {
	case kindComplaint:
		return f.onComplaint(e)
	case kindVerified:
		var v verified
		if err := json.Unmarshal(e.Payload, &v); err != nil {
			return err
		}
		f.tried(v.Minutes)
	case kindUnseen:
		return f.onUnseen(e)
	case kindCheck:
		return f.onCheck(e)
	case kindStep:
		return f.onStep(e)
	case kindNoticed:
		return f.onNoticed(e)
	case kindPart:
		return f.onPart(e)
	case kindLedger:
		return f.onLedger(e)
	case kindSkipped:
		var s skipped
		if err := json.Unmarshal(e.Payload, &s); err != nil {
			return err
		}
		f.s.skipped[checkAt{s.Check, s.Place}] = s.Reason
	case kindAccess:
		return f.onAccess(e)
	case kindMeans:
		var m means
		if err := json.Unmarshal(e.Payload, &m); err != nil {
			return err
		}
		if m.Have {
			delete(f.s.lacking, m.Tool)
		} else {
			f.s.lacking[m.Tool] = true
		}
	case kindSurroundings:
		return f.onSurroundings(e)
	case kindPlace:
		return f.onPlace(e)
	case kindInstrument:
		return f.onInstrument(e)
	case kindUnits:
		return f.onUnits(e)
	case kindRepair:
		return f.onRepair(e)
	case kindRetried:
		return f.onRetried(e)
	case kindClosed:
		f.s.closed = &closed{}
		return json.Unmarshal(e.Payload, f.s.closed)
	}
	return nil
}

func (f *folder) find(e journal.Entry, x ft.Finding) error {
	b, err := f.s.belief.Find(x)
	if err != nil {
		return err
	}
	fs := b.Findings()
	f.s.entryOf[fs[len(fs)-1].ID] = e.Seq
	f.s.belief = b
	return nil
}

// onComplaint enters the complaint as it stands after all corrections: trouble
// that the owner tells of softly, what the mechanic has seen beyond doubt. A
// regime that is said to be clean is taken as clean until it is corrected: it
// is read back to be confirmed, and a doubt left on each of several clean
// regimes would cost many times the computation.
func (f *folder) onComplaint(e journal.Entry) error {
	trust := f.s.opened.Weights
	var present []ft.Event
	for _, v := range f.s.stated {
		ev, ok := f.b.e.Event(v.Symptom, knowledge.Place{})
		if !ok {
			return fmt.Errorf("the pack has no symptom %q", v.Symptom)
		}
		var x ft.Finding
		switch {
		case v.State == "present" && v.Verified:
			x = ft.Present(ev)
		case v.State == "present":
			x = ft.Soft(ev, trust.PresentIf, trust.PresentNot)
		case v.State == "absent":
			x = ft.Absent(ev)
		default:
			continue
		}
		if v.State == "present" {
			present = append(present, ev)
		}
		if err := f.find(e, x); err != nil {
			return err
		}
	}
	for _, h := range f.s.complaint.History {
		if err := f.onHistory(e, h); err != nil {
			return err
		}
	}
	var err error
	f.s.belief, err = f.s.belief.Complaining(present...)
	return err
}

// tried counts the minutes of a try, and closes what has to be closed for it.
func (f *folder) tried(minutes float64) {
	if minutes > 0 {
		f.s.minutes += minutes
		f.move(&plan.Action{Running: true})
	}
}

// onUnseen enters that a symptom did not show when it was tried: it may be there
// all the same. A second try is no independent evidence and counts no more.
func (f *folder) onUnseen(e journal.Entry) error {
	var u unseen
	if err := json.Unmarshal(e.Payload, &u); err != nil {
		return err
	}
	f.tried(u.Minutes)
	for _, id := range u.Symptoms {
		ev, ok := f.b.e.Event(id, knowledge.Place{})
		if !ok {
			return fmt.Errorf("the pack has no symptom %q", id)
		}
		if f.s.unseen[id] {
			continue
		}
		f.s.unseen[id] = true
		if err := f.find(e, ft.Soft(ev, 1-f.b.e.Pack().Recheck.Shows, 1)); err != nil {
			return err
		}
	}
	return nil
}

func (f *folder) onHistory(e journal.Entry, h said) error {
	u, ok := f.b.e.Circumstance(h.ID)
	if !ok {
		return fmt.Errorf("the pack has no history entry %q", h.ID)
	}
	outcome := knowledge.HistorySaid
	if h.Denied {
		outcome = knowledge.HistoryNotSaid
	}
	x, err := f.b.e.Model().Outcome(u.ID, outcome)
	if err != nil {
		return err
	}
	return f.find(e, x)
}

func (f *folder) onCheck(e journal.Entry) error {
	var c checked
	if err := json.Unmarshal(e.Payload, &c); err != nil {
		return err
	}
	f.s.minutes += c.Minutes
	for _, a := range c.Results {
		u, ok := f.b.e.Check(c.Check, placeOf(a.Place))
		if !ok {
			return fmt.Errorf("the pack has no check %q at %q", c.Check, a.Place)
		}
		at := checkAt{c.Check, a.Place}
		f.s.done[at] = e.Seq
		if a.Reading != nil {
			f.s.readings[at] = append(f.s.readings[at], a.Reading)
			f.onLedgerReading(at, a.Reading)
		}
		if f.last[stageKey(f.s.belief.Stage(), c.Check, a.Place)] != e.Seq {
			continue // repeated later: the later answer counts
		}
		if err := f.answered(e, u, a); err != nil {
			return err
		}
		// What was merely noticed took no minutes, and opened nothing.
		if i := f.b.find(plan.Check, c.Check, placeOf(a.Place)); i >= 0 && c.Minutes > 0 {
			f.move(&f.b.actions[i])
		}
	}
	return nil
}

// answered enters the last answer of a check.
func (f *folder) answered(e journal.Entry, u knowledge.CheckUse, a answer) error {
	if a.Reading == nil {
		x, err := f.b.outcome(u, a)
		if err != nil {
			return err
		}
		return f.find(e, x)
	}
	at := checkAt{u.Def.ID, a.Place}
	x, so, err := f.b.joined(u, f.s.readings[at])
	if err != nil {
		return err
	}
	if err := f.find(e, x); err != nil {
		return err
	}
	all := f.s.belief.Findings()
	so.finding = all[len(all)-1].ID
	f.s.read[at], f.s.latest[at] = so, so
	return nil
}

// outcome turns an outcome into evidence.
func (b *bench) outcome(u knowledge.CheckUse, a answer) (ft.Finding, error) {
	i := slices.IndexFunc(u.Def.Outcomes, func(o knowledge.Outcome) bool { return o.ID == a.Outcome })
	if i < 0 {
		return ft.Finding{}, fmt.Errorf("check %q has no outcome %q", u.Def.ID, a.Outcome)
	}
	return b.e.Model().Outcome(u.ID, i)
}

// move brings the openings to where an action needs them.
func (f *folder) move(a *plan.Action) {
	if _, after, err := f.b.openings.Reach(f.s.open, a); err == nil {
		f.s.open = after
	}
}

func (f *folder) onNoticed(e journal.Entry) error {
	var n noticed
	if err := json.Unmarshal(e.Payload, &n); err != nil {
		return err
	}
	ev, ok := f.b.e.Event(n.Event, placeOf(n.Place))
	if !ok {
		return fmt.Errorf("the pack has no event %q at %q", n.Event, n.Place)
	}
	if n.Present {
		return f.find(e, ft.Present(ev))
	}
	return f.find(e, ft.Absent(ev))
}

func (f *folder) onAccess(e journal.Entry) error {
	var a access
	if err := json.Unmarshal(e.Payload, &a); err != nil {
		return err
	}
	i, ok := f.b.opening[a.Opening]
	if !ok {
		return fmt.Errorf("the pack has no opening %q", a.Opening)
	}
	need, shut := plan.Of(i), plan.Set(0)
	if !a.Open {
		need, shut = shut, need
	}
	m, after, err := f.b.openings.Move(f.s.open, need, shut)
	if err == nil {
		f.s.open = after
		f.s.minutes += m
	}
	return err
}

func (f *folder) onRepair(e journal.Entry) error {
	var r repaired
	if err := json.Unmarshal(e.Payload, &r); err != nil {
		return err
	}
	u, ok := f.b.e.Repair(r.Repair, placeOf(r.Place))
	if !ok {
		return fmt.Errorf("the pack has no repair %q at %q", r.Repair, r.Place)
	}
	b, err := f.s.belief.Repaired(u.ID)
	if err != nil {
		return err
	}
	f.s.belief, f.s.untried = b, true
	clear(f.s.readings)
	clear(f.s.read)
	for _, u := range f.s.under {
		u.over = true
	}
	f.s.minutes += r.Minutes
	for _, a := range f.b.stirs[u.ID] {
		for _, p := range f.b.about[a].places {
			delete(f.s.done, checkAt{f.b.about[a].id, placeKey(p)})
		}
	}
	if i := f.b.find(plan.Repair, r.Repair, placeOf(r.Place)); i >= 0 {
		f.move(&f.b.actions[i])
	}
	return nil
}

func (f *folder) onRetried(e journal.Entry) error {
	var r retried
	if err := json.Unmarshal(e.Payload, &r); err != nil {
		return err
	}
	f.s.minutes += r.Minutes
	f.s.untried, f.s.cured = false, r.Cured
	if _, after, err := f.b.openings.Reach(f.s.open, &plan.Action{Running: true}); err == nil {
		f.s.open = after
	}
	for _, v := range r.Symptoms {
		ev, ok := f.b.e.Event(v.Symptom, knowledge.Place{})
		if !ok {
			return fmt.Errorf("the pack has no symptom %q", v.Symptom)
		}
		x := ft.Absent(ev)
		if v.Present {
			x = ft.Present(ev)
		}
		if err := f.find(e, x); err != nil {
			return err
		}
	}
	return nil
}

// openedBy returns the first entry of a case.
func openedBy(entries []journal.Entry) (opened, error) {
	var o opened
	if len(entries) == 0 || entries[0].Kind != kindOpened {
		return o, fmt.Errorf("the journal does not begin with the opening of a case")
	}
	err := json.Unmarshal(entries[0].Payload, &o)
	return o, err
}
