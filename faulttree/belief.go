package faulttree

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Belief is what has been found so far, repairs included, about one engine. It
// is a value: every method returns a new Belief and leaves the old one as it
// was. Ask it with Solve and Cures. It is safe for concurrent use.
type Belief struct {
	m         *Model
	findings  []Placed
	repairs   []RepairID
	complaint []Event
	told      []Event // all symptoms that a complaint had: see question
	include   []Event
	watch     []CheckID
	nextID    int
	unbounded bool
	within    float64 // table entries of a program at most; 0: maxEntries
}

// Placed is a finding with the stage at which it was made (the number of
// repairs before it) and its number in order of entry, from 0.
type Placed struct {
	Finding
	Stage int
	ID    int
}

// NewBelief returns the belief before anything is known but that the engine
// has been brought in.
func (m *Model) NewBelief() *Belief { return &Belief{m: m} }

// Model returns the model that the belief is about.
func (b *Belief) Model() *Model { return b.m }

// Find adds a finding at the present stage.
func (b *Belief) Find(f Finding) (*Belief, error) {
	return b.FindAt(f, len(b.repairs))
}

// FindAt adds a finding at an earlier stage, 0 being the engine as brought in.
func (b *Belief) FindAt(f Finding, stage int) (*Belief, error) {
	if err := b.m.validate(f); err != nil {
		return nil, err
	}
	if stage < 0 || stage > len(b.repairs) {
		return nil, fmt.Errorf("no stage %d: %d repairs have been made", stage, len(b.repairs))
	}
	c := *b
	c.findings = append(slices.Clone(b.findings), Placed{Finding: f, Stage: stage, ID: b.nextID})
	c.nextID++
	return &c, nil
}

// Retract takes the finding with that number back: the belief is then exactly
// what it would be had the finding never been made.
func (b *Belief) Retract(id int) (*Belief, error) {
	i := slices.IndexFunc(b.findings, func(p Placed) bool { return p.ID == id })
	if i < 0 {
		return nil, fmt.Errorf("no finding has the number %d", id)
	}
	c := *b
	c.findings = slices.Delete(slices.Clone(b.findings), i, i+1)
	return &c, nil
}

// Repaired adds a repair as an intervention: the items that it fixes are as it
// leaves them from now on, and everything else in the engine persists. Whether
// the complaint is gone is a finding to be entered afterwards.
func (b *Belief) Repaired(r RepairID) (*Belief, error) {
	if r < 0 || int(r) >= len(b.m.repairs) {
		return nil, fmt.Errorf("no repair has the number %d", r)
	}
	if len(b.repairs) >= maxStages-2 {
		return nil, fmt.Errorf("%d repairs have been made; more cannot be told apart", len(b.repairs))
	}
	c := *b
	c.repairs = append(slices.Clone(b.repairs), r)
	return &c, nil
}

// Complaining names the symptoms that must be gone for the engine to be cured.
func (b *Belief) Complaining(symptoms ...Event) (*Belief, error) {
	for _, e := range symptoms {
		if g, ok := b.m.GateOf(e); !ok || !g.Symptom {
			return nil, fmt.Errorf("%q is no symptom; a complaint is made of symptoms", b.m.Name(e))
		}
	}
	c := *b
	c.complaint = slices.Clone(symptoms)
	slices.Sort(c.complaint)
	c.complaint = slices.Compact(c.complaint)
	c.told = append(slices.Clone(b.told), symptoms...)
	return &c, nil
}

// Including asks for the probabilities of gates. Gates are left out of the
// answer unless asked for: a gate of which nothing has to be told can be
// dissolved into what stands below it, which makes the computation many times
// smaller. See Model.Below for a whole tree.
func (b *Belief) Including(events ...Event) *Belief {
	c := *b
	c.include = append(slices.Clone(b.include), events...)
	return &c
}

// Unbounded asks for numbers without a bound on their rounding error, which takes
// half the time. It is for looking ahead from a belief whose cures have not
// Cancelled: findings with likelihoods of at most 1 in the place of findings that
// say nothing leave the absolute error as small as it was. Nothing else is noticed
// where sums cancel.
func (b *Belief) Unbounded() *Belief {
	c := *b
	c.unbounded = true
	return &c
}

