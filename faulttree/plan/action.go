// Package plan says what to do next about an engine so that the expected
// minutes until the complaint is cured and confirmed, and the engine put
// together again, are few.
//
// The base plan is one of repairs alone, in falling order of cure probability
// per minute, with the complaint tried in between and the job handed on where
// that is cheaper. Its expected minutes count every step with the probability
// that the complaint persists after all repairs before it, which for links that
// persist is less than the plain sum of single cures suggests. What an action
// costs includes moving from the present openings to those it needs. Where
// trying is dear, because much has to be closed for it, several repairs are made
// before one try.
//
// On top of it the planner looks ahead. Where the engines that agree with the
// findings can be walked through (worlds.go), it looks several actions ahead over
// all of them, and is measured against the optimum (optimum.go). Else it looks
// ahead over the belief (ahead.go): a check's minutes plus, over its outcomes,
// the base plan that each would lead to, and for the most promising checks what a
// second one would save after that. A complaint of several symptoms is worked on
// one by one then, where that takes less (parts.go).
//
// A worked case: A with prior .10 and strength .8, B with .05 and .9, unlisted
// .01, the symptom seen; repairs of 20 and 12 minutes, handing on 90. Repairing
// A first, then B, then handing on expects 31.94 minutes; the plain sum of
// single cures would say 34.41.
package plan

import (
	"slices"

	ft "narrows/faulttree"
)

// Kind of an action.
type Kind uint8

// The kinds of action.
const (
	Check Kind = iota
	Repair
	HandOn
	Try // see the complaint for oneself
)

func (k Kind) String() string {
	return [...]string{"check", "repair", "hand on", "try"}[k]
}

// Action is something that the mechanic may do next.
type Action struct {
	Kind    Kind
	Name    string
	Minutes float64      // the work itself, without opening and closing
	Need    Set          // openings that must be open
	Shut    Set          // openings that must be closed
	Running bool         // the engine runs: all that is shut to run is closed
	Checks  []ft.CheckID // of a check: answered together in one go
	Repair  ft.RepairID  // of a repair
	Shows   float64      // of a try: the chance that a complaint that is there shows
	Barred  string       // why it cannot be done here; empty if it can
	// Refused is set beside Barred for what could be done and is not wanted.
	Refused bool
	// BeforeRepairs is set for a check that speaks of the engine as it was
	// brought in and means nothing once something was put right.
	BeforeRepairs bool
	// Again is set for a check that repeats one reading; its chances then are not
	// those of the model, since they depend on what was read.
	Again *Again
	// Found are the minutes that a repair takes beyond Minutes for what it
	// finds: a part is looked at, and put right only where it is bad. They are
	// paid in whatever order repairs are made, so that the order asks for
	// Minutes alone (Heckerman, Breese & Rommelse 1995).
	Found []Found
}

// Again repeats a reading whose finding stands in the belief already. What is
// read anew joins what was read before: its outcomes are where both together come
// to lie.
type Again struct {
	Finding int // ID of the finding of the reading so far
	// Odds are the chances of the outcomes given what was read so far: for each
	// row of the check that may decide it, then for none of them. A repeated
	// reading says nothing beyond what the instrument's noise has hidden.
	Odds [][]float64
}

// check is one of an action's checks with the chances that its outcomes have.
func (a *Action) check(m *ft.Model, c ft.CheckID) ft.Check {
	ck := m.Checks()[c]
	if a.Again == nil {
		return ck
	}
	ck.Rows = slices.Clone(ck.Rows)
	for r := range ck.Rows {
		ck.Rows[r].P = a.Again.Odds[r]
	}
	ck.Else = a.Again.Odds[len(ck.Rows)]
	return ck
}

// Found is what a repair takes more where one of the faults that it fixes is
// there.
type Found struct {
	Mode    ft.Event
	Minutes float64
}

// Problem is a belief with what can be done about it.
type Problem struct {
	Belief   *ft.Belief
	Openings Openings
	Open     Set // what is open now
	Actions  []Action
	// Recheck is the minutes to try the complaint again after a repair, the
	// engine running.
	Recheck float64
	// HandOn is the minutes that handing the job on costs.
	HandOn float64
}

// Step is one repair of a base plan.
type Step struct {
	Action  int     // index into Actions
	Minutes float64 // with opening; and with closing and trying, if it is tried
	Cure    float64 // probability that it ends the complaint, alone and next
	Before  float64 // probability that the complaint persists before it
	Try     bool    // the complaint is tried after it
}

// Base is a plan of repairs, each tried while the complaint lives.
type Base struct {
	Steps    []Step
	Expected float64 // expected minutes, handing on and closing included
	Left     float64 // probability that the complaint persists after all steps
}

// Outcome is one possible result of a check, with what it would lead to.
type Outcome struct {
	Results  []int // the outcome of each of the action's checks; of a try: 0 seen, 1 not
	P        float64
	Expected float64 // expected minutes from then on
	First    int     // index of the first repair of the plan of repairs then, or -1 to hand on
}

// Option is an action with its worth.
type Option struct {
	Action   int
	Minutes  float64 // with opening moves
	Expected float64 // expected minutes to the end if this is done next
	Saves    float64 // expected minutes saved against repairing at once; below 0: not worth it
	Cure     float64 // of a repair: probability that it ends the complaint
	Block    []int   // of a repair: what is made before the complaint is tried, itself first
	Outcomes []Outcome
	// Idle is set for a check that changes nothing: whatever it shows, what comes
	// after it is what would come without it. It saves nothing, even where what comes
	// after it does.
	Idle bool
}

// While is a check that can be made now without opening anything, with its
// minutes now, and those that it would cost once everything is closed.
type While struct {
	Action     int
	Now, Later float64
}

// Advice is what the planner says.
type Advice struct {
	Base    Base
	Options []Option // least expected minutes first
	// Bound is the expected minutes if the fault were revealed free: no plan
	// of these repairs can beat it.
	Bound float64
	// WhileOpen lists checks whose openings are open already.
	WhileOpen []While
	// Unvalued lists checks that were screened out unvalued because they say
	// too little for their minutes; only where Worlds is 0.
	Unvalued []int
	// First is the symptom of a complaint of several that is worked on first, or
	// None; what the others will take is in the minutes, roughly.
	First ft.Event
	// Depth is how many actions the options look ahead. Worlds is how many
	// engines agree with the findings, if they could be walked through, else 0.
	Depth, Worlds int
}
