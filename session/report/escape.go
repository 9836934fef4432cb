package report

import (
	"strings"
	"unicode"
)

// entities are the characters that HTML and tables would take for their own:
// written so that every reader of Markdown shows them as typed.
var entities = map[rune]string{'<': "&lt;", '>': "&gt;", '&': "&amp;", '|': "&#124;"}

// esc makes one line of literal Markdown of any text, fit for a paragraph, a
// list item or a table's cell: nothing in it is markup, a link, HTML or the
// beginning of a block. Runs of white space and control characters become one
// space; characters that turn the direction of writing are left out, since
// they could make a record read otherwise than it is.
func esc(s string) string {
	s = strings.Join(strings.FieldsFunc(strings.ToValidUTF8(s, "\uFFFD"), func(r rune) bool {
		return unicode.IsSpace(r) || unicode.IsControl(r)
	}), " ")
	var b strings.Builder
	for i, r := range s {
		switch {
		case entities[r] != "":
			b.WriteString(entities[r])
		case turns(r):
		case strings.ContainsRune("\\`*_[]~#$", r), i == 0 && strings.ContainsRune("-+=", r):
			b.WriteRune('\\')
			b.WriteRune(r)
		case (r == '.' || r == ')') && i > 0 && strings.Trim(s[:i], "0123456789") == "" && (i+1 == len(s) || s[i+1] == ' '):
			b.WriteRune('\\') // "1." would begin a list
			b.WriteRune(r)
		case r == '@', r == ':' && strings.HasPrefix(s[i:], "://"):
			b.WriteString(link(r))
		case r == '.' && i >= 3 && strings.EqualFold(s[i-3:i], "www"):
			b.WriteString(link(r))
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// link writes a character by which bare addresses are made into links so that
// they are not.
func link(r rune) string {
	switch r {
	case '@':
		return "&#64;"
	case ':':
		return "&#58;"
	}
	return "&#46;"
}

// turns tells a character that overrides, embeds or isolates a direction of
// writing (Unicode Standard Annex 9, from memory: U+202A to U+202E, U+2066 to
// U+2069).
func turns(r rune) bool { return r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 }
