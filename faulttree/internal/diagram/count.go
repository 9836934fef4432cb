package diagram

import (
	"errors"
	"math"
	"math/bits"
)

// ErrTooMany says that sets are more than 64 bits can count.
var ErrTooMany = errors.New("there are more sets than can be counted in 64 bits")

// Count returns how many sets f has.
func (z *Families) Count(f Family) (uint64, error) {
	by, err := z.CountByOrder(f)
	if err != nil {
		return 0, err
	}
	var sum, carry uint64
	for _, n := range by {
		if sum, carry = bits.Add64(sum, n, 0); carry != 0 {
			return 0, ErrTooMany
		}
	}
	return sum, nil
}

// CountByOrder returns how many sets of f have 0, 1, 2 variables and so on, up
// to the largest set; nothing if f has no set.
func (z *Families) CountByOrder(f Family) ([]uint64, error) {
	counts := make([][]uint64, max(int32(f)+1, terminals))
	counts[1] = []uint64{1}
	for _, at := range z.below(int32(f)) {
		low, high := counts[z.nodes[at].low], counts[z.nodes[at].high]
		sum := make([]uint64, max(len(low), len(high)+1))
		copy(sum, low)
		for k, n := range high {
			s, carry := bits.Add64(sum[k+1], n, 0)
			if carry != 0 {
				return nil, ErrTooMany
			}
			sum[k+1] = s
		}
		counts[at] = sum
	}
	return counts[f], nil
}

// Sum returns the sum over the sets of f of the products of p over their
// variables: the rare-event approximation of a fault tree, an upper bound for
// coherent ones.
func (z *Families) Sum(f Family, p []float64) float64 {
	return z.powers(z.below(int32(f)), f, p, 1, make([]float64, max(int32(f)+1, terminals)))
}

// powers sums the k-th powers of the sets' products.
func (z *Families) powers(nodes []int32, f Family, p []float64, k float64, sum []float64) float64 {
	sum[0], sum[1] = 0, 1
	for _, at := range nodes {
		n := z.nodes[at]
		q := p[z.order[n.level]]
		if k != 1 {
			q = math.Pow(q, k)
		}
		sum[at] = sum[n.low] + float64(q*sum[n.high])
	}
	return sum[f]
}

// Bound returns one less the product over the sets of f of one less their
// products of p: the min-cut upper bound, which treats the sets as independent.
//
// The sets are too many to walk through, but the logarithm of each factor is a
// power series in the set's product, and the powers can be summed along the
// diagram. That converges fast for products up to a half; sets above are
// taken out first and one by one.
func (z *Families) Bound(f Family, p []float64) float64 {
	const half, hopeless = 0.5, 1100 // 2 to the power of -1100 is 0 in float64
	var large []float64
	log := 0.0
	for _, q := range z.Likeliest(f, p) {
		if q <= half {
			break
		}
		large = append(large, q)
		if log += math.Log1p(-q); len(large) > hopeless {
			return 1
		}
	}
	nodes, room := z.below(int32(f)), make([]float64, max(int32(f)+1, terminals))
	for k := 1.0; k <= 64; k++ {
		sum := z.powers(nodes, f, p, k, room)
		for _, q := range large {
			sum -= math.Pow(q, k)
		}
		if log -= sum / k; sum <= 1e-17*-log {
			break
		}
	}
	return -math.Expm1(log)
}
