package knowledge

import (
	"bytes"
	"encoding/json"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
)

// The schema is judged by a validator that is not ours, for draft 2020-12.
func compiledSchema(t testing.TB, kind string) *jsonschema.Schema {
	text, err := JSONSchema(kind)
	require.NoError(t, err)
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("narrows.json", doc))
	s, err := c.Compile("narrows.json")
	require.NoError(t, err, "%s: the validator holds the schema against its draft first", kind)
	return s
}

// instance is a file as the validator takes it.
func instance(t require.TestingT, root *yaml.Node) any {
	var v any
	require.NoError(t, root.Decode(&v))
	text, err := json.Marshal(v)
	require.NoError(t, err)
	out, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	return out
}

// kindByKey tells the kind of a sound file as an editor's user would.
func kindByKey(root *yaml.Node) string {
	keys := make(map[string]bool)
	for i := 0; i < len(root.Content); i += 2 {
		keys[root.Content[i].Value] = true
	}
	for _, kind := range []string{"sheet", "fragment", "amends", "pack", "instruments"} {
		if keys[kind] {
			return kind
		}
	}
	return "vocabulary"
}

// soundFiles are all that the program has, those of the tests and the examples of the
// package comment.
func soundFiles(t *testing.T) []Source {
	out, err := EmbeddedSources()
	require.NoError(t, err)
	for _, pattern := range []string{"testdata/good/*.yaml", "testdata/schema/*.yaml"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, files)
		for _, f := range files {
			out = append(out, read(t, f))
		}
	}
	for _, section := range []string{"The pack format, version 1", "The sheet format, version 1", "Vocabulary", "Instruments"} {
		out = append(out, Source{section, docExample(t, section)})
	}
	return out
}

// TestSoundFilesFitTheSchema takes every file by the schema of its kind and by
// that of any kind, and by no other's.
func TestSoundFilesFitTheSchema(t *testing.T) {
	anyKind := compiledSchema(t, "")
	met := make(map[string]bool)
	for _, src := range soundFiles(t) {
		root := parse(src, &faults{file: src.Name})
		kind := kindByKey(root)
		met[kind] = true
		file := instance(t, root)
		require.NoError(t, anyKind.Validate(file), src.Name)
		for _, k := range SchemaKinds() {
			err := compiledSchema(t, k).Validate(file)
			if k == kind {
				require.NoError(t, err, src.Name)
			} else {
				require.Error(t, err, "%s is no %s", src.Name, k)
			}
		}
	}
	require.ElementsMatch(t, SchemaKinds(), slices.Collect(maps.Keys(met)))
	_, err := JSONSchema("packs")
	require.ErrorContains(t, err, "take one of: pack, fragment")
}

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

