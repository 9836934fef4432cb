package session

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"time"

	"narrows/session/journal"
)

// Overview is what a list of cases says of one, read from its journal alone,
// without its knowledge and without a lock.
type Overview struct {
	ID        string
	Engine    string
	Complaint string // the owner's words as they stand; empty if none yet
	Started   time.Time
	Entries   int
	Closed    bool
	Damage    error // the first line that does not fit; nil when all do
}

// Overviews lists the cases in the order of List. A case that cannot be read
// at all is listed with its reason as Damage.
func (s Store) Overviews() ([]Overview, error) {
	ids, err := s.List()
	if err != nil {
		return nil, err
	}
	out := make([]Overview, len(ids))
	for i, id := range ids {
		out[i] = s.overview(id)
	}
	return out, nil
}

func (s Store) overview(id string) Overview {
	o := Overview{ID: id}
	log, rec, err := journal.OpenReadOnly(filepath.Join(s.Dir, id))
	if err != nil {
		o.Damage = err
		return o
	}
	defer log.Close() // opened for reading: nothing can be lost by it
	if rec.Damage != nil {
		o.Damage = rec.Damage
	}
	if err := o.take(log.Entries()); err != nil {
		o.Damage = errors.Join(o.Damage, err)
	}
	return o
}

// take reads the entries that have not been taken back.
func (o *Overview) take(entries []journal.Entry) error {
	o.Entries = len(entries)
	gone := make(map[int]bool)
	for _, e := range entries {
		var u undo
		if e.Kind != kindUndo {
			continue
		}
		if err := json.Unmarshal(e.Payload, &u); err != nil {
			return entryError(e, err)
		}
		gone[u.Seq] = true
	}
	for _, e := range entries {
		if gone[e.Seq] {
			continue
		}
		if err := o.entry(e); err != nil {
			return entryError(e, err)
		}
	}
	return nil
}

func (o *Overview) entry(e journal.Entry) error {
	switch e.Kind {
	case kindOpened:
		var p opened
		if err := json.Unmarshal(e.Payload, &p); err != nil {
			return err
		}
		o.Engine, o.Started = p.Engine, e.Time
	case kindComplaint:
		var p complaint
		if err := json.Unmarshal(e.Payload, &p); err != nil {
			return err
		}
		o.Complaint = p.Text
	case kindClosed:
		o.Closed = true
	}
	return nil
}

// Folder is the folder of a case, or a *NoCaseError.
func (s Store) Folder(id string) (string, error) {
	dir := filepath.Join(s.Dir, id)
	known, err := s.List()
	if err != nil {
		return "", err
	}
	for _, k := range known {
		if k == id {
			return dir, nil
		}
	}
	return "", &NoCaseError{id, known}
}

// Latest is the case begun last of those not closed, or "" if there is none.
func (s Store) Latest() (string, error) {
	all, err := s.Overviews()
	if err != nil {
		return "", err
	}
	for i := len(all) - 1; i >= 0; i-- {
		if all[i].Damage != nil && errors.Is(all[i].Damage, fs.ErrPermission) {
			return "", fmt.Errorf("case %s: %w", all[i].ID, all[i].Damage)
		}
		if !all[i].Closed && all[i].Damage == nil {
			return all[i].ID, nil
		}
	}
	return "", nil
}
