package session

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"narrows/knowledge"
	"narrows/session/journal"
)

// Store is the folder in which cases are kept, one folder each.
type Store struct {
	Dir   string
	Clock func() time.Time
}

// knowledgeDir is where a case keeps its copies of pack, sheet and words.
const knowledgeDir = "knowledge"

// Open is a case with its journal; Close it.
type Open struct {
	*Case
	Log      *journal.Log
	Recovery journal.Recovery
	Dir      string
}

// Close gives up a ranking on its way and frees the journal.
func (o *Open) Close() error {
	o.StopRanking()
	return o.Log.Close()
}

// NoCaseError says that a case does not exist, and which do.
type NoCaseError struct {
	ID    string
	Known []string
}

func (e *NoCaseError) Error() string {
	if len(e.Known) == 0 {
		return fmt.Sprintf("there is no case %q; none has been started yet", e.ID)
	}
	return fmt.Sprintf("there is no case %q; the latest is %s", e.ID, e.Known[len(e.Known)-1])
}

// Start begins a new case on an engine: a folder with copies of the knowledge,
// and a journal with its first entry.
func (s Store) Start(ctx context.Context, e *knowledge.Engine) (*Open, error) {
	id, dir, err := s.newDir()
	if err != nil {
		return nil, err
	}
	first := opened{Sheet: e.Sheet().ID, Pack: e.Pack().ID, Engine: e.Sheet().Title, Weights: trusted()}
	if err := os.Mkdir(filepath.Join(dir, knowledgeDir), 0o700); err != nil {
		return nil, fmt.Errorf("the case's folder cannot be made: %w", err)
	}
	for i, src := range e.Sources() {
		name := fmt.Sprintf("%d-%s", i+1, filepath.Base(src.Name))
		if err := writeSynced(filepath.Join(dir, knowledgeDir, name), src.Data); err != nil {
			return nil, fmt.Errorf("the copy of %s cannot be written: %w", src.Name, err)
		}
		first.Sources = append(first.Sources, sumOf{name, knowledge.Sum(src)})
	}
	log, err := journal.Create(dir, s.Clock)
	if err != nil {
		return nil, err
	}
	if _, err := log.Append(ctx, kindOpened, first); err != nil {
		return nil, errors.Join(err, log.Close())
	}
	c, err := NewCase(id, e, log)
	if err != nil {
		return nil, errors.Join(err, log.Close())
	}
	c.shelf = &folderShelf{dir: dir}
	return &Open{Case: c, Log: log, Dir: dir}, nil
}

// trusted is how far the owner's words count: a symptom that is told of is
// there far more often than not. Judgement, no source.
func trusted() StatedTrust {
	return StatedTrust{PresentIf: 0.90, PresentNot: 0.03}
}

func writeSynced(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	if _, err := f.Write(data); err != nil {
		return errors.Join(err, f.Close())
	}
	if err := f.Sync(); err != nil {
		return errors.Join(err, f.Close())
	}
	return f.Close()
}

// newDir makes the folder of a new case; its name is the day and a number.
func (s Store) newDir() (id, dir string, err error) {
	if err := os.MkdirAll(s.Dir, 0o700); err != nil {
		return "", "", fmt.Errorf("the folder for cases cannot be made: %w", err)
	}
	day := s.Clock().Format("2006-01-02")
	for n := 1; n < 10000; n++ {
		id = fmt.Sprintf("%s-%d", day, n)
		dir = filepath.Join(s.Dir, id)
		err = os.Mkdir(dir, 0o700)
		if err == nil || !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	if err != nil {
		return "", "", fmt.Errorf("the case's folder cannot be made: %w", err)
	}
	return id, dir, nil
}

// List returns the cases in order of day and number.
func (s Store) List() ([]string, error) {
	entries, err := os.ReadDir(s.Dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("the cases cannot be listed: %w", err)
	}
	var ids []string
	for _, e := range entries {
		if _, err := os.Stat(filepath.Join(s.Dir, e.Name(), journal.FileName)); err == nil && e.IsDir() {
			ids = append(ids, e.Name())
		}
	}
	slices.SortFunc(ids, func(a, b string) int {
		if len(a) != len(b) && strings.HasPrefix(a, b[:min(len(b), 10)]) {
			return len(a) - len(b)
		}
		return strings.Compare(a, b)
	})
	return ids, nil
}

// Resume opens a case to go on with it.
func (s Store) Resume(id string) (*Open, error) { return s.open(id, false) }

// Read opens a case to look at it; nothing can be recorded.
func (s Store) Read(id string) (*Open, error) { return s.open(id, true) }

func (s Store) open(id string, readOnly bool) (*Open, error) {
	known, err := s.List()
	if err != nil {
		return nil, err
	}
	if !slices.Contains(known, id) {
		return nil, &NoCaseError{id, known}
	}
	dir := filepath.Join(s.Dir, id)
	var log *journal.Log
	var rec journal.Recovery
	if readOnly {
		log, rec, err = journal.OpenReadOnly(dir)
	} else {
		log, rec, err = journal.Open(dir, s.Clock)
	}
	if err != nil {
		return nil, err
	}
	e, seq, err := ownKnowledge(dir, log.Entries())
	if err != nil {
		return nil, errors.Join(err, log.Close())
	}
	c, err := newCase(id, e, seq, log)
	if err != nil {
		return nil, errors.Join(err, log.Close())
	}
	c.shelf = &folderShelf{dir: dir}
	return &Open{Case: c, Log: log, Recovery: rec, Dir: dir}, nil
}

// ownKnowledge builds the engine from the case's own copies, so that a case
// means the same whatever has become of the packs since. seq is the entry that says
// which copies count, 0 for those of the opening.
func ownKnowledge(dir string, entries []journal.Entry) (e *knowledge.Engine, seq int, err error) {
	first, err := openedBy(entries)
	if err != nil {
		return nil, 0, err
	}
	seq, later, err := latestKnowledge(entries)
	if err != nil {
		return nil, 0, err
	}
	copies := first.Sources
	if seq > 0 {
		copies = later.Sources
	}
	e, err = engineOf(dir, first.Sheet, copies)
	return e, seq, err
}

// engineOf builds an engine from copies in the folder of a case.
func engineOf(dir, sheet string, copies []sumOf) (*knowledge.Engine, error) {
	var sources []knowledge.Source
	for _, s := range copies {
		src, err := knowledge.ReadSource(filepath.Join(dir, knowledgeDir, filepath.Base(s.Name)))
		if err != nil {
			return nil, fmt.Errorf("the case's copy of its knowledge cannot be read: %w", err)
		}
		if knowledge.Sum(src) != s.SHA {
			return nil, fmt.Errorf("the case's copy of its knowledge, %s, is not the file that the case rests on; put the right one back", s.Name)
		}
		sources = append(sources, src)
	}
	return knowledge.OpenSheet(sources, sheet)
}
