package knowledge

// Rule is the stable code of one kind of fault, or of one piece of advice. Codes
// are readable words; one that is in use never changes its meaning.
type Rule string

// Severity says how a problem counts.
type Severity uint8

// An error keeps a file from being used; advice does not.
const (
	SeverityError Severity = iota
	SeverityAdvice
)

func (s Severity) String() string {
	if s == SeverityAdvice {
		return "advice"
	}
	return "error"
}

// RuleInfo is one line of the table of rules.
type RuleInfo struct {
	Rule     Rule
	Severity Severity
	Means    string // what is wrong, in one sentence
	Mend     string // what to do about it, in one sentence
}

// Severity is that of the table; a rule that stands in none is an error.
func (r Rule) Severity() Severity {
	for _, a := range adviceRules() {
		if a.Rule == r {
			return SeverityAdvice
		}
	}
	return SeverityError
}

// Rules returns the table of rules: errors first, then advice.
func Rules() []RuleInfo { return append(errorRules(), adviceRules()...) }

// The rules of the loader, as Rules tells them.
const (
	RuleTooLong             Rule = "too-long"
	RuleEmptyFile           Rule = "empty-file"
	RuleNotYAML             Rule = "not-yaml"
	RuleSecondDocument      Rule = "second-document"
	RuleTooManyValues       Rule = "too-many-values"
	RuleTooDeep             Rule = "too-deep"
	RuleAnchor              Rule = "anchor"
	RuleTag                 Rule = "tag"
	RuleBadKey              Rule = "bad-key"
	RuleRepeatedKey         Rule = "repeated-key"
	RuleFileTwice           Rule = "file-twice"
	RuleUnknownFile         Rule = "unknown-file"
	RuleTooManyFaults       Rule = "too-many-faults"
	RuleTakenIdentifier     Rule = "taken-identifier"
	RuleNoVocabulary        Rule = "no-vocabulary"
	RuleSecondVocabulary    Rule = "second-vocabulary"
	RuleWrongType           Rule = "wrong-type"
	RuleUnknownKey          Rule = "unknown-key"
	RuleMissingKey          Rule = "missing-key"
	RuleBadIdentifier       Rule = "bad-identifier"
	RuleEmptyText           Rule = "empty-text"
	RuleNamedTwice          Rule = "named-twice"
	RuleBadNumber           Rule = "bad-number"
	RuleOutOfRange          Rule = "out-of-range"
	RuleUnknownFormat       Rule = "unknown-format"
	RuleNoUnit              Rule = "no-unit"
	RuleBadUnit             Rule = "bad-unit"
	RuleBadQuantity         Rule = "bad-quantity"
	RuleWrongDimension      Rule = "wrong-dimension"
	RuleTooFew              Rule = "too-few"
	RuleTooMany             Rule = "too-many"
	RuleBadGate             Rule = "bad-gate"
	RuleUnlessWithoutAnd    Rule = "unless-without-and"
	RuleWeakInput           Rule = "weak-input"
	RuleContradiction       Rule = "contradiction"
	RuleBadRelation         Rule = "bad-relation"
	RuleBadLimit            Rule = "bad-limit"
	RuleLowAboveHigh        Rule = "low-above-high"
	RuleOutcomesOrReading   Rule = "outcomes-or-reading"
	RuleChancesCount        Rule = "chances-count"
	RuleChancesSum          Rule = "chances-sum"
	RuleBadPopulation       Rule = "bad-population"
	RuleNoNominal           Rule = "no-nominal"
	RulePartsWhenFound      Rule = "parts-when-found"
	RuleUnknownName         Rule = "unknown-name"
	RuleUnknownEvent        Rule = "unknown-event"
	RuleUnknownMember       Rule = "unknown-member"
	RuleUnknownLimit        Rule = "unknown-limit"
	RuleUnknownPack         Rule = "unknown-pack"
	RuleUnknownFragment     Rule = "unknown-fragment"
	RuleNothingThere        Rule = "nothing-there"
	RuleUnknownWord         Rule = "unknown-word"
	RuleUnknownShow         Rule = "unknown-show"
	RuleWrongKind           Rule = "wrong-kind"
	RuleNotRelated          Rule = "not-related"
	RuleSameItem            Rule = "same-item"
	RuleCycle               Rule = "cycle"
	RuleOpenAndShut         Rule = "open-and-shut"
	RuleRunsOpen            Rule = "runs-open"
	RuleBadStep             Rule = "bad-step"
	RuleBadDerivation       Rule = "bad-derivation"
	RuleNeverPresent        Rule = "never-present"
	RuleTooManyWanted       Rule = "too-many-wanted"
	RuleOneMean             Rule = "one-mean"
	RuleNotFiner            Rule = "not-finer"
	RuleMisplacedCorrection Rule = "misplaced-correction"
	RuleSiblings            Rule = "siblings"
	RuleUnreadLimit         Rule = "unread-limit"
	RuleFittedPlace         Rule = "fitted-place"
	RuleFittedIncomplete    Rule = "fitted-incomplete"
	RuleFittedShows         Rule = "fitted-shows"
	RulePhraseTaken         Rule = "phrase-taken"
	RuleBadWords            Rule = "bad-words"
	RuleBadBand             Rule = "bad-band"
	RuleNoErrors            Rule = "no-errors"
	RuleBadAccuracy         Rule = "bad-accuracy"
	RuleReservedName        Rule = "reserved-name"
	RuleQuantityOrGrades    Rule = "quantity-or-grades"
	RuleSameTitle           Rule = "same-title"
	RuleLedgerCheck         Rule = "ledger-check"
)

