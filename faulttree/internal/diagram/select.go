package diagram

// Holding returns the sets of f that hold v.
func (z *Families) Holding(f Family, v int) Family {
	level := z.level[v]
	done := z.places(f)
	for _, at := range z.below(int32(f)) {
		switch n := z.nodes[at]; {
		case n.level < level:
			done[at] = z.make(n.level, done[n.low], done[n.high])
		case n.level == level:
			done[at] = z.make(level, 0, n.high)
		}
	}
	return Family(done[f])
}

// places is room for one result at each node that f may consist of.
func (z *Families) places(f Family) []int32 { return make([]int32, max(int32(f)+1, terminals)) }

// AtMost returns the sets of f of at most k variables.
func (z *Families) AtMost(f Family, k int) Family {
	nodes := z.below(int32(f))
	fewer, kept := z.places(f), z.places(f) // the same for k-1, and for k
	for range k + 1 {
		kept[1] = 1
		for _, at := range nodes {
			n := z.nodes[at]
			kept[at] = z.make(n.level, kept[n.low], fewer[n.high])
		}
		fewer, kept = kept, fewer
	}
	return Family(fewer[f])
}

// Exclusive returns the sets of f that hold at most one of the variables.
func (z *Families) Exclusive(f Family, vars ...int) Family {
	among := make(map[int32]bool, len(vars))
	for _, v := range vars {
		among[z.level[v]] = true
	}
	one, none := z.places(f), z.places(f) // one may still come; or none
	one[1], none[1] = 1, 1
	for _, at := range z.below(int32(f)) {
		if n := z.nodes[at]; among[n.level] {
			one[at], none[at] = z.make(n.level, one[n.low], none[n.high]), none[n.low]
		} else {
			one[at] = z.make(n.level, one[n.low], one[n.high])
			none[at] = z.make(n.level, none[n.low], none[n.high])
		}
	}
	return Family(one[f])
}

// Used returns the variables that occur in sets of f, in the store's order.
func (z *Families) Used(f Family) []int {
	used := make([]bool, len(z.order))
	for _, at := range z.below(int32(f)) {
		used[z.nodes[at].level] = true
	}
	var out []int
	for level, yes := range used {
		if yes {
			out = append(out, int(z.order[level]))
		}
	}
	return out
}

// SomeSet returns the function that is true where all variables of some set of
// f are. f belongs to a store over the same variables in the same order.
func (d *Functions) SomeSet(z *Families, f Family) Ref {
	done := make([]int32, max(int32(f)+1, terminals))
	done[1] = 1
	for _, at := range z.below(int32(f)) {
		n := z.nodes[at]
		low := done[n.low]
		done[at] = int32(d.make(n.level, low, d.apply(opOr, low, done[n.high])))
	}
	return Ref(done[f])
}