// TestSchemaKeysAreTheDecoders reads the sound files with the decoder and finds
// at every mapping the same keys in the schema, required or not; and every
// mapping of the schema is met in some file, so that none goes unchecked.
func TestSchemaKeysAreTheDecoders(t *testing.T) {
	seen := make(map[string]bool)
	for _, src := range soundFiles(t) {
		s, _, _ := step(t, src)
		for _, p := range s.places {
			seen[p.at] = true
			if section, ok := strings.CutPrefix(p.at, "fragment/"); ok {
				seen["pack/"+section] = true // the same section
			}
		}
	}
	for _, kind := range []string{"pack", "sheet", "vocabulary", "instruments"} {
		everyMapping(decoded(t, kind), kind, func(at string, schema map[string]any) {
			require.True(t, seen[at], "no sound file has a mapping that the schema describes at %s; add one", at)
			for key, of := range schema["properties"].(map[string]any) {
				require.NotEmpty(t, of.(map[string]any)["title"], "%s/%s", at, key)
				require.NotEmpty(t, of.(map[string]any)["description"], "%s/%s", at, key)
			}
		})
	}
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

// TestPartsOfPacks holds the heads of fragments and amendments against the pack's:
// a fragment has the sections of a pack, none of them required; an amendment has
// a change alone. What reads them is the composition of packs: where it hands its
// keys to decoder.object they belong into readAll instead.
func TestPartsOfPacks(t *testing.T) {
	pack := slices.Collect(maps.Keys(decoded(t, "pack")["properties"].(map[string]any)))
	head := []string{"format", "title", "note", "source", "version", "change"}
	for kind, want := range map[string][]string{
		"amends": append([]string{"amends"}, head...),
		"fragment": append(slices.DeleteFunc(pack, func(k string) bool {
			return slices.Contains([]string{"pack", "include", "variants", "handing_on", "recheck"}, k)
		}), "fragment"),
	} {
		schema := decoded(t, kind)
		require.ElementsMatch(t, want, slices.Collect(maps.Keys(schema["properties"].(map[string]any))), kind)
		require.ElementsMatch(t, []string{kind, "format", "title"}, requiredOf(schema), kind)
	}
	// What parts bring is no longer required, and only then.
	v := compiledSchema(t, "pack")
	text := "pack: p\nformat: 1\ntitle: p\nversion: \"1\"\nhanding_on: {minutes: 1, title: x}\nrecheck: {minutes: 1}\n"
	for more, fits := range map[string]bool{
		"": false, "include: [a]\n": true, "change: {items: {a: ~}}\n": true, "variants: {a: {title: x}}\n": false,
		"include: [a, a]\n": false, "include: a\n": false, "change: {item: {}}\n": false, "change: []\n": false,
		"include: [a]\nvariants: {a: {title: x, symptoms: {b: ~}}}\n": true, "include: [a]\nvariants: {A: {title: x}}\n": false,
	} {
		root := parse(Source{"p", []byte(text + more)}, &faults{})
		require.Equal(t, fits, v.Validate(instance(t, root)) == nil, more)
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

// TestBounds tries every number of the format at, just inside and just outside of
// the bounds that the schema gives: the decoder finds it out of range exactly
// where the schema refuses it.
func TestBounds(t *testing.T) {
	done := make(map[string]bool)
	tried, refused := 0, 0
	files := soundFiles(t)
	slices.SortFunc(files, func(a, b Source) int { return len(a.Data) - len(b.Data) }) // the small ones are quick
	for _, src := range files {
		s, root, kind := step(t, src)
		v := compiledSchema(t, kind)
		for _, one := range s.values {
			if done[one.at] || one.schema["type"] != "number" || strings.HasSuffix(one.at, "/rpm/items") {
				continue
			}
			done[one.at] = true
			for _, word := range []string{"minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"} {
				bound, ok := one.schema[word].(float64)
				if !ok {
					continue
				}
				for _, x := range []float64{bound, bound - 1e-10, bound + 1e-10} {
					text, err := json.Marshal(x)
					require.NoError(t, err)
					edited := exchanged(t, root, one.node, valueNode("!!float", string(text)))
					f := &faults{file: edited.Name}
					again := parse(edited, f)
					readAll(f, kind, again)
					out := slices.ContainsFunc(f.list, func(p Problem) bool { return strings.Contains(p.What, "is out of range") })
					require.Equal(t, out, refusesNumber(v, instance(t, again)), "%s: %s = %s", src.Name, one.at, text)
					tried++
					if out {
						refused++
					}
				}
			}
		}
	}
	require.Greater(t, tried, 150)
	require.Greater(t, refused, 50)
}

// refusesNumber reports whether the validator finds a number beyond its bounds.
func refusesNumber(v *jsonschema.Schema, file any) bool {
	err := v.Validate(file)
	if err == nil {
		return false
	}
	text := err.Error()
	return strings.Contains(text, "minimum:") || strings.Contains(text, "maximum:") ||
		strings.Contains(text, "exclusiveMinimum:") || strings.Contains(text, "exclusiveMaximum:")
}
