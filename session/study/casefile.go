package study

import (
	"gopkg.in/yaml.v3"

	"narrows/knowledge"
)

// CaseFile is a file of worked cases as written; On finds what it names.
type CaseFile struct {
	Study  word
	Engine word // the sheet
	cases  []caseDef
	file   string
}

// word is a text of the file with its place.
type word struct {
	text string
	at   *yaml.Node
}

func (w word) String() string { return w.text }

type caseDef struct {
	id                               word
	title                            string
	said                             word // the complaint in the owner's words, in place of present and absent
	present, absent, history, causes []word
	shows                            [][2]word // check, outcome
	minutes                          *float64
	rank, rankEnd                    *int
}

// ReadCases reads a file of worked cases. The errors are all the faults that
// can be found without the engine, as knowledge.Problems.
func ReadCases(src knowledge.Source) (*CaseFile, error) {
	r := &reader{file: src.Name}
	root := r.root(src.Data)
	f := &CaseFile{file: src.Name}
	if root != nil {
		r.object(root, root, "the file", map[string]func(*yaml.Node){
			"study": r.word(&f.Study), "format": r.format, "engine": r.word(&f.Engine), "title": r.text(new(string)),
			"cases": func(n *yaml.Node) {
				r.pairs(n, "cases as a mapping from identifiers", func(k, v *yaml.Node) { f.cases = append(f.cases, r.oneCase(k, v)) })
			},
		}, "study", "format", "engine", "cases")
	}
	if len(r.faults) == 0 && len(f.cases) == 0 {
		r.bad(root, "write at least one", "there are no cases")
	}
	return f, r.err()
}

func (r *reader) oneCase(k, v *yaml.Node) caseDef {
	c := caseDef{id: word{k.Value, k}}
	if !identifier.MatchString(k.Value) {
		r.bad(k, "use lower case letters, digits and underscores, a letter first", "bad identifier %q", k.Value)
	}
	r.object(k, v, "case "+k.Value, map[string]func(*yaml.Node){
		"title":     r.text(&c.title),
		"complaint": r.complaint(&c),
		"history":   r.words(&c.history),
		"causes":    r.words(&c.causes),
		"shows": func(n *yaml.Node) {
			r.pairs(n, "a mapping from checks to outcomes", func(k, v *yaml.Node) {
				var w word
				r.word(&w)(v)
				c.shows = append(c.shows, [2]word{{k.Value, k}, w})
			})
		},
		"expect": r.expect(&c),
	}, "complaint", "causes")
	return c
}

func (r *reader) complaint(c *caseDef) func(*yaml.Node) {
	return func(n *yaml.Node) {
		if n.Kind == yaml.ScalarNode {
			r.word(&c.said)(n)
			return
		}
		r.object(n, n, "the complaint", map[string]func(*yaml.Node){"present": r.words(&c.present), "absent": r.words(&c.absent)}, "present")
		if len(r.faults) == 0 && len(c.present) == 0 {
			r.bad(n, "name a symptom that is there", "a complaint of nothing")
		}
	}
}

func (r *reader) expect(c *caseDef) func(*yaml.Node) {
	return func(n *yaml.Node) {
		r.object(n, n, "expect", map[string]func(*yaml.Node){
			"minutes_at_most": func(n *yaml.Node) {
				if x, ok := r.number(n); ok {
					c.minutes = &x
				}
			},
			"rank_at_most":        r.rank(&c.rank),
			"rank_at_end_at_most": r.rank(&c.rankEnd),
		})
	}
}

func (r *reader) rank(to **int) func(*yaml.Node) {
	return func(n *yaml.Node) {
		x, ok := r.number(n)
		if i := int(x); ok && (x < 1 || float64(i) != x) {
			r.bad(n, "write a whole number of at least 1", "rank %s is none", n.Value)
		} else if ok {
			*to = &i
		}
	}
}
