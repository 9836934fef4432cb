package journal

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"syscall"
	"time"
	"unicode/utf8"
)

// FileName is the journal's file in a case folder.
const FileName = "journal.jsonl"

// A Log is an open journal. Its methods may be called from several goroutines.
type Log struct {
	mu      sync.Mutex
	path    string
	clock   func() time.Time
	file    file     // nil when read-only
	held    *holding // nil when read-only
	chain   chain
	entries []Entry
	closed  bool
	refusal error // why no entry is taken; nil as long as entries are
}

// Create begins a journal in a folder: the folder with mode 0700 if it is
// missing, the file with mode 0600, both synced before Create returns. A
// folder that has a journal gives ErrExists and is left as it is; one that
// another writer holds gives ErrInUse. The clock must not be nil.
func Create(dir string, clock func() time.Time) (*Log, error) {
	return create(dir, clock, osDisk{})
}

func create(dir string, clock func() time.Time, d disk) (*Log, error) {
	path := filepath.Join(dir, FileName)
	if _, err := os.Lstat(path); err == nil {
		return nil, existsError(path)
	}
	if err := makeDir(d, dir); err != nil {
		return nil, fmt.Errorf("%s: the case folder cannot be made: %w; look to the folder above it, or choose another", dir, err)
	}
	held, err := hold(dir, clock())
	if err != nil {
		return nil, err
	}
	f, err := createFile(d, dir)
	if err != nil {
		return nil, errors.Join(err, held.release())
	}
	return &Log{path: path, clock: clock, file: f, held: held, chain: newChain()}, nil
}

func createFile(d disk, dir string) (file, error) {
	path := filepath.Join(dir, FileName)
	f, err := d.openFile(path, os.O_RDWR|os.O_APPEND|os.O_CREATE|os.O_EXCL)
	if errors.Is(err, fs.ErrExist) {
		return nil, existsError(path)
	}
	if err == nil {
		if err = errors.Join(f.Sync(), d.syncDir(dir)); err == nil {
			return f, nil
		}
		err = errors.Join(err, f.Close(), os.Remove(path))
	}
	return nil, fmt.Errorf("%s: the journal cannot be begun: %w; look to the disk, then begin the case again", path, err)
}

func existsError(path string) error {
	return fmt.Errorf("%s: %w: open the case, or begin one in another folder", path, ErrExists)
}

// Append writes one entry and returns it once it is on the disk, as one whole
// line and synced. The kind is a word of the caller's, not empty; the payload
// is anything that encoding/json turns into an object, or an object as a
// json.RawMessage. Refused, with nothing written: a payload with a number
// beyond 2^53, with a key twice, with text that is not UTF-8, a line over
// MaxLine, and a context that is done. Once writing has begun the context is
// not looked at again.
//
// If the disk does not take the line, the file is cut back to the last whole
// entry and the log stays open for a further try. If it does not even confirm
// (sync) or cannot cut back, what it holds is not sure any more: the log then
// answers ErrReadOnly until the case is closed and opened again.
func (l *Log) Append(ctx context.Context, kind string, payload any) (Entry, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.refusal != nil {
		return Entry{}, l.refusal
	}
	if err := ctx.Err(); err != nil {
		return Entry{}, l.notWritten(err, "enter it again")
	}
	line, err := l.compose(kind, payload)
	if err != nil {
		return Entry{}, l.notWritten(err, "mend the entry")
	}
	// The reader's own check: nothing is written that it would refuse.
	next := l.chain
	entry, misfit := next.follow(line)
	if misfit != nil {
		return Entry{}, l.notWritten(errors.New(misfit.Reason), "mend the entry")
	}
	if err := l.write(line); err != nil {
		return Entry{}, err
	}
	l.chain = next
	l.entries = append(l.entries, entry)
	return entry, nil
}

// Now is the time by the clock that stamps the entries.
func (l *Log) Now() time.Time { return l.clock() }

