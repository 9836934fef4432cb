package session

import (
	"fmt"
	"strings"

	ft "narrows/faulttree"
	"narrows/faulttree/plan"
	"narrows/knowledge"
)

// cost is what an action costs apart from opening and closing, in minutes of
// the shop, part by part. Only work and found are minutes by the clock.
type cost struct {
	work   float64
	parts  float64
	used   float64 // what it uses up
	risk   float64 // what its cautions charge
	found  float64 // more work, for each fault that is found
	fitted float64 // parts, for each fault that is found
}

// planned is what the planner counts before it is known what is found.
func (k cost) planned() float64 { return k.work + k.parts + k.used + k.risk }

// ifFound is what comes on top for each of the faults, where it is there.
func (k cost) ifFound(faults []ft.Event) []plan.Found {
	if k.found+k.fitted == 0 {
		return nil
	}
	var out []plan.Found
	for _, e := range faults {
		out = append(out, plan.Found{Mode: e, Minutes: k.found + k.fitted})
	}
	return out
}

func (b *bench) cost(w *knowledge.Work) cost {
	k := cost{work: w.Minutes}
	for _, x := range w.Consumables {
		k.used += x.Minutes
	}
	for _, r := range w.Cautions {
		if def, ok := b.e.Snapshot().Caution(r.ID); ok {
			k.risk += def.Charge
		}
	}
	return k
}

func (b *bench) repairCost(def *knowledge.Repair) cost {
	k := b.cost(&def.Work)
	k.parts, k.found = def.PartsMinutes, def.FoundMinutes
	if def.PartsWhenFound {
		k.parts, k.fitted = 0, def.PartsMinutes
	}
	return k
}

// labour is the minutes of work that the record counts for an action: no parts,
// nothing used up, no risk. What a repair found is not told with it, so what
// that takes counts by the chance that it was there.
func (c *Case) labour(action int, post *ft.Posterior) float64 {
	k := c.b.about[action].cost
	m := k.work
	if k.found > 0 && post != nil {
		for _, f := range c.b.actions[action].Found {
			m += k.found * post.P(f.Mode)
		}
	}
	return m
}

// costWords says what an action costs where it is more than work and parts.
func (c *Case) costWords(action int) string {
	about := c.b.about[action]
	k := about.cost
	if about.work == nil || k.used+k.risk+k.found+k.fitted == 0 {
		return ""
	}
	said := []string{few(k.work) + " min of work"}
	if k.parts > 0 {
		said = append(said, few(k.parts)+" for parts")
	}
	if k.used > 0 {
		said = append(said, few(k.used)+" for what it uses up ("+strings.Join(usedUp(about.work), ", ")+")")
	}
	if k.risk > 0 {
		said = append(said, few(k.risk)+" weighed for the risk ("+strings.Join(c.risks(about.work), ", ")+")")
	}
	s := "It costs " + strings.Join(said, ", ")
	if more := k.found + k.fitted; more > 0 {
		s += "; " + few(more) + " more for each fault that it finds"
		if k.fitted > 0 {
			s += ", parts included"
		}
	}
	return s + "."
}

// few writes minutes that may be less than a whole one.
func few(m float64) string { return fmt.Sprintf("%.4g", m) }

func usedUp(w *knowledge.Work) []string {
	var out []string
	for _, x := range w.Consumables {
		if x.Minutes > 0 {
			out = append(out, x.Title)
		}
	}
	return out
}

// risks are the titles of the cautions that charge for work.
func (c *Case) risks(w *knowledge.Work) []string {
	var out []string
	for _, r := range w.Cautions {
		if def, ok := c.b.e.Snapshot().Caution(r.ID); ok && def.Charge > 0 {
			out = append(out, lower(def.Title))
		}
	}
	return out
}
