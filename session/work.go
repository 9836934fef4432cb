package session

import (
	"context"
	"encoding/json"
	"slices"
	"strconv"
	"strings"

	"narrows/faulttree/plan"
	"narrows/knowledge"
	"narrows/session/journal"
)

// worked lists the checks and repairs recorded so far.
func (c *Case) worked() []*knowledge.Work {
	var out []*knowledge.Work
	for _, e := range c.s.effective {
		switch e.Kind {
		case kindCheck:
			var p checked
			if json.Unmarshal(e.Payload, &p) == nil {
				if def, ok := c.b.e.Snapshot().Check(p.Check); ok {
					out = append(out, &def.Work)
				}
			}
		case kindStep:
			var p stepped
			if json.Unmarshal(e.Payload, &p) == nil {
				if def, ok := c.b.e.Snapshot().Check(p.Check); ok {
					out = append(out, &def.Work)
				}
			}
		case kindRepair:
			var p repaired
			if json.Unmarshal(e.Payload, &p) == nil {
				if def, ok := c.b.e.Snapshot().Repair(p.Repair); ok {
					out = append(out, &def.Work)
				}
			}
		}
	}
	return out
}

// doSkip leaves a check out, with the reason.
func (c *Case) doSkip(ctx context.Context, rest string) (View, error) {
	action, reason, v, err := c.toSkip(ctx, rest)
	if err != nil || v.Error != "" {
		return v, err
	}
	if action < 0 || c.b.actions[action].Kind != plan.Check {
		return c.wrong("Which check? Give its number in the list, or its name."), nil
	}
	c.asked = nil
	for _, at := range c.b.about[action].places {
		if err := c.record(ctx, kindSkipped, skipped{c.b.about[action].id, placeKey(at), reason}); err != nil {
			return View{}, err
		}
	}
	return c.whatNext(ctx)
}

// toSkip finds the check that is to be left out, or -1, and the reason.
func (c *Case) toSkip(ctx context.Context, rest string) (action int, reason string, v View, err error) {
	first, reason, _ := strings.Cut(rest, " ")
	n, notNumber := strconv.Atoi(first)
	switch {
	case rest == "" && c.asked != nil:
		return c.asked.action, "", View{}, nil
	case rest == "":
		n, reason = 1, ""
	case notNumber != nil:
		action, v = c.action(plan.Check, rest)
		return action, "", v, nil
	}
	if err := c.await(ctx); err != nil {
		return -1, "", View{}, err
	}
	if list := c.list(); list != nil && n >= 1 && n <= len(list.actions) {
		return list.actions[n-1], reason, View{}, nil
	}
	return -1, "", View{}, nil
}

func (c *Case) doOpen(ctx context.Context, words string) (View, error) {
	return c.access(ctx, words, true)
}

func (c *Case) doShut(ctx context.Context, words string) (View, error) {
	return c.access(ctx, words, false)
}

func (c *Case) access(ctx context.Context, words string, open bool) (View, error) {
	var ns []named
	for _, o := range c.b.e.Pack().Openings {
		ns = append(ns, named{o.ID, o.Title})
	}
	found := choose(words, ns)
	if len(found) != 1 {
		v := c.wrong("Which opening is meant by %q?", words)
		for _, n := range ns {
			v.Text = append(v.Text, n.title)
		}
		return v, nil
	}
	if c.s.open.Has(c.b.opening[ns[found[0]].id]) == open {
		return c.wrong("It is so already: %s.", ns[found[0]].title), nil
	}
	if err := c.record(ctx, kindAccess, access{ns[found[0]].id, open}); err != nil {
		return View{}, err
	}
	return c.here(ctx)
}

func (c *Case) doNote(ctx context.Context, words string) (View, error) {
	if words == "" {
		return c.wrong("Note what? note WORDS writes them into the record."), nil
	}
	if err := c.record(ctx, kindNote, note{words}); err != nil {
		return View{}, err
	}
	return View{Kind: "note", Text: []string{"Noted."}, Hint: "Enter goes on"}, nil
}

// doUndo takes back the last entry that still counts, or the one with the
// number given.
func (c *Case) doUndo(ctx context.Context, words string) (View, error) {
	i := len(c.s.effective) - 1
	if words != "" {
		n, err := strconv.Atoi(words)
		if err != nil {
			return c.wrong("undo takes back the last entry, or the one whose number stands behind it (log lists them)."), nil
		}
		i = slices.IndexFunc(c.s.effective, func(e journal.Entry) bool { return e.Seq == n })
		if i < 0 {
			return c.wrong("No entry that counts has the number %d; log lists them.", n), nil
		}
	}
	if i < 0 || c.s.effective[i].Kind == kindOpened {
		return c.wrong("There is nothing to take back."), nil
	}
	target := c.s.effective[i]
	for _, seq := range c.goesWith(i) {
		if err := c.record(ctx, kindUndo, undo{seq}); err != nil {
			return View{}, err
		}
	}
	c.asked, c.offer = nil, nil
	if target.Kind == kindStep {
		var p stepped
		if err := json.Unmarshal(target.Payload, &p); err != nil {
			return View{}, entryError(target, err)
		}
		if err := c.askOn(p); err != nil {
			return View{}, err
		}
	}
	v, err := c.here(ctx)
	v.Text = append([]string{"Taken back: " + c.entryWords(target) + "."}, v.Text...)
	return v, err
}

// goesWith lists the entries to take back with one of the effective ones, the
// latest first: with a repair, the trials of the complaint that it led to; with a
// step of a timed check, those behind it.
func (c *Case) goesWith(i int) []int {
	out := []int{c.s.effective[i].Seq}
	switch c.s.effective[i].Kind {
	case kindRepair:
	case kindStep:
		return c.stepsFrom(i)
	default:
		return out
	}
	for _, e := range c.s.effective[i+1:] {
		switch e.Kind {
		case kindRepair:
			return out
		case kindRetried:
			out = append([]int{e.Seq}, out...)
		}
	}
	return out
}

func (c *Case) doClose(ctx context.Context, words string) (View, error) {
	if c.s.untried {
		v := c.askRetry()
		v.Error = "A repair has been made and the complaint not tried since; try it first."
		return v, nil
	}
	if err := c.record(ctx, kindClosed, closed{Cured: c.s.cured, Words: words}); err != nil {
		return View{}, err
	}
	c.asked = nil
	v := View{Kind: "closed", Done: true, Report: c.ID}
	v.Text = []string{"The case is closed."}
	if !c.s.cured {
		v.Text = []string{"The case is closed without a cure."}
	}
	return v, nil
}

func (c *Case) doQuit(context.Context, string) (View, error) {
	return View{Kind: "quit", Done: true, Text: []string{"Everything entered is kept; the case can be taken up again."}}, nil
}
