package treechart

import (
	"fmt"
	"strings"
)

// Text is the tree as indented lines, an event each.
func Text(top *Node) []string {
	var out []string
	var grow func(n *Node, depth int)
	grow = func(n *Node, depth int) {
		words := n.Title
		switch n.Kind {
		case Voting:
			words += fmt.Sprintf(" (at least %d)", n.AtLeast)
		case Or, And:
			words += " (" + n.Kind + ")"
		case Transfer:
			words += " (see above)"
		}
		switch {
		case n.Absent:
			words += ", absent"
		case n.Strength > 0:
			words += ", works through " + percent(n.Strength)
		}
		out = append(out, strings.Repeat("  ", depth)+words+"  "+percent(n.P))
		for _, c := range n.Children {
			grow(c, depth+1)
		}
	}
	grow(top, 0)
	return out
}
