package session

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"narrows/session/journal"
	"narrows/symptoms/quantity"
)

// tern is a case with a complaint in which nothing is ranked, which would take long.
func tern(t *testing.T) *bout {
	t.Helper()
	b := start(t, "marsh_tern_60")
	b.RankLater(nil)
	b.say("stumbles at all rpm", "")
	return b
}

// ledger is what stands in the ledger under a name.
func (b *bout) ledger(name string) PartTable {
	b.t.Helper()
	v := b.say("parts " + name)
	require.Len(b.t, v.Parts, 1)
	return v.Parts[0]
}

func column(pt PartTable, of func(PartRow) string) []string {
	var out []string
	for _, r := range pt.Rows {
		out = append(out, of(r))
	}
	return out
}

func found(r PartRow) string  { return r.Found }
func left(r PartRow) string   { return r.Left }
func judged(r PartRow) string { return r.Judged }

// Turns of the mixture screws: no sheet limits them, so they are held against one
// another; the one that stands apart is told, and what was left.
func TestLedgerOfScrews(t *testing.T) {
	b := tern(t)
	before := b.suspect("mixture_screw.lean", "carb:3")
	v := b.say("found mixture screw 2 1/4, 2 1/4, 1/2, 2 1/4 turns")
	require.Contains(t, v.Text, "  carburettor 3: found 1/2 turns")
	require.Contains(t, v.Text, "As found: carburettor 3 stands apart, 1.75 turns below the middle of the others; no limit on the sheet; kept for the file.")
	require.Equal(t, before, b.suspect("mixture_screw.lean", "carb:3"), "it is no evidence")
	b.say("left mixture screw 2 1/4 turns out on carb 3")
	pt := b.ledger("mixture screw")
	require.Equal(t, PartsNumbers, pt.Kind)
	require.Equal(t, []string{"2 1/4 turns", "2 1/4 turns", "1/2 turns", "2 1/4 turns"}, column(pt, found))
	require.Equal(t, []string{"", "", "2 1/4 turns out", ""}, column(pt, left))
	require.Equal(t, "all agree; no limit on the sheet; kept for the file", pt.Now)
	require.Len(t, b.say("parts mixture screw").Pictures, 2, "as found and as left, side by side")
	require.Equal(t, pt, again(t, b).ledger("mixture screw"), "taken up again it is the same")
	b.say("undo")
	require.Empty(t, b.ledger("mixture screw").Now)
	b.say("undo")
	require.Equal(t, "nothing to judge", b.ledger("mixture screw").Found)
	require.Contains(t, b.say("log").Log[2].Text, "found: mixture screw: carburettor 1 2 1/4 turns, carburettor 2 2 1/4 turns, carburettor 3 1/2 turns")
}

// Float heights: what the check reads is what was found; what is read after a repair
// is what was left. The sheet says 14.0 mm with 0.8 mm to either side.
func TestLedgerOfReadings(t *testing.T) {
	b := tern(t)
	b.say("check float heights carb:1", "", "14.1 mm", "check float heights carb:2", "14.0 mm",
		"check float heights carb:3", "16.4 mm", "check float heights carb:4", "13.9 mm")
	n := b.entries()
	pt := b.ledger("float height")
	require.Equal(t, []string{"14.1 mm", "14.0 mm", "16.4 mm", "13.9 mm"}, column(pt, found))
	require.Equal(t, []string{"conforms", "conforms", "does not conform", "conforms"}, column(pt, judged))
	require.Equal(t, "carburettor 3: does not conform, 1.6 mm outside; carburettor 1, carburettor 2, carburettor 4: conforms", pt.Found)
	require.Equal(t, n, b.entries(), "nothing is entered twice")

	b.say("fixed set the float height carb:3")
	require.Empty(t, b.ledger("float height").Now, "not read since")
	b.say("still", "check float heights carb:3", "15.9 mm")
	pt = b.ledger("float height")
	require.Equal(t, "16.4 mm", pt.Rows[2].Found)
	require.Equal(t, "15.9 mm", pt.Rows[2].Left)
	require.Equal(t, "still off at carburettor 3", pt.Now)
	b.say("left float height 14.0 mm on carb 3")
	require.Equal(t, "within the sheet's limit at all", b.ledger("float height").Now)
	b.say("left float height 14.1, 14.0, 16.4, 13.9 mm")
	require.Equal(t, "still off at carburettor 3; all as it was found", b.ledger("float height").Now)
	require.Equal(t, b.ledger("float height"), again(t, b).ledger("float height"))
}

