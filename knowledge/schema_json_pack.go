package knowledge

import "slices"

// packShape is a whole pack.
func packShape() shape {
	own := append(packOwnKeys(), packSections()...)
	s := mapping(slices.Concat(beginningKeys("pack", "The name by which sheets refer to the pack."), own, packMakingKeys(own))...)
	// What is included or changed may bring the sections that a pack must have.
	var must []string
	for _, k := range packSections() {
		if k.must {
			must = append(must, k.name)
		}
	}
	s["required"] = slices.DeleteFunc(s["required"].([]string), func(k string) bool { return slices.Contains(must, k) })
	s["if"], s["else"] = shape{"anyOf": []shape{required("include"), required("change")}}, required(must...)
	return s.with("title", "Pack").with("description", "What is known about a family of engines: where parts stand, how they fail, what that does, what can be checked and put right.")
}

// packMakingKeys speak of how a pack is put together from parts.
func packMakingKeys(own []shapeKey) []shapeKey {
	return []shapeKey{
		takes("include", "Included fragments", "Fragments whose sections come before the pack's own, by name, in this order.", namesOf(identifier())),
		changeKey(own),
		takes("variants", "Variants", "Packs that differ from this one: from the identifier of each to its changes.",
			mapOf(identifier(), patchShape(own).with("required", []string{"title"})).with("maxProperties", 16)),
	}
}

func changeKey(own []shapeKey) shapeKey {
	return takes("change", "Changes", "A merge patch (RFC 7396) of the pack's sections: mappings are merged key by key, anything else takes the place of what was there, ~ takes out.", patchShape(own))
}

// patchShape is a merge patch of a pack: any of its keys, with values of any
// shape, since a part of a definition is none by itself.
func patchShape(own []shapeKey) shape {
	props := shape{}
	for _, k := range append(slices.Clone(own), entryKeys()...) {
		props[k.name] = shape{"title": k.of["title"], "description": k.of["description"]}
	}
	return shape{"type": "object", "properties": props, "additionalProperties": false}
}

// fragmentShape is some sections of a pack, to be included by name.
func fragmentShape() shape {
	sections := packSections()
	for i := range sections {
		sections[i].must = false
	}
	keys := slices.Concat(beginningKeys("fragment", "The name by which packs include the fragment."), []shapeKey{versionKey(false)},
		sections, []shapeKey{changeKey(append(packOwnKeys(), sections...))})
	return mapping(keys...).with("title", "Fragment of a pack").with("description", "Sections of a pack that packs include by name, such as one system of an engine.")
}

// amendsShape is the user's change of a pack of another file.
func amendsShape() shape {
	own := append(packOwnKeys(), packSections()...)
	keys := append(beginningKeys("amends", "The identifier of the pack that is changed."), versionKey(false), changeKey(own))
	return mapping(keys...).with("title", "Amendment of a pack").with("description", "Changes of a pack of another file, such as one that comes with the program.")
}

func versionKey(must bool) shapeKey {
	k := needs("version", "Version", "The state of the file, in quotes.", textShape().with("examples", []string{"2026.1"}))
	k.must = must
	return k
}

// packOwnKeys are those that only a pack has, beside its head and its sections.
func packOwnKeys() []shapeKey {
	return []shapeKey{
		versionKey(true),
		needs("handing_on", "Handing on", "What it costs to hand the job on to a specialist, the last resort.", mapping(
			needs("minutes", "Minutes", "What handing on costs, as minutes at the shop's rate.", minutesShape()),
			needs("title", "Title", "What it is called among the offers.", textShape()))),
		needs("recheck", "Trying again", "Trying the complaint again after a repair.", mapping(
			needs("minutes", "Minutes", "How long one try takes.", minutesShape()),
			takes("engine", "Engine", "What the engine does meanwhile; left out: off.", engineShape()),
			takes("places", "Places", "Where it can be done; left out: anywhere.", namesOf(identifier())),
			takes("shows", "Shows", "Chance that a complaint that is there shows at one try; left out: 0.8.", chanceShape()))),
	}
}

