package plan

import (
	"fmt"
	"math/bits"
	"slices"

	ft "narrows/faulttree"
)

// world is one engine as it may be now, with everything decided that decides
// what checks would show and what repairs would do.
type world struct {
	weight float64
	state  []uint8 // by item: 0 sound, k its k-th mode
	works  []bool  // by link
	extra  []bool  // by gate: something unlisted is at work
	faults []ft.Event
	// fix lists the repairs that would put any of the faults right, with the
	// mask of those faults.
	fix   []fixing
	faces []*face // by mask, where the faults are few
	rare  map[uint32]*face
}

type fixing struct {
	action  int
	mask    uint32
	success float64 // of each fault, in (0,1]
	// found is what the repair takes more for each of the world's faults; nil
	// where nothing.
	found []float64
}

// face is what a world looks like with some of its faults put right.
type face struct {
	cured bool
	rows  []uint8 // by check in use: the row that decides
}

// maxFaults bounds the faults of a world that are told apart; further ones
// count as not to be put right.
const maxFaults = 31

// worlds are all engines that agree with a belief, with their weights.
type worlds struct {
	p     *Problem
	g     *generator
	list  []*world
	used  []ft.CheckID // checks in use, in the order of rows
	place map[ft.CheckID]int
	buf   []bool
	costs map[Set]*tryTable
}

// fewWorlds is up to how many engines are walked through.
const fewWorlds = 20000

// fewItems is up to how many items that may be faulty the engines are listed at
// all: of more there are too many unless nearly all are ruled out, and it would
// take long to find that out.
const fewItems = 40

// seldomLeft is up to which chance a repair may leave a new fault behind without
// that being counted.
const seldomLeft = 0.02

// newWorlds lists all engines that agree with the belief. With checks, they
// also decide what the problem's checks would show. A new fault that a repair
// leaves behind is not followed up: the error wraps ErrTooLarge if that would
// happen more often than the given chance, or if the engines are too many.
func (p *Problem) newWorlds(checks bool, left float64) (*worlds, error) {
	ws := &worlds{p: p, place: make(map[ft.CheckID]int), costs: make(map[Set]*tryTable)}
	m := p.Belief.Model()
	events := slices.Clone(p.Belief.Complaint())
	for i := range p.Actions {
		a := &p.Actions[i]
		switch {
		case a.Barred != "":
		case a.Kind == Repair && slices.ContainsFunc(m.Repairs()[a.Repair].Introduces, func(in ft.Introduced) bool { return in.P > left }):
			return nil, fmt.Errorf("%w: %s may leave a new fault behind", ErrTooLarge, a.Name)
		case a.Kind == Check && checks:
			events = append(events, ws.use(a)...)
		}
	}
	ws.buf = make([]bool, m.Len())
	ws.g = newGenerator(p.Belief, events)
	if n := ws.g.open(); n > fewItems {
		return nil, fmt.Errorf("%w: %d items may be faulty", ErrTooLarge, n)
	}
	if !ws.walk() {
		return nil, fmt.Errorf("%w: more than %d engines agree with the findings", ErrTooLarge, fewWorlds)
	}
	for _, w := range ws.list {
		ws.settle(w)
	}
	ws.merge()
	sum := 0.0
	for _, w := range ws.list {
		sum += w.weight
	}
	for _, w := range ws.list {
		w.weight /= sum
	}
	return ws, nil
}

// use notes the checks of an action and returns the events of their rows.
func (ws *worlds) use(a *Action) (events []ft.Event) {
	for _, c := range a.Checks {
		if _, ok := ws.place[c]; ok {
			continue
		}
		ws.place[c] = len(ws.used)
		ws.used = append(ws.used, c)
		for _, r := range ws.p.Belief.Model().Checks()[c].Rows {
			events = append(events, r.Event)
		}
	}
	return events
}

// walker goes through every sequence of choices.
type walker struct {
	picks []int
	sizes []int
	at    int
	steps int
}

func (k *walker) choose(chances []float64) (int, float64) {
	k.steps++
	if k.at == len(k.picks) {
		k.picks, k.sizes = append(k.picks, 0), append(k.sizes, len(chances))
	}
	pick := k.picks[k.at]
	k.at++
	return pick, chances[pick]
}

// next moves on to the next sequence; it reports false after the last. What
// was chosen beyond the end of the last run is forgotten.
func (k *walker) next() bool {
	k.picks, k.sizes = k.picks[:k.at], k.sizes[:k.at]
	for i := len(k.picks) - 1; i >= 0; i-- {
		if k.picks[i]++; k.picks[i] < k.sizes[i] {
			k.picks, k.sizes, k.at = k.picks[:i+1], k.sizes[:i+1], 0
			return true
		}
	}
	return false
}

// walk lists all worlds, or reports that they are too many.
func (ws *worlds) walk() bool {
	k := &walker{}
	for {
		if w, ok := ws.g.draw(k); ok && w.weight > 0 {
			ws.list = append(ws.list, w)
		}
		if k.steps > 40*fewWorlds || len(ws.list) > fewWorlds {
			ws.list = nil
			return false
		}
		if !k.next() {
			return len(ws.list) > 0
		}
	}
}

