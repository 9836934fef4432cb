package session

import (
	"context"
	"strings"
)

// Command is one line of the mechanic's, parsed: a verb with the rest of the
// line, or a line without a verb, whose meaning depends on what was asked.
type Command struct {
	Verb string // "" for a number, an answer, or free words
	Rest string
}

// verb is one word of the command language.
type verb struct {
	name  string
	also  []string
	args  string // as shown in the help
	help  string
	run   func(c *Case, ctx context.Context, rest string) (View, error)
	after bool // allowed once the case is closed
	args0 argument
}

// argument says what completes after a verb.
type argument uint8

const (
	noArgument argument = iota
	aCheck
	aSuspect
	anEvent
	aSymptom
	anOpening
	aTool
	aSite
	aTable
	anInstrument
	aUnit
	aVerb
)

// verbs is the command language, in the order of the help.
func verbs() []verb {
	return []verb{
		{name: "complaint", args: "WORDS", help: "what the owner says; replaces what was said before", run: (*Case).doComplaint},
		{name: "present", args: "SYMPTOM", help: "the owner does have this; corrects what was understood", run: (*Case).doPresent, args0: aSymptom},
		{name: "absent", args: "SYMPTOM", help: "the owner does not have this", run: (*Case).doAbsent, args0: aSymptom},
		{name: "unknown", args: "SYMPTOM", help: "take a symptom out of the complaint", run: (*Case).doUnknown, args0: aSymptom},
		{name: "seen", also: []string{"verified"}, args: "[SYMPTOM]", help: "you have seen the complaint, or this symptom, yourself", run: (*Case).doSeen, args0: aSymptom},
		{name: "unseen", args: "[SYMPTOM]", help: "you have tried the complaint, or this symptom, and it did not show", run: (*Case).doUnseen, args0: aSymptom},
		{name: "next", also: []string{"n", "offer"}, args: "[N]", help: "what to do next, with its cost; why offer N stands where it does", run: (*Case).doNext},
		{name: "suspects", also: []string{"s"}, help: "every suspect, the likeliest cure first", run: (*Case).doSuspects, after: true},
		{name: "check", also: []string{"do"}, args: "NAME [PLACE]", help: "do any check, offered or not", run: (*Case).doCheck, args0: aCheck},
		{name: "skip", args: "[N or NAME] [why]", help: "leave a check out, with the reason", run: (*Case).doSkip, args0: aCheck},
		{name: "noticed", args: "WORDS [on PLACE]", help: "something you just saw, without a check", run: (*Case).doNoticed, args0: anEvent},
		{name: "found", args: "WHAT VALUE on PLACE, or all VALUES", help: "as you found it: the mark of a part, a height, turns, a gap, a seal; note WORDS; - for one not read", run: (*Case).doFound, args0: aTable},
		{name: "left", args: "WHAT VALUE on PLACE, or all VALUES", help: "the same as you leave it", run: (*Case).doLeft, args0: aTable},
		{name: "parts", args: "[WHAT]", help: "the ledger: as found and as left, by position, against the sheet or the other positions", run: (*Case).doParts, args0: aTable, after: true},
		{name: "readings", args: "[CHECK]", help: "what was read, drawn against its limits, positions side by side", run: (*Case).doReadings, args0: aCheck, after: true},
		{name: "fixed", also: []string{"repaired"}, args: "N or NAME [PLACE]", help: "you have put a suspect right; then try the complaint again", run: (*Case).doFixed, args0: aSuspect},
		{name: "gone", args: "", help: "after a repair: the complaint is gone", run: (*Case).doGone},
		{name: "still", args: "[WORDS]", help: "after a repair: it is still there, or what of it is", run: (*Case).doStill},
		{name: "open", args: "OPENING", help: "something is open or off now", run: (*Case).doOpen, args0: anOpening},
		{name: "shut", args: "OPENING", help: "something is back on", run: (*Case).doShut, args0: anOpening},
		{name: "without", args: "TOOL or running", help: "you have no such tool, or cannot run the engine here", run: (*Case).doWithout, args0: aTool},
		{name: "with", args: "TOOL or running", help: "you have it again", run: (*Case).doWith, args0: aTool},
		{name: "using", args: "[INSTRUMENT]", help: "what you read with from now on; using nothing: as the checks assume", run: (*Case).doUsing, args0: anInstrument},
		{name: "height", args: "[HEIGHT or none]", help: "how high above the sea you are; compressions are referred to sea level", run: (*Case).doHeight},
		{name: "warmth", args: "[warm, cold or none]", help: "whether the engine is warm or cold; kept beside compressions", run: (*Case).doWarmth},
		{name: "units", args: "[QUANTITY UNIT]", help: "the unit that a quantity is shown in", run: (*Case).doUnits, args0: aUnit, after: true},
		{name: "at", args: "[PLACE]", help: "where the engine stands; alone it lists the places", run: (*Case).doAt, args0: aSite},
		{name: "why", args: "N or SUSPECT", help: "what speaks for and against a suspect", run: (*Case).doWhy, args0: aSuspect, after: true},
		{name: "together", args: "[N]", help: "the likeliest sets of faults, and whether those found account for it all", run: (*Case).doTogether, after: true},
		{name: "tree", args: "[SYMPTOM]", help: "the fault tree from the complaint down", run: (*Case).doTree, args0: aSymptom, after: true},
		{name: "log", also: []string{"history"}, help: "the entries of this case", run: (*Case).doLog, after: true},
		{name: "note", args: "WORDS", help: "write something into the record", run: (*Case).doNote},
		{name: "undo", args: "[ENTRY]", help: "take back the last entry, or the one with that number", run: (*Case).doUndo, after: true},
		{name: WaitVerb, help: "begin the wait that a timed check asks for", run: (*Case).doWait},
		{name: "early", help: "go on before a wait is over", run: (*Case).doEarly},
		{name: "again", help: "begin the last wait of a timed check anew", run: (*Case).doAgain},
		{name: "restart", help: "begin a timed check anew; what it has read stays in the record", run: (*Case).doRestart},
		{name: "reload", help: "take up the packs as they lie there now; until then a case keeps its own", run: (*Case).doReload},
		{name: "cancel", help: "leave the check that is being asked", run: (*Case).doCancel},
		{name: "close", args: "[WORDS]", help: "close the case, with what was done in your words", run: (*Case).doClose},
		{name: "help", also: []string{"?"}, args: "[COMMAND]", help: "this list, or one command", run: (*Case).doHelp, args0: aVerb, after: true},
		{name: "quit", also: []string{"exit", "q"}, help: "leave; the case can be taken up again", run: (*Case).doQuit, after: true},
	}
}

// findVerb looks a word up, whole.
func findVerb(word string) (verb, bool) {
	for _, v := range verbs() {
		if v.name == word {
			return v, true
		}
		for _, a := range v.also {
			if a == word {
				return v, true
			}
		}
	}
	return verb{}, false
}

// Parse takes a line apart. It never fails: what begins with no verb is left
// to be understood by what was asked.
func Parse(line string) Command {
	line = strings.Join(strings.Fields(line), " ")
	word, rest, _ := strings.Cut(line, " ")
	if v, ok := findVerb(strings.ToLower(word)); ok {
		return Command{Verb: v.name, Rest: rest}
	}
	return Command{Rest: line}
}
