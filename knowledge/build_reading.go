package knowledge

import (
	"fmt"
	"slices"

	"narrows/faulttree"
	"narrows/symptoms/measure"
	"narrows/symptoms/quantity"
)

// ReadingUse says what a check at one place reads, and what readings are to be
// expected. All numbers are in Unit.
type ReadingUse struct {
	Quantity    quantity.Dimension
	Unit        quantity.Unit
	Uncertainty float64 // standard uncertainty of one reading
	Finer       float64 // that of one reading with the finer instrument; 0: there is none
	// Model holds a population for each row of the check in the fault model, in
	// their order, and one for the case that no row holds.
	Model measure.Model
	// Limit is the sheet's limit for each reading and Siblings its limit for
	// the readings of all places together; nil if the sheet has none.
	Limit, Siblings *measure.Limit
	// Record is set where the check counts from a nominal value that the sheet does
	// not give: readings are written down and tell nothing of faults, the Model being
	// the same in every case.
	Record      bool
	Corrections []string // CorrectLeads, CorrectCopper20, in the order to make them
	// Cuts part the outcomes of the check as the fault model knows it: the
	// limit's bounds, or else the middles between neighbouring means.
	Cuts []float64
}

// Reading returns what a check reads; ok is false if it has outcomes instead.
func (e *Engine) Reading(u CheckUse) (r ReadingUse, ok bool) {
	p := e.reads[u.ID]
	if p == nil {
		return ReadingUse{}, false
	}
	return *p, true
}

// The outcomes of a reading with a limit, in the fault model.
const (
	Conforms       = "conforms"
	DoesNotConform = "does not conform"
)

// reading makes a check that reads a number into one of a few outcomes, so that
// planning can weigh it before the reading is taken. The reading itself, once
// taken, counts by its likelihood under the same model. Where the rows that are
// left at this place and the case of none have all one mean, and there is no
// limit, the reading tells nothing: the answer is nil.
func (b *engineBuilder) reading(c *faulttree.Check, def *Check, rows []builtRow) (*ReadingUse, error) {
	r := def.Reading
	use := &ReadingUse{
		Quantity: r.In.Dimension(), Unit: r.In, Uncertainty: r.Uncertainty.in(r.In.Difference()),
		Limit: b.limit(r.Limit), Siblings: b.limit(r.Siblings),
	}
	if r.Finer != nil {
		use.Finer = r.Finer.Uncertainty.in(r.In.Difference())
	}
	for _, x := range corrections {
		for _, name := range r.Corrections {
			if name.ID == x {
				use.Corrections = append(use.Corrections, x)
			}
		}
	}
	use.Model.Unit = r.In
	if def.ofNominal() && use.Limit == nil {
		b.record(c, use, rows)
		return use, nil
	}
	for _, row := range rows {
		use.Model.Rows = append(use.Model.Rows, b.population(row.True, r))
	}
	use.Model.Else = b.population(def.Else.True, r)
	bins, err := b.bins(c, use)
	if err != nil {
		return nil, fmt.Errorf("%s: check %s: %w", def.Pos, def.ID, err)
	}
	if len(c.Outcomes) < 2 {
		return nil, nil
	}
	if bins == nil {
		return nil, fmt.Errorf("%s: check %s: its quantities are too large or too near to one another to tell apart; mend them", def.Pos, def.ID)
	}
	for i, row := range rows {
		c.Rows = append(c.Rows, faulttree.Row{Event: row.event, P: bins[i]})
	}
	c.Else = bins[len(rows)]
	return use, nil
}

// record makes a check of readings that tell nothing: whatever is the case, either
// outcome is as likely, and so is every reading.
func (b *engineBuilder) record(c *faulttree.Check, use *ReadingUse, rows []builtRow) {
	use.Record, use.Finer = true, 0
	use.Cuts, c.Outcomes = []float64{0}, []string{"below 0", "0 or more"}
	use.Model.Else = measure.Population{SD: anyValue}
	c.Else = []float64{0.5, 0.5}
	for _, row := range rows {
		use.Model.Rows = append(use.Model.Rows, use.Model.Else)
		c.Rows = append(c.Rows, faulttree.Row{Event: row.event, P: c.Else})
	}
}

