// Package session is one case from complaint to sealed record. A line of the
// mechanic's becomes a Command, Do answers it with a View, and whatever it
// found out is an entry in the journal before it is shown. The state of a case
// is a fold over its entries: undo is an entry, and a case resumed after a
// crash is the case that was left.
package session

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
	"narrows/knowledge"
	"narrows/session/journal"
)

// Recorder is where a case's entries go; *journal.Log is one.
type Recorder interface {
	Append(ctx context.Context, kind string, payload any) (journal.Entry, error)
	Entries() []journal.Entry
	Now() time.Time // the clock that stamps the entries
}

// Case is one engine with one complaint. It serves one caller at a time.
type Case struct {
	ID     string
	b      *bench
	log    Recorder
	s      *state
	seen   *beliefs // of the present state; nil until asked for
	asked  *pending // the check, or the retry, whose answer is awaited
	offer  *offer   // the numbered list that was shown last
	moved  string   // what was advised first when the mechanic chose otherwise
	trying bool     // the complaint is being tried
	doubt  *doubt   // a line of the ledger that is questioned
	rank   Ranker
	later  bool                    // answers come before the ranking of what to do next
	owed   *Ranking                // of the present state, to be taken over; nil if none is
	kit    []*knowledge.Instrument // that using chooses from
	shelf  Shelf                   // nil: there is none
	knows  int                     // the entry that says which knowledge counts; 0: the opening
	first  []sumOf                 // the copies of the opening
}

// beliefs are the numbers of a state.
type beliefs struct {
	post  *ft.Posterior
	cures *ft.Cures // nil without a complaint

	explained *ft.Explanation // made when first asked for
}

// offer is a numbered list; a number picks from it.
type offer struct {
	advice   *plan.Advice // of the offer of next, in the order of the numbers
	actions  []int        // into bench.actions
	suspects []Suspect
	mark     string // of the state that it was made for
}

// ErrNotRecorded is in the chain of errors of a line that could not be written
// to the journal: the case is as it was before the line.
var ErrNotRecorded = errors.New("the entry could not be recorded, and the case is as it was before")

// NewCase takes up a case from its entries.
func NewCase(id string, e *knowledge.Engine, log Recorder) (*Case, error) {
	return newCase(id, e, 0, log)
}

func newCase(id string, e *knowledge.Engine, knows int, log Recorder) (*Case, error) {
	b, err := newBench(e)
	if err != nil {
		return nil, err
	}
	c := &Case{ID: id, b: b, log: log, rank: advise, knows: knows}
	return c, c.refold()
}

func (c *Case) refold() error {
	if err := c.know(); err != nil {
		return err
	}
	s, err := c.b.fold(c.log.Entries())
	if err != nil {
		return err
	}
	c.s, c.seen = s, nil
	c.first = s.opened.Sources
	c.moveOn()
	return nil
}

// Engine returns the knowledge that the case rests on.
func (c *Case) Engine() *knowledge.Engine { return c.b.e }

// Belief returns what is believed of the engine now.
func (c *Case) Belief() *ft.Belief { return c.s.belief }

// Closed tells whether the case has been closed.
func (c *Case) Closed() bool { return c.s.closed != nil }

// record writes an entry and, only once it is on disk, takes it into account.
// An entry that cannot be true together with what is known is taken back by an
// undo of its own, and said to be so.
func (c *Case) record(ctx context.Context, kind string, payload any) error {
	entry, err := c.log.Append(ctx, kind, payload)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrNotRecorded, err)
	}
	if err := c.refold(); err != nil {
		return err
	}
	var imp *ft.ImpossibleError
	if _, err := c.beliefs(); errors.As(err, &imp) {
		if _, err := c.log.Append(ctx, kindUndo, undo{entry.Seq}); err != nil {
			return fmt.Errorf("%w: %w", ErrNotRecorded, err)
		}
		if err := c.refold(); err != nil {
			return err
		}
		return &ContradictionError{With: c.contradicted(imp), cause: imp}
	} else if err != nil {
		return err
	}
	return nil
}

// ContradictionError says that an entry cannot be true with earlier ones; it
// was taken back.
type ContradictionError struct {
	With  []string
	cause error
}

func (e *ContradictionError) Error() string {
	return "that cannot be true together with what was entered before, and was taken back"
}

func (e *ContradictionError) Unwrap() error { return e.cause }

// contradicted names the entries behind the findings of a contradiction that
// are still standing.
func (c *Case) contradicted(imp *ft.ImpossibleError) []string {
	var out []string
	for _, f := range imp.Findings {
		if seq, ok := c.s.entryOf[f.ID]; ok {
			out = append(out, fmt.Sprintf("entry %d: %s", seq, c.findingWords(f)))
		}
	}
	return out
}

// beliefs computes the numbers of the present state once.
func (c *Case) beliefs() (*beliefs, error) {
	if c.seen != nil {
		return c.seen, nil
	}
	b := &beliefs{}
	var err error
	if b.post, err = c.s.belief.Solve(); err != nil {
		return nil, err
	}
	if len(c.s.belief.Complaint()) > 0 {
		if b.cures, err = c.s.belief.Cures(); err != nil {
			return nil, err
		}
	}
	c.seen = b
	return b, nil
}

// problem is the present state in the planner's terms.
func (c *Case) problem() *plan.Problem {
	p := c.b.problem(c.s.belief, c.s.open, c.barred)
	for i := range p.Actions {
		p.Actions[i].Refused = strings.HasPrefix(p.Actions[i].Barred, refused)
		if a := &p.Actions[i]; a.Again != nil {
			a.Barred = c.barred(i)
			c.repeat(i, a)
		}
	}
	return p
}

// refused begins the reason why a check that was skipped is barred.
const refused = "skipped: "

// barred says why an action is not offered.
func (c *Case) barred(i int) string {
	about := c.b.about[i]
	if c.b.actions[i].Kind == plan.Try {
		return c.tryBarred()
	}
	if why := c.lacks(about.work); why != "" {
		return why
	}
	if why := c.misplaced(about.work); why != "" {
		return why
	}
	if c.b.actions[i].Kind != plan.Check {
		return ""
	}
	if c.s.lacking[about.finer] {
		return "no " + c.meansTitle(about.finer)
	}
	answered := 0
	for _, p := range about.places {
		at := checkAt{about.id, placeKey(p)}
		if reason, ok := c.s.skipped[at]; ok {
			return refused + reason
		}
		if _, ok := c.s.done[at]; ok {
			answered++
		}
	}
	if answered == len(about.places) && c.b.actions[i].Again == nil {
		return "done"
	}
	return ""
}
