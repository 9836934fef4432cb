package circuit

import "math"

// wide is a number m times 2 to the e: its exponent does not run out where a
// product of many small probabilities leaves the range of a float64. m is 0 or
// has a magnitude in [0.5, 1).
type wide struct {
	m float64
	e int32
}

func widen(m float64, e int32) wide {
	m, k := math.Frexp(m)
	if m == 0 {
		return wide{}
	}
	return wide{m, e + int32(k)}
}

func (x wide) times(y wide) wide { return widen(x.m*y.m, x.e+y.e) }

func (x wide) plus(y wide) wide {
	switch {
	case x.m == 0:
		return y
	case y.m == 0:
		return x
	case x.e < y.e:
		x, y = y, x
	}
	if x.e-y.e > 200 {
		return x
	}
	return widen(x.m+math.Ldexp(y.m, int(y.e-x.e)), x.e)
}

func (x wide) abs() wide { return wide{math.Abs(x.m), x.e} }

// relative is the number divided by 2 to the ref.
func (x wide) relative(ref int32) float64 { return math.Ldexp(x.m, int(x.e-ref)) }

// WideScratch is the Scratch of the passes with a wide range of exponents,
// which are slower by an order of magnitude.
type WideScratch struct {
	val, der []wide
}

// NewWideScratch makes room for wide evaluations of the program.
func (p *Program) NewWideScratch() *WideScratch {
	return &WideScratch{val: make([]wide, p.slots()), der: make([]wide, p.slots())}
}

// UpWide is UpBounded with a wide range of exponents: the value is m times 2
// to the e, the bound on its rounding error is relative to that.
func (p *Program) UpWide(s *WideScratch, w []float64) (m float64, e int32, bound float64) {
	v, err := s.val, s.der
	for i, c := range p.consts {
		v[i], err[i] = widen(c, 0), widen(p.errors[i], 0)
	}
	for i, x := range w[:p.leaves] {
		v[len(p.consts)+i], err[len(p.consts)+i] = widen(x, 0), wide{}
	}
	half := widen(ulp, 0)
	times := func(x, y int32) (value, spread wide) {
		value = v[x].times(v[y])
		return value, v[x].abs().times(err[y]).plus(v[y].abs().times(err[x])).plus(half.times(value.abs()))
	}
	for _, r := range p.runs {
		for i := range r.n {
			a, b, c, d := p.inFull(r, i)
			x, ex := times(a, b)
			y, ey := times(c, d)
			z := x.plus(y)
			v[r.at+i], err[r.at+i] = z, ex.plus(ey).plus(half.times(z.abs()))
		}
	}
	root := v[p.root]
	return root.m, root.e, err[p.root].relative(root.e)
}

// inFull gives the operands of the i-th operation of a run as those of ab + cd;
// the constants 0 and 1 stand first among the slots.
func (p *Program) inFull(r run, i int32) (a, b, c, d int32) {
	const zero, one = 0, 1
	x := p.operandsOf(r)[int(i)*operands[r.form]:]
	switch r.form {
	case product:
		return x[0], x[1], zero, zero
	case sum:
		return x[0], one, x[1], one
	case sumProduct:
		return x[0], one, x[1], x[2]
	}
	return x[0], x[1], x[2], x[3]
}

// DownWide follows an UpWide of the same WideScratch and finds the derivative of
// the value by each leaf, for Through.
func (p *Program) DownWide(s *WideScratch) {
	v, d := s.val, s.der
	clear(d)
	d[p.root] = widen(1, 0)
	add := func(x int32, g wide) { d[x] = d[x].plus(g) }
	for k := len(p.runs) - 1; k >= 0; k-- {
		r := p.runs[k]
		for i := r.n - 1; i >= 0; i-- {
			g := d[r.at+i]
			if g.m == 0 {
				continue
			}
			a, b, c, e := p.inFull(r, i)
			add(a, g.times(v[b]))
			add(b, g.times(v[a]))
			add(c, g.times(v[e]))
			add(e, g.times(v[c]))
		}
	}
}

// Through is the part of the value that goes through a leaf of the given
// weight, divided by 2 to the ref, after a DownWide.
func (p *Program) Through(s *WideScratch, leaf int, weight float64, ref int32) float64 {
	return widen(weight, 0).times(s.der[len(p.consts)+leaf]).relative(ref)
}
