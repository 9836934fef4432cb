package symptoms

import (
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
)

// form is a word of the data as it is correctly spelt.
type form struct {
	norm, stem string
}

// Lengths in letters from which one slip and two slips are forgiven.
const (
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
// within one slip for words of five letters or more, two for nine or more,
// the first letter right. Of several the nearest, then the first in the data.
func (b *phrasebook) correct(t token) (token, bool) {
	n := utf8.RuneCountInString(t.norm)
	if t.number || n < oneSlip || b.known[t.stem] || b.known["="+t.norm] || b.kept[t.stem] {
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
	if len(f.norm) < oneSlip || t.norm[0] != f.norm[0] {
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
