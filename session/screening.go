package session

import (
	"fmt"

	"narrows/knowledge"
	"narrows/symptoms/quantity"
)

// LimitView is what a limit of the sheet, read with the uncertainty that the check
// assumes, makes of sound and of faulty parts before anything has been read; shares
// in [0,1].
type LimitView struct {
	Check     string  `json:"check"`
	Title     string  `json:"title"`
	Limit     string  `json:"limit"`
	Doubt     string  `json:"standard_uncertainty"`
	Condemned float64 `json:"sound_condemned"`
	Open      float64 `json:"sound_too_close"`
	Faults    int     `json:"faults"`        // states that the check's rows tell from sound
	Passed    float64 `json:"faulty_passed"` // the most that is passed of the parts in one of them
}

// Screening tells of every limit of the engine's sheet what the house's rule makes of
// parts by it: the risks of JCGM 106 clause 9, for whoever writes a sheet. Of a check
// of several positions the first stands for all.
func Screening(e *knowledge.Engine) ([]LimitView, error) {
	var out []LimitView
	seen := make(map[string]bool)
	for _, u := range e.Checks() {
		use, ok := e.Reading(u)
		if !ok || use.Limit == nil || seen[u.Def.ID] {
			continue
		}
		seen[u.Def.ID] = true
		shares, err := houseRule().Screen(use.Model, use.Uncertainty, *use.Limit)
		if err != nil {
			return nil, fmt.Errorf("%s: check %s: %w", u.Def.Pos, u.Def.ID, err)
		}
		sound := shares[len(shares)-1]
		v := LimitView{Check: u.Def.ID, Title: u.Def.Title, Limit: use.Limit.String(), Doubt: quantity.Format(use.Uncertainty, use.Unit.Difference(), 2),
			Condemned: sound.Condemned, Open: sound.Open, Faults: len(shares) - 1}
		for _, faulty := range shares[:len(shares)-1] {
			v.Passed = max(v.Passed, faulty.Passed)
		}
		out = append(out, v)
	}
	return out, nil
}
