package knowledge

import (
	"encoding/json"
	"maps"
	"slices"

	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
)

// keysOfComposition are the keys of a pack that are taken in while it is put
// together from parts, before the decoder reads what has come of it.
var keysOfComposition = []string{"include", "change", "variants"}

// readAll has the decoder read a file. A fragment and an amendment are read as a
// pack here, whose sections they have: their own heads are the composition's
// matter, and TestPartsOfPacks holds them.
func readAll(f *faults, kind string, root *yaml.Node) {
	d := &decoder{f}
	switch kind {
	case "pack", "fragment", "amends":
		d.pack(root)
	case "sheet":
		d.sheet(root)
	case "vocabulary":
		(&wordFile{}).read(d, root)
	case "instruments":
		d.instruments(root)
	}
}

// A place is a mapping of a file with what decoder and schema know of it.
type place struct {
	node   *yaml.Node
	fields []field
	schema map[string]any
	at     string // where it stands in the schema
}

// A value is a single value with what the schema says of it.
type value struct {
	node   *yaml.Node
	schema map[string]any
	at     string
}

// A stepper goes through a file and its schema at once.
type stepper struct {
	t      require.TestingT
	file   string
	met    map[*yaml.Node][]field
	places []place
	values []value
}

// step reads a file with the decoder and goes through it with the schema.
func step(t require.TestingT, src Source) (*stepper, *yaml.Node, string) {
	f := &faults{file: src.Name}
	root := parse(src, f)
	require.NotNil(t, root)
	kind := kindByKey(root)
	s := &stepper{t: t, file: src.Name, met: make(map[*yaml.Node][]field)}
	f.met = func(n *yaml.Node, known []field) { s.met[n] = known }
	readAll(f, kind, root)
	s.walk(root, decoded(t, kind), kind)
	return s, root, kind
}

// decoded is a schema as it is read back from its text.
func decoded(t require.TestingT, kind string) map[string]any {
	text, err := JSONSchema(kind)
	require.NoError(t, err)
	var out map[string]any
	require.NoError(t, json.Unmarshal(text, &out))
	return out
}

func (s *stepper) walk(n *yaml.Node, schema map[string]any, at string) {
	if schema["type"] == nil {
		for _, word := range []string{"oneOf", "anyOf"} {
			if list, ok := schema[word].([]any); ok {
				schema, at = s.chosen(n, list, at+"/"+word)
			}
		}
	}
	switch n.Kind {
	case yaml.MappingNode:
		s.mapping(n, schema, at)
	case yaml.SequenceNode:
		items, ok := schema["items"].(map[string]any)
		require.True(s.t, ok, "%s:%d: the schema knows no list here (%s)", s.file, n.Line, at)
		for _, c := range n.Content {
			s.walk(c, items, at+"/items")
		}
	default:
		s.values = append(s.values, value{n, schema, at})
	}
}

// chosen is the alternative that is of the value's kind.
func (s *stepper) chosen(n *yaml.Node, list []any, at string) (map[string]any, string) {
	type way struct {
		schema map[string]any
		at     string
	}
	var fit []way
	for i, one := range list {
		alt := one.(map[string]any)
		ok := alt["type"] == map[yaml.Kind]string{yaml.MappingNode: "object", yaml.SequenceNode: "array", yaml.ScalarNode: "string"}[n.Kind] ||
			alt["const"] != nil && n.Kind == yaml.ScalarNode
		if props, has := alt["properties"].(map[string]any); has && ok {
			ok = len(props) == len(s.met[n])
		}
		if ok {
			fit = append(fit, way{alt, at + "/" + string(rune('0'+i))})
		}
	}
	require.Len(s.t, fit, 1, "%s:%d: one way of the schema is of this kind (%s)", s.file, n.Line, at)
	return fit[0].schema, fit[0].at
}

