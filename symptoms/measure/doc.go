// Package measure turns a reading into a judgement and a likelihood.
//
// # Words
//
// As in JCGM 100 (GUM) and JCGM 106: a standard uncertainty u is the doubt of
// a value as one standard deviation; an expanded uncertainty is k times it, k
// the coverage factor. A limit bounds what is tolerated; a guard band is the
// strip along a limit in which a reading proves nothing; the conformance
// probability is the chance that the true value is tolerated, given the
// reading. A sibling is the like reading at another position.
//
// # What happens to a reading
//
// Take keeps the readings as typed and averages repeats. SubtractLeads and
// CopperTo20 correct it; each correction stays beside the reading with its
// inputs, its amount and the uncertainty it adds. ToSeaLevel does so for cranking
// compressions. Judge compares the result
// with a Limit: conforms, does not conform, or too close to call. Compare makes
// one value out of siblings, lowest over highest for one, to be judged the same
// way. A Model says how likely the reading is for each state that the part may
// be in. CheckFitted compares the marks of fitted parts with what belongs
// there. Before anything is read, Rule.Screen says what share of sound parts a limit
// would condemn with this instrument and what share of faulty ones it would pass,
// GlobalRisks how often a decision is wrong about the limit.
//
// # A worked case
//
// Engine 3 of the boat Eider, a "Marsh Tern 60", reads 95 psi on cylinder 3,
// the gauge good to 4 psi, one standard deviation. Its sheet wants at least 110
// psi. The reading lies 15 psi below, 3.75 u; the guard band is 1.645 u = 6.6
// psi, so it does not conform; the conformance probability is 0.009 %. With
// sound cylinders N(125, 8) psi and worn ones N(85, 15) psi the reading is 129.8
// times as likely on a worn one (standard deviations 8.94 and 15.52 psi, the
// gauge's included), and a prior of 5 % would become 87 %. A Model allows for one
// slip in a thousand readings: 115 times, and 86 %.
//
// The likelihood, not the conformance probability, is what a belief takes as
// evidence: the conformance probability rests on a flat prior of its own, which
// would then count twice.
//
// # Sources
//
// JCGM 100:2008 (GUM) clauses 4.2, 4.3, 5.1, 5.2, G.3, G.4; JCGM 106:2012
// clauses 7 to 9; ISO 14253-1 for the rule of decision; IEC 60028 for the
// resistance of copper; ISO 2533 for the standard atmosphere. Clause numbers are given
// from memory.
//
// # What is not covered
//
// Likelihoods for an uncertainty that rests on few repeats (they are normal;
// judgements do use Student's distribution); correlated errors other than one
// gauge's in several readings; drift; windings not of copper, resistor leads,
// caps and PTC heaters, for which CopperTo20 is wrong.
package measure
