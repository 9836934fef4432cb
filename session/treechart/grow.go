package treechart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	ft "narrows/faulttree"
	"narrows/knowledge"
)

// The kinds of node.
const (
	Or          = "or"
	And         = "and"
	Voting      = "voting"
	Basic       = "basic"
	Undeveloped = "undeveloped"
	Transfer    = "transfer"
)

// Node is one event of the tree.
type Node struct {
	ID       string   `json:"id,omitempty"`
	Title    string   `json:"title"`
	Kind     string   `json:"kind"`
	AtLeast  int      `json:"at_least,omitempty"`
	Strength float64  `json:"strength,omitempty"`
	Absent   bool     `json:"absent,omitempty"`
	P        float64  `json:"p"`
	Places   []string `json:"places,omitempty"`
	Further  int      `json:"further,omitempty"`
	Ref      string   `json:"ref,omitempty"`
	Children []*Node  `json:"children,omitempty"`

	of *Node // of a transfer: what it leads to
}

// How many inputs of a gate are drawn, the share of all that each must have, and the
// share of the top event that a gate must be able to make if it is to be developed.
const (
	mostDrawn  = 6
	leastShare = 0.01
	leastReach = 0.02
)

// Grow makes the tree of a symptom. The posterior must know all events below it
// (Belief.Including with Model.Below).
func Grow(e *knowledge.Engine, post *ft.Posterior, top ft.Event) *Node {
	g := &grower{e: e, post: post, met: make(map[string]*Node)}
	return g.node([]ft.Event{top}, 1, false, post.P(top))
}

type grower struct {
	e    *knowledge.Engine
	post *ft.Posterior
	met  map[string]*Node // by the events that it stands for
	top  float64
}

// node makes the node of events that are alike; reach is what it can make of the top
// event's probability.
func (g *grower) node(events []ft.Event, strength float64, absent bool, reach float64) *Node {
	d := g.e.Describe(events[0])
	n := &Node{ID: d.ID, Title: g.title(events), Kind: Basic, Absent: absent}
	if strength < 1 {
		n.Strength = strength
	}
	for _, e := range events {
		n.P = max(n.P, g.post.P(e))
		if p := g.e.Describe(e).Place; p.Set != "" {
			n.Places = append(n.Places, p.Set+" "+p.Member)
		}
	}
	gate, isGate := g.e.Model().GateOf(events[0])
	if !isGate {
		return n
	}
	key := fmt.Sprint(events)
	if same := g.met[key]; same != nil {
		n.Kind, n.Ref, n.of = Transfer, same.ID, same
		return n
	}
	if len(g.met) == 0 {
		g.top = reach
	} else if reach < leastReach*g.top {
		n.Kind, n.Further = Undeveloped, len(gate.Inputs)
		return n
	}
	g.met[key] = n
	switch gate.Kind {
	case ft.And:
		n.Kind = And
	case ft.Voting:
		n.Kind, n.AtLeast = Voting, gate.K
	default:
		n.Kind = Or
	}
	g.inputs(n, gate, events, reach)
	return n
}

// input is what goes into a gate: one event, or several alike.
type input struct {
	events   []ft.Event
	strength float64
	absent   bool
	weight   float64
}

func (g *grower) inputs(n *Node, gate ft.Gate, events []ft.Event, reach float64) {
	list := g.folded(events)
	slices.SortStableFunc(list, func(a, b input) int { return cmp.Compare(b.weight, a.weight) })
	total := 0.0
	for _, in := range list {
		total += in.weight
	}
	kept := len(list)
	for kept > 1 && gate.Kind != ft.And && (kept > mostDrawn || list[kept-1].weight < leastShare*total) {
		kept--
	}
	if kept == len(list)-1 {
		kept++ // a diamond for one event says less than the event
	}
	for _, in := range list[:kept] {
		n.Children = append(n.Children, g.node(in.events, in.strength, in.absent, reach*share(in.weight, total)))
	}
	if rest := list[kept:]; len(rest) > 0 {
		d := &Node{Kind: Undeveloped}
		none := 1.0
		for _, in := range rest {
			d.Further += len(in.events)
			for _, x := range in.events {
				none *= 1 - in.strength*g.post.P(x)
			}
		}
		d.Title, d.P = fmt.Sprintf("%d further", d.Further), 1-none
		n.Children = append(n.Children, d)
	}
	if gate.Unlisted > 0 {
		n.Children = append(n.Children, &Node{Title: "something not in this pack", Kind: Undeveloped, P: g.post.Unlisted(events[0])})
	}
}

// share is a part of a whole, all of it where the whole is nothing.
func share(part, whole float64) float64 {
	if whole <= 0 {
		return 1
	}
	return part / whole
}

// folded puts the inputs together that are the same at several places: those of one gate,
// and those of the like gates that are told as one.
func (g *grower) folded(events []ft.Event) []input {
	var out []input
	at := make(map[string]int)
	for _, top := range events {
		gate, _ := g.e.Model().GateOf(top)
		for _, in := range gate.Inputs {
			id := fmt.Sprint(g.e.Describe(in.Event).ID, in.Strength, in.Inverted)
			i, seen := at[id]
			if !seen || !g.alike(out[i].events[0], in.Event) {
				i = len(out)
				at[id] = i
				out = append(out, input{strength: in.Strength, absent: in.Inverted})
			}
			if slices.Contains(out[i].events, in.Event) {
				continue
			}
			out[i].events = append(out[i].events, in.Event)
			p := g.post.P(in.Event)
			if in.Inverted {
				p = 1 - p
			}
			out[i].weight += in.Strength * p
		}
	}
	return out
}

// alike tells whether two events of one definition can be told as one: they are about as
// probable.
func (g *grower) alike(a, b ft.Event) bool {
	p, q := g.post.P(a), g.post.P(b)
	return math.Abs(p-q) <= max(0.005, 0.15*max(p, q))
}

// title says what events are in words, with their places.
func (g *grower) title(events []ft.Event) string {
	d := g.e.Describe(events[0])
	if len(events) == 1 {
		return d.Title
	}
	var members []string
	for _, e := range events {
		members = append(members, g.e.Describe(e).Place.Member)
	}
	set := d.Place.Set
	for _, s := range g.e.Pack().Sets {
		if s.ID == set {
			set = s.Title
		}
	}
	where := ", " + set + " " + strings.Join(members, ", ")
	if d.Kind == knowledge.KindMode {
		return d.Def.Mode.Item.Title + where + ": " + d.Def.Mode.Title
	}
	return d.Def.Title + where
}
