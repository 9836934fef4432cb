// Package knowledge reads packs and sheets, checks them, stores them and
// builds fault models out of them.
//
// A pack holds what is known about a family of engines: where parts stand,
// how they fail, what that does to the running of the engine, what can be
// checked at what cost, and what can be put right. A sheet holds one engine's
// limits and fitted parts. Both are YAML, read strictly: every fault of a file
// is reported at once, one a line, as file:line:column, what is wrong and what
// to do about it; a file with any fault is refused whole.
//
// Load reads files into a Library, Open builds the Engine of one sheet: the
// fault model, the words for everything in it, and a Snapshot of the store for
// look-ups. All of them are immutable. Sources of an Engine, loaded and opened
// again, make the same model to the last digit.
//
// # The pack format, version 1
//
// Identifiers are lower case letters, digits and underscores, starting with a
// letter. Probabilities lie strictly between 0 and 1; strengths in (0,1];
// chances of what is seen or said may be 0 and 1 as well. Quantities are texts
// with a unit ("0.86 mm", "12 V"). Minutes are numbers of at least 0. Texts
// that look like numbers or dates stand in quotes. Every mapping keeps its
// written order, which fixes the order of the lists shown and of the
// arithmetic. Every definition has a title, and may have a source and a note,
// which are for people. The examples of this section are one pack.
//
//	pack: outboard_four          # the pack's identifier
//	format: 1
//	title: Four-stroke outboard, four cylinders, a carburettor each
//	version: "2026.1"
//	note: what the numbers rest on
//	handing_on: {minutes: 180, title: hand the job on to a specialist}
//	recheck: {minutes: 6, engine: running, places: [stand_with_water, in_the_water]}
//	                             # repeating the complaint after a repair; shows, left
//	                             # out 0.8 by judgement, is the chance that a complaint
//	                             # that is there shows at one try
//
//	positions:                   # sets of places where a like part stands
//	  cylinder: {title: cylinder, members: ["1", "2", "3", "4"]}
//	  carb: {title: carburettor, members: ["1", "2", "3", "4"]}
//	  enricher: {title: enricher, members: ["2", "3"]}       # on two carburettors only
//	  coil: {title: coil, members: [A, B]}
//	serves:                      # which place acts on which: members with the
//	  carb: {cylinder: same}     # same name, or named pairs
//	  enricher: {carb: same, cylinder: same}
//	  coil: {cylinder: {A: ["1", "4"], B: ["2", "3"]}}
//
// A set has at most 32 members, each named by up to 16 letters, digits, dashes
// or underscores. A relation is written once and holds both ways; it is not
// carried on over a third set. Members without a counterpart stand in no
// relation.
//
//	causes:                      # common causes, engine-wide
//	  stale_fuel:
//	    title: fuel went stale over lay-up
//	    prior: 0.22
//	    source: judgement        # published ..., common practice, or judgement
//	    raises:                  # chance that this cause alone produces the mode,
//	      pilot_jet.blocked: 0.30   # at each place by itself
//
//	items:
//	  pilot_jet:
//	    title: pilot jet
//	    at: carb                 # a set of positions; left out: one for the engine
//	    system: carburettor      # a heading for lists
//	    modes:                   # exclude one another at one position
//	      blocked: {title: blocked or part-blocked, prior: 0.02, source: judgement}
//	  float:
//	    title: float
//	    at: carb
//	    modes:
//	      low: {title: level low, prior: 0.01}
//	      high: {title: level high, prior: 0.01, raises: {plug.fouled: 0.1}}
//	  plug: {title: spark plug, at: cylinder, modes: {fouled: {title: fouled, prior: 0.02}}}
//	  coil: {title: ignition coil, at: coil, modes: {weak: {title: weak, prior: 0.01}}}
//	  rings: {title: piston rings, at: cylinder, modes: {worn: {title: worn, prior: 0.01}}}
//
//	conditions:                  # intermediate events
//	  lean_idle:
//	    title: lean at idle
//	    at: cylinder
//	    gate: or                 # or, and, at least N; left out: or
//	    from:                    # input: strength, or a list of inputs of strength 1;
//	      pilot_jet.blocked: 0.9 # an and gate takes only strength 1
//	      float.low: 0.3
//	  rich_idle:
//	    title: rich at idle
//	    at: cylinder
//	    from: {float.high: 0.8}
//	    raises: {plug.fouled: 0.2}   # a condition may raise modes too
//	  weak_idle: {title: weak at idle, at: cylinder, from: {lean_idle: 0.8, plug.fouled: 0.6, coil.weak: 0.7}}
//	  wet_idle:
//	    title: rich without firing
//	    at: cylinder
//	    gate: and
//	    from: [rich_idle, weak_idle]
//	    unless: [lean_idle]      # and gates only: inputs that must be absent
//	  shaking: {title: two or more weak, gate: at least 2, from: {weak_idle: 0.95}}
//
//	symptoms:                    # top events, engine-wide
//	  rough_idle:
//	    title: rough at idle
//	    shows: rough             # what is seen; a word of the vocabulary
//	    regime: [idle]           # when: a list of regimes, all needed to name it
//	    unlisted: 0.01           # prior of something not in this pack
//	    gate: or
//	    from: {weak_idle: 0.9, wet_idle: 0.5, shaking: 1}
//
// An input names item.mode, a cause, a condition or a symptom; what is raised
// names item.mode or a cause. Causes, items, conditions and symptoms share one
// stock of identifiers. Nothing may work through to itself, whether by inputs
// or by raising.
//
// Where places differ, the relation in serves decides: at a condition of
// cylinder 3 an input that stands at carb means every carburettor that serves
// cylinder 3; an engine-wide event stands for itself; and an engine-wide gate
// takes an input from all its places. Two sets without a relation cannot be
// joined, and the loader says so. The same holds for what is raised, for the
// rows of checks and history, and for what repairs fix and introduce: where a
// row means several places it becomes one row for each, in the order of the
// set.
//
// An input counts only where it exists. A gate exists at a place if its inputs
// can make it present there: an or gate with any, "at least N" with N or more,
// an and gate if each input exists at every place meant, and at one or more. A
// gate that exists nowhere is a fault. A check is offered where one of its rows
// exists, a repair where it fixes something.
//
//	history:                     # what the owner says beside the complaint
//	  since_layup:
//	    title: since it was laid up
//	    phrases: ["since lay-up", "after winter storage"]
//	    said:                    # chance that it is said: first event that holds
//	      stale_fuel: 0.7
//	    else: 0.15               # chance that it is said otherwise
//
//	places:                      # where the engine can stand while it is worked on
//	  bench: {title: on the bench, phrases: [bench, workshop]}
//	  stand_with_water: {title: on a stand with water, phrases: ["stand with water", muffs]}
//	  in_the_water: {title: in the water, phrases: [afloat]}
//
//	openings:                    # access steps with their minutes; what needs names
//	  cowl: {title: cowl, open: 1, close: 1, needs: [], shut_to_run: false}
//	  plugs_out: {title: plugs out, open: 4, close: 5, needs: [cowl], shut_to_run: true}
//	  bowls: {title: float bowls off, open: 12, close: 15, wear: 6, needs: [cowl], shut_to_run: true}
//
//	tools: {shorting_probe: {title: shorting probe}, tachometer: {title: tachometer},
//	        test_gauge: {title: test gauge}}
//
//	cautions:                    # said before the first check that needs them
//	  petrol:
//	    title: Petrol and vapour
//	    text: "No flame, open air. Follow local codes."
//	    charge: 2                # minutes that its risk weighs; left out: 0
//	    source: judgement
//	  spark: {title: Spark, text: "Earth every lead. Follow the engine's own manual."}
//
// The title of a place reads on after "the engine is". Its phrases, which no
// other place may have, are what the mechanic may call it; the first of them is
// shown. Work that names no places can be done at any, and as long as nothing
// was said of where the engine stands, none keeps any work from being offered.
//
// What an opening needs must be open first. shut_to_run says that the engine
// cannot run while it is open. Left out, needs is empty and shut_to_run false.
// wear is what opening it weighs beyond its minutes, in minutes: threads and
// gaskets used up, dirt let in, the chance to leave something loose. It is weighed
// when the next work is chosen and never counted as time spent. Left out, it is 0.
//
// The charge of a caution is what the risk of its work weighs beside the minutes,
// when it is planned what to do next: an action with a hazard is advised only
// where it saves more than its charges, which are added up over its cautions.
// Charges count in no record of the time spent. Modest ones, of 1 to 5 minutes,
// part what is about equal; greater ones forbid more than they weigh.
//
//	checks:
//	  drop_test:
//	    title: cylinder drop test
//	    short: earth each plug in turn and note how far the speed falls
//	    steps: ["Let it idle.", "Earth each plug in turn."]
//	    at: cylinder             # left out: engine-wide
//	    each: false              # false, or left out: one go answers every position
//	                             # for the minutes given; true: minutes for each
//	    minutes: 6
//	    opens: [cowl]            # openings that must be open, and all that they need
//	    shut: [plugs_out]        # openings that must be closed
//	    engine: running          # off, cranking or running; left out: off. Running
//	                             # needs every opening closed that says shut_to_run
//	    places: [stand_with_water, in_the_water]   # left out: anywhere
//	    tools: [shorting_probe, tachometer]
//	    cautions: [spark]
//	    outcomes:                # two or more, exclusive
//	      falls: falls like the others
//	      little: falls little
//	      none: does not fall
//	    rows:                    # the first event that holds decides; chances of
//	      coil.weak: [0.03, 0.12, 0.85]           # the outcomes in their order,
//	      weak_idle: [0.10, 0.70, 0.20]           # adding up to 1
//	    else: [0.92, 0.06, 0.02]
//	    source: judgement
//	  jet_marks:
//	    title: jets by position
//	    at: carb
//	    minutes: 12
//	    opens: [bowls]
//	    consumables: [{title: bowl gasket, minutes: 3}]   # what it uses up, as minutes
//	                             # at the shop's rate
//	    fitted: [pilot_jet]      # items whose table on the sheet this check fills in
//	    fitted_shows: {foreign: blocked}   # which outcome a part there amounts to that
//	                             # is right, exchanged (it belongs to another
//	                             # position) or foreign, as evidence of faults of the
//	                             # table's own item; may be left out
//	    outcomes: {clear: clear, blocked: blocked}
//	    rows: {pilot_jet.blocked: [0.1, 0.9]}
//	    else: [0.98, 0.02]
//	  compression_dry:           # a reading in place of outcomes
//	    title: dry compression
//	    at: cylinder
//	    minutes: 12
//	    opens: [plugs_out]
//	    engine: cranking
//	    reading:
//	      quantity: pressure     # a dimension of package quantity
//	      unit: psi              # UCUM code or trade spelling; shown in it
//	      limit: compression     # the sheet's limit of that name; may be left out
//	      siblings: compression_spread   # the sheet's limit that compares the
//	                             # positions with one another; may be left out
//	      uncertainty: "4 psi"   # standard uncertainty of one reading
//	      finer: {tool: test_gauge, uncertainty: "1 psi"}   # a better instrument,
//	                             # for a reading too close to call; may be left out
//	    rows:
//	      rings.worn: {mean: "85 psi", sd: "15 psi"}
//	    else: {mean: "125 psi", sd: "8 psi"}
//	  coil_primary:
//	    title: coil primary resistance
//	    at: coil
//	    minutes: 5
//	    reading:
//	      quantity: resistance
//	      unit: ohm
//	      limit: coil_primary
//	      uncertainty: "0.03 ohm"
//	      corrections: [leads, copper20]   # leads: the resistance of the test leads
//	                             # is asked for and subtracted; copper20: the
//	                             # temperature is asked for, referred to 20 degC;
//	                             # of pressures altitude and warmth, see below
//	    rows:                    # of: nominal, as factors of the sheet's nominal
//	      coil.weak: {of: nominal, mean: 0.6, sd: 0.1}
//	    else: {of: nominal, mean: 1, sd: 0.05}
//	  coil_heat:                 # a check with waits and values on the way
//	    title: coil primary, cold and hot
//	    at: coil
//	    minutes: 12
//	    steps:
//	      - "Unplug the coil."
//	      - {take: cold, title: "Primary, cold", quantity: resistance, unit: ohm,
//	         uncertainty: "0.02 ohm", lowest: "0 ohm", highest: "20 ohm"}
//	      - "Warm the coil, not above what the hand bears."
//	      - {wait: "3 min", title: "Coil warming"}
//	      - {take: hot, title: "Primary, hot", quantity: resistance, unit: ohm, uncertainty: "0.02 ohm"}
//	    reading: {quantity: ratio, unit: "%", uncertainty: "3 %", derive: {ratio: [hot, cold]}}
//	    rows: {coil.weak: {mean: "150 %", sd: "20 %"}}
//	    else: {mean: "108 %", sd: "4 %"}
//
// A check that reads a number has a reading in place of outcomes, and its rows
// give the normal population of the true value for each state. In the fault
// model it has outcomes, so that it can be planned: with a limit on the sheet
// they are "conforms" and "does not conform", parted at the limit's bounds; else
// they are the spans between the middles of neighbouring means. Their chances
// come from the populations and the uncertainty (package measure). The reading,
// once taken, counts by its own likelihood. The corrections leads and copper20 are for
// resistances; copper20 is wrong for anything but copper windings. altitude and warmth
// are for compressions, and count once the height of the place, or the warmth of the
// engine, has been said: with altitude the gauge pressure is referred to sea level,
// where limits and populations belong; warmth changes no number and is kept beside
// the reading.
//
// A step is a text, a wait (1 s to 24 h) or a value to be read on the way. A check
// with waits or values is gone through step by step; in one of all positions each
// value is read at every position and each wait is waited once. A value may name a
// limit of the sheet, by which it is judged and no more; outside of lowest and
// highest it is asked whether it was meant. With derive the reading is made of
// values: growth (the second less the first), drop (the first less the second),
// ratio (the first as a share of the second), mean (of two or more); its
// uncertainty comes from theirs then, and the one that the reading gives is what the
// planner expects. Without derive the values are for the record, and may be left
// out; the reading or the outcome is asked for behind the last step. The steps of
// repairs are texts only.
//
//	repairs:
//	  clean_pilot_jet:
//	    title: clean the pilot jet
//	    at: carb
//	    fixes: [pilot_jet.blocked]   # modes and causes
//	    minutes: 8
//	    opens: [bowls]
//	    engine: off
//	    success: 0.97            # chance that each mode fixed is really gone; left
//	                             # out: 1
//	    introduces: {float.low: 0.002}   # what the work may leave behind
//	    cautions: [petrol]
//	    parts_minutes: 0         # cost of parts as minutes at the shop's rate
//	  renew_plug:
//	    title: look at the plug and renew it
//	    at: cylinder
//	    fixes: [plug.fouled]
//	    minutes: 1               # to look at it
//	    opens: [plugs_out]
//	    found_minutes: 2         # more, for each of fixes that is really there
//	    parts_minutes: 6
//	    parts_when_found: true   # the parts too are for what is found; needs both
//
//	ledger:                      # written down at each position, as found and as left
//	  mixture_screw:
//	    title: mixture screw
//	    at: carb                 # left out: engine-wide
//	    quantity: screw_turns    # a dimension of package quantity: a number
//	    unit: turns              # shown and compared in it
//	    limit: mixture_screw     # the sheet's limit of that name; may be left out, or
//	                             # missing on the sheet
//	    usual: "2 turns"         # about what is read, so that one ten times off is
//	                             # asked for again; may be left out
//	  dry_compression:
//	    title: dry compression
//	    at: cylinder
//	    quantity: pressure
//	    unit: psi
//	    check: compression_dry   # the readings of this check are its values, and its
//	                             # limit is the entry's where the entry names none
//	  bowl_seal:
//	    title: bowl seal
//	    at: carb
//	    grades: {sound: sound, hard: hard or flattened, torn: torn}   # from good to bad
//	  origin: {title: where it comes from, at: carb}   # neither: free words
//
// An entry of the ledger has a quantity or grades, never both. It is no evidence: a
// fault is found by a check. Numbers are judged by the sheet's limit, or held against
// those of the other positions. Free notes at any position need no entry; "note" is
// their name.
//
// Repairs take short, steps, shut, places, tools and consumables too, as checks do.
// What a check or repair costs in the plan is its minutes, parts, consumables and
// the charges of its cautions; for a check of all positions in one go they count
// once, for one with each they count at every position.
//
// # The sheet format, version 1
//
//	sheet: marsh_tern_60         # identifier
//	format: 1
//	title: "Marsh Tern 60"
//	pack: outboard_four
//	note: invented engine
//	units: {pressure: psi}       # display units by quantity, optional
//	limits:                      # min, max, both as range: [min, max], or nominal
//	  compression: {quantity: pressure, min: "110 psi", source: invented, page: "2-4"}
//	  compression_spread: {quantity: pressure, siblings: lowest over highest, min: "75 %"}
//	  coil_primary: {quantity: resistance, nominal: "0.80 ohm", tolerance: "0.10 ohm"}
//	fitted:                      # what belongs at which position
//	  pilot_jet: {at: carb, title: pilot jet mark, values: {"1": "42", "2": "45", "3": "45", "4": "42"}}
//
// A tolerance is a quantity to either side of nominal, or a percentage of it.
// A limit with siblings bounds the one value that a rule of package measure
// makes of the readings at all positions: "lowest over highest" and "lowest
// below the mean", both ratios, or "highest less lowest". A limit is named by a
// check or the ledger of the pack, since one that nothing reads is most likely
// misspelt; and a limit that a check names must stand on some sheet of the pack,
// though not on every one. Where a check counts from nominal, the limit must be given by
// it; on a sheet without the limit its readings are for the record and tell nothing. A
// fitted table is named by the item that it is for and has a value for each of
// its places.
//
// # Vocabulary
//
// The words in which owners speak of running faults are data too, shared by
// the packs: one file, packs/vocabulary.yaml among those embedded. Its first
// lines tell its format, package symptoms its meaning. What a symptom shows and
// its regimes are words of it.
//
//	shows:
//	  rough: {words: [rough, lumpy, "runs uneven", lopes]}
//	regimes:
//	  idle: {phrases: ["at idle", idling, ticking over]}
//
// # Packs made of parts
//
// A pack may be written in several files. A fragment holds sections of a pack, such as
// one system of an engine, and is included by name; packs that share it have it in
// common. Its sections come first, in the order of the list, then the pack's own. An
// identifier is given once; to alter what is included, or to add to it, there are
// changes: merge patches (RFC 7396), in which a mapping is merged key by key, anything
// else takes the place of what was there, and ~ takes out.
//
//	fragment: fuel_supply
//	format: 1
//	title: Fuel supply
//	items: ...                   # any sections of a pack, and a change of its own
//
//	pack: outboard_four
//	include: [fuel_supply, ignition]
//	change:
//	  causes:
//	    tank_dirt: {raises: {pilot_jet.blocked: 0.12}}   # one input more
//	  items:
//	    anti_siphon_valve: ~     # this engine has none
//
// What is taken out is taken out wherever it is named, and what cannot be without it
// goes too: an or gate with its last input, an and gate with any, a check with the last
// of its rows, a repair with the last that it fixes, whatever stands at a position set.
//
// Variants are packs of the same file, each made by a change that comes last; it has a
// title. Sheets name a variant as they name a pack.
//
//	variants:
//	  outboard_two:
//	    title: Four-stroke outboard, two cylinders
//	    positions: {cylinder: {members: ["1", "2"]}, carb: {members: ["1", "2"]}}
//
// An amendment changes a pack of another file by its name, such as one that comes with
// the program:
//
//	amends: outboard_four
//	format: 1
//	title: What our shop has learnt
//	change: {items: {pilot_jet: {modes: {blocked: {prior: 0.01}}}}}
//
// # Instruments
//
// Instruments with their figures, for readings that are weighed with them in place of
// the check's own uncertainty. One list is embedded, packs/instruments.yaml; a user's
// own, of the same format, lies in the data folder.
//
//	format: 1
//	note: typical figures; judgement
//	instruments:
//	  old_gauge:
//	    title: old brass gauge
//	    quantity: pressure       # a dimension of package quantity
//	    noise: "2 psi"           # standard uncertainty of one reading that differs from
//	                             # reading to reading, so that repeats average it out
//	    gauge: "3 psi"           # standard uncertainty that all its readings share
//	    source: judgement
//	  meter_ohms:
//	    title: hand-held meter on ohms
//	    quantity: resistance
//	    accuracy: "0.8 % + 3 digits"   # a maker's statement, the largest error: of the
//	                             # reading, and steps of the last digit; shared
//	    step: "0.1 ohm"          # what one digit is; needed where digits are counted
//	    source: common practice, no source
//
// noise, gauge and accuracy may stand together, one of them must; noise and gauge may
// be percentages of the reading too ("2 %"). Uncertainties of temperatures are
// differences ("0.5 K"); a percentage of a temperature counts in the check's unit.
//
// # What is refused in any file
//
// More than 1 MiB, more than 200,000 values, nesting deeper than 40, a second
// document, anchors, aliases, merge keys, tags, a key given twice, an unknown
// key, a position set of more than 32 members, more than 200 openings. At most 200
// faults of a file are told at once.
//
// Every fault has a Rule, a stable code, and a place; Rules is the table of them with
// what each means. Lint tells the faults and, of files that have none, advice: what
// may be so but is most likely not meant. A note on a mode, a cause or an item says
// why its prior is unusual, and ends that advice.
//
// # What is not covered
//
// A check has one limit for its reading and one that
// compares siblings; its steps follow one another and do not branch; symptoms have no position of their own; severities of
// symptoms and prices in money are left to later versions of the format.
package knowledge
