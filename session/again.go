package session

import (
	"fmt"
	"strings"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
	"narrows/knowledge"
	"narrows/symptoms/measure"
)

// A reading taken once more, or with a better instrument. What an instrument's
// noise has hidden it may show; what the check itself cannot tell it does not:
// readings of the same thing count together, as one reading with less noise.

// houseRule is the rule by which what is read is judged, that of measure.Judge.
func houseRule() measure.Rule { return measure.GuardBand(0.95) }

// soFar is what the readings of a check say together at the present stage.
type soFar struct {
	finding int // ID in the belief
	measure.Estimate
	parts []measure.Component // of its uncertainty, where errors are shared
	n     int                 // how many they are
}

func (so soFar) reading() measure.Reading {
	return measure.Reading{Estimate: so.Estimate, Components: so.parts}
}

// together is what the last of several readings of the same thing says with those
// before it that agree with it; one that does not is taken for a slip, and left
// out.
func together(unit measure.Unit, all []*reading) (soFar, error) {
	last := all[len(all)-1].measured(unit)
	var agree []measure.Reading
	for _, r := range all {
		if m := r.measured(unit); measure.AgreeShared(m, last) {
			agree = append(agree, m)
		}
	}
	m, err := measure.PooledShared(agree...)
	return soFar{Estimate: m.Estimate, parts: m.Components, n: len(agree)}, err
}

func (r *reading) measured(unit measure.Unit) measure.Reading {
	return measure.Reading{Estimate: measure.Estimate{Value: r.Corrected, U: r.Uncertainty, Unit: unit}, Components: r.Components}
}

// joined is the finding that readings of the same thing make together.
func (b *bench) joined(u knowledge.CheckUse, all []*reading) (ft.Finding, soFar, error) {
	use, ok := b.e.Reading(u)
	if !ok {
		return ft.Finding{}, soFar{}, fmt.Errorf("the pack's check %q at %q reads nothing", u.Def.ID, placeKey(u.Place))
	}
	so, err := together(use.Unit, all)
	if err != nil {
		return ft.Finding{}, so, err
	}
	said := all[len(all)-1].Likelihood
	if so.n > 1 {
		if said, err = use.Model.Of(so.Estimate); err != nil {
			return ft.Finding{}, so, err
		}
	}
	return ft.Reading(u.ID, said), so, nil
}

// addAgain adds the actions that repeat the readings of a check, one place at a
// time.
func (b *bench) addAgain(c *knowledge.Check) {
	uses := b.e.ChecksOf(c.ID)
	for _, u := range uses {
		use, ok := b.e.Reading(u)
		if !ok {
			continue
		}
		k := b.cost(&c.Work)
		if !c.Each {
			k.work /= float64(len(uses))
		}
		about := actionAbout{id: c.ID, places: []knowledge.Place{u.Place}, work: &c.Work, title: u.Title + ", once more", cost: k, again: use.Uncertainty}
		b.again(u, about)
		if use.Finer > 0 {
			tool := c.Reading.Finer.Tool.ID
			about.again, about.finer = use.Finer, tool
			if def, ok := b.e.Snapshot().Tool(tool); ok {
				about.title = u.Title + ", with the " + def.Title
			}
			b.again(u, about)
		}
	}
}

func (b *bench) again(u knowledge.CheckUse, about actionAbout) {
	a := b.action(plan.Check, about.title, about.work)
	a.Minutes = about.cost.planned()
	a.Checks, a.Again, a.BeforeRepairs = []ft.CheckID{u.ID}, &plan.Again{}, true
	a.Barred = nothingRead
	b.add(a, about)
}

const nothingRead = "nothing has been read yet"

// repeat gives an action that repeats a reading the chances that it has after
// what was read, or says why it cannot be done.
func (c *Case) repeat(i int, a *plan.Action) {
	about := c.b.about[i]
	so, ok := c.s.read[checkAt{about.id, placeKey(about.places[0])}]
	switch {
	case a.Barred != "":
	case !ok:
		a.Barred = nothingRead
	default:
		u, _ := c.b.e.CheckByID(a.Checks[0])
		use, _ := c.b.e.Reading(u)
		next := about.again
		if about.finer == "" {
			var common float64
			so.U, common, next = c.foreseeing(use, so)
			use.Model = use.Model.Blurred(common)
		}
		if odds := use.Again(so.Estimate, next); odds != nil {
			a.Again = &plan.Again{Finding: so.finding, Odds: odds}
		} else {
			a.Barred = "its reading cannot be weighed again"
		}
	}
}

// joinedWords says what the readings of a check say together, where they are
// several.
func (c *Case) joinedWords(check string, at knowledge.Place) string {
	return c.joinedOf(check, at, c.s.readings[checkAt{check, placeKey(at)}])
}

func (c *Case) joinedOf(check string, at knowledge.Place, all []*reading) string {
	u, _ := c.b.e.Check(check, at)
	use, ok := c.b.e.Reading(u)
	if !ok || len(all) < 2 {
		return ""
	}
	so, err := together(use.Unit, all)
	if err != nil {
		return ""
	}
	if so.n == 1 {
		return "It does not agree with what was read before within their uncertainties; the last reading counts alone. If it is the slip, take it back with undo."
	}
	s := fmt.Sprintf("Together, %d readings: %s", so.n, c.estimateWords(so.Estimate))
	if use.Limit != nil {
		if v, err := houseRule().Judge(so.Estimate, *use.Limit); err == nil {
			s += ": " + v.State.String()
		}
	}
	return s + "."
}

// mostRepeats is how many more readings are worth a mention.
const mostRepeats = 9

// settlingWords says what would settle a judgement that is too close to call.
func (c *Case) settlingWords(check string, at knowledge.Place) string {
	u, _ := c.b.e.Check(check, at)
	use, ok := c.b.e.Reading(u)
	so, read := c.s.read[checkAt{check, placeKey(at)}]
	if !ok || !read || use.Limit == nil {
		return ""
	}
	rule := houseRule()
	if v, err := rule.Judge(so.Estimate, *use.Limit); err != nil || v.State != measure.TooClose {
		return ""
	}
	var ways []string
	_, common, next := c.foreseeing(use, so)
	if n, ok := rule.SettlingShared(so.Estimate, common, next, *use.Limit, mostRepeats); ok {
		more := plural(n, "more such reading")
		if x := c.chosen(use); x != nil {
			more = plural(n, "more reading") + " with the " + lower(x.Title)
		}
		ways = append(ways, more)
	}
	if use.Finer > 0 {
		if n, ok := rule.Settling(so.Estimate, use.Finer, *use.Limit, mostRepeats); ok {
			ways = append(ways, plural(n, "reading")+" with the "+c.meansTitle(u.Def.Reading.Finer.Tool.ID))
		}
	}
	if len(ways) == 0 {
		return "It lies so near the limit that reading it again will hardly settle it."
	}
	return "What would settle it if they say the same: " + strings.Join(ways, ", or ") + "."
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %s", n, strings.Replace(what, "reading", "readings", 1))
}