// A position first read after a repair of something else was found so.
func TestLedgerFirstReadLater(t *testing.T) {
	b := tern(t)
	b.say("fixed clean the pilot jet carb:1", "still", "check float heights carb:2", "", "14.0 mm")
	require.Equal(t, "14.0 mm", b.ledger("float height").Rows[1].Found)
	b.say("left float height 14.2 mm on carb 2", "check float heights carb:2", "14.3 mm")
	require.Equal(t, "14.0 mm", b.ledger("float height").Rows[1].Found)
	require.Equal(t, "14.3 mm", b.ledger("float height").Rows[1].Left)
}

func unitOf(t require.TestingT, s string) quantity.Unit {
	u, err := quantity.ParseUnit(s)
	require.NoError(t, err)
	return u
}

func TestLedgerOfGradesAndNotes(t *testing.T) {
	b := tern(t)
	b.say("found bowl seal torn on carb 1", "found bowl seal hard on carburettor 3", "found seal sound at carb 2")
	pt := b.ledger("bowl seal")
	require.Equal(t, "torn: carburettor 1; hard or flattened: carburettor 3; sound: carburettor 2; not read: carburettor 4", pt.Found)
	require.Equal(t, []string{"grade 3 of 4", "grade 1 of 4", "grade 2 of 4", ""}, column(pt, judged))
	b.say("left bowl seal sound, sound, hard, -")
	require.Equal(t, "hard or flattened: carburettor 3; sound: carburettor 1, carburettor 2; not read: carburettor 4; as found at carburettor 2, carburettor 3", b.ledger("bowl seal").Now)
	b.say("found contamination sediment on all")
	require.Equal(t, "sediment, rust or grit at all", b.ledger("contamination").Found)

	b.say("found note white powder in the bowl on carb 2", "found note smells of varnish", "found note string of sealant on carb 2")
	pt = b.ledger("note")
	require.Equal(t, []string{"smells of varnish", "white powder in the bowl; string of sealant"}, column(pt, found))
	require.Equal(t, []string{"the engine", "carburettor 2"}, column(pt, func(r PartRow) string { return r.Title }))
	b.say("found where the part comes from another carburettor on carb 4")
	require.Equal(t, "another carburettor", b.ledger("where the part comes from").Rows[3].Found)
	// A place of another set means the position that it belongs to.
	b.say("found contamination gel on cyl 4")
	require.Equal(t, "gel", b.ledger("contamination").Rows[3].Found)
	all := b.say("parts")
	require.Contains(t, all.Text[len(all.Text)-1], "Nothing entered yet: mixture screw")
	require.Len(t, all.Parts, 4+4, "four tables of the sheet, and what was entered")
}

// An engine without positions has a ledger as well.
func TestLedgerOfOneEngine(t *testing.T) {
	b := start(t, "holm_pump_5")
	b.say("stumbles under load", "", "found mixture screw 1 1/2 turns", "found bowl seal torn", "found exhaust clearance 0.15 mm")
	require.Equal(t, PartTable{
		ID: "mixture_screw", Title: "mixture screw", Kind: PartsNumbers, Found: noLimit,
		Rows: []PartRow{{Title: "the engine", Found: "1 1/2 turns"}},
	}, b.ledger("mixture screw"))
	require.Equal(t, "torn", b.ledger("bowl seal").Found)
	require.Equal(t, "conforms", b.ledger("exhaust clearance").Found)
}

