package session

import (
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"narrows/faulttree/plan"
	"narrows/knowledge"
	"narrows/session/journal"
	"narrows/symptoms/measure"
)

// A check whose steps have waits, or values to be read on the way, is gone through
// step by step. Every value and the beginning of every wait is an entry, so that it
// can be left at any step, by a crash too, and taken up again there.

// stepped is one step of such a check that was done.
type stepped struct {
	Check string `json:"check"`
	Scope string `json:"scope,omitempty"` // the one place that it is done at; empty: all in one go
	Fresh bool   `json:"fresh,omitempty"` // it begins anew: what was read before counts no more
	Step  int    `json:"step"`            // of the check's steps, from 0
	Took  *took  `json:"took,omitempty"`  // a value; else a wait
	Early bool   `json:"early,omitempty"` // the wait was left before its time; else it was begun
	// Minutes are paid with the first step.
	Minutes float64 `json:"minutes,omitempty"`
	Advised string  `json:"advised,omitempty"` // what was offered first instead
}

// took is a value read on the way.
type took struct {
	Name        string  `json:"name"`
	Title       string  `json:"title"`
	Place       string  `json:"place,omitempty"`
	Typed       string  `json:"typed"`
	Unit        string  `json:"unit"`
	Value       float64 `json:"value"` // in Unit
	Uncertainty float64 `json:"uncertainty"`
	Waited      float64 `json:"waited_seconds,omitempty"` // since the last wait before it was begun
	Verdict     string  `json:"verdict,omitempty"`
	Limit       string  `json:"limit,omitempty"`
	Instrument  string  `json:"instrument,omitempty"` // another one than the check assumes
	// Components are kept where an error is shared with other readings.
	Components []measure.Component `json:"components,omitempty"`

	at time.Time // of its entry
}

// underway is how far such a check has come.
type underway struct {
	values map[valueAt]*took
	waits  map[int]begun // by step
	over   bool          // a repair has been made since: it cannot be gone on with
}

type valueAt struct {
	step  int
	place string
}

// begun is a wait.
type begun struct {
	at    time.Time
	early bool
}

// scope is where a run of an action's check is kept: at its one place, or at all.
func (b *bench) scope(action int) checkAt {
	about := b.about[action]
	if len(about.places) == 1 {
		return checkAt{about.id, placeKey(about.places[0])}
	}
	return checkAt{check: about.id}
}

// onStep takes a step into account.
func (f *folder) onStep(e journal.Entry) error {
	var p stepped
	if err := json.Unmarshal(e.Payload, &p); err != nil {
		return err
	}
	def, ok := f.b.e.Snapshot().Check(p.Check)
	if !ok || p.Step < 0 || p.Step >= len(def.Steps) {
		return fmt.Errorf("the pack has no step %d of check %q", p.Step+1, p.Check)
	}
	key := checkAt{p.Check, p.Scope}
	u := f.s.under[key]
	if u == nil || u.over || p.Fresh {
		u = &underway{values: make(map[valueAt]*took), waits: make(map[int]begun)}
		f.s.under[key] = u
	}
	switch {
	case p.Took != nil:
		p.Took.at = e.Time
		u.values[valueAt{p.Step, p.Took.Place}] = p.Took
	case p.Early:
		u.waits[p.Step] = begun{u.waits[p.Step].at, true}
	default:
		u.waits[p.Step] = begun{at: e.Time}
	}
	if p.Minutes > 0 {
		f.s.minutes += p.Minutes
		if i := f.b.scoped(key); i >= 0 {
			f.move(&f.b.actions[i])
		}
	}
	return nil
}

// scoped is the check action of a scope, or -1.
func (b *bench) scoped(key checkAt) int {
	return slices.IndexFunc(b.about, func(a actionAbout) bool {
		return a.id == key.check && (key.place == "" || slices.ContainsFunc(a.places, func(p knowledge.Place) bool { return placeKey(p) == key.place }))
	})
}

// stop is a step at which something is waited for from the mechanic: a value at a
// place, the beginning of a wait, or its end.
type stop struct {
	step  int
	place knowledge.Place
	begun time.Time // of a wait that goes on; zero if it is to be begun
}

