package main

import (
	"encoding/json"
	"fmt"

	"narrows/knowledge"
	"narrows/knowledge/diagnosability"
)

// The report as JSON: one object for an engine. Faults and checks are named once
// and then meant by their index.
type (
	diagnosabilityJSON struct {
		Kind      string      `json:"kind"`
		Engine    string      `json:"engine"`
		Pack      string      `json:"pack"`
		Shown     float64     `json:"shown_from_change"`
		ToldApart float64     `json:"told_apart_to_error"`
		Faults    []faultJSON `json:"faults"`
		Checks    []checkJSON `json:"checks"`
		Levels    []levelJSON `json:"levels"`
	}
	faultJSON struct {
		ID     string  `json:"id"`
		Title  string  `json:"title"`
		System string  `json:"system,omitempty"`
		Prior  float64 `json:"prior"`
	}
	checkJSON struct {
		ID      string   `json:"id"`
		Title   string   `json:"title"`
		Minutes float64  `json:"minutes"`
		Access  float64  `json:"access_minutes"`
		Opens   []string `json:"opens"`
	}
	levelJSON struct {
		Access         float64                                        `json:"access_minutes"`
		Opens          []string                                       `json:"opens"`
		Checks         []int                                          `json:"checks"`
		Classical      map[diagnosability.Fold]diagnosability.Figures `json:"classical"`
		Soft           map[diagnosability.Fold]diagnosability.Figures `json:"soft"`
		Groups         []groupJSON                                    `json:"ambiguity_groups"`
		Undetected     []int                                          `json:"undetected"`
		SoftUndetected []int                                          `json:"soft_undetected"`
	}
	groupJSON struct {
		Faults    []int      `json:"faults"`
		Mass      float64    `json:"prior_mass"`
		Modes     int        `json:"modes"`
		Repaired  bool       `json:"one_repair"`
		Pairs     int        `json:"pairs"`
		SoftApart int        `json:"soft_told_apart"`
		Parts     []partJSON `json:"parted_by"`
		Left      [][]int    `json:"left_together"`
		Nearest   *partJSON  `json:"nearest,omitempty"`
	}
	partJSON struct {
		Check int     `json:"check"`
		Share float64 `json:"share"`
	}
)

func (p *program) writeDiagnosability(e *knowledge.Engine, r *diagnosability.Report) error {
	v := diagnosabilityJSON{
		Kind: "diagnosability", Engine: e.Sheet().ID, Pack: e.Pack().ID,
		Shown: diagnosability.Shown, ToldApart: diagnosability.ToldApart,
	}
	for _, f := range r.Matrix.Faults {
		v.Faults = append(v.Faults, faultJSON{f.Name(), f.Title, f.System, f.Prior})
	}
	for _, c := range r.Matrix.Checks {
		v.Checks = append(v.Checks, checkJSON{c.Name, c.Title, c.Minutes, c.Access, listOf(c.Opens)})
	}
	for _, l := range r.Levels {
		j := levelJSON{l.Access, listOf(l.Opens), listOf(l.Checks), l.Classical, l.Soft, []groupJSON{}, listOf(l.Undetected), listOf(l.SoftUndetected)}
		for _, g := range l.Groups {
			j.Groups = append(j.Groups, groupOf(g))
		}
		v.Levels = append(v.Levels, j)
	}
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("the report cannot be written as JSON: %w", err)
	}
	return p.screen().raw(string(b) + "\n")
}

func groupOf(g diagnosability.Group) groupJSON {
	j := groupJSON{Faults: g.Faults, Mass: g.Mass, Modes: g.Modes, Repaired: g.Repaired, Pairs: g.Pairs, SoftApart: g.SoftApart, Parts: []partJSON{}, Left: listOf(g.Left)}
	for _, p := range g.Parts {
		j.Parts = append(j.Parts, partJSON(p))
	}
	if g.Nearest != nil {
		n := partJSON(*g.Nearest)
		j.Nearest = &n
	}
	return j
}

// listOf writes an empty list as such and not as null.
func listOf[T any](xs []T) []T {
	if xs == nil {
		return []T{}
	}
	return xs
}