func TestLedgerRefuses(t *testing.T) {
	b := tern(t)
	n := b.entries()
	for line, want := range map[string]string{
		"found mixture screw 2 mm on carb 1":             "2 mm is a length; mixture screw is a number of screw turns",
		"found mixture screw 2 on carb 1":                "has no unit",
		"found mixture screw 2 1/4 2 turns":              "4 positions",
		"found mixture screw - - - -":                    "Nothing was given",
		"found float height 14.1 mm":                     "4 positions",
		"found float height 14.1 mm on carb 9":           `There is no position "carb 9"`,
		"found bowl seal torn":                           "At which position?",
		"found bowl seal shiny on carb 2":                "no grade of bowl seal",
		"found contamination on carb 2":                  "What was seen of it?",
		"found note":                                     "What was seen of it?",
		"found note string of sealant on 2":              "Which 2 is meant?",
		"found note dirty on all":                        "A note is about one position",
		"found where the part comes from a kit":          "At which position?",
		"found float height 14.1, 14.0 psi, 13.9, 14 mm": "psi is a pressure; float height is a length",
		"found float height 14,1,14,0,13,9,14,2 mm":      "4 positions",
	} {
		v := b.try(line)
		require.Contains(t, v.Error, want, line)
		require.NotEmpty(t, v.Hint, line)
	}
	require.Equal(t, n, b.entries())
}

// The positions stand in their order however they are parted.
func TestLedgerInOrder(t *testing.T) {
	b := tern(t)
	for _, said := range []string{
		"14.1, 14.0, 13.9, 14.2 mm", "14.1 14.0 13.9 14.2 mm", "14.1; 14.0; 13.9; 14.2 mm", "14.1,14.0,13.9,14.2 mm",
		"14,1 14,0 13,9 14,2 mm", "14,1, 14,0, 13,9, 14,2 mm", "1.41 cm, 14.0 mm, 13.9, 14.2", "14.1mm 14.0mm 13.9mm 14.2mm",
	} {
		b.say("found float height " + said)
		for i, want := range []float64{14.1, 14.0, 13.9, 14.2} {
			w := b.s.ledger.found[ledgerAt{"float_level", fmt.Sprint("carb:", i+1)}]
			require.InDelta(t, want, w.Value, 1e-12, said)
		}
		b.say("undo")
	}
	b.say("found mixture screws 2 1/4 2 2 1/2 ½ turns")
	require.Equal(t, []string{"2 1/4 turns", "2 turns", "2 1/2 turns", "½ turns"}, column(b.ledger("mixture screw"), found))
	b.say("found mixture screw 2 1/4, -, 2, - turns")
	require.Equal(t, []string{"2 1/4 turns", "2 turns", "2 turns", "½ turns"}, column(b.ledger("mixture screw"), found), "one not read stays as it was")
}

// What can hardly be meant is asked for again before it is recorded.
func TestLedgerQuestions(t *testing.T) {
	b := tern(t)
	n := b.entries()
	v := b.say("found float height 141 mm on carb 3")
	require.Equal(t, "ask", v.Kind)
	require.Contains(t, v.Text[0], "141 mm at carburettor 3 is far from what is read there, and is not recorded yet. Was it 14.1 mm")
	require.Equal(t, n, b.entries())
	require.Equal(t, v, b.say(""), "Enter shows the question again")
	require.Contains(t, b.try("14.1 volts").Error, "a voltage")
	require.Equal(t, v, b.say(""), "and after a bad line it still stands")
	require.Equal(t, "14.1 mm", b.say("14.1 mm").Parts[0].Rows[2].Found)
	require.Equal(t, n+1, b.entries())

	for _, keep := range []string{"yes", "22.5 turns", "found mixture screw 22.5 turns on carb 1"} {
		b.say("found mixture screw 22.5 turns on carb 1")
		require.Equal(t, "22.5 turns", b.say(keep).Parts[0].Rows[0].Found, keep)
		b.say("undo")
	}
	n = b.entries()
	require.Equal(t, "ask", b.say("left mixture screw -2 turns on carb 1").Kind, "no screw is less than shut")
	b.say("cancel")
	b.say("found plug gap 0.9, 0.9, 9, 0.9 mm", "parts", "next") // another line leaves it out
	require.Equal(t, n, b.entries())
	require.NotEqual(t, "parts", b.try("yes").Kind)
	// With nothing to hold it against but its sisters.
	b.say("found plug gap 0.1 mm on cyl 1") // a bridged one reads so
	require.Equal(t, n+1, b.entries())
}

