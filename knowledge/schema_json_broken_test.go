package knowledge

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
	"pgregory.net/rapid"
)

// TestBrokenFilesAreRefusedByBoth breaks one key of a sound file: takes a
// required one away, adds one that is not known, or gives one a value that cannot
// be. Loader and schema refuse the file, which both took before.
func TestBrokenFilesAreRefusedByBoth(t *testing.T) {
	groups := [][]Source{goodSources(t), embeddedPump(t)}
	schemas := make(map[string]*jsonschema.Schema)
	for _, kind := range SchemaKinds() {
		schemas[kind] = compiledSchema(t, kind)
	}
	for _, g := range groups {
		_, problems := Load(g)
		require.NoError(t, problems.Err())
	}
	done := make(map[string]int)
	rapid.Check(t, func(rt *rapid.T) {
		files := slices.Clone(groups[rapid.IntRange(0, len(groups)-1).Draw(rt, "group")])
		which := rapid.IntRange(0, len(files)-1).Draw(rt, "file")
		s, root, kind := step(rt, files[which])
		p := s.places[rapid.IntRange(0, len(s.places)-1).Draw(rt, "place")]
		how, ok := breakOne(rt, s, p)
		if !ok {
			rt.Skip("nothing to break there")
		}
		edited := rewritten(rt, root)
		edited.Name = files[which].Name
		files[which] = edited
		require.Error(rt, schemas[kind].Validate(instance(rt, parse(edited, &faults{}))), "the schema takes it: %s", how)
		_, problems := Load(files)
		require.True(rt, slices.ContainsFunc(problems, func(q Problem) bool { return q.File == edited.Name }), "the loader takes it: %s", how)
		done[strings.Fields(how)[0]]++
	})
	for _, way := range []string{"without", "unknown", "wrong"} {
		require.Positive(t, done[way], way)
	}
}

// embeddedPump is the small pack of the program, put together into one file, with its
// sheet, the instruments and the vocabulary. As it is written, a key that one of its files
// lacks may come from another.
func embeddedPump(t testing.TB) []Source {
	all, err := EmbeddedSources()
	require.NoError(t, err)
	var out []Source
	for _, s := range all {
		for _, name := range []string{"holm_pump_5.yaml", "instruments.yaml", "vocabulary.yaml"} {
			if strings.HasSuffix(s.Name, "/"+name) {
				out = append(out, s)
			}
		}
	}
	require.Len(t, out, 3)
	ld := newLoader("pump_single")
	for _, s := range packSources(all, headsOf(all), "pump_single") {
		ld.read(s)
	}
	ld.compose()
	require.Len(t, ld.packs, 1)
	whole, err := yaml.Marshal(ld.packs[0].root)
	require.NoError(t, err)
	return append(out, Source{"pump_single.yaml", whole})
}

// breakOne breaks one key of a mapping and says how.
func breakOne(rt *rapid.T, s *stepper, p place) (how string, ok bool) {
	switch rapid.IntRange(0, 2).Draw(rt, "way") {
	case 0:
		var must []string
		for _, f := range p.fields {
			if f.must {
				must = append(must, f.key)
			}
		}
		if len(must) == 0 {
			return "", false
		}
		key := rapid.SampledFrom(must).Draw(rt, "key")
		for i := 0; i < len(p.node.Content); i += 2 {
			if p.node.Content[i].Value == key {
				p.node.Content = slices.Delete(p.node.Content, i, i+2)
				return fmt.Sprintf("without %s at %s", key, p.at), true
			}
		}
		return "", false
	case 1:
		p.node.Content = append(p.node.Content, valueNode("!!str", "nosuch"), valueNode("!!str", "x"))
		return "unknown key at " + p.at, true
	}
	if len(p.node.Content) == 0 {
		return "", false
	}
	i := 2 * rapid.IntRange(0, len(p.node.Content)/2-1).Draw(rt, "value")
	key := p.node.Content[i].Value
	schema, ok := p.schema["properties"].(map[string]any)[key].(map[string]any)
	if !ok {
		return "", false
	}
	p.node.Content[i+1] = rapid.SampledFrom(wrongValues(schema)).Draw(rt, "wrong")
	return fmt.Sprintf("wrong %s at %s", key, p.at), true
}

// wrongValues are values that a shape does not take.
func wrongValues(schema map[string]any) []*yaml.Node {
	number := func(x float64) *yaml.Node {
		text, _ := json.Marshal(x)
		return valueNode("!!float", string(text))
	}
	out := []*yaml.Node{valueNode("!!null", "~"), {Kind: yaml.SequenceNode, Tag: "!!seq", Content: []*yaml.Node{{Kind: yaml.MappingNode, Tag: "!!map"}}}}
	if schema["const"] != nil {
		return append(out, valueNode("!!str", "nosuch"))
	}
	if x, ok := schema["minimum"].(float64); ok {
		out = append(out, number(x-0.5))
	}
	if x, ok := schema["maximum"].(float64); ok {
		out = append(out, number(x+0.5))
	}
	for _, word := range []string{"exclusiveMinimum", "exclusiveMaximum"} {
		if x, ok := schema[word].(float64); ok {
			out = append(out, number(x))
		}
	}
	if schema["pattern"] != nil || schema["enum"] != nil {
		out = append(out, valueNode("!!str", "No such!"))
	}
	switch schema["type"] {
	case "string":
		return append(out, &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Style: yaml.DoubleQuotedStyle}, valueNode("!!int", "7"))
	case "array", "object", "boolean":
		return append(out, valueNode("!!int", "7"), valueNode("!!str", "nosuch"))
	case "number":
		return append(out, valueNode("!!str", "nosuch"))
	}
	return out
}
