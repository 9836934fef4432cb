package symptoms

import (
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
)

// form is a word of the data as it is correctly spelt.
type form struct {
	norm, stem string
}

// Lengths in letters from which two letters exchanged, any one slip, and two slips
// are forgiven.
const (
	exchange = 4
	oneSlip  = 5
	twoSlips = 9
)

// learn takes a word of the data as correctly spelt.
func (b *phrasebook) learn(t token) {
	if b.known["="+t.norm] {
		return
	}
	b.known["="+t.norm] = true
	b.known[t.stem] = true
	b.forms = append(b.forms, form{t.norm, t.stem})
}

// correct gives the word of the data that a word not known is taken for:
// within one slip for words of five letters or more, two for nine or more, the
// first letter right; in words of four letters only neighbours exchanged. Of
// several the nearest, then the first in the data.
func (b *phrasebook) correct(t token) (token, bool) {
	n := utf8.RuneCountInString(t.norm)
	if t.number || n < exchange || b.known[t.stem] || b.known["="+t.norm] || b.kept[t.stem] {
		return t, false
	}
	allowed := 1
	if n >= twoSlips {
		allowed = 2
	}
	best, at := allowed+1, -1
	for i, f := range b.forms {
		if d := slips(t, f, allowed); d < best {
			best, at = d, i
		}
	}
	if at < 0 {
		return t, false
	}
	t.norm, t.stem, t.fixed = b.forms[at].norm, b.forms[at].stem, true
	return t, true
}

// slips counts the letters by which two words differ, inflected or, for longer
// stems, without their inflections.
func slips(t token, f form, allowed int) int {
	switch {
	case exchanged(t.norm, f.norm):
		return 1
	case len(t.norm) < oneSlip || len(f.norm) < oneSlip || t.norm[0] != f.norm[0]:
		return allowed + 1
	}
	d := allowed + 1
	if gap := len(t.norm) - len(f.norm); gap >= -allowed && gap <= allowed {
		d = levenshtein.ComputeDistance(t.norm, f.norm)
	}
	if len(t.stem) < oneSlip || len(f.stem) < oneSlip {
		return d
	}
	if gap := len(t.stem) - len(f.stem); gap >= -allowed && gap <= allowed {
		d = min(d, levenshtein.ComputeDistance(t.stem, f.stem))
	}
	return d
}

// exchanged tells whether two words differ in two neighbouring letters that have
// changed places, the first not among them.
func exchanged(a, b string) bool {
	if len(a) != len(b) || len(a) < exchange || a[0] != b[0] {
		return false
	}
	i := 1
	for i < len(a) && a[i] == b[i] {
		i++
	}
	return i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
}
