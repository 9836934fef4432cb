package session

import (
	"context"
	"encoding/json"
	"errors"
	"slices"

	ft "narrows/faulttree"
	"narrows/knowledge"
	"narrows/session/journal"
	"narrows/symptoms/quantity"
)

// History tells the case with the numbers of every step.
func (c *Case) History() (History, error) { return c.HistoryContext(context.Background()) }

// HistoryContext is History for which the numbers are left out from where the
// context ends; Partial says so. The error is one of an entry that cannot be
// understood.
func (c *Case) HistoryContext(ctx context.Context) (History, error) {
	h := historian{c: c, ctx: ctx, read: make(map[checkAt][]*reading), memo: make(map[int][]Suspect)}
	h.out = History{Case: c.ID, Engine: c.b.e.Sheet().Title, Owner: c.s.opened.Owner,
		Minutes: c.s.minutes, Cured: c.s.cured, Untried: c.s.untried,
		Pack: c.b.e.Pack().Title + " (" + c.b.e.Pack().ID + ")", PackVersion: c.b.e.Pack().Version,
		Sheet: c.b.e.Sheet().Title + " (" + c.b.e.Sheet().ID + ")", Entries: len(c.log.Entries())}
	if l, ok := c.log.(interface{ Head() string }); ok {
		h.out.Head = l.Head()
	}
	if c.s.closed != nil {
		h.out.Closed, h.out.Cured, h.out.Closing = true, c.s.closed.Cured, c.s.closed.Words
	}
	for _, s := range c.sources() {
		h.out.Sources = append(h.out.Sources, SourceSum{Name: s.Name, SHA256: s.SHA})
	}
	c.s.open.Each(func(i int) { h.out.StillOpen = append(h.out.StillOpen, c.b.openings[i].Name) })
	h.out.Pictures = c.Drawings()
	for _, t := range c.b.e.Sheet().Fitted {
		if pt := c.partTable(t); slices.ContainsFunc(pt.Rows, func(r PartRow) bool { return r.Found+r.Left != "" }) {
			h.out.Parts = append(h.out.Parts, pt)
		}
	}
	h.out.Parts = append(h.out.Parts, c.ledgerTables()...)
	for i, e := range c.s.effective {
		if err := h.step(i, e); err != nil {
			return History{}, entryError(e, err)
		}
	}
	if err := h.number(); err != nil {
		return History{}, err
	}
	return h.out, h.undone()
}

// historian gathers a history.
type historian struct {
	c     *Case
	ctx   context.Context
	out   History
	stage int
	read  map[checkAt][]*reading // of the present stage
	memo  map[int][]Suspect      // by number of effective entries folded
}

func (h *historian) step(i int, e journal.Entry) error {
	h.out.Steps = append(h.out.Steps, Step{Seq: e.Seq, Time: e.Time, Kind: e.Kind, Words: h.c.entryWords(e), Stage: h.stage})
	s := &h.out.Steps[i]
	switch e.Kind {
	case kindComplaint:
		return with(e, h.complaint)
	case kindStated:
		return with(e, func(p statement) { h.follow(kindComplaint, kindStated, kindVerified); h.stated(p) })
	case kindVerified:
		return with(e, func(p verified) {
			h.follow(kindComplaint, kindStated, kindVerified)
			h.symptom(p.Symptom).Seen = presence(p.Present)
			s.Title, s.Minutes, s.Advised = s.Words, p.Minutes, p.Advised
		})
	case kindUnseen:
		return with(e, func(p unseen) {
			s.Title, s.Minutes, s.Advised = s.Words, p.Minutes, p.Advised
			for _, id := range p.Symptoms {
				h.symptom(id).Unseen = true
			}
		})
	case kindCheck:
		return with(e, h.check)
	case kindStep:
		return with(e, h.stepped)
	case kindNoticed:
		return with(e, func(p noticed) {
			m := h.mark(p.Event, p.Place, p.Present)
			s.Noticed, s.Title = &m, m.Title
		})
	case kindPart, kindLedger:
		s.Title = s.Words
	case kindAccess:
		return h.access(i, s)
	case kindRepair:
		return with(e, h.repair)
	case kindRetried:
		return with(e, h.retried)
	}
	return nil
}

// with hands an entry's payload on.
func with[T any](e journal.Entry, take func(T)) error {
	var p T
	if err := json.Unmarshal(e.Payload, &p); err != nil {
		return err
	}
	take(p)
	return nil
}

func (h *historian) last() *Step { return &h.out.Steps[len(h.out.Steps)-1] }

// follow joins the last step to the run of the one before if that is of one of
// the kinds.
func (h *historian) follow(kinds ...string) {
	if n := len(h.out.Steps); n > 1 {
		h.last().Follows = slices.Contains(kinds, h.out.Steps[n-2].Kind)
	}
}