// The rules of advice, as Rules tells them.
const (
	RuleUnusedName          Rule = "unused-name"
	RuleUnneededOpening     Rule = "unneeded-opening"
	RuleSeparatesNothing    Rule = "separates-nothing"
	RuleOutcomeTellsNothing Rule = "outcome-tells-nothing"
	RuleAlike               Rule = "alike"
	RuleAlikeSameRepair     Rule = "alike-same-repair"
	RuleReachesNoSymptom    Rule = "reaches-no-symptom"
	RuleNoRepair            Rule = "no-repair"
	RulePriorRange          Rule = "prior-range"
	RuleStrengthRange       Rule = "strength-range"
	RuleNoCaution           Rule = "no-caution"
	RuleNoSource            Rule = "no-source"
	RuleSoundOutside        Rule = "sound-outside"
	RuleMissingLimit        Rule = "missing-limit"
	RulePhraseShared        Rule = "phrase-shared"
	RulePhraseHides         Rule = "phrase-hides"
	RuleNoMinutes           Rule = "no-minutes"
)

// Errors keep a file from being used.
func errorRules() []RuleInfo {
	return []RuleInfo{
		{RuleTooLong, SeverityError, "the file is longer than 1 MiB", "give the file that was meant; a pack or sheet is far shorter"},
		{RuleEmptyFile, SeverityError, "the file holds nothing", "write a pack, a sheet, a vocabulary or a list of instruments into it"},
		{RuleNotYAML, SeverityError, "the file cannot be read as YAML", "mend indentation, colons, quotes and brackets at the place named"},
		{RuleSecondDocument, SeverityError, "the file holds more than one document", "keep one document a file and take out the line ---"},
		{RuleTooManyValues, SeverityError, "the file holds more than 200,000 values", "split the pack"},
		{RuleTooDeep, SeverityError, "lists and mappings are nested more than 40 deep", "write it flat; no part of the format goes so deep"},
		{RuleAnchor, SeverityError, "an anchor, an alias or a merge key; they are not read", "write the values out"},
		{RuleTag, SeverityError, "a YAML tag; tags are not read", "take the tag out"},
		{RuleBadKey, SeverityError, "a key that is a list or a mapping", "use a plain word as key"},
		{RuleRepeatedKey, SeverityError, "a key is given twice in one mapping", "keep one of the two"},
		{RuleFileTwice, SeverityError, "a file is given twice", "name it once"},
		{RuleUnknownFile, SeverityError, "the file is no pack, sheet, vocabulary or list of instruments", "begin it with pack:, sheet:, instruments:, or shows: and regimes:"},
		{RuleTooManyFaults, SeverityError, "the file has more faults than are listed", "mend those listed and check it again"},
		{RuleTakenIdentifier, SeverityError, "two things that are told apart by their identifier have the same", "give each its own"},
		{RuleNoVocabulary, SeverityError, "packs are loaded without the words in which owners speak", "load the vocabulary with them"},
		{RuleSecondVocabulary, SeverityError, "two vocabularies are loaded", "load one of them"},
		{RuleWrongType, SeverityError, "a value is of another type than its key wants", "write the type that the message names; put texts that look like numbers in quotes"},
		{RuleUnknownKey, SeverityError, "a key that the format does not know at this place", "correct its spelling, or take it out"},
		{RuleMissingKey, SeverityError, "a key that must be there is not", "add it"},
		{RuleBadIdentifier, SeverityError, "an identifier, or the name of a position, has letters that it may not have", "use lower case letters, digits and underscores, a letter first"},
		{RuleEmptyText, SeverityError, "a text without a letter", "write a text, or leave the key out"},
		{RuleNamedTwice, SeverityError, "a list names the same thing twice", "name it once"},
		{RuleBadNumber, SeverityError, "a number that cannot be used, or that YAML would read as another", "write a plain decimal number without leading zeros"},
		{RuleOutOfRange, SeverityError, "a number, a quantity or a time is outside of what its key allows", "write one in the range that the message names"},
		{RuleUnknownFormat, SeverityError, "the version of the format is not known to this program", "write format: 1"},
		{RuleNoUnit, SeverityError, "a quantity has no unit", `write number and unit in quotes, such as "12 V"`},
		{RuleBadUnit, SeverityError, "a unit or the name of a quantity is not known", "use one that the message names"},
		{RuleBadQuantity, SeverityError, "a quantity cannot be read, or is of another kind than is wanted here", "write a number and a unit of the quantity wanted"},
		{RuleWrongDimension, SeverityError, "two things that must be of one quantity are not: a unit, a limit, a ledger entry", "give both in the same quantity"},
		{RuleTooFew, SeverityError, "a list or mapping is empty, or has too few entries to mean something", "add what the message names"},
		{RuleTooMany, SeverityError, "a position set has more than 32 members, or a pack more than 200 openings", "split the set, or leave out what nobody opens"},
		{RuleBadGate, SeverityError, "a gate that is not known", `write or, and, or "at least N" with N of 1 or more`},
		{RuleUnlessWithoutAnd, SeverityError, "unless stands in a gate that is no and gate", "make it an and gate, or put the exception into a condition of its own"},
		{RuleWeakInput, SeverityError, "an input of an and gate has a strength below 1", "write the inputs as a list, or put the strength into a condition of its own"},
		{RuleContradiction, SeverityError, "an and gate wants the same event present and absent", "keep one of the two"},
		{RuleBadRelation, SeverityError, "an entry of serves says nothing, says it twice, or relates a set to itself", "write same, or the places with those they act on, once for each two sets"},
		{RuleBadLimit, SeverityError, "a limit is given in no known way, or bounds nothing", "give min, max, both, or nominal with tolerance"},
		{RuleLowAboveHigh, SeverityError, "the lowest value is not below the highest", "exchange them, or mend one"},
		{RuleOutcomesOrReading, SeverityError, "a check has both outcomes and a reading, or neither", "give one of the two"},
		{RuleChancesCount, SeverityError, "a row has more or fewer chances than the check has outcomes", "give one chance for each outcome, in their order"},
		{RuleChancesSum, SeverityError, "the chances of a row do not add up to 1", "make them add up to 1"},
		{RuleBadPopulation, SeverityError, "values given in parts of a nominal value that there cannot be", "write quantities, or add a limit to the reading"},
		{RuleNoNominal, SeverityError, "a check counts from a nominal value that the sheet does not give", "add nominal and tolerance to the limit"},
		{RulePartsWhenFound, SeverityError, "parts_when_found without what it speaks of", "add found_minutes and parts_minutes, or take it out"},
		{RuleUnknownName, SeverityError, "something is named that is defined nowhere", "correct its spelling, or define it"},
		{RuleUnknownEvent, SeverityError, "an event is named that is defined nowhere in the pack", "name a cause, a mode as item.mode, a condition or a symptom"},
		{RuleUnknownMember, SeverityError, "a position is named that its set does not have", "name a member of the set"},
		{RuleUnknownLimit, SeverityError, "a check names a limit that no sheet of the pack gives", "correct its spelling, or add it to a sheet"},
		{RuleUnknownPack, SeverityError, "a sheet or an amendment names a pack that is not loaded", "correct its spelling, or load the pack with it"},
		{RuleUnknownFragment, SeverityError, "a pack includes a fragment that is not loaded", "correct its spelling, or load the fragment with it"},
		{RuleNothingThere, SeverityError, "a change takes out what is not there", "correct its spelling, or take the line out"},
		{RuleUnknownWord, SeverityError, "a word of the format is not known at this place", "use one that the message names"},
		{RuleUnknownShow, SeverityError, "a symptom shows something, or in a regime, that the vocabulary does not know", "use a word of the vocabulary"},
		{RuleWrongKind, SeverityError, "an event is of a kind that does not fit here", "name a failure mode (item.mode) or a cause"},
		{RuleNotRelated, SeverityError, "two things at different position sets that have no relation are joined", "say under serves how the sets belong together"},
		{RuleSameItem, SeverityError, "a mode raises another of its own item, and they exclude one another", "take it out"},
		{RuleCycle, SeverityError, "something works through to itself, or needs itself open first", "take one of the links out"},
		{RuleOpenAndShut, SeverityError, "work needs an opening both open and shut", "take it out of opens or of shut"},
		{RuleRunsOpen, SeverityError, "the engine is to run with an opening open that says shut_to_run", "take it out of opens, or let the engine be off"},
		{RuleBadStep, SeverityError, "a step is neither a text, a wait nor a value, or stands where it may not", "write a text, {wait: ...} or {take: ...}; the steps of repairs are texts"},
		{RuleBadDerivation, SeverityError, "a reading cannot be derived as it is written", "name two values that steps take, of quantities that go together"},
		{RuleNeverPresent, SeverityError, "a condition or symptom can be present at no place", "see under positions and serves where its inputs stand"},
		{RuleTooManyWanted, SeverityError, "a gate wants more of its inputs present than it has", "ask for fewer, or add inputs"},
		{RuleOneMean, SeverityError, "a reading is expected to be the same in every case", "give the rows means of their own"},
		{RuleNotFiner, SeverityError, "the finer instrument of a reading is no finer", "give it the smaller uncertainty, or take it out"},
		{RuleMisplacedCorrection, SeverityError, "a correction is for another quantity than the check reads", "take it out"},
		{RuleSiblings, SeverityError, "a limit that compares positions is used for one reading, or the other way round", "make the limit and what reads against it agree"},
		{RuleUnreadLimit, SeverityError, "nothing in the pack reads against a limit of the sheet", "correct its spelling, or take it out"},
		{RuleFittedPlace, SeverityError, "a table of fitted parts stands at other positions than its item", "write the item's set, or take the table out"},
		{RuleFittedIncomplete, SeverityError, "a table of fitted parts leaves out a position", "add it"},
		{RuleFittedShows, SeverityError, "fitted_shows names no outcome of the check, or the check fills in no table", "name an outcome of the check, or add fitted"},
		{RulePhraseTaken, SeverityError, "two places may be called the same", "take the phrase out of one of them"},
		{RuleBadWords, SeverityError, "words collide with others or do not go together with the vocabulary", "do what the message says"},
		{RuleBadBand, SeverityError, "a band of engine speeds is none", "write rpm: [600, 1200]"},
		{RuleNoErrors, SeverityError, "nothing is said of an instrument's errors", "add noise, gauge or accuracy"},
		{RuleBadAccuracy, SeverityError, "a statement of accuracy cannot be read, or does not go with the step", `write it as "0.8 % + 3 digits", with the step of one digit`},
		{RuleReservedName, SeverityError, "a ledger entry is called as one that is always there", "give it another name"},
		{RuleQuantityOrGrades, SeverityError, "a ledger entry has parts of a number without being one, or is both number and grade", "give quantity with unit, or grades, or neither"},
		{RuleSameTitle, SeverityError, "two ledger entries, or two grades of one, have the same title", "give each its own"},
		{RuleLedgerCheck, SeverityError, "a ledger entry and the check whose readings it takes do not agree", "let both have the same positions, quantity and limit"},
	}
}