// stopped is where a check of these steps stands at a time; ok is false if it has
// none, or has come through them all.
func (u *underway) stopped(steps []knowledge.Step, places []knowledge.Place, now time.Time) (s stop, ok bool) {
	for i, step := range steps {
		switch {
		case step.Wait > 0:
			w, any := u.wait(i)
			switch {
			case !any:
				return stop{step: i}, true
			case !w.early && now.Before(w.at.Add(step.Wait)):
				return stop{step: i, begun: w.at}, true
			}
		case step.Take != nil:
			for _, at := range places {
				if u == nil || u.values[valueAt{i, placeKey(at)}] == nil {
					return stop{step: i, place: at}, true
				}
			}
		}
	}
	return stop{}, false
}

func (u *underway) wait(step int) (begun, bool) {
	if u == nil {
		return begun{}, false
	}
	w, ok := u.waits[step]
	return w, ok
}

// lastWait is the wait before a step that was begun last, or -1.
func (u *underway) lastWait(steps []knowledge.Step, before int) int {
	for i := before - 1; i >= 0; i-- {
		if _, ok := u.wait(i); ok && steps[i].Wait > 0 {
			return i
		}
	}
	return -1
}

// proceeding is the timed check that is asked, with how far it has come; ok is
// false if none is, or its steps are all done.
func (c *Case) proceeding() (def *knowledge.Check, at stop, ok bool) {
	if c.asked == nil || c.b.actions[c.asked.action].Kind != plan.Check {
		return nil, stop{}, false
	}
	if def = c.check(c.asked.action); !def.Timed() {
		return def, stop{}, false
	}
	at, ok = c.underway().stopped(def.Steps, c.b.about[c.asked.action].places, c.log.Now())
	return def, at, ok
}

// underway is how far the check that is asked has come; nil if it is to begin.
func (c *Case) underway() *underway {
	if c.asked.fresh {
		return nil
	}
	if u := c.s.under[c.b.scope(c.asked.action)]; u != nil && !u.over {
		return u
	}
	return nil
}

// joinRun has the check that is asked go on where it was left, or begin anew if it
// had come to its end.
func (c *Case) joinRun() {
	if c.underway() == nil {
		return
	}
	_, _, open := c.proceeding()
	c.asked.paid, c.asked.resumed, c.asked.fresh = open, open, !open
}

// takeUp asks on in the timed check at which the record ends.
func (c *Case) takeUp() error {
	for i := len(c.s.effective) - 1; i >= 0 && c.asked == nil; i-- {
		e := c.s.effective[i]
		switch e.Kind {
		case kindNote:
			continue
		case kindStep:
			var p stepped
			if err := json.Unmarshal(e.Payload, &p); err != nil {
				return entryError(e, err)
			}
			return c.askOn(p)
		}
		return nil
	}
	return nil
}

// askOn asks for what comes after a step.
func (c *Case) askOn(p stepped) error {
	action := c.b.scoped(checkAt{p.Check, p.Scope})
	if action < 0 {
		return nil
	}
	before, err := c.suspects()
	if err != nil {
		return err
	}
	c.asked = &pending{action: action, before: before, places: slices.Clone(c.b.about[action].places), warned: true}
	c.asked.paid = c.underway() != nil
	c.asked.resumed = c.asked.paid
	return nil
}

// stepsFrom lists the steps of one run from an entry on, the latest first.
func (c *Case) stepsFrom(i int) []int {
	var first stepped
	if json.Unmarshal(c.s.effective[i].Payload, &first) != nil {
		return []int{c.s.effective[i].Seq}
	}
	out := []int{c.s.effective[i].Seq}
	for _, e := range c.s.effective[i+1:] {
		var p stepped
		switch {
		case e.Kind == kindRepair:
			return out
		case e.Kind != kindStep || json.Unmarshal(e.Payload, &p) != nil || p.Check != first.Check || p.Scope != first.Scope:
		case p.Fresh:
			return out
		default:
			out = append([]int{e.Seq}, out...)
		}
	}
	return out
}

// stepWords says an entry of that kind.
func (c *Case) stepWords(p stepped) string {
	title, step := p.Check, fmt.Sprintf("step %d", p.Step+1)
	if def, ok := c.b.e.Snapshot().Check(p.Check); ok && p.Step >= 0 && p.Step < len(def.Steps) {
		title, step = def.Title, def.Steps[p.Step].Text
	}
	s := title + ": "
	switch {
	case p.Took != nil:
		s += step
		if p.Took.Place != "" {
			s += " at " + c.b.e.PlaceTitle(placeOf(p.Took.Place))
		}
		s += ": " + p.Took.words()
	case p.Early:
		s += "went on before the wait was over: " + step
	default:
		s += "wait begun: " + step
	}
	return s
}