// settle lists a world's faults and the repairs that concern them.
func (ws *worlds) settle(w *world) {
	m := ws.g.m
	for i, st := range w.state {
		if st > 0 && len(w.faults) < maxFaults {
			w.faults = append(w.faults, m.Items()[i].Modes[st-1])
		}
	}
	if len(w.faults) <= mergeable {
		w.faces = make([]*face, 1<<len(w.faults))
	} else {
		w.rare = make(map[uint32]*face, 8)
	}
	for a := range ws.p.Actions {
		act := &ws.p.Actions[a]
		if act.Kind != Repair || act.Barred != "" {
			continue
		}
		mask := uint32(0)
		for i, e := range w.faults {
			if slices.Contains(m.Repairs()[act.Repair].Fixes, e) {
				mask |= 1 << i
			}
		}
		if mask != 0 {
			w.fix = append(w.fix, fixing{a, mask, m.Repairs()[act.Repair].Success, foundIn(act, w.faults)})
		}
	}
}

func foundIn(act *Action, faults []ft.Event) []float64 {
	if len(act.Found) == 0 {
		return nil
	}
	out := make([]float64, len(faults))
	for _, f := range act.Found {
		if i := slices.Index(faults, f.Mode); i >= 0 {
			out[i] += f.Minutes
		}
	}
	return out
}

// more is what a repair takes more in a world in which the faults of mask are
// put right already.
func (x fixing) more(mask uint32) float64 {
	sum := 0.0
	for i, m := range x.found {
		if mask>>i&1 == 0 {
			sum += m
		}
	}
	return sum
}

// ways calls f for every set of faults that a repair may leave put right in a
// world in which those of mask are already, with its chance.
func (x fixing) ways(mask uint32, f func(mask uint32, p float64)) {
	left := x.mask &^ mask
	if x.success == 1 {
		f(mask|left, 1)
		return
	}
	n := bits.OnesCount32(left)
	for sub := left; ; sub = (sub - 1) & left {
		p := 1.0
		for range bits.OnesCount32(sub) {
			p *= x.success
		}
		for range n - bits.OnesCount32(sub) {
			p *= 1 - x.success
		}
		f(mask|sub, p)
		if sub == 0 {
			return
		}
	}
}

// look evaluates a world with the faults of the mask put right.
func (ws *worlds) look(w *world, mask uint32) *face {
	if w.faces != nil && w.faces[mask] != nil {
		return w.faces[mask]
	}
	if f, ok := w.rare[mask]; ok {
		return f
	}
	m := ws.g.m
	for _, e := range ws.g.order {
		ws.buf[e] = false
	}
	for i, st := range w.state {
		if st > 0 {
			ws.buf[m.Items()[i].Modes[st-1]] = true
		}
	}
	for i, e := range w.faults {
		if mask>>i&1 != 0 {
			ws.buf[e] = false
		}
	}
	for _, e := range ws.g.order {
		if gate := ws.g.gates[e]; gate != nil {
			ws.buf[e] = output(gate, w.works[ws.g.firstOf[e]:], w.extra[e], ws.buf)
		}
	}
	f := &face{cured: true, rows: make([]uint8, len(ws.used))}
	for _, e := range ws.p.Belief.Complaint() {
		f.cured = f.cured && !ws.buf[e]
	}
	for i, c := range ws.used {
		f.rows[i] = uint8(rowOf(&m.Checks()[c], ws.buf))
	}
	if w.faces != nil {
		w.faces[mask] = f
	} else {
		w.rare[mask] = f
	}
	return f
}

// mergeable is the number of faults up to which worlds are compared in
// everything that could be done to them.
const mergeable = 8

// merge makes one of all worlds that nothing could tell apart.
func (ws *worlds) merge() {
	byLooks := make(map[string]*world)
	var out []*world
	for _, w := range ws.list {
		if len(w.faults) > mergeable {
			out = append(out, w)
			continue
		}
		key := ws.looks(w)
		if same, ok := byLooks[key]; ok {
			same.weight += w.weight
			continue
		}
		byLooks[key] = w
		out = append(out, w)
	}
	ws.list = out
}

// looks writes down how a world answers to everything.
func (ws *worlds) looks(w *world) string {
	key := []byte{byte(len(w.fix)), byte(len(w.fix) >> 8), byte(len(w.faults))}
	for _, f := range w.fix {
		key = append(key, byte(f.action), byte(f.action>>8), byte(f.mask))
		for _, m := range f.found {
			key = fmt.Appendf(key, "%x,", m)
		}
	}
	for mask := range uint32(1) << len(w.faults) {
		f := ws.look(w, mask)
		if f.cured {
			key = append(key, 255)
		}
		key = append(key, 254)
		key = append(key, f.rows...)
	}
	return string(key)
}
