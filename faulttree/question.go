package faulttree

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"
)

// question says what a program must be able to answer. Two beliefs with equal
// questions share one program; the rest is leaf weights.
type question struct {
	repairs []RepairID    // repairs[k] leads from stage k to stage k+1
	cure    []Event       // symptoms that are absent at an extra, last stage; nil: no such stage
	hard    []hardAnswer  // symptoms seen beyond doubt, built into the structure
	soft    []stagedEvent // gates with other findings
	answer  []Event       // gates to be answered at the present stage
	outside []Event       // gates of which it is asked whether something unlisted is at work
	chains  []stagedCheck // checks of several rows to be answered or observed
	// positive asks for a circuit without signed sums: larger, but nothing
	// cancels in it, and what is impossible is exactly zero.
	positive bool
	within   float64 // table entries at most; 0: maxEntries
}

type hardAnswer struct {
	event   Event
	stage   int
	present bool
}

type stagedEvent struct {
	event Event
	stage int
}

type stagedCheck struct {
	check CheckID
	stage int
}

func (q *question) key() string {
	var s strings.Builder
	fmt.Fprint(&s, q.repairs, "|", q.cure, q.cure == nil, "|", q.hard, "|", q.soft, "|", q.answer, "|", q.outside, "|", q.chains, "|", q.positive, "|", q.within)
	return s.String()
}

// entries is how many table entries a program may take.
func (q *question) entries() float64 {
	if q.within > 0 {
		return min(q.within, maxEntries)
	}
	return maxEntries
}

// now is the present stage: the last one that is real.
func (q *question) now() int { return len(q.repairs) }

// stages is the number of stages, the after-repair stage included.
func (q *question) stages() int {
	if q.cure != nil {
		return len(q.repairs) + 2
	}
	return len(q.repairs) + 1
}

// demand is what the hard answers ask of one symptom.
type demand struct {
	event           Event
	present, absent stageBits
}

// demands gathers the hard answers, and the cure, by symptom. Where an event
// can only end and never begin, the last stage of presence and the first of
// absence say it all. ok is false if the answers exclude one another.
func (q *question) demands(steady []bool) (ds []demand, ok bool) {
	at := func(e Event) *demand {
		for i := range ds {
			if ds[i].event == e {
				return &ds[i]
			}
		}
		ds = append(ds, demand{event: e})
		return &ds[len(ds)-1]
	}
	for _, h := range q.hard {
		if d := at(h.event); h.present {
			d.present |= 1 << h.stage
		} else {
			d.absent |= 1 << h.stage
		}
	}
	for _, e := range q.cure {
		at(e).absent |= 1 << (q.stages() - 1)
	}
	slices.SortFunc(ds, func(a, b demand) int { return int(a.event - b.event) })
	for i := range ds {
		d := &ds[i]
		if d.present&d.absent != 0 {
			return nil, false
		}
		if steady[d.event] {
			d.present, d.absent = last(d.present), first(d.absent)
			if d.present > 0 && d.absent > 0 && d.present > d.absent {
				return nil, false
			}
		}
	}
	return ds, true
}

func first(b stageBits) stageBits { return b & -b }

func last(b stageBits) stageBits {
	if b == 0 {
		return 0
	}
	return 1 << (bits.Len32(uint32(b)) - 1)
}

// steady tells for every event whether it can only end as repairs go on: no
// repair that is made, or may be made next, brings it about.
func (m *Model) steady(q *question) []bool {
	out := make([]bool, len(m.events))
	gained := make([]bool, len(m.events))
	note := func(r RepairID) {
		for _, in := range m.repairs[r].Introduces {
			gained[in.Mode] = true
		}
	}
	for _, r := range q.repairs {
		note(r)
	}
	if q.cure != nil {
		for r := range m.repairs {
			note(RepairID(r))
		}
	}
	for _, e := range m.order {
		g, isGate := m.GateOf(e)
		out[e] = !gained[e]
		if isGate {
			for _, in := range g.Inputs {
				out[e] = out[e] && out[in.Event] && !in.Inverted
			}
		}
	}
	return out
}

// signed is one term of a sum: the symptoms that must be absent, and when; the
// answers that are left to the structure; the sign; and the soft findings that
// are settled by the term instead of by a gate's own leaves.
type signed struct {
	demands []demand
	sign    float64
	settled []settledSoft
}

// settledSoft is a soft finding on a symptom in one term: the likelihood if
// present, or what absence adds to it.
type settledSoft struct {
	at    stagedEvent
	extra bool
}

// maxSigned bounds the answers that are taken apart into signed terms; each
// doubles their number.
const maxSigned = 6

// terms takes symptoms apart that are present at one stage and absent at
// another: P(present at p, absent at w) = P(absent at w) - P(absent at w and
// p). A soft finding at p with likelihoods a (present) and b (absent) comes
// apart the same way: a P(absent at w) + (b-a) P(absent at w and p). In each
// term every such symptom is absent, which lets its gate fall apart into its
// inputs. Symptoms that are only present stay as they are; q.positive leaves
// everything so.
func (m *Model) terms(q *question, ds []demand) []signed {
	if q.positive {
		return []signed{{demands: ds, sign: 1}}
	}
	out := []signed{{sign: 1}}
	for _, d := range ds {
		soft, isSoft := m.softAlone(q, d)
		hard := d.present != 0 && d.absent != 0 && bits.OnesCount32(uint32(d.present)) == 1
		split := (isSoft || hard) && len(out) < 1<<maxSigned
		var next []signed
		for _, t := range out {
			switch {
			case !split:
				next = append(next, t.with(d, 1))
			case hard:
				next = append(next, t.with(demand{d.event, 0, d.absent}, 1), t.with(demand{d.event, 0, d.absent | d.present}, -1))
			default:
				keep, drop := t.with(d, 1), t.with(demand{d.event, 0, d.absent | 1<<soft.stage}, 1)
				keep.settled = append(keep.settled, settledSoft{soft, false})
				drop.settled = append(drop.settled, settledSoft{soft, true})
				next = append(next, keep, drop)
			}
		}
		out = next
	}
	return out
}

func (t signed) with(d demand, sign float64) signed {
	return signed{append(slices.Clone(t.demands), d), t.sign * sign, slices.Clone(t.settled)}
}

// softAlone finds the one soft finding on a symptom that must be absent after
// a repair, if nothing else is asked of the symptom.
func (m *Model) softAlone(q *question, d demand) (stagedEvent, bool) {
	g, _ := m.simplified(d.event)
	if g.Kind != Or || d.present != 0 || !slices.Contains(q.cure, d.event) || slices.Contains(q.answer, d.event) {
		return stagedEvent{}, false
	}
	var found []stagedEvent
	for _, s := range q.soft {
		if s.event == d.event {
			found = append(found, s)
		}
	}
	for _, k := range q.chains {
		for _, r := range m.checks[k.check].Rows {
			if r.Event == d.event {
				return stagedEvent{}, false
			}
		}
	}
	if len(found) != 1 {
		return stagedEvent{}, false
	}
	return found[0], true
}
