package knowledge

// Place is one place of a position set. The zero Place means the engine as a
// whole.
type Place struct{ Set, Member string }

// layout knows the position sets of a pack and which place acts on which.
type layout struct {
	sets  map[string]*PositionSet
	order []*PositionSet
	at    map[Place]int // a member's index in its set
	// rel leads from a place to the indices of the places of another set that
	// it stands in relation with, in the order of that set.
	rel map[relKey][][]int
}

type relKey struct{ from, to string }

func newLayout(p *Pack) *layout {
	l := &layout{sets: make(map[string]*PositionSet), at: make(map[Place]int), rel: make(map[relKey][][]int)}
	for _, s := range p.Sets {
		if l.sets[s.ID] != nil {
			continue
		}
		l.sets[s.ID] = s
		l.order = append(l.order, s)
		for i, m := range s.Members {
			l.at[Place{s.ID, m}] = i
		}
	}
	return l
}

// relate enters a relation in both directions. Members that do not exist are
// left out; the caller has reported them.
func (l *layout) relate(r *Relation) {
	from, to := l.sets[r.From.ID], l.sets[r.To.ID]
	there := make([][]bool, len(from.Members))
	for i := range there {
		there[i] = make([]bool, len(to.Members))
	}
	for _, p := range r.Pairs {
		i, ok1 := l.at[Place{from.ID, p.From}]
		j, ok2 := l.at[Place{to.ID, p.To}]
		if ok1 && ok2 {
			there[i][j] = true
		}
	}
	forth, back := make([][]int, len(from.Members)), make([][]int, len(to.Members))
	for i := range there {
		for j, yes := range there[i] {
			if yes {
				forth[i] = append(forth[i], j)
				back[j] = append(back[j], i)
			}
		}
	}
	l.rel[relKey{from.ID, to.ID}] = forth
	l.rel[relKey{to.ID, from.ID}] = back
}

// joined reports whether things at the two sets can be joined at all.
func (l *layout) joined(a, b string) bool {
	if a == b || a == "" || b == "" {
		return true
	}
	_, ok := l.rel[relKey{a, b}]
	return ok
}

// size returns how many places a set has; the engine as a whole is one.
func (l *layout) size(set string) int {
	if set == "" {
		return 1
	}
	if s := l.sets[set]; s != nil {
		return len(s.Members)
	}
	return 0
}

// place returns the i-th place of a set.
func (l *layout) place(set string, i int) Place {
	if set == "" {
		return Place{}
	}
	return Place{set, l.sets[set].Members[i]}
}

// places returns all places of a set in order.
func (l *layout) places(set string) []Place {
	out := make([]Place, l.size(set))
	for i := range out {
		out[i] = l.place(set, i)
	}
	return out
}

// index returns the index of a place in its set.
func (l *layout) index(p Place) (int, bool) {
	if p.Set == "" {
		return 0, p.Member == ""
	}
	i, ok := l.at[p]
	return i, ok
}

// related returns the indices of the places of set to that stand in relation
// with the i-th place of set from: itself in the same set, the engine for an
// engine-wide thing, every place as seen from the engine.
func (l *layout) related(from string, i int, to string) []int {
	switch {
	case from == to:
		return []int{i}
	case to == "":
		return []int{0}
	case from == "":
		all := make([]int, l.size(to))
		for j := range all {
			all[j] = j
		}
		return all
	}
	if r := l.rel[relKey{from, to}]; i < len(r) {
		return r[i]
	}
	return nil
}
