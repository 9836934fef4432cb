package journal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
)

// A file is what the journal needs of an open file.
type file interface {
	io.Writer
	io.ReaderAt
	Sync() error
	Truncate(size int64) error
	Stat() (fs.FileInfo, error)
	Close() error
}

// A disk is where files come from. Tests put one in that fails on demand.
type disk interface {
	openFile(path string, flag int) (file, error)
	syncDir(path string) error
}

// osDisk is the disk of the operating system.
type osDisk struct{}

// openFile opens a file, a new one readable by its owner alone. A pipe or a
// device in the place of the journal is refused: reading it could wait for ever.
func (osDisk) openFile(path string, flag int) (file, error) {
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s: not a regular file", path)
	}
	f, err := os.OpenFile(path, flag, 0o600)
	if err != nil {
		return nil, err
	}
	return osFile{f}, nil
}

// syncDir brings the names in a folder to the disk: without it a new file may
// be gone after a power cut although its content was synced. Windows has no
// such call and keeps names in its file system's log.
func (osDisk) syncDir(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

type osFile struct{ *os.File }

// Truncate cuts the file. On Windows a handle opened for appending may not
// cut, so that another one is used there.
func (f osFile) Truncate(size int64) error {
	if runtime.GOOS == "windows" {
		return os.Truncate(f.Name(), size)
	}
	return f.File.Truncate(size)
}

// makeDir makes a folder and those above it that are missing, mode 0700, and
// syncs the folder above each new one.
func makeDir(d disk, dir string) error {
	var above []string
	for at := filepath.Clean(dir); ; at = filepath.Dir(at) {
		_, err := os.Stat(at)
		if err == nil || !errors.Is(err, fs.ErrNotExist) || at == filepath.Dir(at) {
			break
		}
		above = append(above, filepath.Dir(at))
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	for _, parent := range above {
		if err := d.syncDir(parent); err != nil {
			return err
		}
	}
	return nil
}
