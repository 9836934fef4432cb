// Package picture draws what was measured: one reading against its limits, the
// readings of all positions side by side, and a reading as it changes with time.
//
// Each picture comes as lines of text for a terminal and as SVG for a document.
// It is pure: no state, no clock, no file, no colour in text; the same picture
// gives the same bytes.
//
// # Words
//
// The zone is what the limits tolerate, its bounds included. The frame is the
// part of the scale that is drawn. A whisker reaches two standard uncertainties
// (2 u) to either side of a mark.
//
// # What a picture promises
//
//   - A mark stands inside the drawn zone if and only if its value is inside the
//     limits, however close it is: a value just outside is drawn one column, or a
//     few units of SVG, beyond the border. Inside is a disc, outside a diamond (o
//     and x in ASCII), so that neither colour nor distance alone tells.
//   - Marks stand in the order of their values.
//   - A value so far off that it would squeeze all else into a few columns is not
//     drawn to scale: an arrow at the frame's edge stands for it, and its number is
//     said. Limits are always in the frame.
//   - Every number that matters stands in words beside or below the marks, so that
//     the picture can be read by itself.
//
// A picture does not judge. What the reading proves, its uncertainty considered,
// is for the verdict, which the caller gives in words.
package picture