func (h *historian) complaint(p complaint) {
	h.out.Complaint = ComplaintPast{Text: p.Text, Missed: p.Missed}
	for _, st := range p.Stated {
		h.stated(st)
	}
	for _, s := range p.History {
		title := s.ID
		if def, ok := h.c.b.e.Snapshot().Circumstance(s.ID); ok {
			title = def.Title
		}
		h.out.Complaint.Said = append(h.out.Complaint.Said, SaidPast{title, s.Words, s.Denied})
	}
}

func (h *historian) symptom(id string) *SymptomPast {
	all := &h.out.Complaint.Symptoms
	i := slices.IndexFunc(*all, func(s SymptomPast) bool { return s.ID == id })
	if i < 0 {
		i = len(*all)
		*all = append(*all, SymptomPast{ID: id, Title: h.c.symptomTitle(id)})
	}
	return &(*all)[i]
}

func (h *historian) stated(p statement) {
	s := h.symptom(p.Symptom)
	s.Owner, s.Assumed = p.State, p.Assumed
	if p.Words != "" {
		s.Words = p.Words
	}
}

func (h *historian) mark(event, place string, present bool) Mark {
	m := Mark{Event: event, Place: place, Title: h.c.eventTitle(event, place), Present: present}
	if ev, ok := h.c.b.e.Event(event, placeOf(place)); ok {
		_, m.Mode = h.c.b.e.Model().ModeOf(ev)
	}
	return m
}

func (h *historian) check(p checked) {
	s := h.last()
	s.Title, s.Minutes, s.Advised = p.Check, p.Minutes, p.Advised
	def, ok := h.c.b.e.Snapshot().Check(p.Check)
	if !ok {
		return
	}
	s.Title = def.Title
	h.cautions(&def.Work)
	for _, a := range p.Results {
		at := AnswerPast{Check: p.Check, Title: def.Title, Place: a.Place,
			At: h.c.b.e.PlaceTitle(placeOf(a.Place)), Shows: h.c.answerWords(def, a)}
		if a.Reading != nil {
			at.Reading = h.reading(p.Check, a)
		}
		s.Answers = append(s.Answers, at)
	}
	if n := len(h.out.Steps); n > 1 && p.Minutes == 0 {
		before := h.out.Steps[n-2]
		s.Follows = before.Kind == kindCheck && len(before.Answers) > 0 && before.Answers[0].Check == p.Check ||
			before.Kind == kindStep && before.Title == s.Title
	}
}

// stepped is a step of a timed check.
func (h *historian) stepped(p stepped) {
	s := h.last()
	s.Title, s.Minutes, s.Advised = p.Check, p.Minutes, p.Advised
	if def, ok := h.c.b.e.Snapshot().Check(p.Check); ok {
		s.Title = def.Title
		h.cautions(&def.Work)
	}
	if n := len(h.out.Steps); n > 1 && !p.Fresh && p.Minutes == 0 {
		before := h.out.Steps[n-2]
		s.Follows = before.Kind == kindStep && before.Title == s.Title
	}
}

// reading is a reading with what it says together with those before it.
func (h *historian) reading(check string, a answer) *ReadingPast {
	at := checkAt{check, a.Place}
	h.read[at] = append(h.read[at], a.Reading)
	out := h.c.readingPast(check, placeOf(a.Place), a.Reading)
	out.Together = h.c.joinedOf(check, placeOf(a.Place), h.read[at])
	if a.Reading.Instrument != "" {
		out.Instrument = h.c.meansTitle(a.Reading.Instrument)
	}
	return out
}

func (c *Case) readingPast(check string, at knowledge.Place, r *reading) *ReadingPast {
	out := &ReadingPast{Typed: r.Typed, Limit: c.limitOfReading(check, at, r), Verdict: r.Verdict, Conformance: r.Conformance, Warmth: r.warmth()}
	u, err := quantity.ParseUnit(r.Unit)
	if err != nil {
		return out
	}
	out.Typed += c.alsoShown(r, u)
	out.Value, out.Corrected = c.inWords(r.Value, u, 4), c.inWords(r.Corrected, u, 4)
	out.Uncertainty = c.inWords(r.Uncertainty, u.Difference(), 2)
	for _, k := range r.Corrections {
		if how := correctionWords(k); how != "" {
			out.Corrections = append(out.Corrections, how+": "+c.inWords(k.After, u, 4))
		}
	}
	return out
}

func (h *historian) cautions(w *knowledge.Work) {
	for _, r := range w.Cautions {
		def, ok := h.c.b.e.Snapshot().Caution(r.ID)
		known := slices.ContainsFunc(h.out.Cautions, func(k CautionPast) bool { return k.ID == r.ID })
		if ok && !known {
			h.out.Cautions = append(h.out.Cautions, CautionPast{r.ID, def.Title, def.Text, h.last().Seq})
		}
	}
}

