package circuit

import (
	"math"
	"slices"
)

// Program is a finished circuit: constants, leaves, then operations in an
// order in which every operand stands before its use. It is immutable and safe
// for concurrent use; every caller brings a Scratch of its own.
type Program struct {
	consts []float64
	errors []float64 // bound on the rounding error of each constant
	leaves int
	runs   []run
	args   [][2]int32
	root   int32
}

// run is a stretch of operations of one kind; the first of them has slot at.
type run struct {
	kind     opKind
	from, to int32 // into args
}

// Scratch holds the values and derivatives of one evaluation.
type Scratch struct {
	val, der []float64
}

// Finish drops what the root does not need and fixes the order of the rest.
func (b *Builder) Finish(root Node) *Program {
	level := b.levels(root)
	p := &Program{consts: slices.Clone(b.consts), errors: slices.Clone(b.errors), leaves: b.leaves}
	ops := b.byLevel(level)
	base := int32(len(b.consts) + b.leaves)
	place := level // the levels have done their work; their room serves again
	slot := func(n Node) int32 {
		switch {
		case n < 0:
			return int32(^n)
		case int(n) < b.leaves:
			return int32(len(b.consts)) + int32(n)
		}
		return place[int(n)-b.leaves]
	}
	p.args = make([][2]int32, len(ops))
	for i, n := range ops {
		o := b.op(n)
		p.args[i] = [2]int32{slot(o.a), slot(o.b)}
		place[n] = base + int32(i)
		if k := len(p.runs) - 1; k >= 0 && p.runs[k].kind == o.kind {
			p.runs[k].to++
		} else {
			p.runs = append(p.runs, run{o.kind, int32(i), int32(i) + 1})
		}
	}
	p.root = slot(root)
	return p
}

// op is the i-th operation recorded.
func (b *Builder) op(i int32) *operation { return &b.pages[i/pageSize][i%pageSize] }

// byLevel sorts the operations that are needed by level, the products of a
// level before its sums. Operations of one level do not depend on each other;
// with the kinds apart, the passes run over long stretches without a branch.
func (b *Builder) byLevel(level []int32) []int32 {
	most, needed := int32(0), 0
	for _, l := range level {
		most = max(most, l)
		if l > 0 {
			needed++
		}
	}
	start := make([]int, 2*most+4)
	rank := func(i int) int32 { return 2*level[i] + int32(b.op(int32(i)).kind) }
	for i, l := range level {
		if l > 0 {
			start[rank(i)+1]++
		}
	}
	for i := 1; i < len(start); i++ {
		start[i] += start[i-1]
	}
	out := make([]int32, needed)
	for i, l := range level {
		if l > 0 {
			r := rank(i)
			out[start[r]] = int32(i)
			start[r]++
		}
	}
	return out
}

// levels returns for every operation that the root needs its depth above the
// leaves, at least 1, and 0 for all else.
func (b *Builder) levels(root Node) []int32 {
	n := int(b.next) - b.leaves
	level := make([]int32, n)
	need := func(x Node) {
		if i := int(x) - b.leaves; i >= 0 {
			level[i] = 1
		}
	}
	need(root)
	for i := n - 1; i >= 0; i-- {
		if level[i] > 0 {
			o := b.op(int32(i))
			need(o.a)
			need(o.b)
		}
	}
	of := func(x Node) int32 {
		if i := int(x) - b.leaves; i >= 0 {
			return level[i]
		}
		return 0
	}
	for i := range level {
		if level[i] > 0 {
			o := b.op(int32(i))
			level[i] = 1 + max(of(o.a), of(o.b))
		}
	}
	return level
}

// Size returns the number of operations.
func (p *Program) Size() int { return len(p.args) }

// Leaves returns the number of leaves.
func (p *Program) Leaves() int { return p.leaves }

// NewScratch makes room for evaluations of the program.
func (p *Program) NewScratch() *Scratch {
	n := len(p.consts) + p.leaves + len(p.args)
	return &Scratch{val: make([]float64, n), der: make([]float64, n)}
}

// Up evaluates the circuit for the leaf weights w, one for each leaf.
func (p *Program) Up(s *Scratch, w []float64) float64 {
	v := s.val
	copy(v, p.consts)
	copy(v[len(p.consts):], w[:p.leaves])
	base := len(p.consts) + p.leaves
	for _, r := range p.runs {
		args := p.args[r.from:r.to]
		out := v[base+int(r.from) : base+int(r.to)]
		if r.kind == opMul {
			for i, a := range args {
				out[i] = v[a[0]] * v[a[1]]
			}
		} else {
			for i, a := range args {
				out[i] = v[a[0]] + v[a[1]]
			}
		}
	}
	return v[p.root]
}

// UpBounded is Up with a bound on the rounding error of the value, by running
// error analysis (Higham 2002, "Accuracy and Stability of Numerical
// Algorithms", section 3.3, from memory): every operation passes on the errors
// of its operands and adds half a unit in the last place of its own. It uses
// the room of the derivatives.
func (p *Program) UpBounded(s *Scratch, w []float64) (value, bound float64) {
	value = p.Up(s, w)
	v, e := s.val, s.der
	copy(e, p.errors)
	base := len(p.consts) + p.leaves
	clear(e[len(p.consts):base])
	for _, r := range p.runs {
		for i, a := range p.args[r.from:r.to] {
			at := base + int(r.from) + i
			e[at] = spread(r.kind, v[a[0]], v[a[1]], e[a[0]], e[a[1]]) + ulp*math.Abs(v[at])
		}
	}
	return value, e[p.root]
}

// ulp is half a unit in the last place of 1.
const ulp = 1.0 / (1 << 53)

// spread is the error of a sum or product that comes from its operands.
func spread(k opKind, x, y, ex, ey float64) float64 {
	if k == opMul {
		return math.Abs(x)*ey + math.Abs(y)*ex
	}
	return ex + ey
}

// Down follows an Up of the same Scratch and returns the derivative of the
// value by each leaf; the slice is the Scratch's own and lives until its next
// use.
func (p *Program) Down(s *Scratch) []float64 {
	v, d := s.val, s.der
	clear(d)
	d[p.root] = 1
	base := len(p.consts) + p.leaves
	for k := len(p.runs) - 1; k >= 0; k-- {
		r := p.runs[k]
		for i := r.to - 1; i >= r.from; i-- {
			g := d[base+int(i)]
			a := p.args[i]
			if r.kind == opMul {
				// The conversions keep the product from being fused with
				// the sum, so that every machine gives the same digits.
				d[a[0]] += float64(g * v[a[1]])
				d[a[1]] += float64(g * v[a[0]])
			} else {
				d[a[0]] += g
				d[a[1]] += g
			}
		}
	}
	return d[len(p.consts):base]
}
