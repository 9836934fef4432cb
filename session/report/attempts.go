package report

import (
	"fmt"
	"strings"

	"narrows/session"
)

// attempt is the repairs made between two trials of the complaint, with what
// the trial showed.
type attempt struct {
	repairs []session.RepairPast
	first   int // number of the first of them, from 1
	retry   *session.RetryPast
	gone    []string // symptoms that were there before and are not now
}

// attempts groups the repairs by the trials of the complaint after them.
func (p *page) attempts() []attempt {
	there := map[string]bool{}
	for _, s := range p.h.Complaint.Symptoms {
		there[s.ID] = or(s.Seen, s.Owner) == "present"
	}
	var out []attempt
	var a attempt
	for i, r := range p.h.Repairs {
		if len(a.repairs) == 0 {
			a.first = i + 1
		}
		a.repairs = append(a.repairs, r)
		if r.Retry == nil {
			continue
		}
		a.retry = r.Retry
		for _, m := range r.Retry.Symptoms {
			if there[m.Event] && !m.Present {
				a.gone = append(a.gone, m.Title)
			}
			there[m.Event] = m.Present
		}
		out, a = append(out, a), attempt{}
	}
	if len(a.repairs) > 0 {
		out = append(out, a)
	}
	return out
}

func (a attempt) helped() bool { return a.retry != nil && (a.retry.Cured || len(a.gone) > 0) }

// helping counts the attempts that helped.
func helping(all []attempt) int {
	n := 0
	for _, a := range all {
		if a.helped() {
			n++
		}
	}
	return n
}

func (a attempt) fixes(at eventAt) bool {
	for _, r := range a.repairs {
		for _, m := range r.Fixes {
			if m.Event == at.event && m.Place == at.place {
				return true
			}
		}
	}
	return false
}

// result says which repair did what to the complaint.
func (a attempt) result() string {
	var names []string
	for i, r := range a.repairs {
		names = append(names, fmt.Sprintf("Repair %d (%s, entry %d)", a.first+i, esc(r.Title), r.Seq))
	}
	by := strings.Join(names, " and ")
	if a.retry.Cured {
		return by + " ended the complaint."
	}
	var gone []string
	for _, g := range a.gone {
		gone = append(gone, esc(g))
	}
	return by + " changed the complaint: gone is " + strings.Join(gone, ", ") + "; the rest stayed."
}
