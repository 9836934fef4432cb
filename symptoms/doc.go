// Package symptoms turns the owner's words about an engine into statements on
// the symptoms of a pack, by running regime.
//
// "Stumbles at all rpm since lay-up, starts fine" becomes: stumbling present at
// idle, at mid and at full throttle; trouble in starting absent; said beside it
// that the engine was laid up. What is not understood is given back in the
// owner's own words, never dropped. The package is pure: words come in as data
// (a [Vocabulary] shared by all packs, and the symptoms and circumstances of one
// pack), nothing is read or written.
//
// # Words
//
// A manifestation is what is seen, heard or felt: it stumbles, it smokes black.
// A regime is when: idle, full throttle, cold. A symptom of a pack is one
// manifestation in a list of regimes. Regimes lie on axes; those of one axis
// exclude one another (idle, mid, full throttle, opening, closing on one; cold
// and hot on another). An act is what the engine does or is made to do: start,
// idle, rev. A clean word says that all is well: fine, smooth, cleans up.
//
// # How a sentence is understood
//
//  1. The text is taken apart into words ([Lexicon.Read] forgives a slip of one
//     letter in words of five letters or more, two in nine or more, the first
//     letter right), and the words into sayings, inflections allowed and filler
//     passed over, so that the longest sayings together cover the most.
//  2. History is taken out: "since", "after" and what follows, in any of the
//     words that mean the same.
//  3. Regimes, comparisons and engine speeds become places: above idle, up to half
//     throttle, between 2000 and 3000. A speed falls in the band of a regime; a
//     stretch of speeds touches a band of which it holds more than a fifth and
//     covers one of which it holds more than half. Trouble is placed by what is
//     touched, its absence by what is covered.
//  4. Sentences are parted into clauses at marks and joining words, and where a
//     second thing is said without one. A clause has a core: a manifestation, a
//     clean word, an act refused ("won't idle"), done badly ("hard to start") or
//     just done. A clause that is only a place goes to its neighbour.
//  5. Each core is turned into statements on symptoms.
//
// # From a core to symptoms
//
// A manifestation with a place means the symptoms that the pack knows by it
// there, regime by regime. Where it knows none, the manifestations near it are
// tried in the vocabulary's order, then the regimes near the one named. So
// "rough at full throttle" finds "stumbles at full throttle" in a pack that has
// roughness at idle only. Without a place, the one symptom of the manifestation
// is meant; of several the most general, and if all are alike all of them, marked
// [Statement.Assumed]: to be confirmed. "Everywhere" and "at all rpm" mean every
// regime that the pack knows and assume nothing.
//
// A clean word with a place makes every symptom of the kinds it clears absent
// that is known by a regime on each axis named. Without a place it clears, if
// trouble of those kinds was told of, what is known in other regimes of the same
// axes, else all. "Cleans up" takes its place from the trouble before it: what
// comes after that regime. "Only" adds the opposite for the other regimes of the
// axis, "except" and "until" divide the axis. Nothing is made absent under a
// condition that is not understood ("clean with the bulb squeezed"): that
// clause is missed.
//
// A general word that covers several manifestations of the pack ("backfires")
// gives statements of state [Unknown]: spoken of, to be told apart.
//
// # Contradictions
//
// All statements are kept. Of those on one symptom the more specific stands:
// one whose words name the regime before one whose do not, then one that names
// the manifestation before a clean word; of equals the later. The others are
// marked [Statement.Overruled]. [Complaint.Standing] gives what counts.
//
// # What it does not do
//
// It takes a clause for what it says, not for what it hints at; "better when
// warm" is not clean when warm, and is missed. A manifestation about another
// thing ("the gearbox is rough") is taken for the engine's, with the other thing
// among the words missed. Degrees, frequencies and dates are passed over. The
// result is meant to be shown back and corrected.
package symptoms
