package journal

import (
	"errors"
	"fmt"
)

var (
	// ErrInUse says that another process, or another part of this one, has
	// the case open for writing. It can still be opened read-only.
	ErrInUse = errors.New("the case is in use")
	// ErrReadOnly says that this log takes no entries: it was opened
	// read-only, its file is damaged, or the disk failed while writing.
	ErrReadOnly = errors.New("the case is open read-only")
	// ErrExists says that the folder holds a journal already.
	ErrExists = errors.New("there is a journal already")
)

// A Misfit says in what way a line does not fit. The zero value is no misfit.
type Misfit int

// The misfits, in the order in which a line is tried.
const (
	Torn           Misfit = iota + 1 // the last line has no newline: its writing was cut short
	TooLong                          // longer than MaxLine
	NotJSON                          // not a JSON object
	UnknownVersion                   // a format version that this package does not read
	NotCanonical                     // not the bytes that RFC 8785 prescribes
	WrongFields                      // a field is missing, unknown, or not what it must be
	WrongSequence                    // seq is not the previous one plus one
	WrongHash                        // prev is not the hash of the previous line
)

// String gives the misfit in words.
func (m Misfit) String() string {
	names := [...]string{
		"fits", "torn", "too long", "not JSON", "unknown version",
		"not canonical", "wrong fields", "wrong sequence", "wrong hash",
	}
	if m < 0 || int(m) >= len(names) {
		return fmt.Sprintf("misfit %d", int(m))
	}
	return names[m]
}

// A CorruptionError names the first line of a journal that does not fit. All
// lines before it do.
type CorruptionError struct {
	Path   string // the file; empty when a stream was read
	Line   int    // counted from 1; the entry that belongs there has this seq
	Offset int64  // bytes from the start of the file to the start of the line
	Misfit Misfit
	Reason string // what is wrong, in words
}

// Error gives place and reason.
func (e *CorruptionError) Error() string {
	if e.Path == "" {
		return fmt.Sprintf("line %d, byte %d: %s", e.Line, e.Offset, e.Reason)
	}
	return fmt.Sprintf("%s:%d: byte %d: %s", e.Path, e.Line, e.Offset, e.Reason)
}
