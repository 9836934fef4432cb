package journal

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"
)

// A Warning is something odd about an entry that fits all the same.
type Warning struct {
	Line   int // counted from 1
	Reason string
}

// A Report says how far a journal fits.
type Report struct {
	Entries  int              // how many entries fit, from the first on
	Bytes    int64            // their length with newlines
	Head     string           // SHA-256 of the last line that fits, or Genesis
	Damage   *CorruptionError // the first line that does not fit; nil when all do
	Warnings []Warning        // times going backwards
}

// Err gives the damage as an error, nil when every line fits.
func (r Report) Err() error {
	if r.Damage == nil {
		return nil
	}
	return r.Damage
}

// Verify reads a journal and names the first line that does not fit: one that
// is torn, too long, not canonical, of an unknown version, with a wrong
// sequence number, or with a prev that is not the hash of the line before. It
// stops there. A time earlier than the one before is a warning only, since a
// clock may be set back. The error is one of reading, never of the journal.
//
// A changed last line, and whole lines missing at the end, are seen only by
// comparing Head with one noted elsewhere; see the package comment.
func Verify(r io.Reader) (Report, error) {
	c, damage, err := scan(r, func(Entry) {})
	if err != nil {
		return Report{}, fmt.Errorf("the journal cannot be read: %w", err)
	}
	return Report{
		Entries: c.entries, Bytes: c.size, Head: c.head,
		Damage: damage, Warnings: c.warnings,
	}, nil
}

// VerifyDir verifies the journal of a case folder. It takes no lock.
func VerifyDir(dir string) (Report, error) {
	path := filepath.Join(dir, FileName)
	f, err := os.Open(path)
	if err != nil {
		return Report{}, fmt.Errorf("the journal cannot be read: %w", err)
	}
	defer f.Close()
	rep, err := Verify(f)
	if rep.Damage != nil {
		rep.Damage.Path = path
	}
	return rep, err
}

// A chain is what must be known of the lines so far to judge the next one.
type chain struct {
	entries  int
	size     int64
	head     string
	last     time.Time
	warnings []Warning
}

func newChain() chain { return chain{head: Genesis} }

// follow judges the next line, given without its newline, and takes it into
// the chain if it fits.
func (c *chain) follow(line []byte) (Entry, *CorruptionError) {
	e, misfit, reason := decodeLine(line)
	if misfit != 0 {
		return Entry{}, c.damage(misfit, reason)
	}
	if want := c.entries + 1; e.Seq != want {
		return Entry{}, c.damage(WrongSequence, fmt.Sprintf("seq is %d where %d belongs: entries are missing, doubled or out of order", e.Seq, want))
	}
	if e.Prev != c.head {
		return Entry{}, c.damage(WrongHash, c.hashReason(e))
	}
	if c.entries > 0 && e.Time.Before(c.last) {
		c.warnings = append(c.warnings, Warning{Line: e.Seq, Reason: fmt.Sprintf(
			"time %s is earlier than the %s of the entry before: the clock was set back",
			e.Time.Format(timeLayout), c.last.Format(timeLayout))})
	}
	c.entries++
	c.size += int64(len(line)) + 1
	c.head = hashOf(line)
	c.last = e.Time
	return e, nil
}

func (c *chain) hashReason(e Entry) string {
	if c.entries == 0 {
		return "prev is " + e.Prev + " where the first entry has 64 zeros"
	}
	return fmt.Sprintf("prev is %s, but line %d hashes to %s: line %d or line %d was changed",
		e.Prev, c.entries, c.head, c.entries, c.entries+1)
}

func (c *chain) damage(misfit Misfit, reason string) *CorruptionError {
	return &CorruptionError{Line: c.entries + 1, Offset: c.size, Misfit: misfit, Reason: reason}
}

// scan reads lines as long as they fit and hands each entry on. The error is
// one of reading only.
func scan(r io.Reader, keep func(Entry)) (chain, *CorruptionError, error) {
	c := newChain()
	br := bufio.NewReaderSize(r, 64<<10)
	var buf []byte
	for {
		line, err := readLine(br, buf[:0])
		buf = line
		switch {
		case err == io.EOF && len(line) == 0:
			return c, nil, nil
		case len(line) > MaxLine+1:
			return c, c.damage(TooLong, fmt.Sprintf("the line is longer than %d bytes", MaxLine)), nil
		case err == io.EOF:
			return c, c.damage(Torn, fmt.Sprintf("the last line is torn: %d bytes without a newline", len(line))), nil
		case err != nil:
			return c, nil, fmt.Errorf("line %d: %w", c.entries+1, err)
		}
		e, damage := c.follow(line[:len(line)-1])
		if damage != nil {
			return c, damage, nil
		}
		keep(e)
	}
}

// readLine appends the next line with its newline to buf. It stops early once
// the line has become too long, so that a file of no newlines costs no memory.
func readLine(br *bufio.Reader, buf []byte) ([]byte, error) {
	for {
		part, err := br.ReadSlice('\n')
		buf = append(buf, part...)
		if err != bufio.ErrBufferFull || len(buf) > MaxLine+1 {
			return buf, err
		}
	}
}
