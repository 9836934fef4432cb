package knowledge

import (
	"errors"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"narrows/symptoms"
)

// wordFile is the vocabulary as read. Its meaning is package symptoms' matter;
// here only its shape is checked.
type wordFile struct {
	src     Source
	f       *faults
	root    *yaml.Node
	vocab   symptoms.Vocabulary
	shows   []string
	regimes []string
}

func (w *wordFile) read(d *decoder, root *yaml.Node) {
	w.root = root
	v := &w.vocab
	d.object(root, root, "the vocabulary",
		may("format", d.format()),
		may("note", d.text(new(string))),
		may("kinds", d.section("kinds", func(k, n *yaml.Node) {
			x := symptoms.Kind{ID: k.Value}
			d.text(&x.Title)(n)
			v.Kinds = append(v.Kinds, x)
		})),
		must("shows", d.section("shows", func(k, n *yaml.Node) {
			v.Shows = append(v.Shows, d.word(k, n))
			w.shows = append(w.shows, k.Value)
		})),
		must("regimes", d.section("regimes", func(k, n *yaml.Node) {
			v.Regimes = append(v.Regimes, d.regimeWord(k, n))
			w.regimes = append(w.regimes, k.Value)
		})),
		may("ranges", d.section("ranges", func(k, n *yaml.Node) { v.Ranges = append(v.Ranges, d.rangeWord(k, n)) })),
		may("acts", d.section("acts", func(k, n *yaml.Node) { v.Acts = append(v.Acts, d.act(k, n)) })),
		may("reliefs", d.section("reliefs", func(k, n *yaml.Node) { v.Reliefs = append(v.Reliefs, d.relief(k, n)) })),
		may("poor", d.texts(&v.Poor)),
		may("signs", d.section("signs", func(k, n *yaml.Node) {
			x := symptoms.Sign{ID: k.Value}
			d.texts(&x.Words)(n)
			v.Signs = append(v.Signs, x)
		})),
		may("matters", d.section("matters", func(k, n *yaml.Node) {
			x := symptoms.Matter{ID: k.Value}
			d.texts(&x.Words)(n)
			v.Matters = append(v.Matters, x)
		})),
		may("numbers", d.numberWords(v)),
		may("articles", d.texts(&v.Articles)),
		may("filler", d.texts(&v.Filler)),
		may("links", d.texts(&v.Links)),
		may("kept", d.texts(&v.Kept)))
}

func (d *decoder) word(k, n *yaml.Node) symptoms.Word {
	x := symptoms.Word{ID: k.Value}
	d.object(k, n, "word "+k.Value,
		may("title", d.text(&x.Title)),
		may("kind", d.text(&x.Kind)),
		may("near", d.texts(&x.Near)),
		may("covers", d.texts(&x.Covers)),
		must("words", d.texts(&x.Words)))
	return x
}

func (d *decoder) regimeWord(k, n *yaml.Node) symptoms.RegimeWord {
	x := symptoms.RegimeWord{ID: k.Value}
	var order float64
	var rpm []float64
	d.object(k, n, "regime "+k.Value,
		may("title", d.text(&x.Title)),
		may("axis", d.text(&x.Axis)),
		may("order", d.within(&order, "order", "from 1 to 100", func(v float64) bool { return v >= 1 && v <= 100 && v == float64(int(v)) })),
		may("steady", d.flag(&x.Steady)),
		may("rpm", d.list("two engine speeds", func(n *yaml.Node) {
			if v, ok := d.number(n); ok {
				rpm = append(rpm, v)
			}
		})),
		may("near", d.texts(&x.Near)),
		may("then", d.texts(&x.Then)),
		must("phrases", d.texts(&x.Phrases)))
	x.Order = int(order)
	switch {
	case len(rpm) == 2 && rpm[0] >= 0 && rpm[0] < rpm[1]:
		x.RPM = [2]float64{rpm[0], rpm[1]}
	case rpm != nil:
		d.bad(k, RuleBadBand, "write rpm: [600, 1200]", "the engine speeds of regime %s are no band", k.Value)
	}
	return x
}

func (d *decoder) rangeWord(k, n *yaml.Node) symptoms.RangeWord {
	x := symptoms.RangeWord{ID: k.Value}
	d.object(k, n, "range "+k.Value,
		must("regimes", d.texts(&x.Regimes)),
		may("everywhere", d.flag(&x.Everywhere)),
		must("phrases", d.texts(&x.Phrases)))
	return x
}

