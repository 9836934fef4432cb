package knowledge

import (
	"slices"

	"narrows/symptoms/measure"
)

func engineShape() shape { return oneOfWords(engineStates...) }

func siteShape() shape {
	return mapping(append(entryKeys(),
		takes("phrases", "Phrases", "What the mechanic may call it; no other place may have them.", namesOf(textShape())))...)
}

func openingShape() shape {
	return mapping(append(entryKeys(),
		needs("open", "Open", "Minutes to open it.", minutesShape()),
		needs("close", "Close", "Minutes to close it.", minutesShape()),
		takes("needs", "Needs", "Openings that must be open first.", namesOf(identifier())),
		takes("shut_to_run", "Shut to run", "The engine cannot run while it is open; left out: false.", flagShape()),
		takes("wear", "Wear", "What opening it weighs beyond its minutes, in minutes; left out: 0.", minutesShape()))...)
}

func cautionShape() shape {
	return mapping(append(entryKeys(),
		needs("text", "Text", "What is said before the work.", textShape()),
		takes("charge", "Charge", "Minutes that the risk weighs when work is planned, 1 to 5 for most; left out: 0.", minutesShape()))...)
}

// workKeys are those that checks and repairs share.
func workKeys(steps shape) []shapeKey {
	return append(entryKeys(),
		takes("short", "In short", "One line on what is done.", textShape()),
		takes("steps", "Steps", "What is done, in order.", shape{"type": "array", "items": steps}),
		atKey(),
		needs("minutes", "Minutes", "Time without opening and closing.", minutesShape()),
		takes("opens", "Opens", "Openings that must be open, and all that they need.", namesOf(identifier())),
		takes("shut", "Shut", "Openings that must be closed.", namesOf(identifier())),
		takes("engine", "Engine", "What the engine does meanwhile; left out: off. Running needs every opening closed that says shut_to_run.", engineShape()),
		takes("places", "Places", "Where it can be done; left out: anywhere.", namesOf(identifier())),
		takes("tools", "Tools", "What is needed at hand.", namesOf(identifier())),
		takes("cautions", "Cautions", "What is said before it.", namesOf(identifier())),
		takes("consumables", "Consumables", "What it uses up.", shape{"type": "array", "items": mapping(
			needs("title", "Title", "What is used up.", textShape()),
			needs("minutes", "Minutes", "Its price as minutes at the shop's rate.", minutesShape()))}))
}

func checkShape() shape {
	population := shape{"anyOf": []shape{chancesShape(), populationShape(), factorsShape()}}
	s := mapping(append(workKeys(stepShape()),
		takes("each", "Each", "The minutes are for every position; left out: one go answers all.", flagShape()),
		takes("outcomes", "Outcomes", "What can be seen, two or more that exclude one another, each with its words.", definitions(textShape()).with("minProperties", 2)),
		takes("reading", "Reading", "The number that is read, in place of outcomes.", readingShape()),
		takes("fitted", "Fitted", "Items whose table on the sheet this check fills in.", namesOf(identifier())),
		takes("fitted_shows", "What fitted parts show", "Which outcome a part found there amounts to, as evidence of faults of its item.", mapping(
			takes(FittedRight, "Right", "The outcome where the part belongs there.", identifier()),
			takes(FittedExchanged, "Exchanged", "The outcome where it belongs to another position.", identifier()),
			takes(FittedForeign, "Foreign", "The outcome where it belongs to none.", identifier()))),
		needs("rows", "Rows", "From an event to what is seen then; the first that is there decides. Chances of the outcomes in their order, adding up to 1, or the population of true values.", mapOf(eventName(), population).with("minProperties", 1)),
		needs("else", "Else", "What is seen where no event of the rows is there.", population))...)
	of := func(t string) shape {
		return shape{"properties": shape{"rows": shape{"additionalProperties": shape{"type": t}}, "else": shape{"type": t}}}
	}
	s["oneOf"] = []shape{required("outcomes"), required("reading")}
	s["allOf"] = []shape{when(required("reading"), of("object")), when(required("outcomes"), of("array"))}
	return s
}

func chancesShape() shape {
	return shape{"title": "Chances", "description": "One for each outcome, in their order, adding up to 1.", "type": "array", "items": shareShape(), "minItems": 2}
}

