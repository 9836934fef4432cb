package measure

import (
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"

	"narrows/symptoms/quantity"
)

// State is a judgement.
type State string

// The judgements.
const (
	Conforms       State = "conforms"
	DoesNotConform State = "does not conform"
	TooClose       State = "too close to call"
)

func (s State) String() string { return string(s) }

// Rule is a rule of decision: how far from a limit a reading must lie to prove
// something. Make one with GuardBand, Expanded or SimpleAcceptance.
type Rule struct {
	Name   string  `json:"name"`
	Level  float64 `json:"level,omitempty"`  // the probability asked for, one-sided
	Factor float64 `json:"factor,omitempty"` // or the guard band in standard uncertainties
}

// GuardBand asks for conformity or non-conformity with the probability p, in
// (0.5,1), against a single limit: a guard band of 1.645 u for 95 % (ISO 14253-1;
// JCGM 106 8.3.2).
func GuardBand(p float64) Rule {
	return Rule{Name: "guard band, " + percent(p), Level: p}
}

// ExpandedBand makes the guard band k standard uncertainties wide; k = 2 is the
// older use of U = 2u.
func ExpandedBand(k float64) Rule {
	return Rule{Name: "guard band of " + strconv.FormatFloat(k, 'g', -1, 64) + " u", Factor: k}
}

// SimpleAcceptance takes the reading as it stands, at a shared risk of up to
// one half (JCGM 106 8.2). It never says too close to call.
func SimpleAcceptance() Rule { return Rule{Name: "simple acceptance"} }

// width is the guard band in standard uncertainties.
func (r Rule) width(dof float64) float64 {
	if r.Level > 0 {
		return OneSided(r.Level, dof)
	}
	return r.Factor
}

// Verdict is a judgement with what it rests on.
type Verdict struct {
	State State `json:"state"`
	// P is the conformance probability for a flat prior, in [0,1]. It is for
	// people; a belief takes the likelihood of the reading in its place.
	P        float64  `json:"p"`
	Rule     Rule     `json:"rule"`
	Estimate Estimate `json:"estimate"`
	Limit    Limit    `json:"limit"`
	// Margin is the distance to the nearest bound in the estimate's unit, below 0
	// outside.
	Margin float64 `json:"margin"`
	// Typed is the reading as typed, where nothing was done to it.
	Typed string `json:"typed,omitempty"`
}

// Judge compares a reading with a limit by a guard band of 95 % (1.645 u).
func Judge(r Reading, l Limit) (Verdict, error) { return GuardBand(0.95).JudgeReading(r, l) }

// JudgeReading compares a reading with a limit by the rule.
func (r Rule) JudgeReading(reading Reading, l Limit) (Verdict, error) {
	v, err := r.Judge(reading.Estimate, l)
	if err == nil && len(reading.Raw) == 1 && len(reading.Corrections) == 0 && reading.Unit == reading.Raw[0].Unit {
		v.Typed = reading.Raw[0].Text
	}
	return v, err
}

// JudgeSiblings compares what siblings make together with a limit of the same
// sibling rule.
func (r Rule) JudgeSiblings(c Comparison, l Limit) (Verdict, error) {
	if c.Rule != l.Siblings {
		return Verdict{}, fmt.Errorf("limit %q is for %q, and the siblings were compared by %q; compare them by the limit's rule", l.Name, l.Siblings, c.Rule)
	}
	return r.Judge(c.Estimate, l)
}

// Judge compares a value with a limit. With w the rule's guard band (its factor
// times u), it conforms from w inside every bound on, does not conform from w
// outside any bound on, and between is too close to call (ISO 14253-1). By a
// GuardBand rule it conforms only if its conformance probability reaches the
// level too, which matters where a range is little wider than the uncertainty.
// Without uncertainty the bounds themselves decide, and conform.
func (r Rule) Judge(e Estimate, l Limit) (Verdict, error) {
	lowest, highest, err := l.Bounds(e.Unit)
	if err != nil {
		return Verdict{}, err
	}
	if !finite(e.Value) || !finite(e.U) || e.U < 0 {
		return Verdict{}, fmt.Errorf("a value of %v with a standard uncertainty of %v cannot be judged; take the reading again", e.Value, e.U)
	}
	v := Verdict{Rule: r, Estimate: e, Limit: l, Margin: math.Min(e.Value-lowest, highest-e.Value)}
	w := float64(r.width(e.DoF) * e.U)
	// A reading typed right on a border stays on it, whatever the unit.
	slack := float64(1e-9*e.U) + float64(1e-12*math.Abs(e.Value))
	if math.Abs(v.Margin) <= slack {
		v.Margin = 0
	}
	v.P = conformance(e.Value, e.U, e.DoF, lowest, highest)
	if e.U == 0 && v.Margin == 0 {
		v.P = 1
	}
	switch {
	case v.Margin >= w-slack && v.P >= r.Level-1e-9:
		v.State = Conforms
	case v.Margin < 0 && v.Margin <= -w+slack:
		v.State = DoesNotConform
	default:
		v.State = TooClose
	}
	return v, nil
}

