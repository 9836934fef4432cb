package session

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/sebdah/goldie/v2"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	ft "narrows/faulttree"
	"narrows/knowledge"
)

// chartRow is one probable cause of a published chart.
type chartRow struct {
	Chart, Trouble, Cause string
	IDs                   []string
}

func (r *chartRow) UnmarshalYAML(n *yaml.Node) error {
	return (&yaml.Node{Kind: yaml.SequenceNode, Content: n.Content[:3]}).Decode(&[]any{&r.Chart, &r.Trouble, &r.Cause})
}

type charts struct {
	Sources  map[string]string
	Troubles map[string][]string
	Rows     []yaml.Node
}

func readCharts(t *testing.T) (charts, []chartRow, map[string][]string) {
	t.Helper()
	var c charts
	read := func(name string, to any) {
		data, err := os.ReadFile("../testdata/charts/" + name)
		require.NoError(t, err)
		require.NoError(t, yaml.Unmarshal(data, to))
	}
	causes := make(map[string][]string)
	read("published.yaml", &c)
	read("causes.yaml", &causes)
	var rows []chartRow
	for _, n := range c.Rows {
		require.Len(t, n.Content, 4, "line %d", n.Line)
		r := chartRow{Chart: n.Content[0].Value, Trouble: n.Content[1].Value, Cause: n.Content[2].Value}
		require.NoError(t, n.Content[3].Decode(&r.IDs))
		require.NotEmpty(t, c.Sources[r.Chart], "line %d", n.Line)
		require.NotEmpty(t, c.Troubles[r.Trouble], "line %d", n.Line)
		for _, id := range r.IDs {
			require.Contains(t, causes, id, "line %d", n.Line)
		}
		rows = append(rows, r)
	}
	return c, rows, causes
}

// chartedEngine answers what the rows ask of one pack.
type chartedEngine struct {
	b     *bench
	prior *ft.Posterior
	post  map[string]*ft.Posterior // by symptom, present
	list  map[string][]ft.Event    // the suspects with it
}

func charted(t *testing.T, e *knowledge.Engine) *chartedEngine {
	t.Helper()
	b, err := newBench(e)
	require.NoError(t, err)
	prior, err := e.Model().NewBelief().Solve()
	require.NoError(t, err)
	return &chartedEngine{b, prior, make(map[string]*ft.Posterior), make(map[string][]ft.Event)}
}

// told makes the complaint: the symptom is there.
func (c *chartedEngine) told(t *testing.T, symptom string) (top ft.Event, ok bool) {
	t.Helper()
	top, ok = c.b.e.Event(symptom, knowledge.Place{})
	if !ok || c.post[symptom] != nil {
		return top, ok
	}
	belief, err := c.b.e.Model().NewBelief().Find(ft.Present(top))
	require.NoError(t, err)
	belief, err = belief.Complaining(top)
	require.NoError(t, err)
	post, err := belief.Solve()
	require.NoError(t, err)
	cures, err := belief.Cures()
	require.NoError(t, err)
	c.post[symptom], c.list[symptom] = post, (&Bench{c.b}).Suspects(post, cures)
	return top, true
}

// shown tells whether a cause passes: at one of its places, with one of the symptoms, it
// is more probable than before, among the suspects, and looked at on the way.
func (c *chartedEngine) shown(t *testing.T, events []ft.Event, symptoms []string) bool {
	for _, s := range symptoms {
		top, ok := c.told(t, s)
		if !ok {
			continue
		}
		for _, e := range events {
			if c.post[s].P(e) > c.prior.P(e)*(1+1e-9) && slices.Contains(c.list[s], e) && c.lookedAt(e, top) {
				return true
			}
		}
	}
	return false
}

// lookedAt tells whether a row of a check names the event, or one that lies between it and
// the symptom.
func (c *chartedEngine) lookedAt(e, top ft.Event) bool {
	m := c.b.e.Model()
	way := map[ft.Event]bool{e: true}
	for _, g := range m.Below(top) {
		if slices.Contains(m.Below(g), e) {
			way[g] = true
		}
	}
	for _, u := range c.b.e.Checks() {
		for _, r := range m.Checks()[u.ID].Rows {
			if way[r.Event] {
				return true
			}
		}
	}
	return false
}

// TestPublishedCharts: every row of the published charts that speaks of parts and troubles
// that a pack has holds in it. The charts are named in testdata/charts, with how far each
// was read.
func TestPublishedCharts(t *testing.T) {
	c, rows, causes := readCharts(t)
	lib, err := knowledge.LoadEmbedded()
	require.NoError(t, err)
	var table strings.Builder
	fmt.Fprintf(&table, "%-40s A     B     C     D     E     F\n", "rows that hold, of those for its engines")
	covered := make(map[int]bool)
	for _, sheet := range []string{"marsh_tern_60", "skerry_gull_50", "holm_pump_5", "tide_runner_75", "sound_porter_90", "marsh_petrel_60"} {
		e, err := knowledge.Open(lib, sheet)
		require.NoError(t, err)
		x := charted(t, e)
		held, all := make(map[string]int), make(map[string]int)
		var left []string
		for i, r := range rows {
			symptoms := slices.DeleteFunc(slices.Clone(c.Troubles[r.Trouble]), func(s string) bool {
				_, ok := e.Event(s, knowledge.Place{})
				return !ok
			})
			var events []ft.Event
			passed, of := 0, 0
			for _, id := range r.IDs {
				var here []ft.Event
				for _, name := range causes[id] {
					here = append(here, e.EventsOf(name)...)
				}
				if len(here) == 0 {
					continue
				}
				events = append(events, here...)
				of++
				if len(symptoms) > 0 && x.shown(t, here, symptoms) {
					passed++
				}
			}
			if len(symptoms) == 0 || len(events) == 0 {
				left = append(left, fmt.Sprintf("  %s %s: %s", r.Chart, r.Trouble, r.Cause))
				continue
			}
			all[r.Chart]++
			if passed == of {
				held[r.Chart]++
				covered[i] = true
			} else {
				t.Errorf("%s, chart %s, %s: %s: %d of %d causes hold", e.Pack().ID, r.Chart, r.Trouble, r.Cause, passed, of)
			}
		}
		fmt.Fprintf(&table, "%-40s", e.Pack().ID)
		for _, ch := range []string{"A", "B", "C", "D", "E", "F"} {
			fmt.Fprintf(&table, " %-5s", fmt.Sprintf("%d/%d", held[ch], all[ch]))
		}
		fmt.Fprintf(&table, "\n  not for its engines (no such part, or no such trouble): %d\n", len(left))
		for _, l := range left {
			fmt.Fprintln(&table, "  "+l)
		}
	}
	fmt.Fprintf(&table, "%d of %d rows hold in one pack or more\n", len(covered), len(rows))
	t.Log("\n" + table.String())
	goldie.New(t).Assert(t, "charts", []byte(table.String()))
}
