package faulttree

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"narrows/faulttree/internal/diagram"
)

// structure is what stands below a top event, as Boolean variables: one for
// each of the basics, and after them, where links are asked for, one for each
// link that may fail to work through.
type structure struct {
	m      *Model
	top    Event
	gates  []Event // those below and the top itself, each after its inputs
	basics []Basic
	place  map[Basic]int // in basics
	limit  int           // of nodes of each diagram; 0: the usual one
}

func compareBasics(a, b Basic) int {
	if a.Unlisted != b.Unlisted {
		if b.Unlisted {
			return -1
		}
		return 1
	}
	return cmp.Compare(a.Event, b.Event)
}

// below gathers what stands below a top event as inputs of gates.
func (m *Model) below(top Event) *structure {
	under := make([]bool, m.Len())
	under[top] = true
	for _, e := range slices.Backward(m.order) {
		g, ok := m.GateOf(e)
		if !ok || !under[e] {
			continue
		}
		for _, in := range g.Inputs {
			under[in.Event] = true
		}
	}
	s := &structure{m: m, top: top, place: make(map[Basic]int)}
	for _, e := range m.order {
		g, isGate := m.GateOf(e)
		switch {
		case !under[e]:
			continue
		case !isGate:
			s.basics = append(s.basics, Basic{Event: e})
			continue
		case g.Unlisted > 0:
			s.basics = append(s.basics, Basic{Event: e, Unlisted: true})
		}
		s.gates = append(s.gates, e)
	}
	slices.SortFunc(s.basics, compareBasics)
	for i, b := range s.basics {
		s.place[b] = i
	}
	return s
}

// tree states the structure function. With links, an input that works through
// with a probability below 1 counts only if the link's variable is true too;
// their strengths are returned in order.
func (s *structure) tree(links bool) (*diagram.Tree, []float64) {
	t := &diagram.Tree{Vars: len(s.basics)}
	made := make(map[Event]int, len(s.gates))
	var strengths []float64
	add := func(g diagram.Gate) int {
		t.Gates = append(t.Gates, g)
		return len(t.Gates) - 1
	}
	for _, e := range s.gates {
		gate, _ := s.m.GateOf(e)
		g := diagram.Gate{Op: [...]diagram.Op{Or: diagram.Or, And: diagram.And, Voting: diagram.AtLeast}[gate.Kind], K: gate.K}
		for _, in := range gate.Inputs {
			o := diagram.Operand{Index: s.place[Basic{Event: in.Event}], Not: in.Inverted}
			if i, ok := made[in.Event]; ok {
				o.Index, o.Gate = i, true
			}
			if links && in.Strength < 1 {
				link := diagram.Operand{Index: len(s.basics) + len(strengths)}
				strengths = append(strengths, in.Strength)
				o = diagram.Operand{Gate: true, Index: add(diagram.Gate{Op: diagram.And, Operands: []diagram.Operand{o, link}})}
			}
			g.Operands = append(g.Operands, o)
		}
		made[e] = add(g)
		if gate.Unlisted > 0 {
			unlisted := diagram.Operand{Index: s.place[Basic{e, true}]}
			made[e] = add(diagram.Gate{Op: diagram.Or, Operands: []diagram.Operand{{Index: made[e], Gate: true}, unlisted}})
		}
	}
	t.Vars += len(strengths)
	t.Top = diagram.Operand{Index: made[s.top], Gate: true}
	return t, strengths
}

// family is a family of sets of basics with its store.
type family struct {
	z    *diagram.Families
	sets diagram.Family
}

// minimal finds the minimal cut sets that are possible and notes their
// numbers; those beyond maxOrder, if that is not 0, it leaves out.
func (s *structure) minimal(maxOrder int, out *CutSets) (family, error) {
	f, err := s.possible(maxOrder, out)
	if err != nil {
		return f, err
	}
	out.ByOrder, err = f.z.CountByOrder(f.sets)
	if err == nil {
		out.Total, err = f.z.Count(f.sets)
	}
	if err != nil {
		out.Total, out.ByOrder = math.MaxUint64, nil
	}
	if maxOrder > 0 {
		for k, n := range out.ByOrder {
			if k > maxOrder {
				out.OverOrder += n
			}
		}
		f.sets = f.z.AtMost(f.sets, maxOrder)
	}
	return f, tooLarge(f.z.Err())
}

// possible finds the minimal cut sets without two modes of an item; all of
// them, or if that is too much, those of up to maxOrder members.
func (s *structure) possible(maxOrder int, out *CutSets) (f family, err error) {
	t, _ := s.tree(false)
	d, top, err := diagram.Compile(t, s.limit)
	if err == nil {
		f.z = diagram.NewFamilies(d, s.limit)
		f.sets = s.exclude(f.z, f.z.Minimal(d, top))
		err = f.z.Err()
	}
	if maxOrder == 0 || !errors.Is(err, diagram.ErrTooLarge) {
		return f, tooLarge(err)
	}
	out.Bounded = true
	f.z, f.sets, err = diagram.CompileBounded(t, maxOrder, s.limit)
	if errors.Is(err, diagram.ErrNegated) {
		return f, fmt.Errorf("%w, and inverted inputs forbid to look for the small ones alone", ErrTooLarge)
	}
	if err == nil {
		f.sets = s.exclude(f.z, f.sets)
		err = f.z.Err()
	}
	return f, tooLarge(err)
}

// exclude leaves out the sets that hold two modes of an item. What is minimal
// among the possible sets is minimal among all, since each part of a possible
// set is possible.
func (s *structure) exclude(z *diagram.Families, sets diagram.Family) diagram.Family {
	for _, it := range s.m.items {
		var modes []int
		for _, e := range it.Modes {
			if i, ok := s.place[Basic{Event: e}]; ok {
				modes = append(modes, i)
			}
		}
		if len(modes) > 1 {
			sets = z.Exclusive(sets, modes...)
		}
	}
	return sets
}
