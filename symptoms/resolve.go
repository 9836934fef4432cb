package symptoms

import "slices"

// hit is a symptom that words may mean.
type hit struct {
	symptom int
	assumed bool // the words leave open whether it is this one
}

// chain gives a manifestation and those to try where a pack does not know it.
func (l *Lexicon) chain(show int) []int {
	return append([]int{show}, l.shows[show].near...)
}

// meant gives the symptoms that a manifestation means in a place. Axis by
// axis, each regime named is looked up under the manifestation and those near
// it, then, if none of the regimes of the axis is known, the regimes near
// them. Where no regime is known that way, or none was named, the most general
// symptoms of the manifestation are meant.
func (l *Lexicon) meant(show int, at set) []hit {
	var hits []hit
	for _, axis := range l.scale.axes {
		found := l.onAxis(show, at&axis, at)
		for _, h := range found {
			if !slices.ContainsFunc(hits, func(o hit) bool { return o.symptom == h.symptom }) {
				hits = append(hits, h)
			}
		}
	}
	if len(hits) == 0 {
		hits = l.general(show, at)
	}
	slices.SortFunc(hits, func(a, b hit) int { return a.symptom - b.symptom })
	return hits
}

// onAxis looks up the regimes named on one axis.
func (l *Lexicon) onAxis(show int, named, at set) []hit {
	var hits []hit
	for _, r := range named.members() {
		hits = append(hits, l.inRegime(show, r, at)...)
	}
	if len(hits) > 0 {
		return hits
	}
	for _, r := range named.members() {
		for _, n := range l.scale.near[r] {
			if near := l.inRegime(show, n, at&^l.scale.axis[r]|1<<n); len(near) > 0 {
				hits = append(hits, near...)
				break
			}
		}
	}
	return hits
}

// inRegime gives the symptoms of the first manifestation in the chain that the
// pack knows in a regime; failing all, that of the manifestation itself without
// any regime.
func (l *Lexicon) inRegime(show, r int, at set) []hit {
	for _, s := range l.chain(show) {
		var list []int
		for i, e := range l.known {
			if e.show == s && e.regimes.has(r) && l.agrees(e, at) {
				list = append(list, i)
			}
		}
		if len(list) > 0 {
			return l.closest(list, at)
		}
	}
	for i, e := range l.known {
		if e.show == show && e.regimes == 0 {
			return []hit{{symptom: i}}
		}
	}
	return nil
}

// agrees tells whether no regime of a symptom is excluded by a place.
func (l *Lexicon) agrees(e entry, at set) bool {
	return e.regimes&l.scale.axesOf(at)&^at == 0
}

// closest keeps the symptoms with the fewest regimes that the place does not
// name; where some are left open the choice is assumed.
func (l *Lexicon) closest(list []int, at set) []hit {
	fewest := maxRegimes + 1
	for _, i := range list {
		fewest = min(fewest, (l.known[i].regimes &^ at).size())
	}
	var hits []hit
	for _, i := range list {
		if (l.known[i].regimes &^ at).size() == fewest {
			hits = append(hits, hit{symptom: i, assumed: fewest > 0})
		}
	}
	return hits
}

// general gives the most general symptoms of the first manifestation in the
// chain that has any which the place does not exclude. One alone is meant
// where no place was named; else the choice is assumed.
func (l *Lexicon) general(show int, at set) []hit {
	for _, s := range l.chain(show) {
		if at != 0 && s != show && s == l.vague() {
			continue // to run badly somewhere else is no better than nothing
		}
		var list []int
		for i, e := range l.known {
			if e.show == s && e.regimes&l.scale.axesOf(at) == 0 {
				list = append(list, i)
			}
		}
		if hits := l.closest(list, 0); len(hits) > 0 {
			sure := len(hits) == 1 && (at == 0 || l.known[hits[0].symptom].regimes == 0)
			for i := range hits {
				hits[i].assumed = !sure
			}
			return hits
		}
	}
	return nil
}

// vague gives the manifestation of running badly, none if there is no such.
func (l *Lexicon) vague() int {
	if l.run == none {
		return none
	}
	return l.acts[l.run].poor
}

// everyOf gives all symptoms of a manifestation or, if the pack has none, of
// the first near it that it knows.
func (l *Lexicon) everyOf(show int) []hit {
	for _, s := range l.chain(show) {
		var hits []hit
		for i, e := range l.known {
			if e.show == s {
				hits = append(hits, hit{symptom: i})
			}
		}
		if len(hits) > 0 {
			return hits
		}
	}
	return nil
}

// covers tells whether a symptom is known by a regime on every axis of a place,
// so that its absence there is its absence.
func (l *Lexicon) covers(e entry, at set) bool {
	for _, axis := range l.scale.axes {
		if at&axis != 0 && e.regimes&axis == 0 {
			return false
		}
	}
	return true
}

// cleared gives the symptoms of some kinds that a clean word clears in a place:
// those known there by a regime on every axis named. Where none is known by
// the regimes named, a regime that is the only one near counts for it.
func (l *Lexicon) cleared(of kinds, at set) []hit {
	hits := l.clearedAt(of, at)
	if len(hits) > 0 || at == 0 {
		return hits
	}
	var near set
	for _, r := range at.members() {
		if len(l.scale.near[r]) == 1 {
			near |= 1 << l.scale.near[r][0]
		} else {
			near |= 1 << r
		}
	}
	return l.clearedAt(of, near)
}

func (l *Lexicon) clearedAt(of kinds, at set) []hit {
	var hits []hit
	for i, e := range l.known {
		if e.kind&of != 0 && l.agrees(e, at) && l.covers(e, at) {
			hits = append(hits, hit{symptom: i})
		}
	}
	return hits
}
