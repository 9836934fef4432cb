package knowledge

import (
	"math"
	"slices"
	"strings"
	"unicode"
)

// alikeWithin is how far chances may differ and still tell nothing.
const alikeWithin = 0.01

// check gives the advice on one check.
func (a *adviser) check(k *Check) {
	switch {
	case !a.holds(k):
		a.note(RuleSeparatesNothing, k.Pos, "name events that can be present where the check stands", "none of the rows of check %s can hold at any place", k.ID)
	case k.Reading == nil && !k.parts():
		a.note(RuleSeparatesNothing, k.Pos, "give the rows chances of their own, or take the check out", "check %s turns out alike, within %g, whatever is wrong", k.ID, alikeWithin)
	default:
		a.outcomes(k)
	}
	if k.Minutes == 0 && len(k.Opens) > 0 {
		a.note(RuleNoMinutes, k.Pos, "give the minutes that looking takes", "check %s opens %s and takes no minutes itself", k.ID, k.Opens[0].ID)
	}
	if !sourced(k.Source, a.p.pack.Source) {
		a.note(RuleNoSource, k.Pos, `add source; "judgement" is one`, "the rows of check %s do not say what they rest on", k.ID)
	}
	a.hazards("check", &k.Work)
}

// holds tells whether a row of the check can hold at any of its places.
func (a *adviser) holds(k *Check) bool {
	for i := range a.p.lay.places(k.At.ID) {
		for _, r := range k.Rows {
			if len(a.p.pr.inputs(k.At.ID, i, r.Event)) > 0 {
				return true
			}
		}
	}
	return false
}

// parts tells whether any row differs from the case that none holds.
func (k *Check) parts() bool {
	for _, r := range k.Rows {
		for i, p := range r.P {
			if math.Abs(p-k.Else.P[i]) > alikeWithin {
				return true
			}
		}
	}
	return false
}

// outcomes tells outcomes that nothing makes likelier, apart from the likeliest
// one of an engine that has nothing of the kind.
func (a *adviser) outcomes(k *Check) {
	if k.Reading != nil {
		return
	}
	usual := slices.Index(k.Else.P, slices.Max(k.Else.P))
	for i, o := range k.Outcomes {
		likelier := slices.ContainsFunc(k.Rows, func(r Row) bool { return r.P[i] > k.Else.P[i] })
		if i != usual && !likelier {
			a.note(RuleOutcomeTellsNothing, k.Pos, "let a row make it likelier, or put it together with "+k.Outcomes[usual].ID, "no row of check %s makes outcome %s likelier", k.ID, o.ID)
		}
	}
}

// fuelWords name what holds petrol when it is opened.
var fuelWords = []string{"fuel", "petrol", "tank", "bowl", "bowls", "carburettor", "carburettors"}

// hazards tells work that is dangerous as a rule and names no caution. It goes by the
// state of the engine and by words, so that it knows only the usual cases.
func (a *adviser) hazards(what string, w *Work) {
	if len(w.Cautions) > 0 {
		return
	}
	why := ""
	switch opened := a.opensFuel(w); {
	case w.Engine != Off:
		why = "turns the engine, " + w.Engine.String() + ","
	case opened != "":
		why = "opens " + opened
	case a.spark(w):
		why = "deals with spark"
	default:
		return
	}
	a.note(RuleNoCaution, w.Pos, "name the caution that it needs", "%s %s %s and names no caution", what, w.ID, why)
}

// opensFuel is the first opening of the work that holds petrol, by its words.
func (a *adviser) opensFuel(w *Work) string {
	for _, r := range w.Opens {
		for _, o := range a.p.pack.Openings {
			words := words(o.ID + " " + o.Title)
			if o.ID == r.ID && slices.ContainsFunc(fuelWords, func(f string) bool { return slices.Contains(words, f) }) {
				return o.ID
			}
		}
	}
	return ""
}

// spark tells whether a tool of the work, or its title, speaks of spark; a spark plug
// by itself is harmless.
func (a *adviser) spark(w *Work) bool {
	texts := []string{w.Title}
	for _, r := range w.Tools {
		texts = append(texts, a.tools[r.ID])
	}
	return slices.ContainsFunc(texts, func(text string) bool {
		words := words(text)
		i := slices.Index(words, "spark")
		return i >= 0 && !(i+1 < len(words) && strings.HasPrefix(words[i+1], "plug"))
	})
}

// words are the words of a text in small letters.
func words(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) })
}
