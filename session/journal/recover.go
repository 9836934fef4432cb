package journal

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"time"
)

// stampLayout dates the files that keep what was set aside. It has no colon,
// which some file systems refuse in names.
const stampLayout = "20060102T150405.000000000Z"

// A TornLine is the rest of a last line whose writing was cut short. It was
// never acknowledged.
type TornLine struct {
	Line   int    // the line that it would have become, counted from 1
	Offset int64  // where in the journal it began
	Bytes  int64  // its length
	File   string // the file that keeps it now; empty when it was left in place
}

// A Recovery says what opening a journal found and did.
type Recovery struct {
	Entries  int              // how many entries are usable
	Torn     *TornLine        // nil when the last line was whole
	Damage   *CorruptionError // nil when every line fits; else the log is read-only
	Kept     string           // the file that keeps what Repair cut off; else empty
	Warnings []Warning        // as Verify gives them
}

// Clean tells whether nothing was found amiss. Warnings do not count.
func (r Recovery) Clean() bool { return r.Torn == nil && r.Damage == nil }

// Open opens the journal of a case folder for reading and writing. It locks
// the case, or gives ErrInUse; it reads all entries; and it syncs what it
// found, so that nothing is shown that is not on the disk.
//
// A last line without its newline was never acknowledged: it is set aside in a
// file named torn- and the date, and named in the Recovery. Any other line
// that does not fit is damage: it is named in the Recovery, nothing is changed
// on the disk, and the log is read-only with the entries before it; see
// Repair. No journal in the folder gives an error that is fs.ErrNotExist.
func Open(dir string, clock func() time.Time) (*Log, Recovery, error) {
	return open(dir, clock, osDisk{})
}

func open(dir string, clock func() time.Time, d disk) (*Log, Recovery, error) {
	o, err := begin(dir, clock, d)
	if err != nil {
		return nil, Recovery{}, err
	}
	if o.damaged() {
		if err := o.end(); err != nil {
			return nil, Recovery{}, err
		}
		return o.log(o.refusal()), o.recovery(), nil
	}
	rec := o.recovery()
	if err := o.settle(&rec); err != nil {
		return nil, Recovery{}, errors.Join(err, o.end())
	}
	l := o.log(nil)
	l.clock, l.file, l.held = clock, o.file, o.held
	return l, rec, nil
}

// OpenReadOnly opens the journal of a case folder for reading. It takes no
// lock and changes nothing on the disk. A last line without its newline is
// left out; it may be one that a writer is at this moment writing.
func OpenReadOnly(dir string) (*Log, Recovery, error) {
	path := filepath.Join(dir, FileName)
	f, err := osDisk{}.openFile(path, os.O_RDONLY)
	if err != nil {
		return nil, Recovery{}, readError(path, err)
	}
	o := &opening{path: path, file: f}
	if err := errors.Join(o.read(), f.Close()); err != nil {
		return nil, Recovery{}, readError(path, err)
	}
	why := fmt.Errorf("%s: %w: close it, then open it for writing", path, ErrReadOnly)
	if o.damaged() {
		why = o.refusal()
	}
	return o.log(why), o.recovery(), nil
}

// Repair cuts a damaged journal before its first line that does not fit, and
// keeps what it cuts off in a file named damaged- and the date; the Recovery
// names both. A torn last line it treats as Open does. Afterwards the case can
// be opened for writing. Whoever repairs should say so in an entry, since a
// journal that was cut looks like one that was never longer.
//
// A journal with a line of an unknown format version is not cut: a later
// program may read it well.
func Repair(dir string, clock func() time.Time) (Recovery, error) {
	return repair(dir, clock, osDisk{})
}

func repair(dir string, clock func() time.Time, d disk) (Recovery, error) {
	o, err := begin(dir, clock, d)
	if err != nil {
		return Recovery{}, err
	}
	rec := o.recovery()
	if o.damaged() && o.damage.Misfit == UnknownVersion {
		err = fmt.Errorf("%w: nothing was cut; open the case with a later version of this program", o.damage)
	} else {
		err = o.settle(&rec)
	}
	if err = errors.Join(err, o.end()); err != nil {
		return Recovery{}, err
	}
	return rec, nil
}

// An opening is a journal on the way from folder to log.
type opening struct {
	dir, path string
	clock     func() time.Time
	disk      disk
	file      file
	held      *holding
	chain     chain
	entries   []Entry
	damage    *CorruptionError // with a torn last line among the kinds
	size      int64
}

