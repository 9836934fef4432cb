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
	val, der []float64
}

// Size returns the number of operations.
func (p *Program) Size() int { return p.ops }

// Leaves returns the number of leaves.
func (p *Program) Leaves() int { return p.leaves }

func (p *Program) slots() int { return len(p.consts) + p.leaves + p.ops }

// NewScratch makes room for evaluations of the program.
func (p *Program) NewScratch() *Scratch {
	return &Scratch{val: make([]float64, p.slots()), der: make([]float64, p.slots())}
}

// operandsOf returns the operands of a run.
func (p *Program) operandsOf(r run) []int32 {
	return p.args[r.args : int(r.args)+int(r.n)*operands[r.form]]
}

// Up evaluates the circuit for the leaf weights w, one for each leaf. The
// conversions, here and below, keep products from being fused with sums, so
// that every machine gives the same digits.
func (p *Program) Up(s *Scratch, w []float64) float64 {
	v := s.val
	copy(v, p.consts)
	copy(v[len(p.consts):], w[:p.leaves])
	for _, r := range p.runs {
		args := p.operandsOf(r)
		out := v[r.at : r.at+r.n]
		switch r.form {
		case product:
			for i := range out {
				a := args[2*i : 2*i+2 : 2*i+2]
				out[i] = v[a[0]] * v[a[1]]
			}
		case sum:
			for i := range out {
				a := args[2*i : 2*i+2 : 2*i+2]
				out[i] = v[a[0]] + v[a[1]]
			}
		case sumProduct:
			for i := range out {
				a := args[3*i : 3*i+3 : 3*i+3]
				out[i] = v[a[0]] + float64(v[a[1]]*v[a[2]])
			}
		case products:
			for i := range out {
				a := args[4*i : 4*i+4 : 4*i+4]
				out[i] = float64(v[a[0]]*v[a[1]]) + float64(v[a[2]]*v[a[3]])
			}
		}
	}
	return v[p.root]
}

// Down follows an Up of the same Scratch and returns the derivative of the
// value by each leaf; the slice is the Scratch's own and lives until its next
// use.
func (p *Program) Down(s *Scratch) []float64 {
	v, d := s.val, s.der
	clear(d)
	d[p.root] = 1
	for k := len(p.runs) - 1; k >= 0; k-- {
		r := p.runs[k]
		args := p.operandsOf(r)
		out := d[r.at : r.at+r.n]
		switch r.form {
		case product:
			for i := len(out) - 1; i >= 0; i-- {
				g := out[i]
				a := args[2*i : 2*i+2 : 2*i+2]
				d[a[0]] += float64(g * v[a[1]])
				d[a[1]] += float64(g * v[a[0]])
			}
		case sum:
			for i := len(out) - 1; i >= 0; i-- {
				g := out[i]
				a := args[2*i : 2*i+2 : 2*i+2]
				d[a[0]] += g
				d[a[1]] += g
			}
		case sumProduct:
			for i := len(out) - 1; i >= 0; i-- {
				g := out[i]
				a := args[3*i : 3*i+3 : 3*i+3]
				d[a[0]] += g
				d[a[1]] += float64(g * v[a[2]])
				d[a[2]] += float64(g * v[a[1]])
			}
		case products:
			for i := len(out) - 1; i >= 0; i-- {
				g := out[i]
				a := args[4*i : 4*i+4 : 4*i+4]
				d[a[0]] += float64(g * v[a[1]])
				d[a[1]] += float64(g * v[a[0]])
				d[a[2]] += float64(g * v[a[3]])
				d[a[3]] += float64(g * v[a[2]])
			}
		}
	}
	return d[len(p.consts) : len(p.consts)+p.leaves]
}

// ulp is half a unit in the last place of 1.
const ulp = 1.0 / (1 << 53)

// UpBounded is Up with a bound on the rounding error of the value, by running
// error analysis (Higham 2002, "Accuracy and Stability of Numerical
// Algorithms", section 3.3, from memory): every operation passes on the errors
// of its operands and adds half a unit in the last place of its own. It uses
// the room of the derivatives.
func (p *Program) UpBounded(s *Scratch, w []float64) (value, bound float64) {
	value = p.Up(s, w)
	v, e := s.val, s.der
	copy(e, p.errors)
	clear(e[len(p.consts) : len(p.consts)+p.leaves])
	times := func(x, y int32) float64 { return math.Abs(v[x])*e[y] + math.Abs(v[y])*e[x] }
	for _, r := range p.runs {
		args := p.operandsOf(r)
		out, val := e[r.at:r.at+r.n], v[r.at:r.at+r.n]
		switch r.form {
		case product:
			for i := range out {
				a := args[2*i : 2*i+2 : 2*i+2]
				out[i] = times(a[0], a[1]) + ulp*math.Abs(val[i])
			}
		case sum:
			for i := range out {
				a := args[2*i : 2*i+2 : 2*i+2]
				out[i] = e[a[0]] + e[a[1]] + ulp*math.Abs(val[i])
			}
		case sumProduct:
			for i := range out {
				a := args[3*i : 3*i+3 : 3*i+3]
				out[i] = e[a[0]] + times(a[1], a[2]) + ulp*(math.Abs(val[i])+math.Abs(v[a[1]]*v[a[2]]))
			}
		case products:
			for i := range out {
				a := args[4*i : 4*i+4 : 4*i+4]
				x, y := math.Abs(v[a[0]]*v[a[1]]), math.Abs(v[a[2]]*v[a[3]])
				out[i] = times(a[0], a[1]) + times(a[2], a[3]) + ulp*(math.Abs(val[i])+x+y)
			}
		}
	}
	return value, e[p.root]
}

// spread is the error of a product or sum that comes from its operands.
func spread(k opKind, x, y, ex, ey float64) float64 {
	if k == opMul {
		return math.Abs(x)*ey + math.Abs(y)*ex
	}
	return ex + ey
}
