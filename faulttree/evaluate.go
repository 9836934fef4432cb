package faulttree

import (
	"errors"
	"fmt"
	"math"

	"narrows/faulttree/internal/circuit"
)

// evaluation is one use of a program: leaf weights and room for the passes.
type evaluation struct {
	owner *cached
	prog  *program
	w     []float64
	ws    *workspace
	der   []float64
	scale float64 // logarithm of what the leaf weights were divided by
	// wide says that a float64 has too small a range for this evaluation: its
	// values and derivatives are given divided by 2 to the ref.
	wide bool
	ref  int32
	// positive says that the program has no signed sums.
	positive bool
}

// workspace is what an evaluation needs room for; it is used again.
type workspace struct {
	s    *circuit.Scratch
	wide *circuit.WideScratch
	w    []float64
	log  []float64
	hit  []span
}

// span is a group of leaves of which exactly one counts in any one world.
type span struct{ from, to int }

// run compiles the question, or finds it compiled, and sets the leaf weights
// to the findings.
func (b *Belief) run(q *question) (*evaluation, error) {
	e := b.m.programs.get(b.m, q)
	if e.err != nil {
		return nil, e.err
	}
	if e.prog.impossible {
		return nil, errImpossible
	}
	ws, ok := e.pool.Get().(*workspace)
	if !ok {
		n := e.prog.circ.Leaves()
		ws = &workspace{s: e.prog.circ.NewScratch(), w: make([]float64, n), log: make([]float64, n)}
	}
	r := &evaluation{owner: e, prog: e.prog, w: ws.w, ws: ws, positive: q.positive}
	b.weigh(r)
	return r, nil
}

func (r *evaluation) release() { r.owner.pool.Put(r.ws) }

// accuracy is the bound on the relative rounding error beyond which signed sums
// count as having cancelled too far. The bound adds up the worst case of every
// operation; rounding errors partly cancel, and the errors seen are smaller by
// two orders of magnitude and more (TestSignedSums).
const accuracy = 1e-7

// enough is the same where a belief asks for small programs rather than for all
// digits.
const enough = 1e-4

func (q *question) accuracy() float64 {
	if q.within > 0 {
		return enough
	}
	return accuracy
}

// smallest is the value below which products come near the end of the range
// of a float64, and are formed with a wide exponent instead.
const smallest = 1e-250

// runSafely runs the question and, where its signed sums cancel too far, asks
// it again in the form in which nothing cancels, if that can be compiled. It
// leaves the evaluation after its upward pass, with the value, which is above
// 0: impossible findings give errImpossible.
func (b *Belief) runSafely(q *question) (*evaluation, float64, error) {
	r, err := b.run(q)
	if err != nil {
		return nil, 0, err
	}
	if b.unbounded {
		if f := r.up(); f >= smallest {
			return r, f, nil
		}
	}
	f, bound := r.upBounded()
	if f > 0 && bound <= q.accuracy()*f {
		return r, f, nil
	}
	if q.positive { // nothing cancels: it is 0 to the last digit
		r.release()
		return nil, 0, errImpossible
	}
	safe := *q
	safe.positive = true
	s, g, err := b.runSafely(&safe)
	if errors.Is(err, ErrEntangled) {
		if f > 100*bound {
			return r, f, nil
		}
		err = fmt.Errorf("the findings are impossible together, or so improbable that rounding hides it: %w", err)
	}
	r.release()
	return s, g, err
}

// upBounded makes the upward pass with a bound on its error, and settles
// whether the evaluation has to be wide.
func (r *evaluation) upBounded() (f, bound float64) {
	if f, bound = r.prog.circ.UpBounded(r.ws.s, r.w); f >= smallest {
		return f, bound
	}
	r.widen(0)
	m, e, bound := r.prog.circ.UpWide(r.ws.wide, r.w)
	r.ref = e
	return m, bound
}

// bound makes the upward pass and returns the bound on its error.
func (r *evaluation) bound() float64 {
	if !r.wide {
		_, bound := r.prog.circ.UpBounded(r.ws.s, r.w)
		return bound
	}
	_, e, bound := r.prog.circ.UpWide(r.ws.wide, r.w)
	return math.Ldexp(bound, int(e-r.ref))
}

func (r *evaluation) widen(ref int32) {
	if r.ws.wide == nil {
		r.ws.wide = r.prog.circ.NewWideScratch()
	}
	r.wide, r.ref = true, ref
}

// up returns the value for the present leaf weights.
func (r *evaluation) up() float64 {
	if !r.wide {
		return r.prog.circ.Up(r.ws.s, r.w)
	}
	m, e, _ := r.prog.circ.UpWide(r.ws.wide, r.w)
	return math.Ldexp(m, int(e-r.ref))
}

// down follows up and finds the derivative of the value by each leaf.
func (r *evaluation) down() {
	if !r.wide {
		r.der = r.prog.circ.Down(r.ws.s)
		return
	}
	r.prog.circ.DownWide(r.ws.wide)
}

// through is the part of the value that goes through a leaf, had it the given
// weight and all else its own.
func (r *evaluation) through(leaf int, weight float64) float64 {
	switch {
	case weight == 0:
		return 0
	case r.wide:
		return r.prog.circ.Through(r.ws.wide, leaf, weight, r.ref)
	}
	return float64(weight * r.der[leaf])
}

// mass is the part of the value that goes through a leaf.
func (r *evaluation) mass(leaf int) float64 { return r.through(leaf, r.w[leaf]) }

// log is the natural logarithm of a value of this evaluation, what the leaf
// weights were divided by included.
func (r *evaluation) log(f float64) float64 {
	return math.Log(f) + float64(float64(r.ref)*math.Ln2) + r.scale
}
