package circuit

import "math"

// Program is a finished circuit: constants, leaves, then operations in an
// order in which every operand stands before its use. It is immutable and safe
// for concurrent use; every caller brings a Scratch of its own.
type Program struct {
	consts []float64 // 0 and 1 first
	errors []float64 // bound on the rounding error of each constant
	leaves int
	ops    int
	runs   []run
	args   []int32
	root   int32
}

// run is a stretch of operations of one form.
type run struct {
	form form
	at   int32 // slot of the first operation's value
	n    int32
	args int32 // where the operands begin
}

// form is what an operation makes of its operands. Products that only one sum
// needs are made within it: that saves a third of the values written and read.
type form uint8

const (
	product    form = iota // ab
	sum                    // a + b
	sumProduct             // a + bc
	products               // ab + cd
	forms
)

// operands is how many operands each form has.
var operands = [forms]int{2, 2, 3, 4}

// Scratch holds the values and derivatives of one evaluation.
type Scratch struct {
	cells []cell
	der   []float64
}

// cell is a slot: its value, and beside it the bound on its error or its
// derivative, whichever pass was the last. They are needed together.
type cell struct{ v, x float64 }

// Size returns the number of operations.
func (p *Program) Size() int { return p.ops }

// Leaves returns the number of leaves.
func (p *Program) Leaves() int { return p.leaves }

func (p *Program) slots() int { return len(p.consts) + p.leaves + p.ops }

// NewScratch makes room for evaluations of the program.
func (p *Program) NewScratch() *Scratch {
	return &Scratch{cells: make([]cell, p.slots()), der: make([]float64, p.leaves)}
}

// operandsOf returns the operands of a run.
func (p *Program) operandsOf(r run) []int32 {
	return p.args[r.args : int(r.args)+int(r.n)*operands[r.form]]
}

// Up evaluates the circuit for the leaf weights w, one for each leaf. The
// conversions, here and below, keep products from being fused with sums, so
// that every machine gives the same digits.
func (p *Program) Up(s *Scratch, w []float64) float64 {
	v := s.cells
	for i, c := range p.consts {
		v[i].v = c
	}
	for i, x := range w[:p.leaves] {
		v[len(p.consts)+i].v = x
	}
	for _, r := range p.runs {
		args := p.operandsOf(r)
		out := v[r.at : r.at+r.n]
		switch r.form {
		case product:
			for i := range out {
				a := args[2*i : 2*i+2 : 2*i+2]
				out[i].v = v[a[0]].v * v[a[1]].v
			}
		case sum:
			for i := range out {
				a := args[2*i : 2*i+2 : 2*i+2]
				out[i].v = v[a[0]].v + v[a[1]].v
			}
		case sumProduct:
			for i := range out {
				a := args[3*i : 3*i+3 : 3*i+3]
				out[i].v = v[a[0]].v + float64(v[a[1]].v*v[a[2]].v)
			}
		case products:
			for i := range out {
				a := args[4*i : 4*i+4 : 4*i+4]
				out[i].v = float64(v[a[0]].v*v[a[1]].v) + float64(v[a[2]].v*v[a[3]].v)
			}
		}
	}
	return v[p.root].v
}

// Down follows an Up of the same Scratch and returns the derivative of the
// value by each leaf; the slice is the Scratch's own and lives until its next
// use.
func (p *Program) Down(s *Scratch) []float64 {
	d := s.cells
	for i := range d {
		d[i].x = 0
	}
	d[p.root].x = 1
	for k := len(p.runs) - 1; k >= 0; k-- {
		r := p.runs[k]
		args := p.operandsOf(r)
		out := d[r.at : r.at+r.n]
		switch r.form {
		case product:
			for i := len(out) - 1; i >= 0; i-- {
				a := args[2*i : 2*i+2 : 2*i+2]
				g, x, y := out[i].x, &d[a[0]], &d[a[1]]
				x.x += float64(g * y.v)
				y.x += float64(g * x.v)
			}
		case sum:
			for i := len(out) - 1; i >= 0; i-- {
				a := args[2*i : 2*i+2 : 2*i+2]
				g := out[i].x
				d[a[0]].x += g
				d[a[1]].x += g
			}
		case sumProduct:
			for i := len(out) - 1; i >= 0; i-- {
				a := args[3*i : 3*i+3 : 3*i+3]
				g, x, y := out[i].x, &d[a[1]], &d[a[2]]
				d[a[0]].x += g
				x.x += float64(g * y.v)
				y.x += float64(g * x.v)
			}
		case products:
			for i := len(out) - 1; i >= 0; i-- {
				a := args[4*i : 4*i+4 : 4*i+4]
				g, x, y := out[i].x, &d[a[0]], &d[a[1]]
				x.x += float64(g * y.v)
				y.x += float64(g * x.v)
				x, y = &d[a[2]], &d[a[3]]
				x.x += float64(g * y.v)
				y.x += float64(g * x.v)
			}
		}
	}
	for i := range s.der {
		s.der[i] = d[len(p.consts)+i].x
	}
	return s.der
}

// ulp is half a unit in the last place of 1.
const ulp = 1.0 / (1 << 53)

// UpBounded is Up with a bound on the rounding error of the value, by running
// error analysis (Higham 2002, "Accuracy and Stability of Numerical
// Algorithms", section 3.3, from memory): every operation passes on the errors
// of its operands and adds half a unit in the last place of its own.
func (p *Program) UpBounded(s *Scratch, w []float64) (value, bound float64) {
	v := s.cells
	for i, c := range p.consts {
		v[i] = cell{c, p.errors[i]}
	}
	for i, x := range w[:p.leaves] {
		v[len(p.consts)+i] = cell{x, 0}
	}
	for _, r := range p.runs {
		args := p.operandsOf(r)
		out := v[r.at : r.at+r.n]
		switch r.form {
		case product:
			for i := range out {
				a := args[2*i : 2*i+2 : 2*i+2]
				out[i] = times(v[a[0]], v[a[1]])
			}
		case sum:
			for i := range out {
				a := args[2*i : 2*i+2 : 2*i+2]
				out[i] = plus(v[a[0]], v[a[1]])
			}
		case sumProduct:
			for i := range out {
				a := args[3*i : 3*i+3 : 3*i+3]
				out[i] = plus(v[a[0]], times(v[a[1]], v[a[2]]))
			}
		case products:
			for i := range out {
				a := args[4*i : 4*i+4 : 4*i+4]
				out[i] = plus(times(v[a[0]], v[a[1]]), times(v[a[2]], v[a[3]]))
			}
		}
	}
	root := v[p.root]
	return root.v, root.x
}

// times and plus are the operations with the bound on their errors beside the
// value.
func times(x, y cell) cell {
	z := x.v * y.v
	return cell{z, math.Abs(x.v)*y.x + math.Abs(y.v)*x.x + ulp*math.Abs(z)}
}

func plus(x, y cell) cell {
	z := x.v + y.v
	return cell{z, x.x + y.x + ulp*math.Abs(z)}
}

// spread is the error of a product or sum that comes from its operands.
func spread(k opKind, x, y, ex, ey float64) float64 {
	if k == opMul {
		return math.Abs(x)*ey + math.Abs(y)*ex
	}
	return ex + ey
}