// access takes an opening's minutes from the fold: its entry does not hold them.
func (h *historian) access(i int, s *Step) error {
	before, err := h.c.b.fold(h.c.s.effective[:i])
	if err != nil {
		return err
	}
	after, err := h.c.b.fold(h.c.s.effective[:i+1])
	if err != nil {
		return err
	}
	s.Title, s.Minutes = s.Words, after.minutes-before.minutes
	return nil
}

func (h *historian) repair(p repaired) {
	s := h.last()
	s.Title, s.Minutes = h.c.workTitle(p.Repair, p.Place), p.Minutes
	h.stage++
	clear(h.read)
	r := RepairPast{Seq: s.Seq, Title: s.Title, At: h.c.b.e.PlaceTitle(placeOf(p.Place)),
		Minutes: p.Minutes, Cure: p.Cure, AsFound: p.AsFound, AsLeft: p.AsLeft}
	if u, ok := h.c.b.e.Repair(p.Repair, placeOf(p.Place)); ok {
		h.cautions(&u.Def.Work)
		for _, e := range h.c.b.e.Model().Repairs()[u.ID].Fixes {
			d := h.c.b.e.Describe(e)
			r.Fixes = append(r.Fixes, h.mark(d.ID, placeKey(d.Place), false))
		}
	}
	h.out.Repairs = append(h.out.Repairs, r)
}

func (h *historian) retried(p retried) {
	h.follow(kindRepair)
	s := h.last()
	s.Title, s.Minutes = "try the complaint again", p.Minutes
	r := &RetryPast{Seq: s.Seq, Cured: p.Cured, Words: p.Words, Minutes: p.Minutes}
	for _, v := range p.Symptoms {
		r.Symptoms = append(r.Symptoms, h.mark(v.Symptom, "", v.Present))
	}
	if n := len(h.out.Repairs); n > 0 {
		h.out.Repairs[n-1].Retry = r
	}
}

// number enters the suspects at the borders of the runs.
func (h *historian) number() error {
	steps := h.out.Steps
	for first := 0; first < len(steps); {
		end := first + 1
		for end < len(steps) && steps[end].Follows {
			end++
		}
		switch steps[first].Kind {
		case kindComplaint, kindStated, kindVerified, kindUnseen, kindStep, kindCheck, kindNoticed, kindRepair, kindRetried:
			var err error
			if steps[first].Before, err = h.at(first); err != nil {
				return err
			}
			if steps[end-1].After, err = h.at(end); err != nil {
				return err
			}
		}
		first = end
	}
	return nil
}

// at ranks the suspects as they stood after the first n entries, once for each
// change of belief.
func (h *historian) at(n int) ([]Suspect, error) {
	for n > 0 && !weighs(h.c.s.effective[n-1].Kind) {
		n--
	}
	if list, ok := h.memo[n]; ok {
		return list, nil
	}
	s, err := h.c.b.fold(h.c.s.effective[:n])
	if err != nil || s.complaint == nil || s.cured {
		return nil, err
	}
	if h.ctx.Err() != nil {
		h.out.Partial = true
		return nil, nil
	}
	then := &Case{ID: h.c.ID, b: h.c.b, log: h.c.log, s: s}
	if n == len(h.c.s.effective) {
		then = h.c // its numbers may be there already
	}
	list, err := then.suspects()
	var imp *ft.ImpossibleError
	if errors.As(err, &imp) || errors.Is(err, ft.ErrEntangled) {
		h.out.Partial, list, err = true, nil, nil
	}
	h.memo[n] = list
	return list, err
}

// weighs tells whether entries of the kind change what is believed.
func weighs(kind string) bool {
	switch kind {
	case kindOpened, kindSurroundings, kindStep, kindSkipped, kindAccess, kindMeans, kindPlace, kindInstrument, kindUnits, kindNote, kindLedger, kindClosed:
		return false
	}
	return true
}

func (h *historian) undone() error {
	by := make(map[int]int)
	for _, e := range h.c.log.Entries() {
		if e.Kind != kindUndo {
			continue
		}
		if err := with(e, func(p undo) { by[p.Seq] = e.Seq }); err != nil {
			return entryError(e, err)
		}
	}
	for _, e := range h.c.log.Entries() {
		if by[e.Seq] > 0 {
			h.out.Undone = append(h.out.Undone, Step{Seq: e.Seq, Time: e.Time, Kind: e.Kind,
				Words: h.c.entryWords(e), UndoneBy: by[e.Seq]})
		}
	}
	return nil
}