func (d *decoder) act(k, n *yaml.Node) symptoms.Act {
	x := symptoms.Act{ID: k.Value}
	d.object(k, n, "act "+k.Value,
		must("words", d.texts(&x.Words)),
		may("regimes", d.texts(&x.Regimes)),
		may("kinds", d.texts(&x.Kinds)),
		may("refused", d.text(&x.Refused)),
		may("poor", d.text(&x.Poor)),
		may("does", d.text(&x.Does)),
		may("affirms", d.texts(&x.Affirms)),
		may("carries", d.flag(&x.Carries)),
		may("ends", d.flag(&x.Ends)),
		may("follow", func(n *yaml.Node) {
			d.entries(n, "a mapping from a word to what both make", func(fk, fv *yaml.Node) {
				f := symptoms.Follow{Show: fk.Value}
				d.text(&f.Means)(fv)
				x.Follow = append(x.Follow, f)
			})
		}))
	return x
}

func (d *decoder) relief(k, n *yaml.Node) symptoms.Relief {
	x := symptoms.Relief{ID: k.Value}
	d.object(k, n, "relief "+k.Value,
		must("words", d.texts(&x.Words)),
		may("kinds", d.texts(&x.Kinds)),
		may("changes", d.flag(&x.Changes)))
	return x
}

func (d *decoder) numberWords(v *symptoms.Vocabulary) setter {
	return func(n *yaml.Node) {
		d.entries(n, "a mapping from a word to its number", func(k, x *yaml.Node) {
			if value, ok := d.number(x); ok {
				v.Numbers = append(v.Numbers, symptoms.Number{Word: k.Value, Value: value})
			}
		})
	}
}

// check follows a pack's words into the vocabulary and makes its lexicon.
func (w *wordFile) check(p *packFile) {
	var offered []symptoms.Symptom
	for _, s := range p.pack.Symptoms {
		w.known(p, s.Shows, w.shows, "manifestation", "shows")
		x := symptoms.Symptom{ID: s.ID, Title: s.Title, Shows: s.Shows.ID}
		for _, r := range s.Regimes {
			w.known(p, r, w.regimes, "regime", "regimes")
			x.Regimes = append(x.Regimes, symptoms.Regime(r.ID))
		}
		offered = append(offered, x)
	}
	if len(p.f.list) > 0 || len(w.f.list) > 0 {
		return
	}
	var history []symptoms.Circumstance
	for _, h := range p.pack.History {
		history = append(history, symptoms.Circumstance{ID: h.ID, Title: h.Title, Phrases: h.Phrases})
	}
	var err error
	if p.lexicon, err = symptoms.NewLexicon(w.vocab, offered, history); err != nil {
		w.lexicalFaults(p, err)
	}
}

func (w *wordFile) known(p *packFile, r Ref, words []string, what, section string) {
	if r.ID != "" && !slices.Contains(words, r.ID) {
		p.f.add(RuleUnknownShow, r.Pos, p.f.meant(r.ID, words, "use a word under "+section+" of the vocabulary"), "unknown %s %s", what, quote(r.ID))
	}
}

// lexicalFaults notes what package symptoms found, each at the value that its
// path leads to, in the pack or in the vocabulary.
func (w *wordFile) lexicalFaults(p *packFile, err error) {
	var all symptoms.Problems
	if !errors.As(err, &all) {
		p.f.add(RuleBadWords, p.pack.Pos, "see package symptoms", "the words of this pack do not go together: %v", err)
		return
	}
	for _, one := range all {
		f, root := w.f, w.root
		if len(one.Path) > 0 && (one.Path[0] == "symptoms" || one.Path[0] == "history") {
			f, root = p.f, p.root
		}
		what, mend := cutAdvice(one.Message)
		f.add(RuleBadWords, posIn(f.nodes, f.file, follow(root, one.Path)), mend, "%s: %s", strings.Join(one.Path, "."), what)
	}
}

// follow goes down a path of keys and elements as far as it leads.
func follow(n *yaml.Node, path []string) *yaml.Node {
	for _, step := range path {
		next := (*yaml.Node)(nil)
		for i, c := range n.Content {
			switch {
			case c.Value != step || c.Kind != yaml.ScalarNode:
			case n.Kind == yaml.SequenceNode:
				next = c
			case i%2 == 0 && i+1 < len(n.Content):
				next = n.Content[i+1]
				if next.Kind == yaml.ScalarNode || len(next.Content) == 0 {
					return next
				}
			}
			if next != nil {
				break
			}
		}
		if next == nil {
			return n
		}
		n = next
	}
	return n
}
