package knowledge

// vocabularyShape is the vocabulary. What its words do is told by package
// symptoms.
func vocabularyShape() shape {
	words := takes("words", "Sayings", "Words that say it.", textsShape())
	return mapping(
		formatKey(false),
		takes("note", "Note", "Anything to remember; for people only.", textShape()),
		takes("kinds", "Kinds", "Kinds of trouble that a clean word can clear, each with its title.", definitions(textShape())),
		needs("shows", "Shows", "Manifestations: what is seen, heard or felt.", definitions(showShape())),
		needs("regimes", "Regimes", "When trouble shows: idle, cold, full throttle.", definitions(regimeShape())),
		takes("ranges", "Ranges", "Sayings that name several regimes.", definitions(mapping(
			needs("regimes", "Regimes", "Those that it names.", textsShape()),
			takes("everywhere", "Everywhere", "And all that a pack knows, where none of these applies; left out: false.", flagShape()),
			needs("phrases", "Phrases", "Sayings for it.", textsShape())))),
		takes("acts", "Acts", "What an engine does or is made to do.", definitions(actShape())),
		takes("reliefs", "Clean words", "Words that say that all is well.", definitions(mapping(
			needs("words", "Sayings", "Words that say it.", textsShape()),
			takes("kinds", "Kinds", "The kinds of trouble that it clears.", textsShape()),
			takes("changes", "Changes", "It becomes clean in what comes after; left out: false.", flagShape())))),
		takes("poor", "Poor", "Trouble that is not said how; with an act: does it badly.", textsShape()),
		takes("signs", "Signs", "Small words that steer the sense; the identifiers are fixed.", definitions(words.of)),
		takes("matters", "Matters", "Things of an engine's history, each as words that mean the same.", definitions(words.of)),
		takes("numbers", "Numbers", "From a word to its number.", shape{"type": "object", "additionalProperties": shape{"type": "number"}}),
		takes("articles", "Articles", "Words dropped from sayings and passed over in the text.", textsShape()),
		takes("filler", "Filler", "Sayings passed over in the text where no saying holds them.", textsShape()),
		takes("links", "Links", "Words that carry sense only inside a saying.", textsShape()),
		takes("kept", "Kept", "Words never taken for a slip of the pen of another.", textsShape()),
	).with("title", "Vocabulary").with("description", "The words in which people speak of running trouble, shared by all packs.")
}

func showShape() shape {
	return mapping(
		takes("title", "Title", "What it is called.", textShape()),
		takes("kind", "Kind", "The kind of trouble that it is.", textShape()),
		takes("near", "Near", "Tried in turn where a pack does not know it in the regime named.", textsShape()),
		takes("covers", "Covers", "Those that this general word stands for.", textsShape()),
		needs("words", "Sayings", "Words that say it.", textsShape()))
}

func regimeShape() shape {
	return mapping(
		takes("title", "Title", "What it is called.", textShape()),
		takes("axis", "Axis", "Regimes of one axis exclude one another.", textShape()),
		takes("order", "Order", "Its place on the axis, rising from 1; left out: a change between the others.", shape{"type": "integer", "minimum": 1, "maximum": 100}),
		takes("steady", "Steady", "A steady engine speed; left out: false.", flagShape()),
		takes("rpm", "Speeds", "Its band in rev/min: from, to.", shape{"type": "array", "items": shape{"type": "number", "minimum": 0}, "minItems": 2, "maxItems": 2}),
		takes("near", "Near", "Tried in turn where a pack does not know it.", textsShape()),
		takes("then", "Then", "What comes after it; left out: those above it in order.", textsShape()),
		needs("phrases", "Phrases", "Sayings for it.", textsShape()))
}

func actShape() shape {
	return mapping(
		needs("words", "Sayings", "Words that say it.", textsShape()),
		takes("regimes", "Regimes", "Regimes that it implies.", textsShape()),
		takes("kinds", "Kinds", `What "does it fine" clears.`, textsShape()),
		takes("refused", "Refused", `What "won't do it" shows.`, textShape()),
		takes("poor", "Done badly", `What "does it badly" and "hard to" show.`, textShape()),
		takes("does", "Done", "What doing it shows, where that is trouble.", textShape()),
		takes("affirms", "Affirms", "What doing it proves absent.", textsShape()),
		takes("carries", "Carries", `A "not" before it reaches the word after it; left out: false.`, flagShape()),
		takes("ends", "Ends", "It denies a manifestation that follows it; left out: false.", flagShape()),
		takes("follow", "Follow", "From what follows it to what both together show.", shape{"type": "object", "additionalProperties": textShape()}))
}

// instrumentsShape is a list of instruments.
func instrumentsShape() shape {
	one := mapping(append(entryKeys(),
		needs("quantity", "Quantity", "What it reads.", quantityShape()),
		takes("noise", "Noise", "Standard uncertainty that differs from reading to reading: a quantity, or a percentage of the reading.", amountShape("2 psi", "2 %")),
		takes("gauge", "Gauge", "Standard uncertainty that all its readings share: a quantity, or a percentage of the reading.", amountShape("3 psi")),
		takes("accuracy", "Accuracy", "A maker's statement, the largest error: a share of the reading and steps of the last digit.", amountShape("0.8 % + 3 digits")),
		takes("step", "Step", "What one digit is; needed where digits are counted.", amountShape("0.1 ohm")))...)
	one["anyOf"] = []shape{required("noise"), required("gauge"), required("accuracy")}
	one["dependentRequired"] = shape{"step": []string{"accuracy"}}
	return mapping(
		formatKey(true),
		takes("note", "Note", "Anything to remember; for people only.", textShape()),
		needs("instruments", "Instruments", "Each with what is known of its errors.", definitions(one)),
	).with("title", "List of instruments").with("description", "Instruments with their figures, for readings that are weighed with them.")
}
