package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"time"

	"github.com/fsnotify/fsnotify"
)

// quiet is how long nothing may happen before files are checked again: editors
// write in several steps.
const quiet = 100 * time.Millisecond

// follow checks the files now and whenever one of them changes, until Ctrl-C or the
// context ends. A file that is away for a while, as one is while an editor replaces
// it, is told and waited for.
func (l *linter) follow(ctx context.Context, files []string) error {
	ctx, stop := signal.NotifyContext(ctx, os.Interrupt)
	defer stop()
	w, err := fsnotify.NewWatcher()
	if err != nil {
		return fmt.Errorf("files cannot be watched here: %w; run narrows lint by hand", err)
	}
	defer w.Close()
	paths, err := watched(w, files)
	if err != nil {
		return err
	}
	problems, err := l.check(files)
	if err != nil {
		return err
	}
	if err := l.tell(problems); err != nil {
		return err
	}
	due := time.NewTimer(quiet)
	due.Stop()
	defer due.Stop()
	for {
		select {
		case <-ctx.Done():
			return errInterrupted
		case err, open := <-w.Errors:
			if !open {
				return errors.New("the watching has ended; run it again")
			}
			return fmt.Errorf("the files can no longer be watched: %w; run it again", err)
		case e, open := <-w.Events:
			if open && !e.Has(fsnotify.Chmod) && slices.Contains(paths, filepath.Clean(e.Name)) {
				due.Reset(quiet)
			}
		case <-due.C:
			if err := l.again(files); err != nil {
				return err
			}
		}
	}
}

// watched has the folders of the files watched, since editors put a new file in the
// place of the old, and gives the names that events will bear.
func watched(w *fsnotify.Watcher, files []string) ([]string, error) {
	var paths []string
	for _, f := range files {
		path, err := filepath.Abs(f)
		if err != nil {
			return nil, fmt.Errorf("%s: where it lies cannot be found: %w; give its whole path", f, err)
		}
		paths = append(paths, path)
		if err := w.Add(filepath.Dir(path)); err != nil {
			return nil, fmt.Errorf("%s: its folder cannot be watched: %w; check the name", f, err)
		}
	}
	return paths, nil
}

// again checks once more, below a line with the time.
func (l *linter) again(files []string) error {
	now := l.p.clock()
	var err error
	if l.p.json {
		err = l.object(watchLine{now.Format(time.RFC3339)})
	} else {
		err = l.p.screen().raw("--- " + now.Format("15:04:05") + " ---\n")
	}
	if err != nil {
		return err
	}
	problems, err := l.check(files)
	if err != nil {
		fmt.Fprintf(l.p.errOut, "narrows: %s\n", err)
		return nil
	}
	return l.tell(problems)
}

// watchLine parts the rounds of --watch --json: what follows was found at this time.
type watchLine struct {
	Checked string `json:"checked"` // RFC 3339
}
