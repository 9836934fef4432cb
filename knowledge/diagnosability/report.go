package diagnosability

import (
	"cmp"
	"slices"

	"narrows/knowledge"
)

// Report is the diagnosability of an engine at every level of opening.
type Report struct {
	Matrix *Matrix
	Levels []LevelReport
}

// LevelReport is what the checks of one level can do.
type LevelReport struct {
	Level
	Classical map[Fold]Figures // by equal rows of the D-matrix
	Soft      map[Fold]Figures // by the error of the best decision
	// Groups are the ambiguity groups of two or more faults that are detected, by
	// equal rows of the D-matrix, those of the most prior mass first.
	Groups []Group
	// Undetected are the faults that no check of the level shows, by prior, the
	// likeliest first; SoftUndetected those that the soft reading does not detect.
	Undetected, SoftUndetected []int
}

// Group is an ambiguity group.
type Group struct {
	Faults   []int   // indices into Matrix.Faults, by prior, the likeliest first
	Mass     float64 // the sum of their priors
	Modes    int     // how many they are with positions folded
	Repaired bool    // one repair puts all of them right, so that they need no telling apart
	// SoftApart is how many of their pairs the soft reading tells apart all the
	// same at this level, of Pairs.
	SoftApart, Pairs int
	// Parts are the checks, not among those of the level, that would part them, each
	// parting more of what those before it leave; empty if the pack has none.
	Parts []Part
	// Left are the groups that stay together after all Parts, by index as in Faults;
	// where there are no Parts it is the group itself.
	Left [][]int
	// Nearest is the check of the pack that parts two of them best while the
	// D-matrix shows them alike in all of it; nil if Parts is not empty or every
	// check shows all of them the same.
	Nearest *Part
}

// Part is a check that parts a group.
type Part struct {
	Check int // index into Matrix.Checks
	// Share of Parts is the prior mass of pairs that it parts, of all pairs that
	// those before it leave. Share of Nearest is the distance, 0 to 1, between what
	// the check shows of the two that it parts best.
	Share float64
}

// Make computes the whole report of an engine. The error is that of Of.
func Make(e *knowledge.Engine) (*Report, error) {
	x, err := Of(e)
	if err != nil {
		return nil, err
	}
	r := &Report{Matrix: x}
	levels, entries := x.Levels(), x.entries()
	soft := x.weighed(levels)

	for i, l := range levels {
		hard, groups := classical(entries, l.Checks)
		out := LevelReport{Level: l, Classical: make(map[Fold]Figures), Soft: make(map[Fold]Figures)}
		for _, f := range Folds() {
			out.Classical[f], out.Soft[f] = x.figures(hard, f), x.figures(soft[i], f)
		}
		for _, g := range groups {
			if len(g) > 1 && hard.detected[g[0]] {
				out.Groups = append(out.Groups, x.group(g, l, entries, soft[i]))
			}
		}
		slices.SortStableFunc(out.Groups, func(a, b Group) int { return cmp.Compare(b.Mass, a.Mass) })
		out.Undetected, out.SoftUndetected = x.undetected(hard), x.undetected(soft[i])
		r.Levels = append(r.Levels, out)
	}
	return r, nil
}

func (x *Matrix) undetected(r reading) []int {
	var out []int
	for f, yes := range r.detected {
		if !yes {
			out = append(out, f)
		}
	}
	return x.byPrior(out)
}

// byPrior sorts faults in place, the likeliest first.
func (x *Matrix) byPrior(faults []int) []int {
	slices.SortStableFunc(faults, func(a, b int) int { return cmp.Compare(x.Faults[b].Prior, x.Faults[a].Prior) })
	return faults
}

func (x *Matrix) group(members []int, l Level, entries [][]int, soft reading) Group {
	g := Group{Faults: x.byPrior(slices.Clone(members)), Modes: x.size(ByMode, members[0], members)}
	for i, f := range members {
		g.Mass += x.Faults[f].Prior
		for _, o := range members[:i] {
			g.Pairs++
			if !slices.Contains(soft.others[f], o) {
				g.SoftApart++
			}
		}
	}
	for _, r := range x.Faults[members[0]].Repairs {
		g.Repaired = g.Repaired || !slices.ContainsFunc(members, func(f int) bool { return !slices.Contains(x.Faults[f].Repairs, r) })
	}
	if g.Parts, g.Left = x.parts(members, l, entries); len(g.Parts) == 0 {
		g.Nearest = x.nearest(members)
	}
	return g
}

// parts chooses checks greedily: the one that parts the most mass of pairs, the
// least opened and the quickest among equals.
func (x *Matrix) parts(members []int, l Level, entries [][]int) (out []Part, left [][]int) {
	left = [][]int{members}
	for {
		before, best, most := x.pairMass(left), -1, 0.0
		for c := range x.Checks {
			if slices.Contains(l.Checks, c) {
				continue
			}
			gain := before - x.pairMass(split(left, entries, c))
			if gain > most*(1+1e-9) || best >= 0 && gain >= most*(1-1e-9) && x.easier(c, best) {
				best, most = c, gain
			}
		}
		if best < 0 || most <= before*1e-12 {
			return out, slices.DeleteFunc(left, func(g []int) bool { return len(g) < 2 })
		}
		out = append(out, Part{best, most / before})
		left = split(left, entries, best)
	}
}

func (x *Matrix) easier(a, b int) bool {
	p, q := x.Checks[a], x.Checks[b]
	return cmp.Or(cmp.Compare(p.Access, q.Access), cmp.Compare(p.Minutes, q.Minutes)) < 0
}

// pairMass is the sum, over pairs within a group, of the products of their priors.
func (x *Matrix) pairMass(groups [][]int) float64 {
	sum := 0.0
	for _, g := range groups {
		for i, f := range g {
			for _, o := range g[:i] {
				sum += float64(x.Faults[f].Prior * x.Faults[o].Prior)
			}
		}
	}
	return sum
}

func split(groups [][]int, entries [][]int, column int) [][]int {
	var out [][]int
	for _, g := range groups {
		rows := make([][]int, len(g))
		for i, f := range g {
			rows[i] = entries[f]
		}
		for _, part := range Signatures(rows, []int{column}) {
			for i := range part {
				part[i] = g[part[i]]
			}
			out = append(out, part)
		}
	}
	return out
}

// nearest is the check that shows two of the members most differently.
func (x *Matrix) nearest(members []int) *Part {
	best := Part{-1, 1e-9}
	for c := range x.Checks {
		for i, f := range members {
			for _, o := range members[:i] {
				if d := variation(x.views[f][c].cells, x.views[o][c].cells); d > best.Share {
					best = Part{c, d}
				}
			}
		}
	}
	if best.Check < 0 {
		return nil
	}
	return &best
}
