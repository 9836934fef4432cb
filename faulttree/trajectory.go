package faulttree

import "slices"

// A stage is a stretch of time between repairs: stage 0 is the engine as
// brought in, stage k the engine after the k-th repair. What an item does over
// the stages is one of few histories; so is what a gate's output does. Random
// choices that persist (does a link work through, is something unlisted at
// work) are then simply made once for a whole history, which is how "the links
// persist" is computed: nothing is drawn anew after a repair.

// history of an item: its state at every stage; 0 is sound, k its k-th mode.
type history []uint8

// bits of an event: bit k is set if the event is present at stage k.
type stageBits uint32

// maxStages bounds the number of stages that one belief distinguishes.
const maxStages = 31

func (h history) bits(state uint8) stageBits {
	var b stageBits
	for k, s := range h {
		if s == state {
			b |= 1 << k
		}
	}
	return b
}

// transition is the matrix of a repair on one item: t[i][j] is the probability
// that the item is in state j after the repair, having been in state i.
type transition [][]float64

// effect is what a repair does to one of the items that it can change.
type effect struct {
	item ItemID
	does transition
}

// layEffects works out once what each repair does.
func (m *Model) layEffects() {
	m.effects = make([][]effect, len(m.repairs))
	for k := range m.repairs {
		r := &m.repairs[k]
		var items []ItemID
		for _, e := range r.Fixes {
			items = append(items, m.modes[m.events[e].index].Item)
		}
		for _, in := range r.Introduces {
			items = append(items, m.modes[m.events[in.Mode].index].Item)
		}
		slices.Sort(items)
		for _, i := range slices.Compact(items) {
			m.effects[k] = append(m.effects[k], effect{i, m.effectOn(r, i)})
		}
	}
}

// onItem returns what repair r does to an item, or nil if it leaves it alone;
// read only.
func (m *Model) onItem(r RepairID, item ItemID) transition {
	i, ok := slices.BinarySearchFunc(m.effects[r], item, func(e effect, item ItemID) int { return int(e.item - item) })
	if !ok {
		return nil
	}
	return m.effects[r][i].does
}

// effectOn works out what a repair does to an item that it can change.
func (m *Model) effectOn(r *Repair, item ItemID) transition {
	modes := m.items[item].Modes
	t := identity(len(modes) + 1)
	for k, e := range modes {
		if slices.Contains(r.Fixes, e) {
			t[k+1][0], t[k+1][k+1] = r.Success, 1-r.Success
		}
	}
	for _, in := range r.Introduces {
		if k := slices.Index(modes, in.Mode); k >= 0 {
			t = t.then(introduce(len(modes)+1, k+1, in.P))
		}
	}
	return t
}

func identity(n int) transition {
	t := make(transition, n)
	for i := range t {
		t[i] = make([]float64, n)
		t[i][i] = 1
	}
	return t
}

func introduce(n, mode int, p float64) transition {
	t := identity(n)
	t[0][0], t[0][mode] = 1-p, p
	return t
}

func (t transition) then(u transition) transition {
	out := make(transition, len(t))
	for i := range t {
		out[i] = make([]float64, len(t))
		for k, p := range t[i] {
			for j, q := range u[k] {
				out[i][j] += float64(p * q)
			}
		}
	}
	return out
}

// histories lists every history of an item that the stages' transitions allow,
// in a fixed order. steps[k] leads from stage k to k+1; nil changes nothing.
func histories(states int, steps []transition) []history {
	var out []history
	var grow func(h history)
	grow = func(h history) {
		k := len(h) - 1
		if k == len(steps) {
			out = append(out, slices.Clone(h))
			return
		}
		if steps[k] == nil {
			grow(append(h, h[k]))
			return
		}
		for s, p := range steps[k][h[k]] {
			if p > 0 {
				grow(append(h, uint8(s)))
			}
		}
	}
	for s := range states {
		grow(history{uint8(s)})
	}
	return out
}

// chance is the probability of the later states of a history given the first.
func (h history) chance(steps []transition) float64 {
	p := 1.0
	for k, t := range steps {
		if t != nil {
			p *= t[h[k]][h[k+1]]
		}
	}
	return p
}

// chainRule is how a gate folds its inputs one by one: codes are partial
// results over all stages at once.
type chainRule struct {
	kind GateKind
	k    int
	mask stageBits
}

func (c chainRule) start() uint64 {
	if c.kind == And {
		return uint64(c.mask)
	}
	return 0
}

// step folds one more input, whose link is active at the stages in link.
func (c chainRule) step(code uint64, link stageBits) uint64 {
	link &= c.mask
	switch c.kind {
	case Or:
		return code | uint64(link)
	case And:
		return code & uint64(link)
	}
	// Voting counts up to k, a digit of base k+1 for each stage that matters.
	base, digit, out := uint64(c.k+1), uint64(1), code
	for s := 0; s < maxStages; s++ {
		if c.mask>>s&1 == 0 {
			continue
		}
		if n := code / digit % base; link>>s&1 != 0 && n < uint64(c.k) {
			out += digit
		}
		digit *= base
	}
	return out
}

// result turns the last code into the stages at which the output is present.
func (c chainRule) result(code uint64) stageBits {
	if c.kind != Voting {
		return stageBits(code)
	}
	return c.reached(code, uint64(c.k))
}

// reached is the stages at which a voting chain has counted at least k, which
// is at most its own.
func (c chainRule) reached(code, k uint64) stageBits {
	var out stageBits
	base := uint64(c.k + 1)
	for s := 0; s < maxStages; s++ {
		if c.mask>>s&1 == 0 {
			continue
		}
		if code%base >= k {
			out |= 1 << s
		}
		code /= base
	}
	return out
}
