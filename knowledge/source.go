package knowledge

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Source is one file as it was read: a pack, a sheet or the vocabulary. Name
// is the file's name as problems show it; Data is never changed after reading.
type Source struct {
	Name string
	Data []byte
}

// Sum returns the SHA-256 (FIPS 180-4) of the source's bytes in hexadecimal.
// A case keeps it beside its copy of the source.
func Sum(s Source) string {
	h := sha256.Sum256(s.Data)
	return hex.EncodeToString(h[:])
}

// ReadSource reads a file of at most 1 MiB from disk. The error says what
// could not be read and what to do about it; it is a Problem for a file that is
// too long, of which the beginning is returned.
func ReadSource(path string) (Source, error) {
	f, err := os.Open(path)
	if err != nil {
		return Source{}, fmt.Errorf("%s: cannot be opened: %w; check the name and that it may be read", path, err)
	}
	defer f.Close()
	// One byte more than allowed tells a file that is too long from one that
	// just fits.
	data, err := io.ReadAll(io.LimitReader(f, maxBytes+1))
	if err != nil {
		return Source{}, fmt.Errorf("%s: cannot be read: %w; check that it is a file and the disk is sound", path, err)
	}
	if len(data) > maxBytes {
		return Source{Name: filepath.ToSlash(path), Data: data}, Problem{File: filepath.ToSlash(path), What: "longer than 1 MiB",
			Mend: "a pack or sheet is far shorter, check that it is the file meant", Rule: RuleTooLong}
	}
	return Source{Name: filepath.ToSlash(path), Data: data}, nil
}
