package knowledge

import (
	"slices"

	"gopkg.in/yaml.v3"
)

// maxMembers bounds a position set; engines of this trade have at most eight
// cylinders.
const maxMembers = 32

// maxOpenings bounds the openings of a pack; engines of this trade have some dozens.
const maxOpenings = 200

// pack reads a whole pack. Its own faults are noted; what it refers to is
// checked afterwards.
func (d *decoder) pack(root *yaml.Node) *Pack {
	p := &Pack{Recheck: Recheck{Shows: 0.8}}
	p.Pos = d.pos(root)
	d.object(root, root, "the pack", slices.Concat(d.head(&p.Entry, "pack"), []field{
		must("version", d.text(&p.Version)),
		must("handing_on", func(n *yaml.Node) {
			d.object(n, n, "handing_on", must("minutes", d.minutes(&p.HandingOn.Minutes)), must("title", d.text(&p.HandingOn.Title)))
		}),
		must("recheck", func(n *yaml.Node) {
			d.object(n, n, "recheck", must("minutes", d.minutes(&p.Recheck.Minutes)), may("engine", d.engine(&p.Recheck.Engine)), may("places", d.refs(&p.Recheck.Sites)), may("shows", d.chance(&p.Recheck.Shows, "chance to show")))
		}),
	}, d.sections(p))...)
	return p
}

// sections gives the keys under which a pack, or a fragment of one, defines
// things.
func (d *decoder) sections(p *Pack) []field {
	return []field{
		may("positions", d.section("positions", func(k, v *yaml.Node) { p.Sets = append(p.Sets, d.set(k, v)) })),
		may("serves", d.serves(p)),
		may("causes", d.section("causes", func(k, v *yaml.Node) { p.Causes = append(p.Causes, d.cause(k, v)) })),
		must("items", d.section("items", func(k, v *yaml.Node) { p.Items = append(p.Items, d.item(k, v)) })),
		may("conditions", d.section("conditions", func(k, v *yaml.Node) { p.Conditions = append(p.Conditions, d.condition(k, v)) })),
		must("symptoms", d.section("symptoms", func(k, v *yaml.Node) { p.Symptoms = append(p.Symptoms, d.symptom(k, v)) })),
		may("history", d.section("history", func(k, v *yaml.Node) { p.History = append(p.History, d.circumstance(k, v)) })),
		may("places", d.section("places", func(k, v *yaml.Node) { p.Sites = append(p.Sites, d.site(k, v)) })),
		may("openings", d.section("openings", func(k, v *yaml.Node) { d.oneOpening(p, k, v) })),
		may("tools", d.section("tools", func(k, v *yaml.Node) { p.Tools = append(p.Tools, d.tool(k, v)) })),
		may("cautions", d.section("cautions", func(k, v *yaml.Node) { p.Cautions = append(p.Cautions, d.caution(k, v)) })),
		may("checks", d.section("checks", func(k, v *yaml.Node) { p.Checks = append(p.Checks, d.check(k, v)) })),
		may("repairs", d.section("repairs", func(k, v *yaml.Node) { p.Repairs = append(p.Repairs, d.repair(k, v)) })),
		may("ledger", d.section("ledger", func(k, v *yaml.Node) { p.Ledger = append(p.Ledger, d.ledgerEntry(k, v)) })),
	}
}

// oneOpening reads an opening, of as many as may be: all that each work needs is
// followed through them.
func (d *decoder) oneOpening(p *Pack, k, v *yaml.Node) {
	switch n := len(p.Openings); {
	case n > maxOpenings:
		return
	case n == maxOpenings:
		d.bad(k, RuleTooMany, "leave out what nobody opens", "more than %d openings", maxOpenings)
	}
	p.Openings = append(p.Openings, d.opening(k, v))
}

// head gives the keys that begin a pack or a sheet.
func (d *decoder) head(e *Entry, kind string) []field {
	return []field{
		must(kind, func(n *yaml.Node) { e.ID, e.Pos = d.ident(n), d.pos(n) }),
		must("format", d.format()),
		must("title", d.text(&e.Title)),
		may("note", d.text(&e.Note)),
		may("source", d.text(&e.Source)),
	}
}

func (d *decoder) set(k, v *yaml.Node) *PositionSet {
	s := &PositionSet{}
	d.object(k, v, "position set "+k.Value, append(d.entry(&s.Entry, k),
		must("members", func(n *yaml.Node) {
			d.list("a list of names", d.member(s))(n)
			if n.Kind == yaml.SequenceNode && len(n.Content) == 0 {
				d.bad(n, RuleTooFew, "name at least one place", "position set %s has no members", k.Value)
			}
			if len(s.Members) > maxMembers {
				d.bad(n, RuleTooMany, "split the set", "position set %s has more than %d members", k.Value, maxMembers)
				s.Members = s.Members[:maxMembers]
			}
		}))...)
	return s
}

// member takes one member's name. A name in use is never 1 beside "1", so only
// quoted names are taken.
func (d *decoder) member(s *PositionSet) setter {
	return func(n *yaml.Node) {
		if len(s.Members) > maxMembers {
			return // one too many is reported; more would only cost time
		}
		name := d.memberName(n)
		if name == "" {
			return
		}
		for _, m := range s.Members {
			if m == name {
				d.bad(n, RuleNamedTwice, "name each place once", "member %s is named twice", quote(name))
				return
			}
		}
		s.Members = append(s.Members, name)
	}
}

func (d *decoder) memberName(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.ScalarNode && n.Tag == "!!int":
		d.bad(n, RuleWrongType, `put the name in quotes: "`+n.Value+`"`, "wrong type: this is %s", kindName(n))
	case !d.isText(n):
		d.wrong(n, "a name in quotes")
	case !memberPattern.MatchString(n.Value):
		d.bad(n, RuleBadIdentifier, "use up to 16 letters, digits, dashes or underscores", "bad name of a place %s", quote(n.Value))
	default:
		return n.Value
	}
	return ""
}

// serves reads the relations between position sets.
func (d *decoder) serves(p *Pack) setter {
	return d.section("serves", func(k, v *yaml.Node) {
		d.entries(v, "the sets that it acts on: {cylinder: same}", func(to, how *yaml.Node) {
			r := &Relation{From: d.keyRef(k), To: d.keyRef(to)}
			p.Serves = append(p.Serves, r)
			if how.Kind == yaml.ScalarNode {
				if r.Same = how.Value == "same"; !r.Same {
					d.bad(how, RuleBadRelation, "write same, or a mapping from each place to those it acts on", "unknown relation %s", quote(how.Value))
				}
				return
			}
			d.pairs(r, how)
		})
	})
}

func (d *decoder) pairs(r *Relation, how *yaml.Node) {
	d.entries(how, "same, or a mapping from each place to those it acts on", func(from, list *yaml.Node) {
		name := d.memberName(from)
		if name == "" {
			return
		}
		var to PositionSet
		d.list("a list of places", d.member(&to))(list)
		for _, m := range to.Members {
			r.Pairs = append(r.Pairs, Pair{name, m})
		}
	})
}
