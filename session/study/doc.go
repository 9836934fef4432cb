// Package study measures the advice. It draws whole engines from a fault model,
// brings each in with a complaint, and lets several policies work on it until
// the complaint is gone and everything closed, or the job is handed on. It also
// plays worked cases that the author of a pack has written down.
//
// # Drawn engines
//
// An engine is drawn by the definitions of package faulttree alone: causes and
// modes with their competing sources, which links work through, what is
// unlisted. It is drawn again until it has as many symptoms as the complaint is
// to have; so many of them, by lot, are the complaint, and the mechanic has seen
// them. Engine and complaint are drawn together so that, given a complaint, every
// fault is as frequent as the belief has it. Silence about the other symptoms
// says nothing. A check's answer is drawn from its table for the state that the
// engine is in, anew each time it is made, as the belief takes it; it is offered
// again only once a repair may have changed something that it looks at. A repair
// succeeds, and leaves faults behind, with its stated chances; after it
// the complaint is tried. All policies have the same engines with the same luck.
//
// # Minutes
//
// Counted are opening moves (plan.Openings), the work and what it takes more for
// what it finds, parts and what is used up at the shop's rate, but not what is
// weighed for a risk or for the wear of opening; trying the complaint after every repair, closing everything
// at the end, and what handing on costs. Every policy hands on where that is
// cheaper than repairing on, and after 40 checks and repairs; the plain rules ask
// a plan of repairs alone about it at every step. An opening counts as needless if, from
// its opening to its closing, no check that needed it showed anything but what
// it most probably shows of a sound engine, and no repair that needed it put a
// fault right. Parts are fitted in vain by a repair that fits parts whatever it
// finds and puts no fault right. The first suspect is the one that most probably
// cures alone at the start; it is right if it is there and works through to the
// complaint.
//
// # Policies
//
//	ours           what plan.Problem.Advise puts first, with half of the
//	               operations that the prompt gives it
//	chart          the checks in the order of the pack; a repair once its cure
//	               probability is at least 0.5; after the chart, by cure probability
//	base           the plan of repairs: cure probability per minute, no checks
//	cheapest       the check of the fewest minutes, opening aside; repairs as chart
//	suspect        the repair that most probably cures
//	free_openings  ours, but blind to what opening and closing costs
//
// Intervals are of 95 %: Student's for means, Wilson's for shares, the
// linearised one for a ratio of paired means.
//
// # Worked cases
//
// A file of worked cases is YAML:
//
//	study: saltreach_pumps
//	format: 1
//	engine: holm_pump_5               # a sheet
//	title: The pumps of Saltreach Oysters  # may be left out
//	cases:
//	  knot_hunts:
//	    title: the pump on Knot hunts  # may be left out
//	    complaint:
//	      present: [surge_light]       # symptoms of the pack, at least one
//	      absent: [kickback]           # may be left out
//	    history: [since_layup]         # what the owner said beside it; may be left out
//	    causes: [pilot_jet.blocked]    # the faults that are there, and no others
//	    shows:                         # may be left out
//	      bowl_look: pilot             # check: outcome
//	    expect:                        # may be left out, as may each of its keys
//	      minutes_at_most: 90
//	      rank_at_most: 1              # of the truth, when the first repair is begun
//	      rank_at_end_at_most: 2       # when the last one is
//	  dunlin_says:
//	    complaint: fades after ten minutes, starts fine   # in the owner's words
//	    causes: [cap_vent.blocked]
//
// Something that stands at several places is named with its place: pilot_jet.blocked
// at 3. An outcome is named by its identifier; that of a check which reads a
// number by what the fault model calls it: conforms, does not conform.
//
// The engine is the most probable one with just these faults and this complaint.
// A check that is not listed shows its most probable outcome; one that is listed
// shows it until a repair changes something that the check looks at. Repairs
// succeed. After a repair a symptom is there if that is at least as probable as
// not. The account gives the rank of the truth: the place, in the list of
// suspects as the prompt shows it, of the first of the causes still there. What
// is expected: a cure, in at most so many minutes, the truth ranking no lower
// than so when the first repair, or the last, is begun. A complaint in words is read
// as at the prompt, what is said beside it included; what was not understood is told.
package study