// Whatever is written into the journal comes back from it, and undo takes it out.
func TestLedgerRoundTrip(t *testing.T) {
	b := tern(t)
	empty := b.s.ledger
	rapid.Check(t, func(rt *rapid.T) {
		verb := rapid.SampledFrom([]string{"found", "left"}).Draw(rt, "verb")
		e := rapid.SampledFrom(b.b.e.Pack().Ledger).Draw(rt, "entry")
		places := b.b.e.Places(e.At.ID)
		var said, want []string
		for range places {
			switch {
			case e.Counts():
				tenths := rapid.IntRange(8, 25).Draw(rt, "tenths")
				q := strconv.FormatFloat(float64(tenths)/10, 'f', 1, 64)
				if l := b.ledgerLimit(e); l != nil {
					q = strconv.FormatFloat(l.Nominal.Value, 'f', 2, 64)
				} else if e.In.Symbol() == "mm" {
					q = strconv.FormatFloat(float64(tenths)/100, 'f', 2, 64)
				}
				said, want = append(said, q), append(want, q+" "+e.In.Symbol())
			case len(e.Grades) > 0:
				g := rapid.SampledFrom(e.Grades).Draw(rt, "grade")
				said, want = append(said, g.ID), append(want, g.Title)
			default:
				said, want = append(said, "from a kit"), append(want, "from a kit")
			}
		}
		n := b.entries()
		line := verb + " " + e.Title + " " + strings.Join(said, ", ")
		switch {
		case e.Counts():
			line += " " + e.In.Symbol()
		case len(e.Grades) == 0:
			line = verb + " " + e.Title + " from a kit on all"
		}
		b.say(line)
		require.Equal(rt, n+1, b.entries())
		last := b.Log.Entries()[n]
		require.Equal(rt, "ledger", last.Kind)
		var p ledgered
		require.NoError(rt, json.Unmarshal(last.Payload, &p))
		for i, v := range p.Values {
			require.Equal(rt, placeKey(places[i]), v.Place, "in the order of the positions")
			require.Equal(rt, want[i], shownValue(b, v, p.Entry))
			if q, err := v.quantity(); v.Unit != "" {
				require.NoError(rt, err)
				typed, err := quantity.ParseFor(v.Typed, e.In.Dimension())
				require.NoError(rt, err)
				require.Equal(rt, typed, q, "the number says what was typed")
			}
		}
		folded, err := b.b.fold(b.Log.Entries())
		require.NoError(rt, err)
		require.Equal(rt, b.s.ledger, folded.ledger)
		of := column(b.ledgerTable(e), found)
		if verb == "left" {
			of = column(b.ledgerTable(e), left)
		}
		require.Equal(rt, want, of)
		b.say("undo")
		require.Equal(rt, empty, b.s.ledger)
	})
}

func shownValue(b *bout, v ledgerValue, entry string) string {
	if v.Grade == "" {
		return v.Typed
	}
	return gradeTitle(b.b.e.Pack().LedgerOf(entry), v.Grade)
}

