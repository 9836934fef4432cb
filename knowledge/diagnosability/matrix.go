package diagnosability

import (
	"cmp"
	"math"
	"slices"

	"narrows/faulttree"
	"narrows/knowledge"
)

// Shown is the least change of the chance of an outcome at which a check counts
// as showing a fault in the D-matrix: one half. A single look, sound and faulty
// equally likely before, then decides wrongly in at most one case of four.
// Judgement: the classical matrix knows only pass and fail, and one half is where
// the fault becomes likelier to show than not on a check that a sound engine
// passes.
const Shown = 0.5

// Fault is a row of the matrix: a failure mode at one place, or a common cause
// that a repair can put right.
type Fault struct {
	Event   faulttree.Event
	ID      string // "pilot_jet.blocked"
	Place   knowledge.Place
	Title   string
	System  string // the item's heading, or ""
	Prior   float64
	Repairs []faulttree.RepairID // those that put it right, rising
}

// Name names the fault as the model does: "pilot_jet.blocked@carb:3".
func (f Fault) Name() string { return named(f.ID, f.Place) }

// Check is a column: a check at one place.
type Check struct {
	ID      faulttree.CheckID
	Name    string // "drop_idle@cylinder:3"
	Title   string
	Minutes float64
	Access  float64  // minutes to open all that it needs, and to close it again
	Opens   []string // titles of all that must be open for it, in the order of the pack
	sound   looks
}

// looks are the chances of what a check shows on some engine: of its outcomes, and
// of the cells of a reading, which are finer.
type looks struct {
	outcomes, cells []float64
}

// view is what a check shows of a fault.
type view struct {
	looks
	seen  bool              // the fault stands below the check's rows
	doubt []faulttree.Event // the gates on the way that chance decides on
}

// Matrix says what every check shows of every fault, if that fault alone is
// there. It is immutable.
type Matrix struct {
	Faults []Fault
	Checks []Check
	views  [][]view // by fault, then check
}

// Of computes the matrix of an engine. The error names the check and the fault
// between which too many conditions stand.
func Of(e *knowledge.Engine) (*Matrix, error) {
	x := &Matrix{Faults: faults(e)}
	m := e.Model()
	uses := e.Checks()
	access := newAccess(e)
	sights := make([]*sight, len(uses))
	cells := make([][][]float64, len(uses))
	for i, u := range uses {
		c := m.Checks()[u.ID]
		sights[i], cells[i] = sightOf(m, c), cellsOf(e, u, c)
		rows, err := sights[i].rows(m, faulttree.None)
		if err != nil {
			return nil, err
		}
		minutes, opens := access.of(u.Def)
		x.Checks = append(x.Checks, Check{
			ID: u.ID, Name: c.Name, Title: u.Title, Minutes: u.Def.Minutes, Access: minutes, Opens: opens,
			sound: looks{mixed(rows, outcomesOf(c)), mixed(rows, cells[i])},
		})
	}
	for _, f := range x.Faults {
		doubt := doubtful(m, f.Event)
		views := make([]view, len(uses))
		for i, s := range sights {
			views[i].looks = x.Checks[i].sound
			if !s.below[f.Event] {
				continue
			}
			var err error
			if views[i], err = s.view(m, f.Event, doubt, cells[i]); err != nil {
				return nil, err
			}
		}
		x.views = append(x.views, views)
	}
	return x, nil
}

// view is what the check shows of a fault that stands below it.
func (s *sight) view(m *faulttree.Model, only faulttree.Event, doubt []bool, cells [][]float64) (view, error) {
	rows, err := s.rows(m, only)
	if err != nil {
		return view{}, err
	}
	v := view{looks: looks{mixed(rows, outcomesOf(s.check)), mixed(rows, cells)}, seen: true}
	for _, g := range s.gates {
		if doubt[g] {
			v.doubt = append(v.doubt, g)
		}
	}
	return v, nil
}

// faults lists the rows in the order of the pack.
func faults(e *knowledge.Engine) []Fault {
	fixed := make(map[faulttree.Event][]faulttree.RepairID)
	for i, r := range e.Model().Repairs() {
		for _, ev := range r.Fixes {
			fixed[ev] = append(fixed[ev], faulttree.RepairID(i))
		}
	}
	var out []Fault
	for i := range e.Model().Len() {
		ev := faulttree.Event(i)
		mode, ok := e.Model().ModeOf(ev)
		d := e.Describe(ev)
		if !ok || d.Kind == knowledge.KindCause && len(fixed[ev]) == 0 {
			continue
		}
		out = append(out, Fault{ev, d.ID, d.Place, d.Title, d.System, mode.Prior, fixed[ev]})
	}
	return out
}