// begin locks a case, opens its journal for writing and reads it.
func begin(dir string, clock func() time.Time, d disk) (*opening, error) {
	o := &opening{dir: dir, path: filepath.Join(dir, FileName), clock: clock, disk: d}
	if _, err := os.Stat(o.path); err != nil {
		return nil, readError(o.path, err)
	}
	var err error
	if o.held, err = hold(dir, clock()); err != nil {
		return nil, err
	}
	if o.file, err = d.openFile(o.path, os.O_RDWR|os.O_APPEND); err != nil {
		return nil, errors.Join(readError(o.path, err), o.held.release())
	}
	if err = o.read(); err != nil {
		return nil, errors.Join(readError(o.path, err), o.end())
	}
	return o, nil
}

func readError(path string, err error) error {
	return fmt.Errorf("%s: the journal cannot be opened: %w; see that the folder is a case and that you may read and write in it", path, err)
}

func (o *opening) read() error {
	info, err := o.file.Stat()
	if err != nil {
		return err
	}
	o.size = info.Size()
	o.chain, o.damage, err = scan(io.NewSectionReader(o.file, 0, o.size), func(e Entry) { o.entries = append(o.entries, e) })
	if o.damage != nil {
		o.damage.Path = o.path
	}
	return err
}

// damaged tells whether there is more amiss than a torn last line.
func (o *opening) damaged() bool { return o.damage != nil && o.damage.Misfit != Torn }

func (o *opening) recovery() Recovery {
	rec := Recovery{Entries: o.chain.entries, Warnings: o.chain.warnings}
	switch {
	case o.damage == nil:
	case o.damage.Misfit == Torn:
		rec.Torn = &TornLine{Line: o.damage.Line, Offset: o.damage.Offset, Bytes: o.size - o.damage.Offset}
	default:
		rec.Damage = o.damage
	}
	return rec
}

func (o *opening) refusal() error {
	advice := fmt.Sprintf("the %d entries before it can be read; repair the journal to set the rest aside and go on", o.chain.entries)
	if o.damage.Misfit == UnknownVersion {
		advice = fmt.Sprintf("the %d entries before it can be read; open the case with a later version of this program", o.chain.entries)
	}
	return fmt.Errorf("%w: %w; %s", ErrReadOnly, o.damage, advice)
}

func (o *opening) log(refusal error) *Log {
	return &Log{path: o.path, chain: o.chain, entries: o.entries, refusal: refusal}
}

func (o *opening) end() error { return errors.Join(o.file.Close(), o.held.release()) }

// settle leaves a journal on the disk that holds the fitting lines and nothing
// else, and notes in the recovery where the rest went.
func (o *opening) settle(rec *Recovery) error {
	var err error
	switch {
	case rec.Torn != nil:
		rec.Torn.File, err = o.setAside("torn-")
	case rec.Damage != nil:
		rec.Kept, err = o.setAside("damaged-")
	}
	if err == nil {
		err = errors.Join(o.file.Sync(), o.disk.syncDir(o.dir))
	}
	if err != nil {
		return fmt.Errorf("%s: the journal cannot be made ready for writing: %w; look to the disk, or open the case read-only", o.path, err)
	}
	return nil
}

// setAside copies what does not fit into a new file and brings that to the
// disk before it cuts the journal: a crash in between leaves both.
func (o *opening) setAside(prefix string) (string, error) {
	aside, path, err := o.createAside(prefix)
	if err != nil {
		return "", err
	}
	_, err = io.Copy(aside, io.NewSectionReader(o.file, o.chain.size, math.MaxInt64-o.chain.size))
	if err == nil {
		err = aside.Sync()
	}
	if err = errors.Join(err, aside.Close()); err != nil {
		return "", errors.Join(err, os.Remove(path))
	}
	if err := o.disk.syncDir(o.dir); err != nil {
		return "", err
	}
	return path, o.file.Truncate(o.chain.size)
}

// createAside finds a name that is free: two openings may fall on one instant
// of a coarse clock.
func (o *opening) createAside(prefix string) (file, string, error) {
	base := filepath.Join(o.dir, prefix+o.clock().UTC().Format(stampLayout))
	path := base
	for n := 2; ; n++ {
		f, err := o.disk.openFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL)
		if err == nil || !errors.Is(err, os.ErrExist) || n > 1000 {
			return f, path, err
		}
		path = fmt.Sprintf("%s-%d", base, n)
	}
}
