package study

import (
	"slices"
	"strings"

	"github.com/agnivade/levenshtein"
	"gopkg.in/yaml.v3"

	ft "narrows/faulttree"
	"narrows/knowledge"
	"narrows/symptoms"
)

// On finds what the cases name on an engine. The errors are all the names that
// it does not have, as knowledge.Problems.
func (f *CaseFile) On(e *knowledge.Engine) ([]*Worked, error) {
	r := &resolver{reader: reader{file: f.file}, e: e}
	var out []*Worked
	for _, c := range f.cases {
		out = append(out, r.worked(&c))
	}
	return out, r.err()
}

// Fault is a fault of the file at the engine's name, which only the caller can
// find.
func (f *CaseFile) Fault(what, mend string) error {
	r := &reader{file: f.file}
	r.bad(f.Engine.at, mend, "%s", what)
	return r.err()
}

type resolver struct {
	reader
	e *knowledge.Engine
}

func (r *resolver) worked(c *caseDef) *Worked {
	w := &Worked{ID: c.id.text, Title: c.title, Shows: make(map[ft.CheckID]int), MinutesAtMost: c.minutes, RankAtMost: c.rank, RankAtEndAtMost: c.rankEnd,
		Present: r.symptoms(c.present), Absent: r.symptoms(c.absent)}
	r.said(c, w)
	for i, e := range w.Absent {
		if slices.Contains(w.Present, e) {
			r.bad(c.absent[min(i, len(c.absent)-1)].at, "take it out of one", "a symptom is present and absent at once")
		}
	}
	for _, h := range c.history {
		if r.circumstance(w, h.text) {
			continue
		}
		var known []string
		for _, u := range r.e.Circumstances() {
			known = append(known, u.Def.ID)
		}
		r.bad(h.at, meant(h.text, known), "the pack has no history entry %q", h.text)
	}
	for _, x := range c.causes {
		if e := r.cause(x); e != ft.None {
			w.Causes = append(w.Causes, e)
		}
	}
	r.sameItem(c, w)
	for _, s := range c.shows {
		r.show(w, s[0], s[1])
	}
	return w
}

// said reads a complaint in the owner's words as the prompt does.
func (r *resolver) said(c *caseDef, w *Worked) {
	if c.said.text == "" {
		return
	}
	read := r.e.Lexicon().Read(c.said.text)
	for _, st := range read.Standing() {
		e, ok := r.e.Event(st.Symptom, knowledge.Place{})
		switch {
		case !ok:
		case st.State == symptoms.Present:
			w.Present = append(w.Present, e)
		case st.State == symptoms.Absent:
			w.Absent = append(w.Absent, e)
		}
	}
	for _, h := range read.History {
		if !h.Denied {
			r.circumstance(w, h.Circumstance)
		}
	}
	for _, m := range read.Missed {
		w.Missed = append(w.Missed, m.Text)
	}
	if len(w.Present) == 0 {
		r.bad(c.said.at, "say what it does and when, or name symptoms under present", "no trouble could be made out in %q", c.said.text)
	}
}

// circumstance enters what was said beside the complaint, once.
func (r *resolver) circumstance(w *Worked, id string) bool {
	u, ok := r.e.Circumstance(id)
	if !ok {
		return false
	}
	if f, err := r.e.Model().Outcome(u.ID, knowledge.HistorySaid); err == nil && !slices.Contains(w.told, id) {
		w.told = append(w.told, id)
		w.History = append(w.History, f)
	}
	return true
}

func (r *resolver) symptoms(names []word) []ft.Event {
	var out []ft.Event
	for _, n := range names {
		if e, ok := r.e.Event(n.text, knowledge.Place{}); ok && slices.Contains(r.e.Model().Symptoms(), e) {
			out = append(out, e)
			continue
		}
		var known []string
		for _, e := range r.e.Model().Symptoms() {
			known = append(known, r.e.Describe(e).ID)
		}
		r.bad(n.at, meant(n.text, known), "the pack has no symptom %q", n.text)
	}
	return out
}

// cause finds a mode, at its place, or a common cause.
func (r *resolver) cause(x word) ft.Event {
	id, member := parts(x.text)
	var known, members []string
	last := ft.None
	for _, it := range r.e.Model().Items() {
		for _, e := range it.Modes {
			d := r.e.Describe(e)
			switch {
			case d.ID != id:
				known = append(known, d.ID)
			case d.Place.Member == member:
				return e
			default:
				members, last = append(members, d.Place.Member), e
			}
		}
	}
	if len(members) == 1 && member == "" {
		return last // the only place needs no naming
	}
	r.missing(x.at, "failure mode or cause", id, member, known, members)
	return ft.None
}

// sameItem reports two modes of one item, which exclude one another.
func (r *resolver) sameItem(c *caseDef, w *Worked) {
	items := make(map[ft.ItemID]bool)
	for i, e := range w.Causes {
		if md, ok := r.e.Model().ModeOf(e); ok {
			if items[md.Item] {
				r.bad(c.causes[min(i, len(c.causes)-1)].at, "keep one of them", "two faults of one part, which exclude one another")
			}
			items[md.Item] = true
		}
	}
}

// show finds a check at its place and its outcome.
func (r *resolver) show(w *Worked, check, outcome word) {
	id, member := parts(check.text)
	var known, members []string
	uses := r.e.ChecksOf(id)
	for _, u := range uses {
		if u.Place.Member == member || member == "" && len(uses) == 1 {
			if k := r.outcome(u, outcome); k >= 0 {
				w.Shows[u.ID] = k
			}
			return
		}
		members = append(members, u.Place.Member)
	}
	for _, u := range r.e.Checks() {
		known = append(known, u.Def.ID)
	}
	r.missing(check.at, "check", id, member, known, members)
}

// outcome finds an outcome by its identifier; of a check that reads a number by
// the words that the fault model has for it.
func (r *resolver) outcome(u knowledge.CheckUse, name word) int {
	known := slices.Clone(r.e.Model().Checks()[u.ID].Outcomes)
	for i, o := range u.Def.Outcomes {
		known[i] = o.ID
	}
	k := slices.Index(known, name.text)
	if k < 0 && name.text != "" {
		r.bad(name.at, meant(name.text, known), "check %q has no outcome %q", u.Def.ID, name.text)
	}
	return k
}

// parts of a name: "pilot_jet.blocked at 3".
func parts(name string) (id, member string) {
	id, member, _ = strings.Cut(name, " at ")
	return strings.TrimSpace(id), strings.TrimSpace(member)
}

func (r *resolver) missing(n *yaml.Node, what, id, member string, known, members []string) {
	switch {
	case len(members) == 0:
		r.bad(n, meant(id, known), "the pack has no %s %q", what, id)
	case member == "":
		r.bad(n, "write "+id+" at one of: "+strings.Join(members, ", "), "%q stands at several places", id)
	case members[0] == "":
		r.bad(n, "write "+id+" alone", "%q stands at no place of its own", id)
	default:
		r.bad(n, "write one of: "+strings.Join(members, ", "), "there is no %q at %q", id, member)
	}
}

// meant advises on an unknown name: the nearest one, a short list, or where to
// look.
func meant(name string, known []string) string {
	best, near := max(1, len(name)/3)+1, ""
	known = slices.Compact(known)
	for _, k := range known {
		if d := levenshtein.ComputeDistance(name, k); len(name) <= 80 && d < best {
			best, near = d, k
		}
	}
	switch {
	case near != "":
		return `did you mean "` + near + `"?`
	case len(known) > 0 && len(known) <= 20:
		return "use one of: " + strings.Join(known, ", ")
	}
	return "look it up in the pack"
}
