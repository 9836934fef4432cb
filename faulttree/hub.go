package faulttree

import "narrows/faulttree/internal/circuit"

// within tells whether what one history shows, the other shows too.
func within(a, b stageBits) bool { return a&^b == 0 }

// moebius returns, for every value z of the hub, its weight in the
// probability of exactly the result t: the Moebius function of the results
// ordered by inclusion, all of them listed in zs.
func moebius(zs []stageBits, t stageBits) []float64 {
	mu := make([]float64, len(zs))
	done := make([]bool, len(zs))
	var of func(i int) float64
	of = func(i int) float64 {
		if done[i] {
			return mu[i]
		}
		done[i] = true
		switch {
		case zs[i] == t:
			mu[i] = 1
		case within(zs[i], t):
			for j, z := range zs {
				if z != zs[i] && within(zs[i], z) && within(z, t) {
					mu[i] -= of(j)
				}
			}
		}
		return mu[i]
	}
	for i := range zs {
		of(i)
	}
	return mu
}

// pruneHub drops the values of the hub that no allowed result needs. It
// remembers the full list, which the Moebius function is about.
func (h *chain) pruneHub() {
	h.results = h.hub.bits
	used := make([]bool, len(h.hub.bits))
	for _, t := range h.output().bits {
		for i, mu := range moebius(h.results, t) {
			used[i] = used[i] || mu != 0
		}
	}
	h.hub.retain(used)
}

// hubFactors writes the gate as a hub.
func (h *chain) hubFactors() []pending {
	var out []pending
	for j := range h.links {
		l := &h.links[j]
		out = append(out, pending{[]*variable{l.from, h.hub}, func(b *circuit.Builder, val []int) circuit.Node {
			sum := 0.0
			l.each(val[0], h.rule.mask, func(passed stageBits, chance float64) {
				if within(passed, h.hub.bits[val[1]]) {
					sum += chance
				}
			})
			return b.Const(sum)
		}})
	}
	weight := make(map[[2]stageBits]float64)
	for _, t := range h.output().bits {
		for i, mu := range moebius(h.results, t) {
			weight[[2]stageBits{h.results[i], t}] = mu
		}
	}
	v := h.output()
	return append(out, pending{[]*variable{h.hub, v}, func(b *circuit.Builder, val []int) circuit.Node {
		return b.Const(weight[[2]stageBits{h.hub.bits[val[0]], v.bits[val[1]]}])
	}})
}
