package main

import (
	"encoding/json"
	"fmt"
	"math"

	"narrows/faulttree"
	"narrows/knowledge"
)

// The analysis as JSON. Numbers that are not defined are null.
type (
	cutSetsJSON struct {
		Kind        string           `json:"kind"`
		Engine      string           `json:"engine"`
		Top         memberJSON       `json:"top"`
		Count       uint64           `json:"count"`
		ByOrder     []uint64         `json:"by_order"`
		Bounded     bool             `json:"bounded"`
		OverOrder   uint64           `json:"over_order"`
		NotAbove    uint64           `json:"not_above"`
		BeyondLimit uint64           `json:"beyond_limit"`
		Independent bool             `json:"independent"`
		Probability *float64         `json:"probability"`
		RareEvent   *float64         `json:"rare_event_sum"`
		UpperBound  *float64         `json:"min_cut_upper_bound"`
		Trouble     string           `json:"trouble,omitempty"`
		Sets        []cutSetJSON     `json:"cut_sets"`
		Importance  []importanceJSON `json:"importance"`
	}
	memberJSON struct {
		Event    string `json:"event"`
		Place    string `json:"place,omitempty"`
		Title    string `json:"title"`
		Unlisted bool   `json:"unlisted,omitempty"`
	}
	cutSetJSON struct {
		Order       int          `json:"order"`
		Probability *float64     `json:"probability"`
		Members     []memberJSON `json:"members"`
	}
	importanceJSON struct {
		memberJSON
		Prior         *float64 `json:"prior"`
		Present       *float64 `json:"top_if_present"`
		Absent        *float64 `json:"top_if_absent"`
		Birnbaum      *float64 `json:"birnbaum"`
		Criticality   *float64 `json:"criticality"`
		FussellVesely *float64 `json:"fussell_vesely"`
		Achievement   *float64 `json:"risk_achievement_worth"`
		Reduction     *float64 `json:"risk_reduction_worth"`
		Posterior     *float64 `json:"posterior"`
	}
)

func number(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

func memberOf(e *knowledge.Engine, b faulttree.Basic) memberJSON {
	d := e.Describe(b.Event)
	place := ""
	if d.Place.Set != "" {
		place = fmt.Sprintf("%s:%s", d.Place.Set, d.Place.Member)
	}
	return memberJSON{Event: d.ID, Place: place, Title: basicTitle(e, b), Unlisted: b.Unlisted}
}

func (p *program) writeCutSets(e *knowledge.Engine, c *faulttree.CutSets) error {
	v := cutSetsJSON{
		Kind: "cutsets", Engine: e.Sheet().ID, Top: memberOf(e, faulttree.Basic{Event: c.Top}),
		Count: c.Total, ByOrder: c.ByOrder, Bounded: c.Bounded, OverOrder: c.OverOrder, NotAbove: c.NotAbove, BeyondLimit: c.BeyondLimit,
		Independent: c.Independent, Probability: number(c.P), RareEvent: number(c.RareEvent), UpperBound: number(c.UpperBound),
		Sets: []cutSetJSON{}, Importance: []importanceJSON{},
	}
	if c.Trouble != nil {
		v.Trouble = c.Trouble.Error()
	}
	for _, s := range c.Sets {
		j := cutSetJSON{Order: len(s.Members), Probability: number(s.P), Members: []memberJSON{}}
		for _, b := range s.Members {
			j.Members = append(j.Members, memberOf(e, b))
		}
		v.Sets = append(v.Sets, j)
	}
	for _, i := range c.Importance {
		v.Importance = append(v.Importance, importanceJSON{memberOf(e, i.Basic), number(i.Prior), number(i.Present), number(i.Absent),
			number(i.Birnbaum), number(i.Criticality), number(i.FussellVesely), number(i.Achievement), number(i.Reduction), number(i.Posterior)})
	}
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("the analysis cannot be written as JSON: %w", err)
	}
	return p.screen().raw(string(b) + "\n")
}
