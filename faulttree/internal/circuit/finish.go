package circuit

import "slices"

// Finish drops what the root does not need, takes products into the sums that
// alone need them, and fixes the order of the rest.
func (b *Builder) Finish(root Node) *Program {
	f := finisher{b: b, level: make([]int32, int(b.next)-b.leaves)}
	f.mark(root)
	f.rank()
	ops := f.sorted()
	p := &Program{consts: slices.Clone(b.consts), errors: slices.Clone(b.errors), leaves: b.leaves, ops: len(ops)}
	base := int32(len(b.consts) + b.leaves)
	place := f.level // the levels have done their work; their room serves again
	slot := func(n Node) int32 {
		switch {
		case n < 0:
			return int32(^n)
		case int(n) < b.leaves:
			return int32(len(b.consts)) + int32(n)
		}
		return place[int(n)-b.leaves]
	}
	for i, n := range ops {
		shape, args := f.form(n)
		if k := len(p.runs) - 1; k >= 0 && p.runs[k].form == shape {
			p.runs[k].n++
		} else {
			p.runs = append(p.runs, run{form: shape, at: base + int32(i), n: 1, args: int32(len(p.args))})
		}
		for _, x := range args[:operands[shape]] {
			p.args = append(p.args, slot(x))
		}
		place[n] = base + int32(i)
	}
	p.root = slot(root)
	return p
}

// op is the i-th operation recorded.
func (b *Builder) op(i int32) *operation { return &b.pages[i/pageSize][i%pageSize] }

// finisher orders the operations that are needed.
type finisher struct {
	b *Builder
	// level is an operation's depth above the leaves, from 1; 0 if it is not
	// needed, within where it is made within its only user.
	level []int32
}

// Marks of operations before their level is known.
const (
	unused int32 = 0
	used   int32 = 1
	once   int32 = 2 // by one sum alone
	within int32 = -1
)

func (f *finisher) number(n Node) (int32, bool) {
	i := int32(n) - int32(f.b.leaves)
	return i, i >= 0
}

// mark finds what the root needs, and the products that one sum alone needs.
func (f *finisher) mark(root Node) {
	if i, ok := f.number(root); ok {
		f.level[i] = used
	}
	for i := int32(len(f.level)) - 1; i >= 0; i-- {
		if f.level[i] == unused {
			continue
		}
		o := f.b.op(i)
		for _, x := range [2]Node{o.a, o.b} {
			k, ok := f.number(x)
			switch {
			case !ok:
			case f.level[k] == unused && o.kind == opAdd && f.b.op(k).kind == opMul:
				f.level[k] = once
			default:
				f.level[k] = used
			}
		}
	}
}

// rank turns the marks into levels.
func (f *finisher) rank() {
	of := func(n Node) int32 {
		if i, ok := f.number(n); ok {
			return f.level[i]
		}
		return 0
	}
	for i := range f.level {
		switch f.level[i] {
		case unused:
			continue
		case once:
			f.level[i] = within
			continue
		}
		shape, args := f.form(int32(i))
		most := int32(0)
		for _, x := range args[:operands[shape]] {
			most = max(most, of(x))
		}
		f.level[i] = most + 1
	}
}

// form gives an operation with the products that are made within it.
func (f *finisher) form(i int32) (form, [4]Node) {
	o := f.b.op(i)
	if o.kind == opMul {
		return product, [4]Node{o.a, o.b}
	}
	x, insideX := f.inside(o.a)
	y, insideY := f.inside(o.b)
	switch {
	case insideX && insideY:
		return products, [4]Node{x.a, x.b, y.a, y.b}
	case insideX:
		return sumProduct, [4]Node{o.b, x.a, x.b}
	case insideY:
		return sumProduct, [4]Node{o.a, y.a, y.b}
	}
	return sum, [4]Node{o.a, o.b}
}

func (f *finisher) inside(n Node) (*operation, bool) {
	i, ok := f.number(n)
	if !ok || f.level[i] != within {
		return nil, false
	}
	return f.b.op(i), true
}

// sorted lists the operations by level, and by form within a level. Operations
// of one level do not depend on each other; with the forms apart, the passes
// run over long stretches without a branch.
func (f *finisher) sorted() []int32 {
	most, needed := int32(0), 0
	for _, l := range f.level {
		most = max(most, l)
		if l > 0 {
			needed++
		}
	}
	start := make([]int, int(forms)*int(most+1)+1)
	rank := make([]int32, len(f.level))
	for i, l := range f.level {
		if l > 0 {
			shape, _ := f.form(int32(i))
			rank[i] = int32(forms)*l + int32(shape)
			start[rank[i]+1]++
		}
	}
	for i := 1; i < len(start); i++ {
		start[i] += start[i-1]
	}
	out := make([]int32, needed)
	for i, l := range f.level {
		if l > 0 {
			out[start[rank[i]]] = int32(i)
			start[rank[i]]++
		}
	}
	return out
}
