// Package diagnosability says how well the checks of a pack find faults and tell
// them apart, before any engine is at hand. It is a report for whoever writes packs:
// what no check shows, what cannot be told apart, and how much must be opened for it.
//
// # Words
//
// They are those of IEEE Std 1522-2004, Testability and Diagnosability
// Characteristics and Metrics. Its own text was not seen; of the open papers on its
// draft (Sheppard & Kaufman, "Formal specification of testability metrics in IEEE
// P1522"; Kaufman, "P1522: a formal standard for testability and diagnosability
// measures") only the abstracts and introductions. The formulas are from memory.
//
//   - D-matrix: a row for each fault, a column for each test outcome; an entry says
//     that the fault makes that outcome.
//   - FFD, fraction of faults detected: those whose row is not empty, of all.
//   - Ambiguity group: faults whose rows are alike over the checks allowed.
//   - FFI(k), fraction of faults isolated: those detected that stand in a group of at
//     most k, of all detected. Here k is 1, 2, 3.
//   - Mean group size: of the group that a detected fault stands in, weighted by prior.
//
// Every fraction is given by number of faults and weighted by prior; a prior stands
// where the standard has a failure rate.
//
// # What is a fault, and what a check shows of it
//
// A fault is a failure mode at one place, or a common cause that a repair can put
// right. One fault is there alone: every other item sound, every other common cause
// absent, what it raises in other items left out (that is a fault of its own) and
// nothing unlisted at work. All that is set, not seen: that an item is sound says
// nothing of a condition that might have made it fail. Under that, the chances of a check's outcomes follow
// exactly from the strengths of the gates and the rows of the check; so do those of
// a sound engine. The complaint and the owner's history are no checks, so the figures
// say what is left to the checks alone. Whether a tool is at hand is not asked.
//
// A fault that does not work through shows in no check that looks at what it makes;
// strengths below one therefore bound what can be detected without looking at the
// part itself. On an engine that is brought in, the complaint says that something
// did work through, so that the figures are on the careful side.
//
// # When faults count as told apart
//
// There are two readings, and the report gives both.
//
// The classical reading fills the D-matrix. A check shows a fault if the chance of
// one of its outcomes changes by at least Shown; the entry is the outcome that the
// fault raises most. A check of several outcomes can so tell apart two faults that
// it shows. Rows are alike or not, which is a partition, as the standard has it. It
// asks for the usual look of each fault alone and ignores how reliable that is.
//
// The soft reading weighs all chances. Two states of an engine, equally likely
// before, are told apart if the best decision between them after all checks of the
// set is wrong with a chance of at most ToldApart. Of one check that chance is
// (1-V)/2, V the total variation distance of what it shows; of independent checks it
// is at most B/2, B the product of their Bhattacharyya coefficients (Kailath 1967,
// "The divergence and Bhattacharyya distance measures in signal selection", from
// memory). Checks that look through the same uncertain gate are not independent: of
// those only the best counts. So "told apart" is proved, and the figures are at
// least as good as printed. A reading counts by its populations, the axis cut finely,
// not by its limit alone. A fault is detected if told apart from soundness; its group
// is itself and all faults from which it is not told apart. Such groups are no
// partition: a may be taken for b, and b for c, but not a for c.
//
// # Foldings
//
// By place, every fault at every position counts by itself. By mode, the same mode
// at other positions counts as one: what is wrong is known, not where. By repair,
// faults that one repair puts right need no telling apart: a group's size is one
// more than the number of its members that share no repair with the fault. A repair
// that puts a whole assembly right folds all that it fixes.
//
// # Levels
//
// Every check has its own minutes of access: those of opening and closing all that
// it needs, with what these need in turn. A level takes in all checks of at most so
// many minutes; the steps are those that the pack's checks make. Each check is
// reckoned by itself, so that the levels do not say what a whole search costs.
//
// # A worked case
//
// Five faults with failure rates .01 .02 .10 .05 .12 and two tests, whose rows are
// 01, 00, 10, 11, 11 (five rows and five tests of Pattipati & Alexandridis 1990 cut
// down to two): the second is not detected, FFD is .28/.30 = .9333; the groups are
// {1}, {3} and {4, 5}, FFI(1) is .11/.28 = .3929, FFI(2) 1, and the mean group size
// (.11 + 2*.17)/.28 = 1.607.
package diagnosability
