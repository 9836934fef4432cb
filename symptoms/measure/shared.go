package measure

import (
	"fmt"
	"math"
)

// Several readings with one instrument share its error: repeating averages out the
// noise, and what is shared stays.

// Shares tells whether errors of the reading are in other readings too.
func (r Reading) Shares() bool {
	for _, c := range r.Components {
		if c.Shared != "" {
			return true
		}
	}
	return false
}

// Parted is the standard uncertainty of the reading in two: what is its own, and what
// it has in common with readings of the instruments named.
func (r Reading) Parted(with ...string) (own, common float64) {
	if len(r.Components) == 0 {
		return r.U, 0
	}
	for _, c := range r.Components {
		to := &own
		for _, name := range with {
			if c.Shared != "" && c.Shared == name {
				to = &common
			}
		}
		*to = math.Hypot(*to, c.U)
	}
	return own, common
}

// AgreeShared is Agree for readings that may have been taken with one instrument: an
// error that both share takes no part in how far they lie apart. Both must be in one
// unit.
func AgreeShared(a, b Reading) bool {
	if !a.Shares() || !b.Shares() {
		return Agree(a.Estimate, b.Estimate)
	}
	u, _ := derive([]float64{1, -1}, []Reading{a, b})
	return math.Abs(a.Value-b.Value) <= 2*u
}

// PooledShared is Pooled for readings that may have been taken with one instrument:
// their mean, weighted by the inverse squares of their standard uncertainties, with
// the uncertainty of GUM 5.2.2, errors that are shared being added before squaring.
// The result has what is its own as one component, and what is shared by name. Where
// nothing is shared it equals Pooled.
func PooledShared(rs ...Reading) (Reading, error) {
	es := make([]Estimate, len(rs))
	shares := false
	for i, r := range rs {
		es[i] = r.Estimate
		shares = shares || r.Shares()
	}
	if len(rs) == 1 && shares {
		return rs[0], nil
	}
	e, err := Pooled(es...)
	if err != nil || !shares {
		return Reading{Estimate: e}, err
	}
	weight, sum := make([]float64, len(rs)), 0.0
	for i, r := range rs {
		if r.U == 0 {
			return Reading{}, fmt.Errorf("a reading without uncertainty cannot be pooled with one that shares its gauge's; give the instrument its noise")
		}
		weight[i] = 1 / float64(r.U*r.U)
		sum += weight[i]
	}
	out := Reading{Estimate: Estimate{Unit: e.Unit}}
	own := 0.0
	var common []Component
	for i, r := range rs {
		w := weight[i] / sum
		out.Value += float64(w * r.Value)
		if len(r.Components) == 0 {
			own = math.Hypot(own, w*r.U)
		}
		for _, c := range r.Components {
			if c.Shared == "" {
				own = math.Hypot(own, w*c.U)
				continue
			}
			k := 0
			for k < len(common) && (common[k].Name != c.Name || common[k].Shared != c.Shared) {
				k++
			}
			if k == len(common) {
				common = append(common, Component{Name: c.Name, Shared: c.Shared})
			}
			common[k].U += float64(w * c.U)
		}
	}
	out.Components = append([]Component{{Name: "noise", U: own}}, common...)
	out.U, _ = Combine(out.Components...)
	return out, nil
}

// Blurred is the model of what an instrument shows whose error, the same in every
// reading, has the standard uncertainty shared: the populations are so much wider.
// With it further readings are foreseen from those taken with the same instrument.
func (m Model) Blurred(shared float64) Model {
	out := Model{Unit: m.Unit, Else: m.Else}
	out.Else.SD = math.Hypot(m.Else.SD, shared)
	for _, p := range m.Rows {
		p.SD = math.Hypot(p.SD, shared)
		out.Rows = append(out.Rows, p)
	}
	return out
}

// SettlingShared is Settling where all the readings share an error with the standard
// uncertainty shared, which no repeating removes; soFar has it in its uncertainty.
func (r Rule) SettlingShared(soFar Estimate, shared, next float64, l Limit, most int) (n int, ok bool) {
	own := math.Sqrt(math.Max(0, float64(soFar.U*soFar.U)-float64(shared*shared)))
	for n := 1; n <= most; n++ {
		e := soFar
		switch {
		case next == 0 || own == 0:
			e.U = shared
		default:
			e.U = math.Hypot(shared, 1/math.Sqrt(1/float64(own*own)+float64(n)/float64(next*next)))
		}
		if v, err := r.Judge(e, l); err == nil && v.State != TooClose {
			return n, true
		}
	}
	return 0, false
}
