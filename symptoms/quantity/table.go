package quantity

// table is fixed data and never changed. Within a dimension the unit that
// people type most stands first. Names are written as key leaves them: without
// spaces, points and hyphens.
var table = [...]row{
	// Pressure, base kPa. 1 psi = 0.45359237 kg * 9.80665 m/s2 / (25.4 mm)2.
	{code: "[psi]", symbol: "psi", dimension: Pressure, num: 44482216152605, den: 6451600000000,
		names: []string{"psig", "lb/in2", "lbf/in2", "lb/sqin", "lbf/sqin", "pounds/in2", "[lbf_av]/[in_i]2"}},
	{code: "kPa", symbol: "kPa", dimension: Pressure, num: 1, den: 1, names: []string{"kilopascal", "kilopascals"}},
	{code: "bar", symbol: "bar", dimension: Pressure, num: 100, den: 1, names: []string{"bars"}},
	{code: "3386388640341.nPa", symbol: "inHg", dimension: Pressure, num: 3386388640341, den: 1e12,
		names: []string{`"Hg`, "inofmercury", "inchesofmercury", "inchHg"}},
	{code: "133322387415.nPa", symbol: "mmHg", dimension: Pressure, num: 133322387415, den: 1e12},
	{code: "1333223874150.nPa", symbol: "cmHg", dimension: Pressure, num: 1333223874150, den: 1e12},
	{code: "kgf/cm2", symbol: "kgf/cm2", dimension: Pressure, num: 980665, den: 1e4,
		names: []string{"kg/cm2", "kp/cm2", "kgf/sqcm", "kg/sqcm"}},
	{code: "[in_i'H2O]", symbol: "inH2O", dimension: Pressure, num: 24908891, den: 1e8,
		names: []string{`"H2O`, "inwater", "inchesofwater", "inwg", "inwc"}},
	{code: "mm[H2O]", symbol: "mmH2O", dimension: Pressure, num: 980665, den: 1e8, names: []string{"mmwg"}},
	{code: "cm[H2O]", symbol: "cmH2O", dimension: Pressure, num: 980665, den: 1e7},
	{code: "mbar", symbol: "mbar", dimension: Pressure, num: 1, den: 10, names: []string{"millibar", "hPa"}},
	{code: "Pa", symbol: "Pa", dimension: Pressure, num: 1, den: 1000, names: []string{"pascal", "pascals"}},
	{code: "MPa", symbol: "MPa", dimension: Pressure, num: 1000, den: 1},
	{code: "atm", symbol: "atm", dimension: Pressure, num: 101325, den: 1000},
	{code: "[in_i'Hg]", symbol: "[in_i'Hg]", dimension: Pressure, num: 33863788, den: 1e7}, // UCUM's own
	{code: "mm[Hg]", symbol: "mm[Hg]", dimension: Pressure, num: 1333220, den: 1e7},        // UCUM's own

	// Resistance, base ohm.
	{code: "Ohm", symbol: "ohm", dimension: Resistance, num: 1, den: 1, names: []string{"Ω", "ohms", "R"}},
	{code: "kOhm", symbol: "kΩ", dimension: Resistance, num: 1000, den: 1,
		names: []string{"kohm", "kohms", "kiloohm", "kiloohms", "kilohm", "kilohms", "kR"}, within: []string{"k"}},
	{code: "MOhm", symbol: "MΩ", dimension: Resistance, num: 1e6, den: 1,
		names: []string{"Mohm", "Mohms", "megohm", "megohms", "megaohm", "megaohms"}, within: []string{"M", "meg"}},
	{code: "mOhm", symbol: "mΩ", dimension: Resistance, num: 1, den: 1000,
		names: []string{"mohm", "mohms", "milliohm", "milliohms"}, within: []string{"m"}},

	// Voltage, base V; current, base A.
	{code: "V", symbol: "V", dimension: Voltage, num: 1, den: 1,
		names: []string{"volt", "volts", "Vdc", "Vac", "Vpk", "Vpeak"}},
	{code: "mV", symbol: "mV", dimension: Voltage, num: 1, den: 1000, names: []string{"millivolt", "millivolts"}},
	{code: "kV", symbol: "kV", dimension: Voltage, num: 1000, den: 1, names: []string{"kilovolt", "kilovolts"}},
	{code: "A", symbol: "A", dimension: Current, num: 1, den: 1,
		names: []string{"amp", "amps", "ampere", "amperes", "Adc", "Aac"}},
	{code: "mA", symbol: "mA", dimension: Current, num: 1, den: 1000, names: []string{"milliamp", "milliamps"}},
	{code: "uA", symbol: "µA", dimension: Current, num: 1, den: 1e6, names: []string{"microamp", "microamps"}},

	// Length, base mm.
	{code: "mm", symbol: "mm", dimension: Length, num: 1, den: 1,
		names: []string{"millimetre", "millimetres", "millimeter", "millimeters"}},
	{code: "[in_i]", symbol: "in", dimension: Length, num: 254, den: 10, names: []string{"inch", "inches", `"`}},
	{code: "[mil_i]", symbol: "thou", dimension: Length, num: 254, den: 1e4, names: []string{"thous", "mil", "mils"}},
	{code: "um", symbol: "µm", dimension: Length, num: 1, den: 1000, names: []string{"micron", "microns"}},
	{code: "cm", symbol: "cm", dimension: Length, num: 10, den: 1},
	{code: "m", symbol: "m", dimension: Length, num: 1000, den: 1, names: []string{"metre", "metres", "meter", "meters"}},
	{code: "[ft_i]", symbol: "ft", dimension: Length, num: 3048, den: 10, names: []string{"foot", "feet"}},

	// Angle, base degree.
	{code: "deg", symbol: "deg", dimension: Angle, num: 1, den: 1, names: []string{"°", "degree", "degrees"}},

	// Temperature, base °C: C = (F - 32)*5/9. C and F alone are degrees here,
	// where UCUM has the coulomb and the farad.
	{code: "Cel", symbol: "°C", dimension: Temperature, num: 1, den: 1,
		names: []string{"degC", "C", "℃", "celsius", "degreesC", "degcelsius", "centigrade"}},
	{code: "[degF]", symbol: "°F", dimension: Temperature, num: 5, den: 9, offsetNum: -160, offsetDen: 9,
		names: []string{"degF", "F", "℉", "fahrenheit", "degreesF", "degfahrenheit"}},

	// Temperature difference, base K; no offset. UCUM's degree Rankine is a
	// Fahrenheit degree without offset.
	{code: "K", symbol: "K", dimension: TemperatureDifference, num: 1, den: 1, names: []string{"kelvin", "kelvins", "Δ°C"},
		within: []string{"degC", "C", "°C", "℃", "Cel", "celsius", "degreesC"}},
	{code: "[degR]", symbol: "Δ°F", dimension: TemperatureDifference, num: 5, den: 9,
		within: []string{"degF", "F", "°F", "℉", "[degF]", "fahrenheit", "degreesF"}},

	// Time, base s.
	{code: "s", symbol: "s", dimension: Time, num: 1, den: 1, names: []string{"sec", "secs", "second", "seconds"}},
	{code: "min", symbol: "min", dimension: Time, num: 60, den: 1, names: []string{"mins", "minute", "minutes"}},
	{code: "h", symbol: "h", dimension: Time, num: 3600, den: 1, names: []string{"hr", "hrs", "hour", "hours"}},
	{code: "ms", symbol: "ms", dimension: Time, num: 1, den: 1000, names: []string{"msec", "millisecond", "milliseconds"}},
	{code: "d", symbol: "d", dimension: Time, num: 86400, den: 1, names: []string{"day", "days"}},

	// Rotational speed, base turns per minute; frequency, base Hz.
	{code: "/min", symbol: "rpm", dimension: RotationalSpeed, num: 1, den: 1,
		names: []string{"/min", "1/min", "r/min", "rev/min", "revs/min", "{rpm}", "revs", "rev"}},
	{code: "/s", symbol: "r/s", dimension: RotationalSpeed, num: 60, den: 1,
		names: []string{"/s", "1/s", "rps", "rev/s", "revs/s"}, within: []string{"Hz"}},
	{code: "Hz", symbol: "Hz", dimension: Frequency, num: 1, den: 1, names: []string{"hertz"}},
	{code: "kHz", symbol: "kHz", dimension: Frequency, num: 1000, den: 1, names: []string{"kilohertz"}},

	// Volume, base mL. US gallon 231 in3; imperial gallon 4.54609 L.
	{code: "mL", symbol: "mL", dimension: Volume, num: 1, den: 1,
		names: []string{"cc", "cm3", "ccm", "millilitre", "millilitres", "milliliter", "milliliters"}},
	{code: "L", symbol: "L", dimension: Volume, num: 1000, den: 1,
		names: []string{"l", "litre", "litres", "liter", "liters", "dm3"}},
	{code: "[foz_us]", symbol: "US fl oz", dimension: Volume, num: 295735295625, den: 1e10,
		names: []string{"USfloz", "flozUS"}, within: []string{"floz", "oz"}},
	{code: "[foz_br]", symbol: "imp fl oz", dimension: Volume, num: 284130625, den: 1e7,
		names: []string{"impfloz", "UKfloz", "flozUK"}, within: []string{"floz", "oz"}},
	{code: "[gal_us]", symbol: "US gal", dimension: Volume, num: 3785411784, den: 1e6,
		names: []string{"USgal", "USgallon", "USgallons", "galUS"}, within: []string{"gal", "gallon", "gallons"}},
	{code: "[gal_br]", symbol: "imp gal", dimension: Volume, num: 454609, den: 100,
		names: []string{"impgal", "UKgal", "impgallon", "impgallons", "galUK"}, within: []string{"gal", "gallon", "gallons"}},

	// Volume flow, base L/h.
	{code: "L/h", symbol: "L/h", dimension: VolumeFlow, num: 1, den: 1,
		names: []string{"l/h", "L/hr", "lph", "litres/hour", "liters/hour"}},
	{code: "L/min", symbol: "L/min", dimension: VolumeFlow, num: 60, den: 1, names: []string{"l/min", "lpm"}},
	{code: "mL/min", symbol: "mL/min", dimension: VolumeFlow, num: 6, den: 100, names: []string{"cc/min", "cm3/min"}},
	{code: "[gal_us]/h", symbol: "US gal/h", dimension: VolumeFlow, num: 3785411784, den: 1e9,
		names: []string{"USgal/h", "USgal/hr", "USgph"}, within: []string{"gph", "gal/h", "gal/hr"}},
	{code: "[gal_br]/h", symbol: "imp gal/h", dimension: VolumeFlow, num: 454609, den: 1e5,
		names: []string{"impgal/h", "impgal/hr", "impgph", "UKgal/h"}, within: []string{"gph", "gal/h", "gal/hr"}},

	// Torque, base N m.
	{code: "N.m", symbol: "N m", dimension: Torque, num: 1, den: 1, names: []string{"newtonmetre", "newtonmetres"}},
	{code: "[lbf_av].[ft_i]", symbol: "lbf ft", dimension: Torque, num: 13558179483314004, den: 1e16,
		names: []string{"lbft", "ftlb", "ftlbs", "ftlbf", "lbsft", "footpounds", "poundfeet", "[ft_i][lbf_av]"}},
	{code: "[lbf_av].[in_i]", symbol: "lbf in", dimension: Torque, num: 1129848290276167, den: 1e16,
		names: []string{"lbin", "inlb", "inlbs", "inlbf", "lbsin", "inchpounds", "[in_i][lbf_av]"}},
	{code: "kgf.m", symbol: "kgf m", dimension: Torque, num: 980665, den: 1e5, names: []string{"kgm", "mkgf", "mkg"}},
	{code: "kgf.cm", symbol: "kgf cm", dimension: Torque, num: 980665, den: 1e7, names: []string{"kgcm", "cmkgf", "cmkg"}},
	{code: "N.cm", symbol: "N cm", dimension: Torque, num: 1, den: 100},

	// Capacitance, base µF.
	{code: "uF", symbol: "µF", dimension: Capacitance, num: 1, den: 1,
		names: []string{"mfd", "microfarad", "microfarads"}, within: []string{"u", "µ"}},
	{code: "nF", symbol: "nF", dimension: Capacitance, num: 1, den: 1000,
		names: []string{"nanofarad", "nanofarads"}, within: []string{"n"}},
	{code: "pF", symbol: "pF", dimension: Capacitance, num: 1, den: 1e6,
		names: []string{"picofarad", "picofarads"}, within: []string{"p"}},

	// Power, base W. 1 hp = 550 lbf ft/s; 1 PS = 75 kgf m/s.
	{code: "W", symbol: "W", dimension: Power, num: 1, den: 1, names: []string{"watt", "watts"}},
	{code: "kW", symbol: "kW", dimension: Power, num: 1000, den: 1, names: []string{"kilowatt", "kilowatts"}},
	{code: "[HP]", symbol: "hp", dimension: Power, num: 74569987158227022, den: 1e14, names: []string{"bhp", "horsepower"}},
	{code: "75.kgf.m/s", symbol: "PS", dimension: Power, num: 73549875, den: 1e5, names: []string{"metrichp", "hpmetric"}},

	// Mass, base g.
	{code: "g", symbol: "g", dimension: Mass, num: 1, den: 1, names: []string{"gram", "grams", "gramme", "grammes"}},
	{code: "kg", symbol: "kg", dimension: Mass, num: 1000, den: 1, names: []string{"kilo", "kilos", "kilogram", "kilograms"}},
	{code: "[oz_av]", symbol: "oz av", dimension: Mass, num: 28349523125, den: 1e9,
		names: []string{"ounceav", "ozavoirdupois"}, within: []string{"oz", "ounce", "ounces"}},
	{code: "[lb_av]", symbol: "lb", dimension: Mass, num: 45359237, den: 1e5, names: []string{"lbs", "pound", "pounds"}},

	// Ratio, base the bare number 1.
	{code: "%", symbol: "%", dimension: Ratio, num: 1, den: 100, names: []string{"percent", "pct"}},
	{code: "[ppm]", symbol: "ppm", dimension: Ratio, num: 1, den: 1e6},

	// Screw turns, base one turn; marks and plain numbers.
	{code: "circ", symbol: "turns", one: "turn", dimension: Turns, num: 1, den: 1,
		names: []string{"turn", "turnsout", "turnout", "turnsopen"}},
	{code: "{mark}", symbol: "", dimension: Mark, num: 1, den: 1, names: []string{"mark", "marks", "{mark}"}},
}