func populationShape() shape {
	return mapping(
		needs("mean", "Mean", "Mean of the true values, with its unit.", amountShape("85 psi")),
		needs("sd", "Standard deviation", "Standard deviation of the true values, with its unit.", amountShape("15 psi")),
	).with("title", "Population").with("description", "Normal population of the true values.")
}

func factorsShape() shape {
	return mapping(
		needs("of", "Of", "Counted in parts of the nominal value of the sheet's limit.", shape{"const": "nominal"}),
		needs("mean", "Mean", "Mean of the true values, as a factor of nominal.", shape{"type": "number", "minimum": 0, "maximum": 1000}),
		needs("sd", "Standard deviation", "Standard deviation, as a factor of nominal.", shape{"type": "number", "exclusiveMinimum": 1e-9, "maximum": 1000}),
	).with("title", "Population in parts of nominal").with("description", "Normal population of the true values, as factors of the sheet's nominal value.")
}

// stepShape is a step of a check: a text, a wait, or a value that is read.
func stepShape() shape {
	object := mapping(
		needs("title", "Title", "What the wait or the value is called.", textShape()),
		takes("wait", "Wait", "How long, 1 s to 24 h.", amountShape("3 min", "30 s", "1 h 30 min")),
		takes("take", "Take", "A name for the value that is read here.", identifier()),
		takes("quantity", "Quantity", "What is read.", quantityShape()),
		takes("unit", "Unit", "The unit that it is shown in.", unitShape()),
		takes("limit", "Limit", "The sheet's limit that judges it, and no more.", identifier()),
		takes("uncertainty", "Uncertainty", "Standard uncertainty of the value.", amountShape("0.02 ohm")),
		takes("lowest", "Lowest", "Below it is asked whether it was meant.", amountShape("0 ohm")),
		takes("highest", "Highest", "Above it is asked whether it was meant.", amountShape("20 ohm")))
	object["oneOf"] = []shape{
		{"required": []string{"wait"}, "not": without("take", "quantity", "unit", "limit", "uncertainty", "lowest", "highest")["not"]},
		{"required": []string{"take", "quantity", "unit", "uncertainty"}, "not": required("wait")},
	}
	return shape{"title": "Step", "description": "A text, a wait {wait, title}, or a value to be read {take, title, quantity, unit, uncertainty}.", "oneOf": []shape{textShape(), object}}
}

func readingShape() shape {
	var made []shapeKey
	for _, how := range measure.Derivations() {
		from := namesOf(identifier()).with("minItems", 2)
		if how != measure.MeanOf {
			from["maxItems"] = 2
		}
		made = append(made, takes(string(how), "From", derivationAbout[how], from))
	}
	s := mapping(
		needs("quantity", "Quantity", "What is read.", quantityShape()),
		needs("unit", "Unit", "The unit that it is shown in.", unitShape()),
		takes("limit", "Limit", "The sheet's limit that judges each reading.", identifier()),
		takes("siblings", "Siblings", "The sheet's limit that compares the positions with one another.", identifier()),
		needs("uncertainty", "Uncertainty", "Standard uncertainty of one reading.", amountShape("4 psi", "0.03 ohm")),
		takes("derive", "Derive", "Makes the reading of values that the steps take.", mapping(made...).with("minProperties", 1).with("maxProperties", 1)),
		takes("finer", "Finer instrument", "A better instrument, for a reading too close to call.", mapping(
			needs("tool", "Tool", "The tool that it is.", identifier()),
			needs("uncertainty", "Uncertainty", "Its standard uncertainty, below that of the reading.", amountShape("1 psi")))),
		takes("corrections", "Corrections", "What is asked for and taken into account.", namesOf(oneOfWords(corrections...))))
	s["not"] = required("derive", "finer")
	return s
}

var derivationAbout = map[measure.Derivation]string{
	measure.GrowthOf: "The second less the first.",
	measure.DropOf:   "The first less the second.",
	measure.RatioOf:  "The first as a share of the second.",
	measure.MeanOf:   "The mean of two or more.",
}

