package journal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/gofrs/flock"
)

// LockName is the file in a case folder that the writer holds locked. It is
// left behind on purpose: taking it away would let two writers in.
const LockName = "lock"

// A holding is the lock of one writer. The kernel frees it when the process
// ends, however it ends.
type holding struct{ lock *flock.Flock }

// hold takes the lock of a case folder without waiting. Whoever fails gets
// ErrInUse and the note that the holder left.
func hold(dir string, now time.Time) (*holding, error) {
	path := filepath.Join(dir, LockName)
	lock := flock.New(path)
	got, err := lock.TryLock()
	if err != nil {
		advice := "look to the folder, or open the case read-only"
		if errors.Is(err, fs.ErrPermission) {
			advice = "get leave to write in the folder, or open the case read-only"
		}
		return nil, fmt.Errorf("%s: the lock cannot be taken: %w; %s", dir, err, advice)
	}
	if !got {
		return nil, fmt.Errorf("%s: %w%s: close it there, or open it read-only here", dir, ErrInUse, holder(path))
	}
	// The note serves people only. Where it cannot be written (full disk,
	// or Windows, where a locked file refuses it) the lock holds all the same.
	note := fmt.Sprintf("process %d since %s\n", os.Getpid(), now.UTC().Format(time.RFC3339))
	_ = os.WriteFile(path, []byte(note), 0o600)
	return &holding{lock: lock}, nil
}

// holder reads the note of the one who holds the lock, as " by ...".
func holder(path string) string {
	note, err := os.ReadFile(path)
	text := strings.TrimSpace(string(note))
	if err != nil || !strings.HasPrefix(text, "process ") || len(text) > 100 {
		return " by another process"
	}
	return " by " + text
}

// release empties the note and frees the lock.
func (h *holding) release() error {
	_ = os.Truncate(h.lock.Path(), 0)
	return h.lock.Unlock()
}