// named is the name of something at a place, as the model gives it.
func named(id string, at knowledge.Place) string {
	if at.Set == "" {
		return id
	}
	return id + "@" + at.Set + ":" + at.Member
}

func outcomesOf(c faulttree.Check) [][]float64 {
	out := make([][]float64, 0, len(c.Rows)+1)
	for _, r := range c.Rows {
		out = append(out, r.P)
	}
	return append(out, c.Else)
}

// cellSteps are where a reading's axis is cut around the mean of each population,
// in standard deviations of what is read: fine enough that the cells tell nearly
// all that the number does.
var cellSteps = [...]float64{-2, -1, 0, 1, 2}

// cellsOf are the chances of the cells of a reading for each row and then for
// none; of the outcomes where nothing is read.
func cellsOf(e *knowledge.Engine, u knowledge.CheckUse, c faulttree.Check) [][]float64 {
	r, ok := e.Reading(u)
	if !ok {
		return outcomesOf(c)
	}
	var cuts []float64
	for _, p := range append(slices.Clone(r.Model.Rows), r.Model.Else) {
		sd := math.Hypot(p.SD, r.Uncertainty)
		for _, k := range cellSteps {
			cuts = append(cuts, p.Mean+float64(k*sd))
		}
	}
	slices.Sort(cuts)
	if bins := r.Model.Bins(slices.Compact(cuts), r.Uncertainty); bins != nil {
		return bins
	}
	return outcomesOf(c)
}

// mixed are the chances of what is seen if the rows decide with those chances.
func mixed(rows []float64, of [][]float64) []float64 {
	out := make([]float64, len(of[0]))
	for i, p := range rows {
		for o, q := range of[i] {
			out[o] += float64(p * q)
		}
	}
	return out
}

// Change is the largest change that the fault makes to the chance of an outcome of
// the check, 0 to 1, against a sound engine; it is at most their total variation
// distance.
func (x *Matrix) Change(fault, check int) float64 {
	most := 0.0
	for o, p := range x.views[fault][check].outcomes {
		most = max(most, math.Abs(p-x.Checks[check].sound.outcomes[o]))
	}
	return most
}

// Entry is the entry of the D-matrix: 0 where the check does not show the fault,
// else 1 and the number of the outcome whose chance the fault raises most.
func (x *Matrix) Entry(fault, check int) int {
	if !x.views[fault][check].seen || x.Change(fault, check) < Shown {
		return 0
	}
	best, most := 0, math.Inf(-1)
	for o, p := range x.views[fault][check].outcomes {
		if rise := p - x.Checks[check].sound.outcomes[o]; rise > most {
			best, most = o, rise
		}
	}
	return best + 1
}

// access reckons what must be opened.
type access struct {
	openings []*knowledge.Opening
}

func newAccess(e *knowledge.Engine) access { return access{e.Pack().Openings} }

// of are the minutes and the titles of all that a check needs open.
func (a access) of(c *knowledge.Check) (minutes float64, titles []string) {
	need := make(map[string]bool)
	var open func(refs []knowledge.Ref)
	open = func(refs []knowledge.Ref) {
		for _, r := range refs {
			if need[r.ID] {
				continue
			}
			need[r.ID] = true
			if i := slices.IndexFunc(a.openings, func(o *knowledge.Opening) bool { return o.ID == r.ID }); i >= 0 {
				open(a.openings[i].Needs)
			}
		}
	}
	open(c.Opens)
	for _, o := range a.openings {
		if need[o.ID] {
			minutes += o.Open + o.Close
			titles = append(titles, o.Title)
		}
	}
	return minutes, titles
}

// Level is a set of checks: all that can be made for so many minutes of opening
// and closing each, or fewer.
type Level struct {
	Access float64
	Opens  []string // what may be opened beyond the level before
	Checks []int    // indices into Matrix.Checks, in the order of the pack
}

// Levels are the levels that the openings of the checks make, from the least
// opened to everything.
func (x *Matrix) Levels() []Level {
	minutes := []float64{0}
	for _, c := range x.Checks {
		minutes = append(minutes, c.Access)
	}
	slices.Sort(minutes)
	known := make(map[string]bool)
	var out []Level
	for _, limit := range slices.Compact(minutes) {
		l := Level{Access: limit}
		for i, c := range x.Checks {
			if cmp.Compare(c.Access, limit) > 0 {
				continue
			}
			l.Checks = append(l.Checks, i)
			for _, o := range c.Opens {
				if !known[o] {
					known[o] = true
					l.Opens = append(l.Opens, o)
				}
			}
		}
		out = append(out, l)
	}
	return out
}