// compose gives the next line without its newline.
func (l *Log) compose(kind string, payload any) ([]byte, error) {
	if !utf8.ValidString(kind) {
		return nil, errors.New("the kind is not UTF-8")
	}
	raw, err := encodePayload(payload)
	if err != nil {
		return nil, err
	}
	return encodeLine(Entry{
		Version: Version, Seq: l.chain.entries + 1, Time: l.clock(),
		Kind: kind, Payload: raw, Prev: l.chain.head,
	})
}

// write brings a line to the disk, or takes back what came of it.
func (l *Log) write(line []byte) error {
	if err := l.untouched(); err != nil {
		return l.notWritten(err, "close the case, see what else works in its folder, and open it again")
	}
	n, err := l.file.Write(append(line, '\n'))
	if err == nil && n <= len(line) {
		err = io.ErrShortWrite
	}
	if err != nil {
		advice := "look to the disk, then enter it again"
		if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) {
			advice = "free some space on the disk, then enter it again"
		}
		return l.takeBack(l.notWritten(err, advice))
	}
	if err := l.file.Sync(); err != nil {
		// After a failed sync the kernel may count the lost bytes as
		// written; a second sync would then say yes without reason.
		err = l.takeBack(l.notWritten(err, "look to the disk, then close the case and open it again"))
		l.refuse("the disk did not confirm an entry")
		return err
	}
	return nil
}

// untouched sees to it that the file is still the one at its path and has the
// length that it was left with: whatever else wrote there would break the
// chain, and entries into a file that was replaced would be lost.
func (l *Log) untouched() error {
	here, err := l.file.Stat()
	if err != nil {
		return err
	}
	there, err := os.Stat(l.path)
	if err != nil {
		return err
	}
	if !os.SameFile(here, there) {
		return errors.New("another file was put in the place of the journal")
	}
	if here.Size() != l.chain.size {
		return fmt.Errorf("the journal has %d bytes where it was left with %d: something else wrote to it", here.Size(), l.chain.size)
	}
	return nil
}

// takeBack cuts the file to the last whole entry, so that the next one is
// sound, and returns the cause. If that fails the log takes nothing more.
func (l *Log) takeBack(cause error) error {
	err := l.file.Truncate(l.chain.size)
	if err == nil {
		err = l.file.Sync()
	}
	if err != nil {
		l.refuse("an entry that failed could not be taken back")
		return errors.Join(cause, fmt.Errorf("%s: what was written of it could not be taken back: %w; close the case and open it again", l.path, err))
	}
	return cause
}

func (l *Log) refuse(why string) {
	l.refusal = fmt.Errorf("%s: %w: %s; look to the disk, then close the case and open it again", l.path, ErrReadOnly, why)
}

func (l *Log) notWritten(cause error, advice string) error {
	safe := ""
	if l.chain.entries > 0 {
		safe = fmt.Sprintf("; entries 1 to %d are safe", l.chain.entries)
	}
	return fmt.Errorf("%s: entry %d was not written: %w%s; %s", l.path, l.chain.entries+1, cause, safe, advice)
}

// Entries gives all entries from the first on, in a slice of the caller's own.
// The payloads' bytes are shared and not to be changed.
func (l *Log) Entries() []Entry {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Clone(l.entries)
}

// Head gives the SHA-256 of the last line, in lower-case hexadecimal, or
// Genesis when there is none.
func (l *Log) Head() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.chain.head
}

// ReadOnly tells whether the log takes no entries (any more).
func (l *Log) ReadOnly() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.refusal != nil
}

// Close closes the file and frees the lock. Entries and Head go on answering;
// Append then gives fs.ErrClosed. A second Close does nothing.
func (l *Log) Close() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.closed {
		return nil
	}
	l.closed = true
	l.refusal = fmt.Errorf("%s: the case was closed: %w; open it again", l.path, fs.ErrClosed)
	if l.file == nil {
		return nil
	}
	return errors.Join(l.file.Close(), l.held.release())
}
