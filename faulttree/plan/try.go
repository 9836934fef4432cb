package plan

import ft "narrows/faulttree"

// addTry values seeing the complaint for oneself, where it was only told of.
// Without it, a plan of repairs makes its first repair also on an engine that
// has nothing of the kind, and finds it gone at the first try: so what trying
// first saves is that repair, on such engines. What does not show at one try may
// be there all the same; then one either goes on as if it were, or lets the engine
// go and has it back if it was.
//
// The numbers are those of the plan of repairs; what checks would change about
// them is left out.
func (p *Problem) addTry(adv *Advice, cures *ft.Cures, base Base) error {
	for i := range p.Actions {
		a := &p.Actions[i]
		if a.Kind != Try || a.Barred != "" {
			continue
		}
		move, during, err := p.Openings.Reach(p.Open, a)
		if err != nil {
			continue
		}
		none, err := cures.Set() // nothing of it is there as it is
		if err != nil {
			return err
		}
		if none < leastDoubt || none > 1-leastChance {
			continue
		}
		minutes, shut := move+a.Minutes, p.Openings.CloseAll(during)
		there, goOn := p.ifThere(base, none)
		seen := (1 - none) * a.Shows
		absent := none / (1 - seen) // if it does not show
		back := absent*shut + (1-absent)*(shut+p.Recheck+there)
		unseen := min(back, absent*goOn+(1-absent)*there)
		first := -1
		if len(base.Steps) > 0 {
			first = base.Steps[0].Action
		}
		expected := minutes + seen*there + (1-seen)*unseen
		saves := base.Expected - expected
		adv.Options = append(adv.Options, Option{Action: i, Minutes: minutes, Expected: adv.Base.Expected - saves, Saves: saves,
			Outcomes: []Outcome{{Results: []int{0}, P: seen, Expected: there, First: first}, {Results: []int{1}, P: 1 - seen, Expected: unseen, First: -1}}})
	}
	return nil
}

// Where it is less doubtful than this that the complaint is there, a try is of no
// interest; where it is less likely to be there than that, what it would take if it
// were drowns in rounding.
const (
	leastDoubt  = 0.005
	leastChance = 0.001
)

// ifThere parts what a plan of repairs expects by whether the complaint, which is
// not there with the given probability, is.
func (p *Problem) ifThere(base Base, none float64) (there, gone float64) {
	gone = p.HandOn + p.Openings.CloseAll(p.Open)
	if len(base.Steps) > 0 {
		s := base.Steps[0]
		gone = s.Minutes
		if _, after, err := p.tryCost(&p.Actions[s.Action], p.Open); err == nil {
			gone += p.Openings.CloseAll(after)
		}
	}
	return max(0, base.Expected-none*gone) / (1 - none), gone
}
