package session

import (
	"context"
	"encoding/json"
	"strings"

	"narrows/knowledge"
	"narrows/session/journal"
	"narrows/symptoms/quantity"
)

// The height of the place and the warmth of the engine are said once, and hold for
// the readings behind: as long as nothing is said, nothing is corrected.

// surroundings is what is said of them; a field left out stays as it was.
type surroundings struct {
	Height *string `json:"height,omitempty"` // as typed; "" takes it back
	Warmth *string `json:"warmth,omitempty"` // warm or cold; "" takes it back
}

// What a height above the sea lies within, in m: those of the standard atmosphere's
// formula that people work at.
const (
	lowestPlace, highestPlace = -450, 5000
	millimetres               = 1000 // in a metre; lengths are kept in them
)

func (f *folder) onSurroundings(e journal.Entry) error {
	var p surroundings
	if err := json.Unmarshal(e.Payload, &p); err != nil {
		return err
	}
	if p.Height != nil {
		f.s.height = quantity.Quantity{}
		if *p.Height != "" {
			q, err := quantity.ParseFor(*p.Height, quantity.Length)
			if err != nil {
				return err
			}
			f.s.height = q
		}
	}
	if p.Warmth != nil {
		f.s.warmth = *p.Warmth
	}
	return nil
}

func surroundingsWords(p surroundings) string {
	var parts []string
	if p.Height != nil {
		parts = append(parts, "height above the sea: "+orDash(*p.Height))
	}
	if p.Warmth != nil {
		parts = append(parts, "engine "+orDash(*p.Warmth))
	}
	return strings.Join(parts, ", ")
}

// doHeight says how high the place is, for compressions.
func (c *Case) doHeight(ctx context.Context, words string) (View, error) {
	switch strings.ToLower(words) {
	case "":
		v := View{Kind: "surroundings", Hint: "height 350 m says it; height none takes it back"}
		v.Text = []string{"No height has been said; compressions stand as read."}
		if !c.s.height.IsZero() {
			v.Text = []string{"The place is " + c.s.height.String() + " above the sea; compressions are referred to sea level."}
		}
		return v, nil
	case "none":
		none := ""
		return c.surround(ctx, surroundings{Height: &none})
	}
	q, err := quantity.ParseFor(words, quantity.Length)
	if err != nil {
		return c.wrong("%s; as height 350 m or height 1100 ft.", strings.TrimSuffix(capital(err.Error()), ".")), nil
	}
	if h := q.Base() / millimetres; h < lowestPlace || h > highestPlace {
		return c.wrong("%s is no height that is reckoned with; type one from %d to %d m.", q, lowestPlace, highestPlace), nil
	}
	typed := q.String()
	return c.surround(ctx, surroundings{Height: &typed})
}

// doWarmth says whether the engine is warm or cold.
func (c *Case) doWarmth(ctx context.Context, words string) (View, error) {
	said := map[string]string{"warm": warm, "hot": warm, "cold": cold, "none": ""}
	now, ok := said[strings.ToLower(words)]
	switch {
	case words == "":
		v := View{Kind: "surroundings", Text: []string{"It has not been said whether the engine is warm or cold."}, Hint: "warmth warm or warmth cold says it; warmth none takes it back"}
		if c.s.warmth != "" {
			v.Text = []string{"The engine is " + c.s.warmth + "."}
		}
		return v, nil
	case !ok:
		return c.wrong("%q is neither warm nor cold.", words), nil
	}
	return c.surround(ctx, surroundings{Warmth: &now})
}

func (c *Case) surround(ctx context.Context, p surroundings) (View, error) {
	if err := c.record(ctx, kindSurroundings, p); err != nil {
		return View{}, err
	}
	if c.asked != nil {
		return c.ask(), nil
	}
	return View{Kind: "surroundings", Text: []string{"From now on: " + surroundingsWords(p) + "."}, Hint: "Enter goes on"}, nil
}

// around are the corrections of a use that what was said of the surroundings makes.
func (c *Case) around(use knowledge.ReadingUse) map[string]quantity.Quantity {
	out := make(map[string]quantity.Quantity)
	for _, name := range use.Corrections {
		switch {
		case name == knowledge.CorrectAltitude && !c.s.height.IsZero():
			out[name] = c.s.height
		case name == knowledge.CorrectWarmth && c.s.warmth != "":
			out[name] = quantity.Quantity{Text: c.s.warmth}
		}
	}
	return out
}

// aroundWords says what a reading will be corrected for, or how to say it.
func (c *Case) aroundWords(use knowledge.ReadingUse) []string {
	var said, unsaid []string
	for _, name := range use.Corrections {
		switch {
		case name == knowledge.CorrectAltitude && c.s.height.IsZero():
			unsaid = append(unsaid, "height 350 m refers it to sea level")
		case name == knowledge.CorrectAltitude:
			said = append(said, "referred to sea level from "+c.s.height.String())
		case name == knowledge.CorrectWarmth && c.s.warmth == "":
			unsaid = append(unsaid, "warmth cold or warmth warm is kept beside it")
		case name == knowledge.CorrectWarmth:
			said = append(said, "engine "+c.s.warmth)
		}
	}
	var out []string
	if len(said) > 0 {
		out = append(out, capital(strings.Join(said, "; "))+".")
	}
	if len(unsaid) > 0 && !c.asked.paid {
		out = append(out, "If said first: "+strings.Join(unsaid, "; ")+".")
	}
	return out
}
