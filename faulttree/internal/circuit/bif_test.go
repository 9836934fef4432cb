package circuit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// bifNetwork is a Bayesian network in the Interchange Format (BIF 0.15), as far
// as the open network repositories use it.
type bifNetwork struct {
	names  []string
	states [][]string
	index  map[string]int
	tables []bifTable
}

// bifTable is P(child | parents): vars[0] is the child, p runs over the parents
// in order and then the child, the child fastest.
type bifTable struct {
	vars []int
	p    []float64
}

// bifTokens takes a file apart: words, numbers and single marks; comments and
// quotes are dropped.
func bifTokens(src string) []string {
	var out []string
	word := strings.Builder{}
	flush := func() {
		if word.Len() > 0 {
			out = append(out, word.String())
			word.Reset()
		}
	}
	for _, line := range strings.Split(src, "\n") {
		if i := strings.Index(line, "//"); i >= 0 {
			line = line[:i]
		}
		for _, r := range line {
			switch {
			case strings.ContainsRune("{}()[]|;,", r):
				flush()
				out = append(out, string(r))
			case unicode.IsSpace(r) || r == '"':
				flush()
			default:
				word.WriteRune(r)
			}
		}
		flush()
	}
	return out
}

func parseBIF(src string) (*bifNetwork, error) {
	n := &bifNetwork{index: map[string]int{}}
	t := bifTokens(src)
	for i := 0; i < len(t); {
		end := i
		for end < len(t) && t[end] != "{" {
			end++
		}
		body := end + 1
		depth := 1
		stop := body
		for ; stop < len(t) && depth > 0; stop++ {
			switch t[stop] {
			case "{":
				depth++
			case "}":
				depth--
			}
		}
		var err error
		switch t[i] {
		case "variable":
			err = n.variable(t[i+1], t[body:stop-1])
		case "probability":
			err = n.probability(t[i+1:end], t[body:stop-1])
		}
		if err != nil {
			return nil, err
		}
		i = stop
	}
	return n, nil
}

func (n *bifNetwork) variable(name string, body []string) error {
	for i, w := range body {
		if w == "{" {
			var states []string
			for _, s := range body[i+1:] {
				if s == "}" {
					break
				}
				if s != "," {
					states = append(states, s)
				}
			}
			n.index[name] = len(n.names)
			n.names = append(n.names, name)
			n.states = append(n.states, states)
			return nil
		}
	}
	return fmt.Errorf("variable %s has no states", name)
}

func (n *bifNetwork) probability(head, body []string) error {
	var tab bifTable
	for _, w := range head {
		if w != "(" && w != ")" && w != "|" && w != "," {
			v, ok := n.index[w]
			if !ok {
				return fmt.Errorf("unknown variable %s", w)
			}
			tab.vars = append(tab.vars, v)
		}
	}
	child := len(n.states[tab.vars[0]])
	rows := 1
	for _, p := range tab.vars[1:] {
		rows *= len(n.states[p])
	}
	tab.p = make([]float64, rows*child)
	for i := 0; i < len(body); {
		row := 0
		switch body[i] {
		case "(":
			k := 1
			for i++; body[i] != ")"; i++ {
				if body[i] == "," {
					continue
				}
				s := indexOf(n.states[tab.vars[k]], body[i])
				if s < 0 {
					return fmt.Errorf("%s has no state %s", n.names[tab.vars[k]], body[i])
				}
				row = row*len(n.states[tab.vars[k]]) + s
				k++
			}
		case "table":
		default:
			i++
			continue
		}
		i++
		for at := row * child; i < len(body) && body[i] != ";"; i++ {
			if body[i] == "," {
				continue
			}
			x, err := strconv.ParseFloat(body[i], 64)
			if err != nil {
				return err
			}
			tab.p[at] = x
			at++
		}
		i++
	}
	tab.normalise(child)
	n.tables = append(n.tables, tab)
	return nil
}

// normalise makes every row add up to 1; printed rows miss it by up to 1e-7.
func (t *bifTable) normalise(child int) {
	for r := 0; r < len(t.p); r += child {
		sum := 0.0
		for _, x := range t.p[r : r+child] {
			sum += x
		}
		for i := range t.p[r : r+child] {
			t.p[r+i] /= sum
		}
	}
}

func indexOf(list []string, s string) int {
	for i, x := range list {
		if x == s {
			return i
		}
	}
	return -1
}

// compile makes a circuit with a leaf for every state of every variable;
// first[v] is the leaf of the first state.
func (n *bifNetwork) compile() (prog *Program, first []int) {
	leaves := 0
	for _, s := range n.states {
		first = append(first, leaves)
		leaves += len(s)
	}
	b := NewBuilder(leaves)
	net := &Network{}
	var scopes [][]int32
	for v, s := range n.states {
		net.Card = append(net.Card, len(s))
		f := Factor{Vars: []int32{int32(v)}}
		for i := range s {
			f.Table = append(f.Table, b.Leaf(first[v]+i))
		}
		net.Factors = append(net.Factors, f)
	}
	for _, t := range n.tables {
		var f Factor
		for _, v := range append(append([]int(nil), t.vars[1:]...), t.vars[0]) {
			f.Vars = append(f.Vars, int32(v))
		}
		for _, x := range t.p {
			f.Table = append(f.Table, b.Const(x))
		}
		net.Factors = append(net.Factors, f)
	}
	for _, f := range net.Factors {
		scopes = append(scopes, f.Vars)
	}
	_, order := Choose([]Shape{{net.Card, scopes}}, math.Inf(1))
	return b.Finish(Eliminate(b, net, order.Vars)), first
}
