package diagram

// Sweep evaluates one function again and again: its nodes by themselves,
// children first, so that a pass is one walk along a slice and allocates
// nothing. It is not safe for concurrent use.
type Sweep struct {
	steps []step
	value []float64 // by place; 0 and 1 are the terminals
	mass  []float64 // by place: probability to come to the node from the top
	vars  int
	top   int32
}

type step struct{ v, low, high int32 }

// Sweep prepares the evaluation of f.
func (d *Functions) Sweep(f Ref) *Sweep {
	nodes := d.below(int32(f))
	s := &Sweep{
		steps: make([]step, len(nodes)), vars: d.Vars(),
		value: make([]float64, len(nodes)+terminals), mass: make([]float64, len(nodes)+terminals),
	}
	s.value[1] = 1
	s.top = int32(f)
	if f >= terminals {
		s.top = int32(len(nodes)) + terminals - 1
		place := make([]int32, f+1)
		place[1] = 1
		for i, at := range nodes {
			place[at] = int32(i + terminals)
			n := d.nodes[at]
			s.steps[i] = step{d.order[n.level], place[n.low], place[n.high]}
		}
	}
	return s
}

// P returns the probability that the function is true, where variable v is true
// with probability p[v] independently of all others.
func (s *Sweep) P(p []float64) float64 {
	value := s.value
	for i := range s.steps {
		st := &s.steps[i]
		q := p[st.v]
		value[i+terminals] = float64(q*value[st.high]) + float64((1-q)*value[st.low])
	}
	return value[s.top]
}

// Derive returns the same and fills d[v] with the derivative of it by p[v], for
// every variable: the probability with v certain less that with v impossible
// (Birnbaum importance).
func (s *Sweep) Derive(p, d []float64) float64 {
	total := s.P(p)
	clear(d)
	clear(s.mass)
	s.mass[s.top] = 1
	for i := len(s.steps) - 1; i >= 0; i-- {
		st, m := &s.steps[i], s.mass[i+terminals]
		q := p[st.v]
		d[st.v] += float64(m * (s.value[st.high] - s.value[st.low]))
		s.mass[st.high] += float64(m * q)
		s.mass[st.low] += float64(m * (1 - q))
	}
	return total
}
