package knowledge

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"narrows/symptoms/quantity"
)

// The JSON Schema of the files, for editors that complete and check while one
// types. It says what a file looks like, key by key, and is written by hand
// beside the decoder: the decoder's setters are code and say nothing of meaning.
// A test reads files with both and holds every mapping of the one against the
// other. What a name refers to, whether a quantity can be read and whether
// chances add up to 1 is the loader's matter alone.

// schemaDialect is the version of JSON Schema that the schemas are written in.
const schemaDialect = "https://json-schema.org/draft/2020-12/schema"

// schemaKinds are the kinds of file, each with the shape of it.
var schemaKinds = []struct {
	kind  string
	shape func() shape
}{
	{"pack", packShape}, {"fragment", fragmentShape}, {"amends", amendsShape}, {"sheet", sheetShape},
	{"vocabulary", vocabularyShape}, {"instruments", instrumentsShape},
}

// SchemaKinds are the kinds of file that have a schema of their own.
func SchemaKinds() []string {
	var out []string
	for _, k := range schemaKinds {
		out = append(out, k.kind)
	}
	return out
}

// JSONSchema is the JSON Schema (draft 2020-12) of a kind of file, indented; for
// "" one that takes a file of any kind. The only error is a kind that there is
// not.
func JSONSchema(kind string) ([]byte, error) {
	all, defs := []any{}, shape{}
	for _, k := range schemaKinds {
		if k.kind == kind {
			return indented(k.shape())
		}
		all, defs[k.kind] = append(all, shape{"$ref": "#/$defs/" + k.kind}), k.shape()
	}
	if kind != "" {
		return nil, fmt.Errorf("there is no schema of %s; take one of: %s", quote(kind), strings.Join(SchemaKinds(), ", "))
	}
	return indented(shape{
		"title":       "A file of Narrows",
		"description": "A pack, a part of one, a sheet, a vocabulary or a list of instruments, told apart by its first keys.",
		"oneOf":       all, "$defs": defs,
	})
}

func indented(s shape) ([]byte, error) {
	s["$schema"] = schemaDialect
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(s); err != nil {
		return nil, fmt.Errorf("the schema cannot be written: %w", err)
	}
	return b.Bytes(), nil
}

// shape is a piece of a schema, keyword by keyword.
type shape map[string]any

// with is the shape with one keyword more.
func (s shape) with(keyword string, value any) shape {
	out := maps.Clone(s)
	out[keyword] = value
	return out
}

// shapeKey is one key of a mapping.
type shapeKey struct {
	name string
	must bool
	of   shape
}

// needs and takes describe a key that must stand, or may: its name, a title, what
// it means, and what its value looks like.
func needs(name, title, about string, of shape) shapeKey {
	return shapeKey{name, true, of.with("title", title).with("description", about)}
}

func takes(name, title, about string, of shape) shapeKey {
	k := needs(name, title, about, of)
	k.must = false
	return k
}

// mapping is a mapping with known keys and no others.
func mapping(keys ...shapeKey) shape {
	props, must := shape{}, []string{}
	for _, k := range keys {
		props[k.name] = k.of
		if k.must {
			must = append(must, k.name)
		}
	}
	s := shape{"type": "object", "properties": props, "additionalProperties": false}
	if len(must) > 0 {
		s["required"] = must
	}
	return s
}

// mapOf is a mapping from names to values of one shape.
func mapOf(names, of shape) shape {
	return shape{"type": "object", "propertyNames": names, "additionalProperties": of}
}

// definitions is a section: a mapping from identifiers to what they name.
func definitions(of shape) shape { return mapOf(identifier(), of) }

// entryKeys are those that every definition has.
func entryKeys() []shapeKey {
	return []shapeKey{
		needs("title", "Title", "What it is called in lists and answers.", textShape()),
		takes("source", "Source", "What its numbers rest on: a published source, common practice, or judgement.", textShape()),
		takes("note", "Note", "Anything to remember; for people only.", textShape()),
	}
}

// beginningKeys begin a file of a kind that has an identifier.
func beginningKeys(kind, about string) []shapeKey {
	return []shapeKey{
		needs(kind, "Identifier", about, identifier()), formatKey(true),
		needs("title", "Title", "What it is called in lists and answers.", textShape()),
		takes("note", "Note", "What its numbers rest on, and anything to remember; for people only.", textShape()),
		takes("source", "Source", "A published source, common practice, or judgement.", textShape()),
	}
}

func formatKey(must bool) shapeKey {
	k := needs("format", "Version of the format", "This program reads format 1.", shape{"const": 1})
	k.must = must
	return k
}

// What values look like. The bounds are the decoder's.

func textShape() shape { return shape{"type": "string", "minLength": 1} }
func textsShape() shape {
	return shape{"type": "array", "items": textShape()}
}
func identifier() shape {
	return shape{"type": "string", "pattern": idPattern.String(), "maxLength": 64}
}
func eventName() shape {
	return shape{"type": "string", "pattern": `^[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)?$`, "examples": []string{"pilot_jet.blocked"}}
}
func memberName() shape {
	return shape{"type": "string", "pattern": memberPattern.String(), "examples": []string{"1", "A"}}
}
func namesOf(of shape) shape { return shape{"type": "array", "items": of, "uniqueItems": true} }
func flagShape() shape       { return shape{"type": "boolean"} }
func oneOfWords(words ...string) shape {
	return shape{"enum": words}
}

func chanceShape() shape {
	return shape{"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1}
}
func strengthShape() shape {
	return shape{"type": "number", "exclusiveMinimum": 0, "maximum": 1}
}
func shareShape() shape { return shape{"type": "number", "minimum": 0, "maximum": 1} }
func minutesShape() shape {
	return shape{"type": "number", "minimum": 0, "maximum": 525600}
}

// quantityShape names what is measured. The loader takes it in any letter case;
// the schema, which offers it, in lower case only.
func quantityShape() shape {
	var words []string
	for _, d := range quantity.Dimensions() {
		words = append(words, strings.ReplaceAll(string(d), " ", "_"))
	}
	for _, d := range quantity.Dimensions() {
		if !slices.Contains(words, string(d)) {
			words = append(words, string(d))
		}
	}
	return oneOfWords(words...)
}

func unitShape() shape {
	var units []string
	for _, d := range quantity.Dimensions() {
		if u := d.Units(); len(u) > 0 {
			units = append(units, u[0].Symbol())
		}
	}
	return textShape().with("examples", units)
}

// amountShape is a quantity with its unit, in quotes.
func amountShape(examples ...string) shape { return textShape().with("examples", examples) }

// Rules on which keys go together.

func required(keys ...string) shape { return shape{"required": keys} }
func without(keys ...string) shape {
	var any []shape
	for _, k := range keys {
		any = append(any, required(k))
	}
	return shape{"not": shape{"anyOf": any}}
}
func when(condition, then shape) shape { return shape{"if": condition, "then": then} }
