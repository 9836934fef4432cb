package knowledge

import (
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// Head is what the first keys of a file tell of it: what it is, what it is
// called and what it rests on. It is found without reading the file whole, so
// that of many files only those needed are read.
type Head struct {
	Kind     string   // pack, fragment, amends, sheet, vocabulary, instruments; empty: none of them
	ID       string   // of a pack, fragment or sheet; of amends: of the pack that it changes
	Pack     string   // of a sheet
	Includes []string // of a pack: fragments
	Variants []string // of a pack
}

// HeadOf reads the head of a file. It finds no faults: a file that cannot be
// read has no kind, and what is wrong with it the loader tells.
func HeadOf(s Source) Head {
	top := topKeys(strings.TrimPrefix(string(s.Data), "\ufeff")) // a mark that editors put in front
	kind := func() string { return kindOf(func(key string) bool { _, ok := top[key]; return ok }) }
	if kind() == "" {
		// Keys in quotes, or all of the file in braces.
		top = nodeKeys(s)
	}
	h := Head{Kind: kind()}
	h.ID = scalar(top[h.Kind])
	switch h.Kind {
	case "sheet":
		h.Pack = scalar(top["pack"])
	case "pack":
		h.Includes = listed(top[keyInclude])
		h.Variants = listed(top[keyVariants])
	}
	return h
}

func headsOf(sources []Source) []Head {
	out := make([]Head, len(sources))
	for i, s := range sources {
		out[i] = HeadOf(s)
	}
	return out
}

// topKeys cuts a file at the keys that stand at the beginning of a line.
func topKeys(text string) map[string]string {
	top := make(map[string]string)
	key, from, at := "", 0, 0
	end := func() {
		if key != "" && top[key] == "" {
			top[key] = text[from:at]
		}
	}
	for line := range strings.Lines(text) {
		if word, _, ok := strings.Cut(line, ":"); ok && idPattern.MatchString(word) {
			end()
			key, from = word, at
		}
		at += len(line)
	}
	end()
	return top
}

// headKeys are the keys that a head is made of.
var headKeys = []string{"fragment", "amends", "sheet", "limits", "fitted", "pack", "items", "shows", "regimes", "instruments", keyInclude, keyVariants}

// nodeKeys reads a file whole and gives the texts of the keys of its head.
func nodeKeys(s Source) map[string]string {
	root := parse(s, &faults{})
	if root == nil {
		return nil
	}
	top := make(map[string]string)
	for _, key := range headKeys {
		v := valueOf(root, key)
		if v == nil {
			continue
		}
		text, err := yaml.Marshal(map[string]*yaml.Node{key: v})
		if err == nil {
			top[key] = string(text)
		}
	}
	return top
}

// scalar reads the value of a key from its lines.
func scalar(lines string) string {
	if n := nodeOf(lines); n != nil && n.Kind == yaml.ScalarNode {
		return n.Value
	}
	return ""
}

// listed reads the elements of a list, or the keys of a mapping.
func listed(lines string) []string {
	n := nodeOf(lines)
	if n == nil || n.Kind == yaml.ScalarNode {
		return nil
	}
	if n.Kind == yaml.MappingNode {
		return keysOf(n)
	}
	var out []string
	for _, c := range n.Content {
		out = append(out, c.Value)
	}
	return out
}

// nodeOf reads the lines of one key and gives its value.
func nodeOf(lines string) *yaml.Node {
	f := &faults{}
	root := parse(Source{Data: []byte(lines)}, f)
	if root == nil || root.Kind != yaml.MappingNode || len(root.Content) < 2 {
		return nil
	}
	return root.Content[1]
}

// restsOn picks the files that a sheet rests on, and names its pack.
func restsOn(sources []Source, sheetID string) (need []Source, pack string, err error) {
	var sheets []string
	var words []Source
	heads := headsOf(sources)
	for i, s := range sources {
		switch h := heads[i]; h.Kind {
		case "vocabulary":
			words = append(words, s)
		case "sheet":
			sheets = append(sheets, h.ID)
			if h.ID == sheetID {
				pack = h.Pack
				need = append(need, s)
			}
		}
	}
	if len(need) == 0 {
		f := &faults{}
		return nil, "", fmt.Errorf("no sheet is called %s; %s", quote(sheetID), f.meant(sheetID, sheets, "load the file that holds it"))
	}
	return slices.Concat(packSources(sources, heads, pack), need, words), pack, nil
}
