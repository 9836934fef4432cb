package report

import (
	"fmt"
	"slices"
	"strings"

	"narrows/session"
)

// surely is the presence from which a suspect counts as found; slight is the
// chance to cure under which a find is said not to account for the complaint,
// as at the bench; moved is the least change of presence told as evidence.
const (
	surely = 0.90
	slight = 0.10
	moved  = 0.02
)

type eventAt struct{ event, place string }

// find is a suspect that became as good as certain.
type find struct {
	at    eventAt
	title string
	seq   int
	cure  float64 // of putting it right alone, as believed then
	known bool    // cure is known
	late  bool    // found after the complaint was gone
}

// finds lists what was found, in order.
func (p *page) finds() []find {
	var out []find
	add := func(f find) {
		if !slices.ContainsFunc(out, func(o find) bool { return o.at == f.at }) {
			out = append(out, f)
		}
	}
	gone := false
	for i, s := range p.h.Steps {
		for _, x := range s.After {
			was := presenceIn(p.before(i), x.Event, x.Place)
			if x.Present >= surely && was < surely {
				add(find{at: eventAt{x.Event, x.Place}, title: x.Title, seq: s.Seq, cure: x.Cures, known: true})
			}
		}
		if n := s.Noticed; n != nil && n.Present && n.Mode {
			add(find{at: eventAt{n.Event, n.Place}, title: n.Title, seq: s.Seq, late: gone})
		}
		gone = gone || s.Kind == session.StepRetried && p.retryOf(s.Seq).Cured
	}
	return out
}

// before is what was believed before the run that ends with step i.
func (p *page) before(i int) []session.Suspect {
	for ; i > 0 && p.h.Steps[i].Follows; i-- {
	}
	return p.h.Steps[i].Before
}

func presenceIn(list []session.Suspect, event, place string) float64 {
	for _, s := range list {
		if s.Event == event && s.Place == place {
			return s.Present
		}
	}
	return 0
}

func (p *page) retryOf(seq int) session.RetryPast {
	for _, r := range p.h.Repairs {
		if r.Retry != nil && r.Retry.Seq == seq {
			return *r.Retry
		}
	}
	return session.RetryPast{}
}

// causes writes what accounts for the complaint, and what was found and does
// not.
func (p *page) causes() {
	attempts := p.attempts()
	title := "Cause"
	if helping(attempts) > 1 {
		title = "Causes"
	}
	p.heading(title)
	n := 0
	for _, a := range attempts {
		if a.helped() {
			n++
			p.cause(n, a)
		}
	}
	if n == 0 {
		p.noCause()
	}
	for i, f := range p.finds() {
		if words := p.otherFind(f, attempts); words != "" {
			name := "Also found"
			if i == 0 {
				name = "First find"
			}
			p.line("**%s: %s** (entry %d). %s", name, esc(f.title), f.seq, words)
		}
	}
}

// cause writes one cause: what the repair put right, and why it is believed.
func (p *page) cause(n int, a attempt) {
	var list []session.Suspect
	for i, s := range p.h.Steps {
		if s.Seq == a.repairs[0].Seq {
			list = p.before(i)
		}
	}
	var mine []session.Suspect // the likeliest to have cured first, as the list is
	for _, s := range list {
		if a.fixes(eventAt{s.Event, s.Place}) {
			mine = append(mine, s)
		}
	}
	title := "what the repair put right"
	if len(mine) > 0 {
		title = mine[0].Title
		if mine[0].Present < 0.5 {
			title = "One of what the repair puts right; the likeliest is " + title
		}
	}
	p.line("%d\\. **%s.** %s", n, esc(title), a.result())
	if len(mine) > 0 {
		p.item(0, "Before the repair: present %s; putting it right alone would cure in %s.", percent(mine[0].Present), percent(mine[0].Cures))
		p.evidence(mine[0], a.repairs[0].Seq)
	}
	p.alternatives(mine)
	if len(a.repairs) > 1 {
		p.item(0, "The complaint was tried only after %d repairs together; which of them did it cannot be told.", len(a.repairs))
	}
	p.end()
}

// evidence lists the steps before the repair that moved the suspect.
func (p *page) evidence(s session.Suspect, until int) {
	any := false
	for i, st := range p.h.Steps {
		if st.Seq >= until || st.After == nil {
			continue
		}
		was, now := presenceIn(p.before(i), s.Event, s.Place), presenceIn(st.After, s.Event, s.Place)
		switch {
		case p.before(i) == nil:
			p.item(0, "Entry %d, the complaint as understood: present %s", st.Seq, percent(now))
		case now-was >= moved || was-now >= moved:
			any = true
			p.item(0, "Entry %d, %s: present %s → %s", st.Seq, esc(st.Words), percent(was), percent(now))
		}
	}
	if !any {
		p.item(0, "No check pointed to it before the repair; it rests on the result of the repair.")
	}
}

// alternatives names what else the same repair puts right.
func (p *page) alternatives(mine []session.Suspect) {
	var also []string
	for i, s := range mine {
		if i > 0 && s.Present >= 0.05 {
			also = append(also, fmt.Sprintf("%s (%s)", esc(s.Title), percent(s.Present)))
		}
	}
	if len(also) > 0 {
		p.item(0, "The repair puts these right too, and its result does not tell them apart: %s.", strings.Join(also, ", "))
	}
}

// noCause says honestly that nothing accounts for the complaint yet.
func (p *page) noCause() {
	switch {
	case p.h.Complaint.Text == "":
		p.line("Nothing is looked for yet: there is no complaint.")
		return
	case p.h.Closed:
		p.line("No cause was established. The case was closed without a cure, and none is claimed.")
	case p.h.Untried:
		p.line("No cause is established yet: whether the repair ended the complaint has not been tried.")
	default:
		p.line("No cause is established yet; the search is not finished.")
	}
	last := p.lastNumbers()
	if len(last) == 0 {
		return
	}
	p.line("The likeliest suspects as the record stands:")
	for _, s := range last[:min(3, len(last))] {
		p.item(0, "%s", suspect(s))
	}
	p.end()
}

func (p *page) lastNumbers() []session.Suspect {
	for i := len(p.h.Steps) - 1; i >= 0; i-- {
		if p.h.Steps[i].After != nil {
			return p.h.Steps[i].After
		}
	}
	return nil
}

// otherFind says of a find that is no cause how it stands to the complaint;
// "" for a cause.
func (p *page) otherFind(f find, attempts []attempt) string {
	for _, a := range attempts {
		switch {
		case !a.fixes(f.at) || a.retry == nil:
		case a.helped():
			return ""
		default:
			return fmt.Sprintf("It did not account for the complaint: it was put right (entry %d) and the complaint stayed as it was.", a.repairs[0].Seq)
		}
	}
	switch {
	case f.late:
		return "It was found after the complaint was gone and is separate from it."
	case p.h.Cured && !slices.ContainsFunc(attempts, func(a attempt) bool { return a.fixes(f.at) }):
		return "It did not account for the complaint, which went without its being put right."
	case f.known && f.cure < slight:
		return fmt.Sprintf("It did not account for the complaint: putting it right alone would have cured in %s.", percent(f.cure))
	case f.known:
		return fmt.Sprintf("Whether it accounts for the complaint was not shown: no trial after its repair is recorded. Putting it right alone was expected to cure in %s.", percent(f.cure))
	}
	return "Whether it accounts for the complaint was not shown."
}

// suspect says a suspect with its two numbers.
func suspect(s session.Suspect) string {
	return fmt.Sprintf("%s: present %s, cures alone in %s", esc(s.Title), percent(s.Present), percent(s.Cures))
}
