package faulttree

import (
	"errors"
	"fmt"
	"math"

	"narrows/faulttree/internal/diagram"
)

// ErrTooLarge says that the minimal cut sets of a top event are too entangled
// to be found within bounds of memory.
var ErrTooLarge = errors.New("its minimal cut sets are too entangled to be found all at once")

// Basic is a primary event below a top event: a failure mode or a common
// cause; or, where Unlisted is set, the undeveloped event that something
// outside the model makes the gate Event present.
type Basic struct {
	Event    Event
	Unlisted bool
}

// CutSet is a minimal cut set: if all members are present, so is the top event,
// and none of them can be left out.
type CutSet struct {
	Members []Basic // by Event, the unlisted ones last; the order is their number
	// P is the probability that all members are present before anything is
	// known; NaN where CutSets.Trouble says why.
	P float64
}

// CutSetOptions says which minimal cut sets are listed, and what is computed
// beside them. The zero value lists all of them.
type CutSetOptions struct {
	MaxOrder int     // only sets of at most so many members; 0: of any number
	Above    float64 // only sets more probable than this, in [0,1); 0: all
	Limit    int     // only so many of the likeliest; 0: all
	// Importance asks for CutSets.Importance.
	Importance bool
}

// CutSets is what classical fault-tree analysis says of a top event.
type CutSets struct {
	Top Event
	// Basics are the primary events below the top, by Event, the unlisted ones
	// last.
	Basics []Basic
	// Sets are those asked for, the likeliest first; equally likely ones by
	// order, then by their members.
	Sets []CutSet
	// Total counts all minimal cut sets, and ByOrder those of 0, 1, 2 members
	// and so on, whatever was asked for. If there are more than 64 bits can
	// count, Total is the largest number and ByOrder nil. See Bounded.
	Total   uint64
	ByOrder []uint64
	// Bounded means that the top event as a whole is too entangled, so that only
	// sets of up to MaxOrder members were looked for: Total and ByOrder count
	// those alone.
	Bounded bool
	// How many sets are not listed, by the rule that left them out: too many
	// members; not probable enough; or beyond the Limit, of which some may not
	// be probable enough either.
	OverOrder, NotAbove, BeyondLimit uint64

	// Independent means that nothing ties the events below the top to one
	// another: each item has one mode there and no mode has sources.
	Independent bool
	// P is the exact probability of the top event before anything is known.
	P float64
	// RareEvent is the sum of the probabilities of the minimal cut sets, and
	// UpperBound what P were if they were independent of one another; with P
	// at most UpperBound, at most RareEvent. Each link that may fail to work
	// through counts as a further member here. Both are NaN unless Independent,
	// and where the links make the diagram too large.
	RareEvent, UpperBound float64
	// Importance has an entry for each of Basics, the most critical first, if it
	// was asked for.
	Importance []Importance
	// Trouble says why P, Importance or the probability of a set could not be
	// computed, which are NaN or nil then; else it is nil.
	Trouble error
}

// CutSets finds the minimal cut sets of a symptom or of any other gate.
//
// The structure function is over the failure modes and common causes that
// stand below the top as inputs of gates, and over one undeveloped event for
// each gate there with an Unlisted prior. Every link counts as working through.
// A source of a mode makes it likelier but is not structure. Modes of an item
// exclude one another, so that a set with two of them is impossible and left
// out.
//
// Where inputs are inverted the sets are minimal solutions in the sense of
// Rauzy 1993 (from memory): the smallest sets of events which, everything else
// absent, make the top event present. They say what has to be there, but not
// what has to be missing, and P is still at most UpperBound.
//
// In a dependent model Above, and which sets a Limit keeps, go by the product
// of the members' own probabilities, and only the order of the sets listed by
// P.
//
// The error wraps ErrTooLarge if the diagram would exceed its bounds: ask for
// sets up to an order then, which works unless inputs are inverted.
func (m *Model) CutSets(top Event, opt CutSetOptions) (*CutSets, error) {
	if _, ok := m.GateOf(top); !ok {
		return nil, fmt.Errorf("%q is no gate; cut sets are those of a symptom or another gate", m.Name(top))
	}
	if opt.MaxOrder < 0 || opt.Limit < 0 || !(opt.Above >= 0 && opt.Above < 1) {
		return nil, fmt.Errorf("cut sets up to order %d, above %v, at most %d: none may be negative, and the probability must be below 1", opt.MaxOrder, opt.Above, opt.Limit)
	}
	return m.below(top).analyse(opt)
}

// analyse does the work of CutSets.
func (s *structure) analyse(opt CutSetOptions) (*CutSets, error) {
	m, top := s.m, s.top
	out := &CutSets{Top: top, Basics: s.basics, P: math.NaN(), RareEvent: math.NaN(), UpperBound: math.NaN()}
	sets, err := s.minimal(opt.MaxOrder, out)
	if err != nil {
		return nil, fmt.Errorf("%q: %w", m.Name(top), err)
	}
	out.Independent = s.independent()
	own := s.priors()
	if out.Independent {
		err = s.measure(own, opt, out)
	}
	if !out.Independent || errors.Is(err, ErrTooLarge) {
		own, err = s.measureByBelief(opt, out)
	}
	out.Trouble = err
	if err := s.list(sets, own, opt, out); err != nil {
		return nil, fmt.Errorf("%q: %w", m.Name(top), err)
	}
	return out, nil
}

// tooLarge turns the error of a diagram into that of this package.
func tooLarge(err error) error {
	if errors.Is(err, diagram.ErrTooLarge) {
		return ErrTooLarge
	}
	return err
}