// Advice is told by lint alone, of files without errors.
func adviceRules() []RuleInfo {
	return []RuleInfo{
		{RuleUnusedName, SeverityAdvice, "a tool, caution, place, condition or position set is defined and never used", "use it, or take it out"},
		{RuleUnneededOpening, SeverityAdvice, "no check or repair needs an opening, directly or through another", "use it, or take it out"},
		{RuleSeparatesNothing, SeverityAdvice, "a check is expected to turn out alike whatever is wrong, or none of its rows can hold", "give the rows chances of their own, or take the check out"},
		{RuleOutcomeTellsNothing, SeverityAdvice, "an outcome that is not the usual one is made likelier by no row", "let a row make it likelier, or put it together with another"},
		{RuleAlike, SeverityAdvice, "no check tells suspects apart, and different repairs put them right", "add a check, or rows, that part them"},
		{RuleAlikeSameRepair, SeverityAdvice, "no check tells suspects apart; the same repairs put them right, so that it matters less", "put them together, or part them if their chances matter"},
		{RuleReachesNoSymptom, SeverityAdvice, "a cause or mode works through to no symptom", "make it an input of what it causes, or take it out"},
		{RuleNoRepair, SeverityAdvice, "no repair puts a mode right, or a cause that acts by itself", "let a repair fix it"},
		{RulePriorRange, SeverityAdvice, "a prior, or the sum of those of an item, is outside of what is usual: 0.00001 to 0.3", "correct it, or say in a note why"},
		{RuleStrengthRange, SeverityAdvice, "a strength below 0.02 adds work and hardly any knowledge", "leave the input out, or correct it"},
		{RuleNoCaution, SeverityAdvice, "work that opens fuel parts, turns the engine or deals with spark names no caution", "name the caution that it needs"},
		{RuleNoSource, SeverityAdvice, "a prior, the rows of a check, a limit or an instrument does not say what it rests on", "add source; judgement is one"},
		{RuleSoundOutside, SeverityAdvice, "a limit condemns most parts that the pack takes for sound", "compare the limit with the populations of the check"},
		{RuleMissingLimit, SeverityAdvice, "a sheet lacks a limit that a check of its pack names; the check still runs as a record", "add the limit to the sheet if the engine has one"},
		{RulePhraseShared, SeverityAdvice, "a place may be called what also says something of the engine's history", "take it out of one of them"},
		{RulePhraseHides, SeverityAdvice, "a phrase of a history entry is also a word for a symptom", "take it out of the history entry"},
		{RuleNoMinutes, SeverityAdvice, "a check opens something and takes no minutes itself", "give the minutes that looking takes"},
	}
}