// mapping holds what the decoder takes at a mapping against the schema.
func (s *stepper) mapping(n *yaml.Node, schema map[string]any, at string) {
	fields, known := s.met[n]
	props, has := schema["properties"].(map[string]any)
	if !known {
		require.False(s.t, has, "%s:%d: the schema has keys where the decoder has none of its own (%s)", s.file, n.Line, at)
		each, ok := schema["additionalProperties"].(map[string]any)
		require.True(s.t, ok, "%s:%d: the schema says nothing of these values (%s)", s.file, n.Line, at)
		for i := 1; i < len(n.Content); i += 2 {
			s.walk(n.Content[i], each, at+"/*")
		}
		return
	}
	require.True(s.t, has, "%s:%d: the schema has no keys where the decoder has (%s)", s.file, n.Line, at)
	if !slices.Contains([]string{"fragment", "amends"}, at) {
		s.sameKeys(n, fields, schema, at)
	}
	s.places = append(s.places, place{n, fields, schema, at})
	for i := 0; i < len(n.Content); i += 2 {
		key := n.Content[i].Value
		if (at == "pack" || at == "fragment" || at == "amends") && slices.Contains(keysOfComposition, key) {
			continue
		}
		require.Contains(s.t, props, key, at)
		s.walk(n.Content[i+1], props[key].(map[string]any), at+"/"+key)
	}
}

func (s *stepper) sameKeys(n *yaml.Node, fields []field, schema map[string]any, at string) {
	var take, must []string
	for _, f := range fields {
		take = append(take, f.key)
		if f.must {
			must = append(must, f.key)
		}
	}
	if at == "pack" {
		take = append(take, keysOfComposition...)
	}
	require.ElementsMatch(s.t, take, slices.Collect(maps.Keys(schema["properties"].(map[string]any))), "%s:%d: keys (%s)", s.file, n.Line, at)
	require.ElementsMatch(s.t, must, requiredOf(schema), "%s:%d: required keys (%s)", s.file, n.Line, at)
	require.Equal(s.t, false, schema["additionalProperties"], at)
}

// requiredOf are the required keys, those too that a part may bring in.
func requiredOf(schema map[string]any) []string {
	list, _ := schema["required"].([]any)
	if otherwise, ok := schema["else"].(map[string]any); ok {
		list = append(slices.Clone(list), otherwise["required"].([]any)...)
	}
	var out []string
	for _, k := range list {
		out = append(out, k.(string))
	}
	return out
}

// everyMapping finds the mappings with known keys, named as a stepper names them.
func everyMapping(schema map[string]any, at string, f func(at string, schema map[string]any)) {
	for _, word := range []string{"oneOf", "anyOf"} {
		list, _ := schema[word].([]any)
		for i, one := range list {
			if alt := one.(map[string]any); alt["type"] != nil {
				everyMapping(alt, at+"/"+word+"/"+string(rune('0'+i)), f)
			}
		}
	}
	if each, ok := schema["additionalProperties"].(map[string]any); ok {
		everyMapping(each, at+"/*", f)
	}
	if items, ok := schema["items"].(map[string]any); ok {
		everyMapping(items, at+"/items", f)
	}
	props, ok := schema["properties"].(map[string]any)
	if !ok || schema["type"] != "object" {
		return
	}
	f(at, schema)
	for key, of := range props {
		if at == "pack" && slices.Contains(keysOfComposition, key) {
			continue
		}
		everyMapping(of.(map[string]any), at+"/"+key, f)
	}
}

// exchanged is the file with the value put in the place of one of its nodes.
func exchanged(t require.TestingT, root, n *yaml.Node, to *yaml.Node) Source {
	was := *n
	*n = *to
	defer func() { *n = was }()
	return rewritten(t, root)
}

func rewritten(t require.TestingT, root *yaml.Node) Source {
	text, err := yaml.Marshal(root)
	require.NoError(t, err)
	return Source{"edited.yaml", text}
}

func valueNode(tag, text string) *yaml.Node {
	return &yaml.Node{Kind: yaml.ScalarNode, Tag: tag, Value: text}
}
