package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"narrows/knowledge"
)

// ownPacks is the folder, in the data folder, of the user's packs, sheets and
// amendments.
const ownPacks = "packs"

// ownSources are the user's files in the order of their names; none if there is no
// folder.
func (p *program) ownSources() ([]knowledge.Source, error) {
	home, err := p.dataFolder()
	if err != nil {
		return nil, err
	}
	root := filepath.Join(home, ownPacks)
	if _, err := os.Stat(root); err != nil && !errors.Is(err, fs.ErrPermission) {
		return nil, nil // there is no such folder
	}
	var out []knowledge.Source
	err = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return fmt.Errorf("your own packs cannot be read: %w; check the folder, or move it away", err)
		case d.IsDir() || filepath.Ext(path) != ".yaml":
			return nil
		}
		s, err := knowledge.ReadSource(path)
		out = append(out, s)
		return err
	})
	return out, err
}

// sources are the packs and sheets there are: those that come with the program,
// over them the user's own, over these the files given.
func (p *program) sources(files []string) ([]knowledge.Source, error) {
	all, err := knowledge.EmbeddedSources()
	if err != nil {
		return nil, err
	}
	own, err := p.ownSources()
	if err != nil {
		return nil, err
	}
	given, err := readSources(files)
	if err != nil {
		return nil, err
	}
	return knowledge.Overlay(knowledge.Overlay(all, own), given), nil
}

func readSources(files []string) ([]knowledge.Source, error) {
	var out []knowledge.Source
	for _, f := range files {
		s, err := knowledge.ReadSource(f)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}

// openEngine builds the engine of the flag, which names a sheet or the file of one.
// Only what it rests on is read.
func (p *program) openEngine(files ...string) (*knowledge.Engine, error) {
	id := p.engine
	if isSheetFile(id) {
		s, err := knowledge.ReadSource(id)
		if err != nil {
			return nil, &usageError{err.Error(), ""}
		}
		h := knowledge.HeadOf(s)
		if h.Kind != "sheet" {
			return nil, &usageError{fmt.Sprintf("%s is no sheet", id), "narrows lint " + id + " tells what it is not"}
		}
		files, id = append(slices.Clone(files), id), h.ID
	}
	return p.openSheet(func(h knowledge.Head) bool { return h.ID == id },
		&usageError{fmt.Sprintf("there is no sheet %q", id), "narrows packs lists them"}, files)
}

// isSheetFile tells a file from an identifier, which has no dot.
func isSheetFile(engine string) bool { return strings.HasSuffix(engine, ".yaml") }

// sheetNow builds the engine of a sheet from the packs as they lie there now.
func (p *program) sheetNow(id string) (*knowledge.Engine, error) {
	var files []string
	if isSheetFile(p.engine) {
		files = []string{p.engine}
	}
	sources, err := p.sources(files)
	if err != nil {
		return nil, err
	}
	return knowledge.OpenSheet(sources, id)
}

// openSheet builds the engine of the first sheet that is meant; none is there if there
// is no such sheet.
func (p *program) openSheet(meant func(knowledge.Head) bool, none error, files []string) (*knowledge.Engine, error) {
	sources, err := p.sources(files)
	if err != nil {
		return nil, err
	}
	for _, s := range sources {
		if h := knowledge.HeadOf(s); h.Kind == "sheet" && meant(h) {
			e, err := knowledge.OpenSheet(sources, h.ID)
			var problems knowledge.Problems
			if errors.As(err, &problems) {
				return nil, fmt.Errorf("%w\nnarrows lint lists every fault", problems[0])
			}
			return e, err
		}
	}
	return nil, none
}

// dataFolder is where the program keeps what is the user's.
func (p *program) dataFolder() (string, error) {
	home := p.home
	if home == "" {
		home = filepath.Join(p.dataHome(), "narrows")
	}
	home, err := filepath.Abs(home)
	if err != nil {
		return "", fmt.Errorf("the data folder cannot be found: %w; give one with --home", err)
	}
	return home, nil
}

// isOwn reports whether a file is one of the user's folder.
func (p *program) isOwn(file string) bool {
	home, err := p.dataFolder()
	if err != nil {
		return false
	}
	rel, err := filepath.Rel(filepath.Join(home, ownPacks), filepath.FromSlash(file))
	return err == nil && filepath.IsAbs(filepath.FromSlash(file)) && rel != ".." && !strings.HasPrefix(rel, ".."+string(os.PathSeparator))
}