// The same height in millimetres or thousandths of an inch is judged alike, as is the
// one of four that stands apart.
func TestLedgerUnitsAlike(t *testing.T) {
	b := tern(t)
	mm, thou := unitOf(t, "mm"), unitOf(t, "thou")
	rapid.Check(t, func(rt *rapid.T) {
		e := b.b.e.Pack().LedgerOf(rapid.SampledFrom([]string{"float_level", "inlet_clearance"}).Draw(rt, "entry"))
		var inMM, inThou []string
		for range 4 {
			v := float64(rapid.IntRange(1200, 1600).Draw(rt, "hundredths")) / 100
			if e.ID == "inlet_clearance" {
				v /= 100
			}
			q, err := quantity.New(v, mm)
			require.NoError(rt, err)
			x, err := q.In(thou)
			require.NoError(rt, err)
			inMM, inThou = append(inMM, quantity.FormatFixed(v, mm, 4)), append(inThou, quantity.FormatFixed(x, thou, 6))
		}
		// As found in one, as left in the other.
		b.say("found "+e.Title+" "+strings.Join(inMM, ", "), "left "+e.Title+" "+strings.Join(inThou, ", "))
		for _, at := range b.b.e.Places(e.At.ID) {
			key := ledgerAt{e.ID, placeKey(at)}
			require.Equal(rt, b.judgedAt(e, b.s.ledger.found[key]), b.judgedAt(e, b.s.ledger.left[key]))
		}
		if e.ID == "inlet_clearance" {
			one, other := b.judgedLedger(e, b.b.e.Places(e.At.ID), byPlace(b.s.ledger.found, e.ID)), b.judgedLedger(e, b.b.e.Places(e.At.ID), byPlace(b.s.ledger.left, e.ID))
			require.Equal(rt, one, other)
		}
		b.say("undo", "undo")
	})
}

func byPlace(of map[ledgerAt]written, entry string) map[string]written {
	out := make(map[string]written)
	for at, w := range of {
		if at.entry == entry {
			out[at.place] = w
		}
	}
	return out
}

// A record of an entry that the pack has not is refused, and named.
func TestLedgerOfAnotherPack(t *testing.T) {
	b := start(t, "holm_pump_5")
	_, err := b.b.fold(append(b.Log.Entries(), journal.Entry{Seq: 2, Kind: kindLedger, Payload: json.RawMessage(`{"entry":"reeds","values":[]}`)}))
	require.ErrorContains(t, err, `entry 2 (ledger) of the journal cannot be understood: the pack's ledger has no entry "reeds"`)
}

func TestCompleteLedger(t *testing.T) {
	b := tern(t)
	texts := func(line string) []string {
		var out []string
		for _, s := range b.Complete(line, len([]rune(line))) {
			out = append(out, s.Text)
		}
		return out
	}
	require.Contains(t, texts("found bowl"), "bowl seal")
	require.Contains(t, texts("found "), "mixture screw")
	require.Contains(t, texts("found no"), "note")
	require.Contains(t, texts("left bowl seal to"), "torn")
	require.Contains(t, texts("left bowl seal "), "hard or flattened")
	require.Contains(t, texts("found bowl seal torn on carb"), "carb 3")
	require.Contains(t, texts("found float height 14.1 m"), "mm")
	require.Contains(t, texts("parts mixture scr"), "screw")
}

// Whatever words stand behind found and left, they are refused with a reason, or make
// values of positions that there are.
func TestLedgerAnyWords(t *testing.T) {
	b := start(t, "marsh_tern_60")
	words := []string{"note", "mixture", "screw", "seal", "bowl", "float", "height", "torn", "sound", "2", "1/4", "½", "14,1", "14.1,", "-", "=", ":",
		"mm", "turns", "V", "on", "at", "of", "all", "carb", "cyl", "coil", "A", "2", "3", "carb:2", "#1", "plug", "gap", "contamination", "gel", ";", ",", "é"}
	rapid.Check(t, func(rt *rapid.T) {
		line := strings.Join(rapid.SliceOfN(rapid.SampledFrom(words), 1, 9).Draw(rt, "words"), " ")
		l := b.ledgerLine(line, false)
		if l.entry == nil {
			return
		}
		p, wrong := b.ledgerValues(l)
		if wrong.Error != "" {
			require.NotEmpty(rt, wrong.Hint)
			return
		}
		require.NotEmpty(rt, p.Values)
		for _, v := range p.Values {
			require.NotEmpty(rt, v.Typed)
			if !isNote(l.entry) {
				require.Equal(rt, l.entry.At.ID, placeOf(v.Place).Set)
			}
			require.Equal(rt, l.entry.Counts(), v.Unit != "")
		}
	})
}
