// Package quantity holds a number with a unit, as a mechanic types it, beside
// its normal form.
//
// # Words
//
// A Dimension says what kind of thing is measured (a pressure, a resistance).
// A Unit belongs to one dimension and has a code of the Unified Code for Units
// of Measure (UCUM), a symbol that is shown ("psi"), and the spellings of the
// trade. A Quantity is a value in a unit, with the text it was read from.
//
// # What can be typed
//
// A number, then a unit, with or without a space:
//
//	118psi   8.1 bar   0.95k ohm   18.6 ohm   22 thou   -5 inHg   1.5e3 ohm
//	14,2 V          a decimal comma, where it cannot be taken for thousands
//	1/2 turn        a fraction; 2 1/4 turns, 2¼ turns: a mixed number
//	3 min 20        times in steps: 200 s; so are 1 h 20 and 3 min 20 s
//
// "1,234 psi" may be one and a bit or more than a thousand: it is refused and
// the answer tells how to type either. The same goes for units that mean
// different things to different people: "gal" may be a US or an imperial
// gallon. "k" alone is taken for kΩ only where a resistance is asked for
// (ParseFor). Not-a-number, infinity, and sizes that no instrument in a
// workshop shows (from 1e15 up, below 1e-15) are refused.
//
// # Conversion
//
// Every unit is an exact fraction of its dimension's base unit, with an exact
// offset for temperatures. Conversions are computed in rational arithmetic and
// rounded once, so that a result is the nearest float64 to the exact answer.
// Base units:
//
//	pressure            kPa     volume              mL
//	resistance          ohm     volume flow         L/h
//	voltage             V       torque              N m
//	current             A       capacitance         µF
//	length              mm      power               W
//	angle               deg     mass                g
//	temperature         °C      ratio               1 (75 % is 0.75)
//	temperature diff.   K       screw turns         turn
//	time                s       frequency           Hz
//	rotational speed    rpm     mark, plain number  1
//
// A temperature and a temperature difference are two dimensions: 9 °F are
// -12.8 °C on the scale and 5 K as a difference. Uncertainties and tolerances
// of temperatures are differences.
//
// # Sources
//
// Inch 25.4 mm, pound 0.45359237 kg, standard gravity 9.80665 m/s2, US gallon
// 231 cubic inches, imperial gallon 4.54609 L: exact by definition, as listed
// in NIST SP 811 appendix B. The conventional millimetre of mercury is
// 133.322387415 Pa, the conventional millimetre of water 9.80665 Pa. UCUM
// rounds its column of mercury to 133.3220 kPa per metre, which makes its
// [in_i'Hg] smaller by 3 parts in a million than the trade's inHg; both are
// here, each under its own name. UCUM has no code for the conventional ones, so
// theirs are UCUM expressions in nanopascal.
//
// # What is not covered
//
// Units multiplied together by the user, ranges ("5 to 8 psi"), tolerances
// ("13 ± 0.5 mm"), and peak, mean or effective values of an alternating
// voltage, which are all volts here.
package quantity
