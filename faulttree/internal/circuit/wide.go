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
	n := len(p.consts) + p.leaves + len(p.args)
	return &WideScratch{val: make([]wide, n), der: make([]wide, n)}
}

// UpWide is UpBounded with a wide range of exponents: the value is m times 2
// to the e, the bound on its rounding error is relative to that.
func (p *Program) UpWide(s *WideScratch, w []float64) (m float64, e int32, bound float64) {
	v, err := s.val, s.der
	base := len(p.consts) + p.leaves
	for i, c := range p.consts {
		v[i], err[i] = widen(c, 0), widen(p.errors[i], 0)
	}
	for i, x := range w[:p.leaves] {
		v[len(p.consts)+i], err[len(p.consts)+i] = widen(x, 0), wide{}
	}
	half := widen(ulp, 0)
	for _, r := range p.runs {
		for i, a := range p.args[r.from:r.to] {
			x, y, ex, ey := v[a[0]], v[a[1]], err[a[0]], err[a[1]]
			out, spread := x.plus(y), ex.plus(ey)
			if r.kind == opMul {
				out, spread = x.times(y), x.abs().times(ey).plus(y.abs().times(ex))
			}
			at := base + int(r.from) + i
			v[at], err[at] = out, spread.plus(half.times(out.abs()))
		}
	}
	root := v[p.root]
	return root.m, root.e, err[p.root].relative(root.e)
}

// DownWide follows an UpWide of the same WideScratch and puts the derivative of
// the value by each leaf, divided by 2 to the ref, into der.
func (p *Program) DownWide(s *WideScratch, ref int32, der []float64) {
	v, d := s.val, s.der
	clear(d)
	d[p.root] = widen(1, 0)
	base := len(p.consts) + p.leaves
	for k := len(p.runs) - 1; k >= 0; k-- {
		r := p.runs[k]
		for i := r.to - 1; i >= r.from; i-- {
			g, a := d[base+int(i)], p.args[i]
			if g.m == 0 {
				continue
			}
			x, y := g, g
			if r.kind == opMul {
				x, y = g.times(v[a[1]]), g.times(v[a[0]])
			}
			d[a[0]], d[a[1]] = d[a[0]].plus(x), d[a[1]].plus(y)
		}
	}
	for i := range der[:p.leaves] {
		der[i] = d[len(p.consts)+i].relative(ref)
	}
}
