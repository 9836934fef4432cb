package knowledge

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// advised lints the small sound pack of testdata/rules after some exchanges, and gives
// the rules that are told.
func advised(t *testing.T, exchange ...string) []Rule {
	text := string(read(t, "testdata/rules/no-vocabulary.yaml").Data)
	for i := 0; i < len(exchange); i += 2 {
		require.Equal(t, 1, strings.Count(text, exchange[i]), exchange[i])
		text = strings.Replace(text, exchange[i], exchange[i+1], 1)
	}
	var out []Rule
	for _, p := range Lint([]Source{{"p", []byte(text)}, {"v", []byte(smallWords)}}) {
		require.Equal(t, SeverityAdvice, p.Severity, p.Error())
		out = append(out, p.Rule)
	}
	return out
}

// TestAdviceHolds looks at both sides of what advice turns on: what is let pass lies
// beside what is told.
func TestAdviceHolds(t *testing.T) {
	const repair, end, prior = "minutes: 8}", "minutes: 8}\n", "prior: 0.02}"
	tools := end + "tools:\n  wrench: {title: spark plug wrench}\n  gap: {title: spark gap tester}\n"
	bowl := end + "openings:\n  bowl: {title: float bowl, open: 1, close: 1}\n  cowl: {title: cowl, open: 1, close: 1, needs: []}\n"
	caution := "cautions:\n  petrol: {title: Petrol, text: \"No flame. Follow local codes.\"}\n"
	places := end + "places:\n  bench: {title: on the bench}\n  stand: {title: on a stand}\n"
	for name, c := range map[string]struct {
		exchange []string
		want     []Rule
	}{
		"as it is":             {nil, nil},
		"prior at the bound":   {[]string{prior, "prior: 0.3}"}, nil},
		"prior above it":       {[]string{prior, "prior: 0.31}"}, []Rule{RulePriorRange}},
		"prior below":          {[]string{prior, "prior: 0.000009}"}, []Rule{RulePriorRange}},
		"a note says why":      {[]string{prior, "prior: 0.6, note: flooded}"}, nil},
		"sum of an item":       {[]string{prior, "prior: 0.2}\n      worn: {title: worn, prior: 0.2}", "{jet.blocked: 0.9}", "{jet.blocked: 0.9, jet.worn: 0.5}", "[jet.blocked]", "[jet.blocked, jet.worn]", end, end + "checks:\n  look: {title: look, minutes: 1, outcomes: {a: a, b: b}, rows: {jet.worn: [0.1, 0.9]}, else: [0.9, 0.1]}\n"}, []Rule{RulePriorRange}},
		"strength at bound":    {[]string{"0.9}", "0.02}"}, nil},
		"source of the mode":   {[]string{"source: judgement\n", "", prior, prior[:len(prior)-1] + ", source: judgement}"}, nil},
		"spark plug":           {[]string{repair + "\n", "minutes: 8, tools: [wrench, wrench2]}\n" + strings.Replace(tools[len(end):], "gap: {title: spark gap tester", "wrench2: {title: wrench", 1)}, nil},
		"spark":                {[]string{repair + "\n", "minutes: 8, tools: [wrench, gap]}\n" + tools[len(end):]}, []Rule{RuleNoCaution}},
		"cowl":                 {[]string{repair + "\n", "minutes: 8, opens: [cowl]}\n" + strings.Replace(bowl[len(end):], "  bowl: {title: float bowl, open: 1, close: 1}\n", "", 1)}, nil},
		"bowl":                 {[]string{repair + "\n", "minutes: 8, opens: [cowl, bowl]}\n" + bowl[len(end):]}, []Rule{RuleNoCaution}},
		"bowl with care":       {[]string{repair + "\n", "minutes: 8, opens: [cowl, bowl], cautions: [petrol]}\n" + bowl[len(end):] + caution}, nil},
		"cowl before the bowl": {[]string{repair + "\n", "minutes: 8, opens: [bowl], cautions: [petrol]}\n" + strings.Replace(bowl[len(end):], "close: 1}", "close: 1, needs: [cowl]}", 1) + caution}, nil},
		"cranking":             {[]string{repair, "minutes: 8, engine: cranking}"}, []Rule{RuleNoCaution}},
		"one place is needed":  {[]string{repair + "\n", "minutes: 8, places: [stand]}\n" + places[len(end):]}, nil},
		"no place is needed":   {[]string{repair + "\n", places}, []Rule{RuleUnusedName, RuleUnusedName}},
		"a cause of the past":  {[]string{"items:", "causes:\n  stale: {title: stale, prior: 0.1, raises: {jet.blocked: 0.5}}\nitems:"}, nil},
		"prevents no symptom": {[]string{"items:", "items:\n  tap: {title: tap, modes: {shut: {title: shut, prior: 0.1}}}",
			"from: {jet.blocked: 0.9}", "gate: and, from: [jet.blocked], unless: [tap.shut]", "[jet.blocked], minutes", "[jet.blocked, tap.shut], minutes"}, []Rule{RuleReachesNoSymptom}},
	} {
		t.Run(name, func(t *testing.T) { require.Equal(t, c.want, advised(t, c.exchange...)) })
	}
}

// TestAdviceIsBounded: as of errors, only so much is told of one file.
func TestAdviceIsBounded(t *testing.T) {
	var tools strings.Builder
	for i := range 5000 {
		fmt.Fprintf(&tools, "  tool%d: {title: tool}\n", i)
	}
	rules := advised(t, "minutes: 8}\n", "minutes: 8}\ntools:\n"+tools.String())
	require.Len(t, rules, maxProblems+1)
	require.Contains(t, rules, RuleTooManyFaults)
}
