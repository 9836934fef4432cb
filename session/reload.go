package session

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"narrows/knowledge"
	"narrows/session/journal"
)

// A case works on the packs that it was opened with, whatever becomes of them. With
// reload it takes up the packs as they are now: an entry says which they are, copies
// lie beside the earlier ones, and undo goes back to these.

// Shelf is where a case finds the packs as they are now, and keeps its copies.
type Shelf interface {
	// Now builds the engine of a sheet from the packs as they are now.
	Now(sheet string) (*knowledge.Engine, error)
	// Keep copies the files of an engine into the case; what is kept already is not
	// written again.
	Keep(e *knowledge.Engine) ([]sumOf, error)
	// Kept builds an engine from copies.
	Kept(sheet string, copies []sumOf) (*knowledge.Engine, error)
}

// Reshelve lets the case take up packs as they are now, by reload.
func (o *Open) Reshelve(now func(sheet string) (*knowledge.Engine, error)) {
	o.shelf = &folderShelf{o.Dir, now}
}

// reloaded says which knowledge the case rests on from here on; and what was entered
// before is read anew by it.
type reloaded struct {
	Pack    string  `json:"pack"`
	Version string  `json:"version"`
	Sources []sumOf `json:"sources"`
}

// doReload takes up the packs as they are now.
func (c *Case) doReload(ctx context.Context, words string) (View, error) {
	switch {
	case words != "":
		return c.wrong("Reload takes nothing; it reads the packs of this engine anew."), nil
	case c.shelf == nil:
		return c.wrong("There are no packs here to read anew."), nil
	}
	e, err := c.shelf.Now(c.b.e.Sheet().ID)
	if err != nil {
		return c.kept(err), nil
	}
	if sameSources(e, c.b.e) {
		v := View{Kind: "reload", Text: []string{"The packs are as the case has them."}}
		return v, nil
	}
	diff, err := knowledge.Differences(c.b.e.Sources(), e.Sources(), c.b.e.Pack().ID)
	if err != nil {
		return c.kept(err), nil
	}
	b, err := newBench(e)
	if err == nil {
		err = fits(b, c.log.Entries())
	}
	if err != nil {
		return c.kept(err), nil
	}
	copies, err := c.shelf.Keep(e)
	if err != nil {
		return View{}, fmt.Errorf("%w: %w", ErrNotRecorded, err)
	}
	if err := c.record(ctx, kindReloaded, reloaded{e.Pack().ID, e.Pack().Version, copies}); err != nil {
		return View{}, err
	}
	c.asked, c.offer = nil, nil
	v := View{Kind: "reload", Text: []string{fmt.Sprintf("The packs were read anew: %s.", changes(len(diff)))}}
	for i, d := range diff {
		if i == mostChanges {
			v.Text = append(v.Text, fmt.Sprintf("and %d more", len(diff)-i))
			break
		}
		v.Text = append(v.Text, d.String())
	}
	v.Hint = "Enter shows where the case stands by them; undo takes up the earlier packs again"
	return v, nil
}

// mostChanges is how many differences are told.
const mostChanges = 8

func changes(n int) string {
	switch n {
	case 0:
		return "the pack says what it said"
	case 1:
		return "one change"
	}
	return fmt.Sprintf("%d changes", n)
}

// kept says why the case keeps the packs that it has.
func (c *Case) kept(err error) View {
	var problems knowledge.Problems
	v := c.wrong("The case keeps its packs; those that lie there now cannot take their place.")
	if errors.As(err, &problems) {
		for i, p := range problems {
			if i == mostChanges {
				break
			}
			v.Text = append(v.Text, p.Error())
		}
	} else {
		v.Text = append(v.Text, err.Error())
	}
	v.Hint = "narrows lint FILE tells what is wrong; mend it, then reload again"
	return v
}

// fits tries the entries on other knowledge.
func fits(b *bench, entries []journal.Entry) error {
	s, err := b.fold(entries)
	if err != nil {
		return err
	}
	_, err = s.belief.Solve()
	return err
}

func sameSources(a, b *knowledge.Engine) bool {
	sums := func(e *knowledge.Engine) []string {
		var out []string
		for _, s := range e.Sources() {
			out = append(out, knowledge.Sum(s))
		}
		slices.Sort(out)
		return out
	}
	return slices.Equal(sums(a), sums(b))
}

// latestKnowledge gives the entry that says which knowledge counts, of those not taken
// back; seq is 0 if it is what the case was opened with.
func latestKnowledge(entries []journal.Entry) (seq int, r reloaded, err error) {
	gone, err := undoneOf(entries)
	if err != nil {
		return 0, r, err
	}
	for i := len(entries) - 1; i >= 0; i-- {
		if e := entries[i]; e.Kind == kindReloaded && !gone[e.Seq] {
			if err := json.Unmarshal(e.Payload, &r); err != nil {
				return 0, r, entryError(e, err)
			}
			return e.Seq, r, nil
		}
	}
	return 0, r, nil
}

// sources are the copies of the knowledge that counts now.
func (c *Case) sources() []sumOf {
	if seq, r, err := latestKnowledge(c.log.Entries()); err == nil && seq > 0 {
		return r.Sources
	}
	return c.first
}

// know sees to it that the case works on the knowledge that its entries name.
func (c *Case) know() error {
	seq, r, err := latestKnowledge(c.log.Entries())
	if err != nil || seq == c.knows {
		return err
	}
	sources := r.Sources
	if seq == 0 {
		sources = c.first
	}
	if c.shelf == nil {
		return errors.New("the copies of the case's knowledge are not at hand")
	}
	e, err := c.shelf.Kept(c.b.e.Sheet().ID, sources)
	if err != nil {
		return err
	}
	b, err := newBench(e)
	if err != nil {
		return err
	}
	c.b, c.knows = b, seq
	return nil
}

// folderShelf keeps copies in the folder of a case.
type folderShelf struct {
	dir string
	now func(sheet string) (*knowledge.Engine, error)
}

func (s *folderShelf) Now(sheet string) (*knowledge.Engine, error) {
	if s.now == nil {
		return nil, errors.New("there are no packs here to read anew")
	}
	return s.now(sheet)
}

func (s *folderShelf) Keep(e *knowledge.Engine) ([]sumOf, error) {
	var out []sumOf
	for _, src := range e.Sources() {
		sum := knowledge.Sum(src)
		name := sum[:12] + "-" + filepath.Base(src.Name)
		path := filepath.Join(s.dir, knowledgeDir, name)
		have, err := os.ReadFile(path)
		if err != nil || knowledge.Sum(knowledge.Source{Data: have}) != sum {
			// A copy that was torn is written anew.
			if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
				return nil, fmt.Errorf("the copy of %s cannot be written: %w", src.Name, err)
			}
			if err := writeSynced(path, src.Data); err != nil {
				return nil, fmt.Errorf("the copy of %s cannot be written: %w", src.Name, err)
			}
		}
		out = append(out, sumOf{name, sum})
	}
	return out, nil
}

func (s *folderShelf) Kept(sheet string, copies []sumOf) (*knowledge.Engine, error) {
	return engineOf(s.dir, sheet, copies)
}
