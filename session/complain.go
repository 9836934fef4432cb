package session

import (
	"context"
	"strings"

	"narrows/faulttree"
	"narrows/knowledge"
	"narrows/symptoms"
)

// doComplaint takes the owner's words, or takes them anew.
func (c *Case) doComplaint(ctx context.Context, words string) (View, error) {
	if words == "" {
		return c.understood(), nil
	}
	read := c.b.e.Lexicon().Read(words)
	p := complaint{Text: words}
	for _, st := range read.Standing() {
		p.Stated = append(p.Stated, statement{st.Symptom, strings.ToLower(st.State.String()), st.Words.Text, st.Assumed})
	}
	for _, h := range read.History {
		p.History = append(p.History, said{h.Circumstance, h.Words.Text, h.Denied})
	}
	for _, m := range read.Missed {
		p.Missed = append(p.Missed, m.Text)
	}
	if !names(p.Stated, "present") {
		v := c.wrong("No trouble could be made out in that.")
		v.Missed = p.Missed
		v.Hint = "say what it does and when: stumbles at idle, dies when opened, hard to start cold; or name a symptom with: present SYMPTOM"
		return v, nil
	}
	if err := c.record(ctx, kindComplaint, p); err != nil {
		return View{}, err
	}
	return c.understood(), nil
}

func names(ss []statement, state string) bool {
	for _, s := range ss {
		if s.State == state {
			return true
		}
	}
	return false
}

// understood shows the complaint back for correction.
func (c *Case) understood() View {
	v := View{Kind: "complaint", Stated: c.s.stated}
	if c.s.complaint != nil {
		v.Missed = c.s.complaint.Missed
		for _, h := range c.s.complaint.History {
			if def, ok := c.b.e.Snapshot().Circumstance(h.ID); ok {
				t := "Said beside it: " + def.Title
				if h.Denied {
					t = "Denied: " + def.Title
				}
				v.Text = append(v.Text, t)
			}
		}
	}
	if c.s.complaint != nil && !c.s.untried && !c.s.cured && !c.Closed() && c.asked == nil {
		c.oweAhead()
	}
	v.Hint = "right? Enter goes on. Else: absent SYMPTOM, present SYMPTOM, unknown SYMPTOM. Seen it yourself? seen"
	return v
}

func (c *Case) doPresent(ctx context.Context, words string) (View, error) {
	return c.restate(ctx, words, "present")
}

func (c *Case) doAbsent(ctx context.Context, words string) (View, error) {
	return c.restate(ctx, words, "absent")
}

func (c *Case) doUnknown(ctx context.Context, words string) (View, error) {
	return c.restate(ctx, words, "unknown")
}

func (c *Case) restate(ctx context.Context, words, state string) (View, error) {
	id, v := c.symptom(words)
	if id == "" {
		return v, nil
	}
	if state != "present" {
		rest := 0
		for _, st := range c.s.stated {
			if st.State == "present" && st.Symptom != id {
				rest++
			}
		}
		if rest == 0 {
			return c.wrong("Then nothing would be left of the complaint; name first what it does, with: present SYMPTOM."), nil
		}
	}
	if err := c.record(ctx, kindStated, statement{Symptom: id, State: state, Words: words}); err != nil {
		return View{}, err
	}
	return c.understood(), nil
}

// symptom finds the one symptom that is named, or explains why there is none.
func (c *Case) symptom(words string) (string, View) {
	if words == "" {
		return "", c.wrong("Which symptom? Name it, for instance: %s.", c.exampleSymptom())
	}
	found := c.b.e.Lexicon().Find(words)
	switch {
	case len(found) == 0:
		return "", c.wrong("No symptom of this pack fits %q.", words)
	case len(found) > 1 && !surelyFirst(words, found):
		v := c.wrong("%q fits more than one symptom.", words)
		for _, s := range found[:min(6, len(found))] {
			v.Text = append(v.Text, s.Title)
		}
		v.Hint = "say it in the words of one of these"
		return "", v
	}
	return found[0].ID, View{}
}

// surelyFirst tells whether the best symptom is clearly meant: its own words
// were used.
func surelyFirst(words string, found []symptoms.Symptom) bool {
	var ns []named
	for _, s := range found {
		ns = append(ns, named{s.ID, s.Title})
	}
	best := choose(words, ns)
	return len(best) == 1 && best[0] == 0
}

func (c *Case) exampleSymptom() string {
	for _, s := range c.s.stated {
		return s.Title
	}
	for _, e := range c.b.e.Model().Symptoms() {
		return c.b.title(e)
	}
	return ""
}

// doSeen turns the owner's words into what the mechanic has seen.
func (c *Case) doSeen(ctx context.Context, words string) (View, error) {
	var ids []string
	if words == "" {
		for _, st := range c.s.stated {
			if st.State == "present" && !st.Verified {
				ids = append(ids, st.Symptom)
			}
		}
		if len(ids) == 0 {
			return c.wrong("Everything in the complaint has been seen already."), nil
		}
	} else {
		id, v := c.symptom(words)
		if id == "" {
			return v, nil
		}
		ids = []string{id}
	}
	p := verified{Present: true}
	p.Minutes, p.Advised = c.tried()
	for _, id := range ids {
		p.Symptom = id
		if err := c.record(ctx, kindVerified, p); err != nil {
			return View{}, err
		}
		p.Minutes, p.Advised = 0, ""
	}
	return c.understood(), nil
}

// complained lists the symptoms of the complaint.
func (c *Case) complained() []string {
	var out []string
	for _, st := range c.s.stated {
		if st.State == "present" {
			out = append(out, st.Symptom)
		}
	}
	return out
}

func (c *Case) event(id string) faulttree.Event {
	ev, _ := c.b.e.Event(id, knowledge.Place{})
	return ev
}
