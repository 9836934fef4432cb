package diagram

import "slices"

// orders proposes orders of the variables, the most promising first. All go
// depth-first from the top, so that what is used together stands together; they
// differ in which operand of a gate comes first. Variables that the top event
// does not depend on come last.
func (t *Tree) orders() [][]int {
	uses, size := t.weigh()
	shared := func(o Operand) int {
		if o.Gate {
			return 0
		}
		return uses[o.Index]
	}
	weight := func(o Operand) int {
		if o.Gate {
			return size[o.Index]
		}
		return 1
	}
	return [][]int{
		t.depthFirst(func(Operand, Operand) int { return 0 }),
		t.depthFirst(func(a, b Operand) int { return weight(b) - weight(a) }),
		t.depthFirst(func(a, b Operand) int { return weight(a) - weight(b) }),
		t.depthFirst(func(a, b Operand) int { return shared(b) - shared(a) }),
	}
}

// weigh counts how often each variable is an operand, and how many operands
// stand below each gate.
func (t *Tree) weigh() (uses, size []int) {
	uses, size = make([]int, t.Vars), make([]int, len(t.Gates))
	var visit func(o Operand) int
	visit = func(o Operand) int {
		if !o.Gate {
			uses[o.Index]++
			return 1
		}
		if size[o.Index] == 0 {
			for _, below := range t.Gates[o.Index].Operands {
				size[o.Index] += visit(below)
			}
		}
		return size[o.Index]
	}
	visit(t.Top)
	return uses, size
}

func (t *Tree) depthFirst(compare func(a, b Operand) int) []int {
	order := make([]int, 0, t.Vars)
	placed, seen := make([]bool, t.Vars), make([]bool, len(t.Gates))
	var visit func(o Operand)
	visit = func(o Operand) {
		if !o.Gate {
			if !placed[o.Index] {
				placed[o.Index] = true
				order = append(order, o.Index)
			}
			return
		}
		if seen[o.Index] {
			return
		}
		seen[o.Index] = true
		below := slices.Clone(t.Gates[o.Index].Operands)
		slices.SortStableFunc(below, compare)
		for _, b := range below {
			visit(b)
		}
	}
	visit(t.Top)
	for v := range t.Vars {
		if !placed[v] {
			order = append(order, v)
		}
	}
	return order
}
