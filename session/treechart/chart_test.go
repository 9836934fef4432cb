package treechart

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/sebdah/goldie/v2"
	"github.com/stretchr/testify/require"

	ft "narrows/faulttree"
	"narrows/knowledge"
)

// trees are the trees of every symptom of the embedded sheets.
func trees(t *testing.T, each func(e *knowledge.Engine, post *ft.Posterior, top ft.Event, n *Node)) {
	t.Helper()
	lib, err := knowledge.LoadEmbedded()
	require.NoError(t, err)
	for _, s := range lib.Sheets() {
		e, err := knowledge.Open(lib, s.ID)
		require.NoError(t, err)
		m := e.Model()
		for _, top := range m.Symptoms() {
			post, err := m.NewBelief().Including(m.Below(top)...).Solve()
			require.NoError(t, err)
			each(e, post, top, Grow(e, post, top))
		}
	}
}

// TestTreesTellTheBelief: every node has the probability that the exact computation gives
// its event, at several places the highest; strengths are the pack's; nothing is lost: the
// events drawn and those in diamonds are the inputs of the gate.
func TestTreesTellTheBelief(t *testing.T) {
	seen := 0
	trees(t, func(e *knowledge.Engine, post *ft.Posterior, top ft.Event, n *Node) {
		require.Equal(t, post.P(top), n.P)
		var walk func(n *Node)
		walk = func(n *Node) {
			seen++
			require.NotEmpty(t, n.Title)
			if n.ID != "" {
				best := 0.0
				for _, ev := range e.EventsOf(n.ID) {
					d := e.Describe(ev)
					if len(n.Places) == 0 || strings.Contains(" "+strings.Join(n.Places, "; ")+";", " "+d.Place.Set+" "+d.Place.Member+";") {
						best = max(best, post.P(ev))
					}
				}
				require.Equal(t, best, n.P, n.Title)
			}
			if len(n.Children) > 0 && len(n.Places) <= 1 {
				var events []ft.Event
				for _, ev := range e.EventsOf(n.ID) {
					d := e.Describe(ev)
					if len(n.Places) == 0 || n.Places[0] == d.Place.Set+" "+d.Place.Member {
						events = append(events, ev)
					}
				}
				require.Len(t, events, 1)
				gate, ok := e.Model().GateOf(events[0])
				require.True(t, ok)
				drawn := 0
				for _, c := range n.Children {
					switch {
					case c.ID == "" && c.Further > 0:
						drawn += c.Further
					case c.ID != "":
						drawn += max(1, len(c.Places))
					}
				}
				require.Equal(t, len(gate.Inputs), drawn, n.Title)
			}
			for _, c := range n.Children {
				walk(c)
			}
		}
		walk(n)
	})
	require.Greater(t, seen, 5000)
}

// TestPagesAreReadable: on every page of every tree the boxes and symbols lie within the
// margins and apart from one another, every line of text fits its box, letters are at
// least 2.5 mm high, and every triangle names a block that is there.
func TestPagesAreReadable(t *testing.T) {
	most := 0
	trees(t, func(e *knowledge.Engine, _ *ft.Posterior, top ft.Event, n *Node) {
		pages := lay(n)
		most = max(most, len(pages))
		names := make(map[string]bool)
		for _, p := range pages {
			for _, b := range p.blocks {
				require.False(t, names[b.name])
				names[b.name] = true
			}
		}
		for _, p := range pages {
			var all []*box
			for _, b := range p.blocks {
				b.root.each(func(x *box) { all = append(all, x) })
			}
			for i, a := range all {
				foot := a.y + a.h + 1.5 + symbol
				require.GreaterOrEqual(t, a.x-a.w/2, margin-0.01, a.node.Title)
				require.LessOrEqual(t, a.x+a.w/2, pageWidth-margin+0.01, a.node.Title)
				require.LessOrEqual(t, foot, pageHeight-margin, "%s of %s", a.node.Title, e.Describe(top).ID)
				for _, l := range a.lines {
					require.LessOrEqual(t, measure(l), a.w, l)
				}
				if a.to != nil {
					require.True(t, names[a.to.name])
				}
				for _, b := range all[:i] {
					apart := a.x+a.w/2 <= b.x-b.w/2 || b.x+b.w/2 <= a.x-a.w/2 || foot <= b.y || b.y+b.h+1.5+symbol <= a.y
					require.True(t, apart, "%s over %s", a.node.Title, b.node.Title)
				}
			}
		}
	})
	require.GreaterOrEqual(t, font, 2.5)
	require.LessOrEqual(t, most, 12, "a tree that nobody prints")
}

// TestSVG: well-formed, with the symbols that the tree has, and coloured only with a case.
func TestSVG(t *testing.T) {
	lib, err := knowledge.LoadEmbedded()
	require.NoError(t, err)
	e, err := knowledge.Open(lib, "marsh_tern_60")
	require.NoError(t, err)
	m := e.Model()
	top := e.EventsOf("dies_idle")[0]
	post, err := m.NewBelief().Including(m.Below(top)...).Solve()
	require.NoError(t, err)
	for _, id := range []string{"", "2026-03-02-1"} {
		var out bytes.Buffer
		require.NoError(t, SVG(&out, Grow(e, post, top), Caption{"Marsh Tern 60 <&>", id}))
		dec := xml.NewDecoder(&out)
		counts := make(map[string]int)
		for {
			tok, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err)
			if s, ok := tok.(xml.StartElement); ok {
				counts[s.Name.Local]++
			}
			if c, ok := tok.(xml.CharData); ok && strings.HasPrefix(string(c), "≥") {
				counts["voting"]++
			}
		}
		require.Positive(t, counts["circle"])
		require.Positive(t, counts["path"])
		require.Positive(t, counts["voting"])
		require.Equal(t, 1, counts["desc"])
	}
	require.Equal(t, "#ffffff", shade(0.001))
	require.Equal(t, "#6fabc8", shade(1))
}

// TestText: the tree of a small pump symptom as people read it.
func TestText(t *testing.T) {
	lib, err := knowledge.LoadEmbedded()
	require.NoError(t, err)
	e, err := knowledge.Open(lib, "holm_pump_5")
	require.NoError(t, err)
	m := e.Model()
	top := e.EventsOf("droops_loaded")[0]
	post, err := m.NewBelief().Including(m.Below(top)...).Solve()
	require.NoError(t, err)
	goldie.New(t).Assert(t, "droops_loaded", []byte(strings.Join(Text(Grow(e, post, top)), "\n")+"\n"))
}
