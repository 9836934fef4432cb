// Package treechart draws the fault tree of a symptom: as data, as an indented text, and
// as pages in the graphic symbols of IEC 61025 (from memory of its table of symbols):
// a rectangle for a described event, with its gate below it (or, and, at least m of n), a
// circle for a basic event, a diamond for one that is not developed, and a triangle for a
// transfer to a page of its own.
//
// A tree of a whole engine has hundreds of leaves. It is folded: events that are alike at
// several places are one node that names the places; of the inputs of a gate the few that
// matter most are drawn, by strength times probability, and the rest stands in one diamond
// with what it comes to together; what is met a second time is a transfer. Probabilities
// are those of the posterior that is handed in, of all events that the tree reaches.
//
// The data, which is also the JSON, are Nodes: id and title of the event; kind (or, and,
// voting, basic, undeveloped, transfer); at_least for a voting gate; strength, the chance
// that the event works through to its parent, left out where it is 1; absent where the
// gate needs it not to be there; p, the event's probability, at several places the
// highest; places; further, how many inputs a diamond stands for; ref, the id of the node
// that a transfer repeats; children.
package treechart
