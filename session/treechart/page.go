package treechart

import (
	"fmt"
	"strings"
)

// Sizes of a page, in millimetres: A4, landscape.
const (
	pageWidth  = 297.0
	pageHeight = 210.0
	margin     = 10.0
	headHeight = 16.0
	levels     = 5   // of events on one page
	slots      = 8   // of events side by side
	font       = 2.6 // 7.4 points
	lineHeight = 3.1
	levelRise  = 36.0
	symbol     = 7.0 // height of a gate or of what stands below a leaf
)

// page is one sheet with one or more blocks below one another.
type page struct {
	number int
	blocks []*block
}

// block is the part of the tree below a root, with a name such as 2b.
type block struct {
	name   string
	root   *box
	leaves []*box
	from   string // the block that leads here; empty for the first
	page   int
}

// levels is how many levels of events the block has.
func (b *block) levels() int {
	n := 0
	b.root.each(func(x *box) { n = max(n, x.level+1) })
	return n
}

// box is an event on a page.
type box struct {
	node     *Node
	lines    []string
	x, y     float64 // of the middle of its upper edge
	w, h     float64
	children []*box
	to       *block // where it goes on; nil: it ends here
	level    int
}

// lay puts a tree onto pages, as many blocks on each as it holds.
func lay(top *Node) []*page {
	blocks := []*block{{}}
	roots := []*Node{top}
	on := map[*Node]*block{top: blocks[0]}
	turn := func(n *Node) *block {
		if b, ok := on[n]; ok {
			return b
		}
		b := &block{}
		on[n] = b
		blocks, roots = append(blocks, b), append(roots, n)
		return b
	}
	leads := make(map[*block]*block)
	for i := 0; i < len(blocks); i++ {
		b := blocks[i]
		drawn := make(map[*Node]bool)
		b.root = open(roots[i], drawn)
		b.leaves = b.root.leaves(nil)
		for _, x := range b.leaves {
			n := x.node
			switch {
			case n.Kind == Transfer && drawn[n.of]:
				x.to = b
				continue
			case n.Kind == Transfer:
				n = n.of
			case len(n.Children) == 0:
				continue
			}
			x.to = turn(n)
			if leads[x.to] == nil && x.to != blocks[0] {
				leads[x.to] = b
			}
		}
	}
	pages := spread(blocks)
	for b, from := range leads {
		b.from = from.name
	}
	return pages
}

// spread puts blocks onto pages in their order, names them and places their boxes.
func spread(blocks []*block) []*page {
	var pages []*page
	free := 0
	for _, b := range blocks {
		n := b.levels()
		if n > free {
			pages = append(pages, &page{number: len(pages) + 1})
			free = levels
		}
		p := pages[len(pages)-1]
		b.page = p.number
		b.name = fmt.Sprintf("%d%c", p.number, 'a'+len(p.blocks))
		b.place(margin + headHeight + levelRise*float64(levels-free))
		p.blocks = append(p.blocks, b)
		free -= n
	}
	return pages
}

// open unfolds as much of a tree, level by level, as one page holds.
func open(root *Node, drawn map[*Node]bool) *box {
	top := &box{node: root}
	wide := 1
	for next := []*box{top}; len(next) > 0; {
		b := next[0]
		next = next[1:]
		n := b.node
		if n.Kind == Transfer || len(n.Children) == 0 || b.level+1 >= levels || b != top && wide-1+len(n.Children) > slots {
			continue
		}
		drawn[n] = true
		wide += len(n.Children) - 1
		for _, c := range n.Children {
			b.children = append(b.children, &box{node: c, level: b.level + 1})
		}
		next = append(next, b.children...)
	}
	return top
}

func (b *box) leaves(out []*box) []*box {
	if len(b.children) == 0 {
		return append(out, b)
	}
	for _, c := range b.children {
		out = c.leaves(out)
	}
	return out
}

func (b *box) each(f func(*box)) {
	f(b)
	for _, c := range b.children {
		c.each(f)
	}
}

// place gives every box its place: leaves side by side, gates over the middle of theirs.
func (k *block) place(top float64) {
	leaves := k.leaves
	slot := (pageWidth - 2*margin) / float64(max(len(leaves), 4))
	start := margin + (pageWidth-2*margin-slot*float64(len(leaves)))/2
	for i, b := range leaves {
		b.x = start + slot*(float64(i)+0.5)
	}
	var over func(b *box)
	over = func(b *box) {
		for _, c := range b.children {
			over(c)
		}
		if n := len(b.children); n > 0 {
			b.x = (b.children[0].x + b.children[n-1].x) / 2
		}
	}
	over(k.root)
	k.root.each(func(b *box) {
		b.w = min(slot, 48) - 3
		b.lines = wrap(b.node.Title, b.w-2, 5)
		b.h = lineHeight*float64(len(b.lines)+1) + 2
		b.y = top + levelRise*float64(b.level)
	})
}

// wrap breaks words into lines of a width; what does not fit into so many is cut.
func wrap(text string, width float64, most int) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(text) {
		for measure(word) > width {
			r := []rune(word)
			cut := len(r) - 1
			for cut > 1 && measure(string(r[:cut])) > width {
				cut--
			}
			if line != "" {
				out, line = append(out, line), ""
			}
			out, word = append(out, string(r[:cut])), string(r[cut:])
		}
		if joined := strings.TrimSpace(line + " " + word); measure(joined) <= width {
			line = joined
			continue
		}
		out, line = append(out, line), word
	}
	if line != "" {
		out = append(out, line)
	}
	if len(out) > most {
		out = out[:most]
		last := []rune(out[most-1])
		for len(last) > 0 && measure(string(last)+"…") > width {
			last = last[:len(last)-1]
		}
		out[most-1] = string(last) + "…"
	}
	return out
}

// measure is the width of a text in a common sans-serif face, a little on the wide side.
func measure(text string) float64 {
	w := 0.0
	for _, r := range text {
		switch {
		case strings.ContainsRune("iljtfrI.,:;'|!()[] -", r):
			w += 0.36
		case strings.ContainsRune("mwMW%@…", r):
			w += 0.95
		case r >= 'A' && r <= 'Z':
			w += 0.74
		default:
			w += 0.58
		}
	}
	return w * font
}