// Within has what takes programs of more table entries than that not computed:
// the error then wraps ErrEntangled. It is for planning, where one would rather
// ask for less, and where a rounding error of a part in ten thousand does not
// matter.
func (b *Belief) Within(entries float64) *Belief {
	c := *b
	c.within = entries
	return &c
}

// Watching asks for the chances of the rows and outcomes of further checks,
// were they made now.
func (b *Belief) Watching(checks ...CheckID) *Belief {
	c := *b
	c.watch = append(slices.Clone(b.watch), checks...)
	slices.Sort(c.watch)
	c.watch = slices.Compact(c.watch)
	return &c
}

// ordered lists the findings in an order that does not depend on when they were
// entered, so that sums over them have the same last digit whatever was
// entered first or taken back in between.
func (b *Belief) ordered() []Placed {
	out := slices.Clone(b.findings)
	slices.SortStableFunc(out, func(x, y Placed) int {
		return cmp.Or(cmp.Compare(x.Stage, y.Stage), cmp.Compare(x.Event, y.Event), cmp.Compare(x.Check, y.Check), slices.Compare(x.Weight, y.Weight))
	})
	return out
}

// Findings returns the findings in order of entry; read only.
func (b *Belief) Findings() []Placed { return b.findings }

// Repairs returns the repairs made so far in order; read only.
func (b *Belief) Repairs() []RepairID { return b.repairs }

// Complaint returns the symptoms that must be gone; read only.
func (b *Belief) Complaint() []Event { return b.complaint }

// Stage returns the number of repairs made.
func (b *Belief) Stage() int { return len(b.repairs) }

// ImpossibleError says that the findings cannot all be true of one engine. The
// findings named are a smallest set that contradicts itself: any one of them
// taken back, the rest could be true.
type ImpossibleError struct {
	Findings []Placed
	model    *Model
}

func (e *ImpossibleError) Error() string {
	var names []string
	for _, f := range e.Findings {
		names = append(names, e.model.describe(f))
	}
	return "these findings cannot all be true of one engine: " + strings.Join(names, "; ")
}

func (m *Model) describe(f Placed) string {
	s := ""
	switch {
	case f.Event == None:
		s = "the result of " + m.checks[f.Check].Name
	case f.Weight[1] == 0:
		s = m.Name(f.Event) + " is present"
	case f.Weight[0] == 0:
		s = m.Name(f.Event) + " is absent"
	default:
		s = "what was seen of " + m.Name(f.Event)
	}
	if f.Stage > 0 {
		s += fmt.Sprintf(" (after repair %d)", f.Stage)
	}
	return s
}

// Posterior holds the probabilities given all findings.
type Posterior struct {
	m       *Model
	p       []float64 // by event, now; NaN if the event was not asked for
	first   []float64 // by event, as brought in; modes only
	listed  map[Event]float64
	rows    map[CheckID][]float64
	logLike float64
}

// P returns the probability that the event is present now, all findings and
// repairs considered. It is NaN for a gate that was not asked for: see
// Including.
func (p *Posterior) P(e Event) float64 { return p.p[e] }

// BroughtIn returns the probability that the mode or cause was present in the
// engine as it was brought in. It is NaN for gates.
func (p *Posterior) BroughtIn(e Event) float64 { return p.first[e] }

// Unlisted returns the probability that something outside the model helps to
// produce the symptom; NaN if the symptom is neither complained of nor asked
// for.
func (p *Posterior) Unlisted(symptom Event) float64 {
	if q, ok := p.listed[symptom]; ok {
		return q
	}
	return math.NaN()
}

// LogEvidence returns the natural logarithm of the probability of all findings
// together. Very low values mean a case that the model finds surprising.
func (p *Posterior) LogEvidence() float64 { return p.logLike }

// Rows returns the probability of each row of a check's table and, last, of
// Else, were the check made now; nil where Outcomes is.
func (p *Posterior) Rows(c CheckID) []float64 { return p.rows[c] }

// Outcomes returns the probability of each outcome of a check, were it made
// now by itself; nil if the belief was not watching it.
func (p *Posterior) Outcomes(c CheckID) []float64 {
	rows := p.rows[c]
	if rows == nil {
		return nil
	}
	ck := p.m.checks[c]
	out := make([]float64, len(ck.Outcomes))
	for o := range out {
		for i, r := range ck.Rows {
			out[o] += float64(rows[i] * r.P[o])
		}
		out[o] += float64(rows[len(ck.Rows)] * ck.Else[o])
	}
	return out
}

