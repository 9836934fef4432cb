package diagram

import "fmt"

// Op says how a gate joins its operands.
type Op uint8

// The gates.
const (
	Or      Op = iota // at least one
	And               // all
	AtLeast           // at least K
	Xor               // an odd number
)

// Operand is a variable or a gate of a Tree, possibly negated.
type Operand struct {
	Index int // of a variable, or in Gates
	Gate  bool
	Not   bool
}

// Gate joins operands, of which there is at least one.
type Gate struct {
	Op       Op
	K        int // AtLeast only
	Operands []Operand
}

// Tree is a fault tree, rather an acyclic graph: gates may share what is
// below them.
type Tree struct {
	Vars  int
	Gates []Gate
	Top   Operand
}

// check reports what would keep the tree from being compiled.
func (t *Tree) check() error {
	const white, grey, black = 0, 1, 2
	colour := make([]uint8, len(t.Gates))
	var visit func(o Operand) error
	visit = func(o Operand) error {
		n := t.Vars
		if o.Gate {
			n = len(t.Gates)
		}
		switch {
		case o.Index < 0 || o.Index >= n:
			return fmt.Errorf("an operand has the number %d; there are %d", o.Index, n)
		case !o.Gate || colour[o.Index] == black:
			return nil
		case colour[o.Index] == grey:
			return fmt.Errorf("gate %d depends on itself", o.Index)
		case len(t.Gates[o.Index].Operands) == 0:
			return fmt.Errorf("gate %d has no operand", o.Index)
		}
		colour[o.Index] = grey
		for _, below := range t.Gates[o.Index].Operands {
			if err := visit(below); err != nil {
				return err
			}
		}
		colour[o.Index] = black
		return nil
	}
	return visit(t.Top)
}

// Compile builds the function of the top event in a store of its own, of at
// most limit nodes (0 for DefaultLimit). It tries orders of the variables, each
// with room that grows from round to round, and returns ErrTooLarge if none
// will do.
func Compile(t *Tree, limit int) (*Functions, Ref, error) {
	if err := t.check(); err != nil {
		return nil, 0, err
	}
	if limit <= 0 {
		limit = DefaultLimit
	}
	orders := t.orders()
	for room := min(limit, 1<<15); ; room = min(limit, room<<3) {
		for _, order := range orders {
			d := NewFunctions(order, room)
			f := d.build(t)
			if !d.full {
				d.limit = limit
				return d, f, nil
			}
		}
		if room == limit {
			return nil, 0, ErrTooLarge
		}
	}
}

// build makes the function of the top event; once the store is full, of
// nothing.
func (d *Functions) build(t *Tree) Ref {
	done := make([]Ref, len(t.Gates))
	known := make([]bool, len(t.Gates))
	var operand func(o Operand) Ref
	operand = func(o Operand) Ref {
		var f Ref
		switch {
		case !o.Gate:
			f = d.Var(o.Index)
		case known[o.Index]:
			f = done[o.Index]
		default:
			g := &t.Gates[o.Index]
			fs := make([]Ref, len(g.Operands))
			for i, below := range g.Operands {
				if d.full {
					return False
				}
				fs[i] = operand(below)
			}
			f = d.gate(g, fs)
			done[o.Index], known[o.Index] = f, true
		}
		if o.Not {
			f = d.Not(f)
		}
		return f
	}
	return operand(t.Top)
}

func (d *Functions) gate(g *Gate, fs []Ref) Ref {
	switch g.Op {
	case Or:
		return d.Any(fs...)
	case And:
		return d.All(fs...)
	case Xor:
		return d.Odd(fs...)
	}
	return d.AtLeast(g.K, fs...)
}
