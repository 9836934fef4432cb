package knowledge

import (
	"embed"
	"fmt"
	"io/fs"
	"sort"
	"strings"
)

//go:embed packs
var embedded embed.FS

// EmbeddedSources returns the packs, the sheets and the vocabulary that come
// with the program, in the order of their names.
func EmbeddedSources() ([]Source, error) {
	var out []Source
	err := fs.WalkDir(embedded, "packs", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".yaml") {
			return err
		}
		data, err := embedded.ReadFile(path)
		if err != nil {
			return err
		}
		out = append(out, Source{Name: path, Data: data})
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("the packs inside the program cannot be read: %w; get the program anew", err)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out, nil
}

// LoadEmbedded loads what comes with the program.
func LoadEmbedded() (*Library, error) {
	sources, err := EmbeddedSources()
	if err != nil {
		return nil, err
	}
	lib, problems := Load(sources)
	if err := problems.Err(); err != nil {
		return nil, fmt.Errorf("the packs inside the program have faults:\n%w", err)
	}
	return lib, nil
}
