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
