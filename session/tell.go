package session

import (
	"encoding/json"
	"fmt"
	"strings"

	"narrows/session/journal"
)

// entryWords says an entry of the journal in words.
func (c *Case) entryWords(e journal.Entry) string {
	tell, ok := tellers()[e.Kind]
	if !ok {
		return e.Kind
	}
	s, err := tell(c, e.Payload)
	if err != nil {
		return e.Kind + " (cannot be read)"
	}
	return s
}

// tellers says each kind of entry in words.
func tellers() map[string]func(*Case, json.RawMessage) (string, error) {
	return map[string]func(*Case, json.RawMessage) (string, error){
		kindOpened:    told(func(c *Case, p opened) string { return "case opened for " + c.b.e.Sheet().Title }),
		kindComplaint: told(func(_ *Case, p complaint) string { return "complaint: " + p.Text }),
		kindReloaded: told(func(_ *Case, p reloaded) string {
			return fmt.Sprintf("packs read anew: %s, version %s", p.Pack, p.Version)
		}),
		kindStated: told(func(c *Case, p statement) string {
			return "complaint corrected: " + c.symptomTitle(p.Symptom) + " " + p.State
		}),
		kindVerified: told(func(c *Case, p verified) string {
			return "seen: " + c.symptomTitle(p.Symptom) + " " + presence(p.Present)
		}),
		kindUnseen: told((*Case).unseenWords),
		kindCheck:  told((*Case).tellCheck),
		kindStep:   told((*Case).stepWords),
		kindNoticed: told(func(c *Case, p noticed) string {
			return "noticed: " + c.eventTitle(p.Event, p.Place)
		}),
		kindPart:   told((*Case).partWords),
		kindLedger: told((*Case).ledgeredWords),
		kindSkipped: told(func(c *Case, p skipped) string {
			s := "left out: " + c.workTitle(p.Check, p.Place)
			if p.Reason != "" {
				s += " (" + p.Reason + ")"
			}
			return s
		}),
		kindAccess: told(func(c *Case, p access) string {
			if p.Open {
				return "opened: " + c.openingTitle(p.Opening)
			}
			return "put back: " + c.openingTitle(p.Opening)
		}),
		kindMeans: told(func(c *Case, p means) string {
			if p.Have {
				return "at hand again: " + c.meansTitle(p.Tool)
			}
			return "not at hand: " + c.meansTitle(p.Tool)
		}),
		kindInstrument:   told((*Case).instrumentWords),
		kindUnits:        told((*Case).unitsWords),
		kindSurroundings: told(func(_ *Case, p surroundings) string { return surroundingsWords(p) }),
		kindPlace:        told(func(c *Case, p stands) string { return "the engine stands " + c.siteTitle(p.Place) }),
		kindRepair:       told(func(c *Case, p repaired) string { return "repair: " + c.workTitle(p.Repair, p.Place) }),
		kindRetried: told(func(_ *Case, p retried) string {
			switch {
			case p.Cured:
				return "complaint tried again: gone"
			case p.Words != "":
				return "complaint tried again: still " + p.Words
			}
			return "complaint tried again: still there"
		}),
		kindNote:   told(func(_ *Case, p note) string { return "note: " + p.Text }),
		kindUndo:   told(func(_ *Case, p undo) string { return fmt.Sprintf("entry %d taken back", p.Seq) }),
		kindClosed: told(func(_ *Case, p closed) string { return strings.TrimSpace("case closed. " + p.Words) }),
	}
}

// told decodes a payload and says it.
func told[T any](say func(*Case, T) string) func(*Case, json.RawMessage) (string, error) {
	return func(c *Case, raw json.RawMessage) (string, error) {
		var p T
		if err := json.Unmarshal(raw, &p); err != nil {
			return "", err
		}
		return say(c, p), nil
	}
}

func (c *Case) tellCheck(p checked) string {
	def, ok := c.b.e.Snapshot().Check(p.Check)
	if !ok {
		return p.Check
	}
	var parts []string
	for _, a := range p.Results {
		s := c.answerWords(def, a)
		if a.Place != "" {
			s = c.b.e.PlaceTitle(placeOf(a.Place)) + " " + s
		}
		parts = append(parts, s)
	}
	return def.Title + ": " + strings.Join(parts, "; ")
}

func (c *Case) symptomTitle(id string) string { return c.eventTitle(id, "") }

func (c *Case) eventTitle(id, place string) string {
	if ev, ok := c.b.e.Event(id, placeOf(place)); ok {
		return c.b.title(ev)
	}
	return id
}

// workTitle is the title of a check or repair at a place.
func (c *Case) workTitle(id, place string) string {
	at := placeOf(place)
	if u, ok := c.b.e.Check(id, at); ok {
		return u.Title
	}
	if u, ok := c.b.e.Repair(id, at); ok {
		return u.Title
	}
	return id
}

func (c *Case) openingTitle(id string) string {
	if i, ok := c.b.opening[id]; ok {
		return c.b.openings[i].Name
	}
	return id
}

func (c *Case) checkTitle(id string) string {
	if def, ok := c.b.e.Snapshot().Check(id); ok {
		return def.Title
	}
	return id
}