func repairShape() shape {
	s := mapping(append(workKeys(textShape()),
		needs("fixes", "Fixes", "Modes and causes that it puts right.", namesOf(eventName()).with("minItems", 1)),
		takes("success", "Success", "Chance that each of them is really gone; left out: 1.", strengthShape()),
		takes("introduces", "Introduces", "From a mode or cause to the chance that the work leaves it behind.", raisesShape()),
		takes("parts_minutes", "Parts", "Cost of parts as minutes at the shop's rate.", minutesShape()),
		takes("found_minutes", "Minutes if found", "Minutes more for each of fixes that is really there; minutes is then the look alone.", minutesShape()),
		takes("parts_when_found", "Parts if found", "The parts too count only for what is found.", flagShape()))...)
	found := shape{"properties": shape{"parts_when_found": shape{"const": true}}, "required": []string{"parts_when_found"}}
	return s.with("allOf", []shape{when(found, required("found_minutes", "parts_minutes"))})
}

func ledgerShape() shape {
	s := mapping(append(entryKeys(), atKey(),
		takes("quantity", "Quantity", "What is measured, if it is a number.", quantityShape()),
		takes("unit", "Unit", "The unit that it is shown and compared in.", unitShape()),
		takes("limit", "Limit", "The sheet's limit of that name, if it has it.", identifier()),
		takes("check", "Check", "The check whose readings are its values.", identifier()),
		takes("usual", "Usual", "About what is read, so that one ten times off is asked for again.", amountShape("2 turns")),
		takes("grades", "Grades", "Words for its state, from good to bad, two or more.", definitions(textShape()).with("minProperties", 2)))...)
	number := []string{"quantity"}
	s["dependentRequired"] = shape{"quantity": []string{"unit"}, "unit": number, "limit": number, "check": number, "usual": number}
	s["not"] = required("quantity", "grades")
	return s
}

// sheetShape is a whole sheet.
func sheetShape() shape {
	return mapping(slices.Concat(beginningKeys("sheet", "The name by which cases refer to the sheet."), []shapeKey{
		needs("pack", "Pack", "The identifier of the pack that the engine belongs to.", identifier()),
		takes("units", "Units", "From a quantity to the unit that it is shown in.", mapOf(quantityShape(), unitShape())),
		takes("limits", "Limits", "What the engine's manual tolerates; each is named by a check or the ledger of the pack.", definitions(limitShape())),
		takes("fitted", "Fitted parts", "What belongs at which position, by the item that it is for.", definitions(mapping(append(entryKeys(),
			takes("at", "At", "The position set of the item.", identifier()),
			needs("values", "Values", "From each place, in quotes, to the mark of what belongs there.", mapOf(memberName(), textShape())))...))),
	})...).with("title", "Sheet").with("description", "One engine's limits and fitted parts.")
}

func limitShape() shape {
	s := mapping(
		needs("quantity", "Quantity", "What is read.", quantityShape()),
		takes("siblings", "Siblings", "The rule that makes one value of the readings at all positions; min and max bound that value.", oneOfWords(siblingRules...)),
		takes("title", "Title", "What is limited.", textShape()),
		takes("min", "Lowest", "Readings of at least this conform.", amountShape("110 psi", "75 %")),
		takes("max", "Highest", "Readings of at most this conform.", amountShape("0.5 V")),
		takes("range", "Range", "Lowest and highest, in place of min and max.", shape{"type": "array", "items": amountShape("10 V"), "minItems": 2, "maxItems": 2}),
		takes("nominal", "Nominal", "The value that should be, with tolerance to either side.", amountShape("0.80 ohm")),
		takes("tolerance", "Tolerance", "To either side of nominal: a quantity, or a percentage of it.", amountShape("0.10 ohm", "10 %")),
		takes("source", "Source", "Where the figure stands.", textShape()),
		takes("page", "Page", "The page of the source, in quotes.", textShape().with("examples", []string{"2-4"})),
		takes("note", "Note", "Anything to remember; for people only.", textShape()))
	s["oneOf"] = []shape{
		{"title": "Bounds", "anyOf": []shape{required("min"), required("max")}, "not": without("range", "nominal", "tolerance")["not"]},
		{"title": "Range", "required": []string{"range"}, "not": without("min", "max", "nominal", "tolerance")["not"]},
		{"title": "Nominal with tolerance", "required": []string{"nominal", "tolerance"}, "not": without("min", "max", "range", "siblings")["not"]},
	}
	return s
}