// packSections are the keys under which a pack or a fragment defines things.
func packSections() []shapeKey {
	return []shapeKey{
		takes("positions", "Position sets", "Sets of places where a like part stands: cylinders, carburettors.", definitions(positionSetShape())),
		takes("serves", "Relations of places", "Which place of one set acts on which of another, written once and held both ways.", definitions(mapOf(identifier(), relationShape()))),
		takes("causes", "Common causes", "Engine-wide causes that raise modes of parts, such as fuel gone stale.", definitions(causeShape())),
		needs("items", "Items", "Parts with their failure modes.", definitions(itemShape())),
		takes("conditions", "Conditions", "Events between faults and symptoms, such as a lean mixture at idle.", definitions(conditionShape())),
		needs("symptoms", "Symptoms", "What a complaint can name, engine-wide: the tops of the fault tree.", definitions(symptomShape())),
		takes("history", "History", "What owners say beside the complaint, and how likely each is said.", definitions(historyShape())),
		takes("places", "Places", "Where the engine can stand while it is worked on.", definitions(siteShape())),
		takes("openings", "Openings", "Access steps, such as the cowl off, with their minutes.", definitions(openingShape())),
		takes("tools", "Tools", "What checks and repairs need at hand.", definitions(mapping(entryKeys()...))),
		takes("cautions", "Cautions", "What is said before the first work that can hurt someone.", definitions(cautionShape())),
		takes("checks", "Checks", "What can be looked at or measured, at what cost, and what it shows.", definitions(checkShape())),
		takes("repairs", "Repairs", "What can be put right, and at what cost.", definitions(repairShape())),
		takes("ledger", "Ledger", "What is written down at each position as found and as left; no evidence.", definitions(ledgerShape())),
	}
}

func positionSetShape() shape {
	return mapping(append(entryKeys(),
		needs("members", "Members", "The names of the places in their order, in quotes.",
			namesOf(memberName()).with("minItems", 1).with("maxItems", maxMembers)))...)
}

func relationShape() shape {
	return shape{
		"title":       "Acts on",
		"description": "same where members of the same name act on one another, else from each place to those it acts on.",
		"oneOf":       []shape{{"const": "same"}, mapOf(memberName(), namesOf(memberName()))},
	}
}

func raisesShape() shape { return mapOf(eventName(), chanceShape()) }

const aboutRaises = "From a mode (item.mode) or a cause to the chance that this alone produces it."

func causeShape() shape {
	return mapping(append(entryKeys(),
		needs("prior", "Prior", "Chance that it is there before anything is known.", chanceShape()),
		takes("raises", "Raises", aboutRaises, raisesShape()))...)
}

func itemShape() shape {
	return mapping(append(entryKeys(), atKey(),
		takes("system", "System", "A heading for lists.", textShape()),
		needs("modes", "Failure modes", "Ways to fail; at one place they exclude one another.", definitions(causeShape()).with("minProperties", 1)))...)
}

func atKey() shapeKey {
	return takes("at", "At", "The position set that it stands at; left out: one for the engine.", identifier())
}

// gateKeys make an event of others.
func gateKeys() []shapeKey {
	return []shapeKey{
		takes("gate", "Gate", `How the inputs go together: or, and, "at least N"; left out: or.`, shape{
			"type": "string", "anyOf": []shape{{"enum": []string{"or", "and"}}, {"pattern": "^at least [1-9][0-9]{0,3}$"}}, "examples": []string{"at least 2"},
		}),
		needs("from", "Inputs", "Modes, causes, conditions or symptoms with their strengths, or a list of those of strength 1. An and gate takes only strength 1.", shape{
			"oneOf": []shape{
				namesOf(eventName()).with("minItems", 1),
				mapOf(eventName(), strengthShape()).with("minProperties", 1),
			},
		}),
		takes("unless", "Unless", "Of and gates only: inputs that must be absent.", namesOf(eventName())),
	}
}

// gated adds the rules of gates.
func gated(s shape) shape {
	and := shape{"properties": shape{"gate": shape{"const": "and"}}, "required": []string{"gate"}}
	ones := shape{"properties": shape{"from": shape{"additionalProperties": shape{"const": 1}}}}
	exceptions := shape{"properties": shape{"unless": shape{"minItems": 1}}, "required": []string{"unless"}}
	return s.with("allOf", []shape{when(and, ones), when(exceptions, and)})
}

func conditionShape() shape {
	return gated(mapping(slices.Concat(entryKeys(), []shapeKey{atKey(), takes("raises", "Raises", aboutRaises, raisesShape())}, gateKeys())...))
}

func symptomShape() shape {
	return gated(mapping(slices.Concat(entryKeys(), []shapeKey{
		needs("shows", "Shows", "What is seen; a word of the vocabulary's shows.", identifier()),
		needs("regime", "Regimes", "When it shows: words of the vocabulary's regimes, all needed to name it.", namesOf(identifier())),
		needs("unlisted", "Unlisted", "Prior of something that makes it and is not in this pack.", chanceShape()),
	}, gateKeys())...))
}

func historyShape() shape {
	return mapping(append(entryKeys(),
		needs("phrases", "Phrases", "The words that owners use.", textsShape().with("minItems", 1)),
		needs("said", "Said", "From an event to the chance that it is said; the first that is there decides.", mapOf(eventName(), shareShape()).with("minProperties", 1)),
		needs("else", "Else", "Chance that it is said where none of these is there.", shareShape()))...)
}