// Conformance is the probability that the true value lies in [lowest, highest],
// either of which may be infinite, given a reading y with standard uncertainty u
// and a flat prior (JCGM 106 7.2):
//
//	Phi((highest-y)/u) - Phi((lowest-y)/u)
//
// With u = 0 it is 1 or 0.
func Conformance(y, u, lowest, highest float64) float64 {
	return conformance(y, u, 0, lowest, highest)
}

// conformance uses Student's distribution where u rests on few repeats.
func conformance(y, u, dof, lowest, highest float64) float64 {
	if u <= 0 {
		if lowest <= y && y <= highest {
			return 1
		}
		return 0
	}
	// Both from the side of the nearer bound, so that small ones stay exact.
	if highest-y < y-lowest {
		y, lowest, highest = -y, -highest, -lowest
	}
	p := tail((lowest-y)/u, dof)
	if !math.IsInf(highest, 1) {
		p -= tail((highest-y)/u, dof)
	}
	return math.Min(math.Max(p, 0), 1)
}

// tail is the probability above z.
func tail(z, dof float64) float64 {
	if dof <= 0 {
		return distuv.UnitNormal.CDF(-z)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}.CDF(-z)
}

// Posterior is what a normal prior becomes by a reading y with standard
// uncertainty u > 0 (JCGM 106 7.3, 7.4):
//
//	1/u_c^2 = 1/u_0^2 + 1/u^2, y_c = u_c^2 (y_0/u_0^2 + y/u^2)
func Posterior(prior Population, y, u float64) Population {
	w0, w := 1/float64(prior.SD*prior.SD), 1/float64(u*u)
	total := w0 + w
	return Population{Mean: (float64(w0*prior.Mean) + float64(w*y)) / total, SD: math.Sqrt(1 / total)}
}

// ConformanceWithPrior is the conformance probability with a normal prior in
// place of a flat one (JCGM 106 7.4).
func ConformanceWithPrior(prior Population, y, u, lowest, highest float64) float64 {
	p := Posterior(prior, y, u)
	return Conformance(p.Mean, p.SD, lowest, highest)
}

// String is the verdict in a sentence for people.
func (v Verdict) String() string {
	e := v.Estimate
	decimals := decimalsFor(e.U)
	value := v.Typed
	if value == "" {
		value = quantity.FormatFixed(e.Value, e.Unit, decimals)
	}
	if v.Limit.Siblings != "" {
		value = string(v.Limit.Siblings) + " " + value
	}
	if e.U > 0 {
		value += " (standard uncertainty " + quantity.FormatFixed(e.U, e.Unit.Difference(), decimals) + ")"
	}
	side := " inside the limit"
	if v.Margin < 0 {
		side = " outside the limit"
	}
	tolerated := v.Limit
	tolerated.Siblings = ""
	s := value + " against " + tolerated.String() + ": " + v.State.String() + ", " +
		quantity.FormatFixed(math.Abs(v.Margin), e.Unit.Difference(), decimals) + side
	if e.U > 0 {
		s += "; chance that the true value conforms " + percent(v.P)
	}
	if v.State == TooClose {
		s += "; repeat the reading or use a better gauge"
	}
	return s
}

// decimalsFor is the decimals that show an uncertainty with two digits; as
// many as it takes without one.
func decimalsFor(u float64) int {
	if u <= 0 || !finite(u) {
		return -1
	}
	text := strconv.FormatFloat(u, 'e', 1, 64)
	power, _ := strconv.Atoi(text[len("0.0e"):])
	return max(1-power, 0)
}

// percent is a probability for people, never rounded to certainty.
func percent(p float64) string {
	switch {
	case p > 0.999 && p < 1:
		return "over 99.9 %"
	case p < 0.001 && p > 0:
		return "under 0.1 %"
	case (p > 0.99 || p < 0.01) && p > 0 && p < 1:
		return strconv.FormatFloat(100*p, 'f', 1, 64) + " %"
	}
	return strconv.FormatFloat(100*p, 'f', 0, 64) + " %"
}