// Solve computes the posterior of every mode and cause, of every gate asked for
// and of every check watched. The error is an *ImpossibleError if the findings
// contradict each other, or wraps ErrEntangled.
func (b *Belief) Solve() (*Posterior, error) {
	post, err := b.solve()
	if errors.Is(err, errImpossible) {
		return nil, b.contradiction()
	}
	return post, err
}

var errImpossible = errors.New("the findings are impossible together")

func (b *Belief) solve() (*Posterior, error) {
	q := b.question()
	run, f, err := b.runSafely(q)
	if err != nil {
		return nil, err
	}
	defer run.release()
	run.down()
	return b.posterior(q, run, f), nil
}

// contradiction finds a smallest set of findings that cannot be true together,
// by leaving out what is not needed for the contradiction.
func (b *Belief) contradiction() error {
	rest := *b
	for i := 0; i < len(rest.findings); {
		try := rest
		try.findings = slices.Delete(slices.Clone(rest.findings), i, i+1)
		if _, err := try.solve(); errors.Is(err, errImpossible) {
			rest = try
		} else {
			i++
		}
	}
	return &ImpossibleError{Findings: rest.findings, model: b.m}
}

func (b *Belief) posterior(q *question, r *evaluation, f float64) *Posterior {
	m, now := b.m, q.now()
	p := &Posterior{
		m: m, p: make([]float64, m.Len()), first: make([]float64, m.Len()),
		listed: make(map[Event]float64), rows: make(map[CheckID][]float64), logLike: r.log(f) + b.logIdle(),
	}
	for e := range p.p {
		p.p[e], p.first[e] = math.NaN(), math.NaN()
	}
	for i, it := range m.items {
		// The parts add up to f but for rounding; divided by their own sum, what
		// is certain is certain to the last digit.
		whole := 0.0
		for x := range r.prog.histories[i] {
			whole += r.mass(r.prog.items[i] + x)
		}
		for _, e := range it.Modes {
			p.p[e], p.first[e] = 0, 0
		}
		for x, h := range r.prog.histories[i] {
			part := r.mass(r.prog.items[i]+x) / whole
			if s := h[now]; s > 0 {
				p.p[it.Modes[s-1]] += part
			}
			if s := h[0]; s > 0 {
				p.first[it.Modes[s-1]] += part
			}
		}
		for _, e := range it.Modes {
			p.p[e], p.first[e] = clamp(p.p[e]), clamp(p.first[e])
		}
	}
	for _, e := range m.gateEv {
		if leaf, ok := r.prog.gates[stagedEvent{e, now}]; ok {
			p.p[e] = clamp(r.mass(leaf+1) / f)
		}
		if leaf, ok := r.prog.unlisted[e]; ok {
			p.listed[e] = clamp(r.mass(leaf+1) / f)
		}
	}
	for _, h := range q.hard {
		if h.stage == now {
			p.p[h.event] = 0
			if h.present {
				p.p[h.event] = 1
			}
		}
	}
	b.posteriorRows(q, r, f, p)
	return p
}

// logIdle is the logarithm of the likelihood of checks without rows, which
// bear on nothing but the probability of the findings as a whole.
func (b *Belief) logIdle() float64 {
	sum := 0.0
	for _, f := range b.ordered() {
		if f.Event == None && b.m.reach(f.Check) == onNothing {
			sum += math.Log(f.Weight[0])
		}
	}
	return sum
}

// posteriorRows gives each check watched the chances of its rows.
func (b *Belief) posteriorRows(q *question, r *evaluation, f float64, p *Posterior) {
	for _, id := range b.watch {
		ck := &b.m.checks[id]
		rows := make([]float64, len(ck.Rows)+1)
		if leaves, ok := r.prog.rows[stagedCheck{id, q.now()}]; ok {
			for i := range rows {
				rows[i] = clamp(r.mass(leaves+i) / f)
			}
		} else {
			// Rows on one event, or on modes that exclude one another.
			rest := 1.0
			for i, row := range ck.Rows {
				rows[i] = p.p[row.Event]
				rest -= rows[i]
			}
			rows[len(ck.Rows)] = clamp(rest)
		}
		p.rows[id] = rows
	}
}

// clamp removes the last rounding error of a probability.
func clamp(p float64) float64 { return min(1, max(0, p)) }