// anyValue is a spread in which, in any unit of the trade, every value is at home.
const anyValue = 1e9

func (b *engineBuilder) limit(r Ref) *measure.Limit {
	if l := b.e.sheet.sheet.Limit(r.ID); l != nil {
		of := l.Of
		return &of
	}
	return nil
}

// population gives a population in the check's unit.
func (b *engineBuilder) population(p *Population, r *Reading) measure.Population {
	if !p.OfNominal {
		return measure.Population{Mean: p.Mean.in(r.In), SD: p.SD.in(r.In.Difference())}
	}
	nominal := b.e.sheet.sheet.Limit(r.Limit.ID).Nominal.in(r.In)
	return measure.Population{Mean: nominal * p.FMean, SD: nominal * p.FSD}
}

// bins names the outcomes and gives their chances for each row and for the case
// that no row holds.
func (b *engineBuilder) bins(c *faulttree.Check, use *ReadingUse) ([][]float64, error) {
	if use.Limit == nil {
		use.Cuts = middles(use.Model)
		c.Outcomes = spans(use.Cuts, use.Unit)
		if len(use.Cuts) == 0 {
			return nil, nil
		}
		return use.Model.Bins(use.Cuts, use.Uncertainty), nil
	}
	cuts, err := use.Limit.Cuts(use.Unit)
	if err != nil {
		return nil, err
	}
	use.Cuts = cuts
	c.Outcomes = []string{Conforms, DoesNotConform}
	return use.outcomes(use.Model.Bins(cuts, use.Uncertainty)), nil
}

// outcomes turns the chances of the bins between the cuts into those of the
// outcomes.
func (r *ReadingUse) outcomes(bins [][]float64) [][]float64 {
	if r.Limit == nil {
		return bins
	}
	good := conforming(r.Limit.Kind(), r.Cuts)
	for i, p := range bins {
		yes := 0.0
		if good >= 0 {
			yes = min(max(p[good], 0), 1)
		}
		bins[i] = []float64{yes, 1 - yes}
	}
	return bins
}

// Again is, for each row of the check and then for none, the chance of each
// outcome of the readings together if one more is taken with standard uncertainty
// next, given what they say so far, in Unit; see measure.Model. It is nil for
// numbers that are not finite.
func (r *ReadingUse) Again(soFar measure.Estimate, next float64) [][]float64 {
	return r.outcomes(r.Model.Again(soFar.Value, soFar.U, next, r.Cuts))
}

// conforming returns which of the bins between cuts conforms: the one below a
// highest value, above a lowest, between the two; -1 where rounding has left
// nothing between them.
func conforming(kind measure.LimitKind, cuts []float64) int {
	switch {
	case kind == measure.AtMost:
		return 0
	case kind == measure.AtLeast || len(cuts) == 2:
		return 1
	}
	return -1
}

// middles returns the middles between neighbouring means, rising.
func middles(m measure.Model) []float64 {
	means := []float64{m.Else.Mean}
	for _, p := range m.Rows {
		means = append(means, p.Mean)
	}
	slices.Sort(means)
	means = slices.Compact(means)
	cuts := make([]float64, 0, len(means))
	for i := 1; i < len(means); i++ {
		cuts = append(cuts, means[i-1]+(means[i]-means[i-1])/2)
	}
	return slices.Compact(cuts)
}

// spans names the outcomes between cuts: "below 12 psi", "12 to 15 psi",
// "15 psi or more".
func spans(cuts []float64, u quantity.Unit) []string {
	var out []string
	for i, c := range cuts {
		if i == 0 {
			out = append(out, "below "+quantity.Format(c, u, 3))
		} else {
			out = append(out, quantity.Format(cuts[i-1], u, 3)+" to "+quantity.Format(c, u, 3))
		}
	}
	if n := len(cuts); n > 0 {
		out = append(out, quantity.Format(cuts[n-1], u, 3)+" or more")
	}
	return out
}
