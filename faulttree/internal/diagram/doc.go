// Package diagram computes with Boolean functions of many variables, as fault
// trees need them: probability, derivatives, minimal solutions.
//
// A Tree says how the top event follows from basic variables through gates.
// Compile turns it into a reduced ordered binary decision diagram (Bryant 1986)
// in a store of Functions. A Sweep evaluates one function for given
// probabilities of its variables, and all derivatives in one pass more.
//
// A minimal solution of a function is a smallest set of variables whose
// presence, all others absent, makes the function true: no proper subset of it
// does. For coherent functions (no negation) these are the minimal cut sets;
// with negations they are defined just as well, and say which events have to be
// present, but no longer determine the function. Families keeps sets of such
// sets as zero-suppressed diagrams (Minato 1993) and finds the minimal solutions
// by the recursion of Rauzy 1993, "New algorithms for fault trees analysis",
// Reliability Engineering and System Safety 40. (Papers cited from memory.)
//
// Everything is deterministic. A store that would exceed its limit of nodes
// fills up: from then on its operations give meaningless results at once and Err
// returns ErrTooLarge, so that a caller checks once at the end.
package diagram
