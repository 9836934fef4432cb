// Package faulttree says what a fault model means and what follows from it,
// exactly. It does no I/O and knows neither files nor terminals.
//
// # Words
//
// As in IEC 61025 (from memory): a top event is a symptom, an intermediate
// event a condition, a basic event a failure mode of an item or a common cause;
// a gate joins events by or, and, or voting (at least k of n). As in IEC 60812
// (from memory): an item fails in a failure mode. An Event is any of these,
// present or absent.
//
// # What a model means
//
// An item is sound or in one of its modes, which exclude one another. A mode
// has a prior: the probability of finding it on an engine that is brought in
// with a complaint, its spontaneous part only. An event that is present before
// any work can raise modes of other items; the sources compete. With the hazard
// h = -ln(1-p) of a probability p, h_m the sum over the mode's own prior and the
// weights of its present sources, and H the sum of h_m over the modes,
//
//	P(sound) = exp(-H),  P(mode m) = h_m/H (1 - exp(-H))
//
// With one mode that is the noisy or.
//
// An input of an or or voting gate has a strength s: the probability that the
// fault, present, really works through to the gate. Whether it does is a
// property of the engine at hand. A symptom has one more input, something
// unlisted, with its own prior.
//
// # Repairs
//
// A repair is an intervention: each mode that it fixes is gone afterwards with
// its success probability, and everything else persists, which links work
// through included. So after repairing r the symptom is the same gate without
// r's contribution; a complaint that persists adds no second weight; and one
// that is gone says that r worked through and nothing else does. A stage is a
// stretch of time between repairs; every finding belongs to one.
//
// The cure probability of a repair is the probability that no symptom of the
// complaint would remain, given all findings, had it been made next and alone.
// Where the complaint is known to be there, single cures exclude one another
// and add up to at most one; what is missing to one is several faults at once,
// or something unlisted. Where the complaint rests on the owner's word, the
// chance that it is not there at all counts for every repair.
//
// # A worked case
//
// A has prior .10 and strength .8, B .05 and .9, unlisted .01; the symptom is
// seen. Its probability was 1 - (1-.08)(1-.045)(1-.01) = .130186. Given it, A is
// present with .6229 and B with .3491; repairing A alone cures with .5810,
// repairing B alone with .3148, and .1042 is left for both at once or something
// unlisted. If A is repaired and the symptom persists, B is present with .8258.
// See the example of Belief, and the reference of its numbers in the tests.
//
// # Findings
//
// A finding is hard (present or absent), soft (the likelihood of what was seen
// under each state) or the result of a check, whose table is an ordered list:
// the first row whose event is present gives the outcomes their chances.
// Readings give likelihoods under the rows. Retracting a finding restores
// exactly what was believed before.
//
// # More that is answered
//
// Belief.LikelySets gives the most probable sets of simultaneous faults;
// Cures.Events says whether a set of faults accounts for the whole complaint;
// Belief.Conflict how surprising the findings are together; Belief.Explain the
// weight of each finding on each suspect; Belief.Sweep what every outcome of
// checks not yet made would do. Model.CutSets is the classical analysis before
// anything is known: minimal cut sets, the top event's probability, importance.
//
// # How it is computed
//
// A Belief is compiled, for what is asked, into an arithmetic circuit (package
// circuit) which is kept; see DEVELOPERS.md. Everything is exact up to rounding,
// whose bound is watched: TestEqualsEnumeration compares every number with the
// enumeration of all states. A model too entangled to compile within bounds
// gives an error that wraps ErrEntangled and names the events.
//
// Sources: Pearl 1988 (noisy or, virtual evidence); Breese & Heckerman 1996,
// "Decision-theoretic troubleshooting" (repairs as interventions, persistence);
// Darwiche 2003 (circuits and their derivatives); Diez & Galan 2003 (signed
// forms); Bobbio et al. 2001 (fault trees as networks). Cited from memory of
// their abstracts where not said otherwise.
//
// # What is not here
//
// Faults that come and go, faults that arise while the engine is diagnosed,
// and wear between findings.
package faulttree
