package main

import "unicode/utf8"

// What a terminal sends is a stream of bytes; the prompt library takes each
// read for one key. splitKey stands between them. It knows
//
//   - a run of printable letters, cut only where one ends;
//   - a control character;
//   - an escape sequence as in ECMA-48: ESC [ parameters final ("CSI"), or
//     ESC ] text end and its kin, the answers of a terminal to a question;
//   - ESC O x, which a terminal in application mode sends for ESC [ x;
//   - ESC x, a letter typed with Alt.

const (
	escape    = 0x1b
	deleteKey = 0x7f
	bell      = 0x07

	pasteBegins = "\x1b[200~"
	pasteEnds   = "\x1b[201~"
	// maxSequence is more than any escape sequence that is meant for us; what
	// grows longer is dropped.
	maxSequence = 4096
)

// splitKey takes the first key off b. It gives the bytes to hand to the
// library, nil for those that mean nothing here, and how many bytes of b they
// took; 0 means that b ends in the middle of a key.
//
// The key is one of: cleaned printable text, "\r" for any line end, a control
// character that does something, an escape sequence that does something.
func splitKey(b []byte) (key []byte, taken int) {
	switch {
	case len(b) == 0:
		return nil, 0
	case b[0] == escape:
		return splitEscape(b)
	case isControl(b[0]):
		return splitControl(b)
	}
	n := printable(b)
	if n == 0 {
		return nil, 0
	}
	return []byte(cleanText(string(b[:n]))), n
}

func isControl(c byte) bool { return c < ' ' || c == deleteKey }

// printable measures the run of letters at the start of b. Bytes that are not
// UTF-8 belong to it (cleanText marks them); a letter that b cuts off does not.
func printable(b []byte) int {
	n := 0
	for n < len(b) && !isControl(b[n]) && utf8.FullRune(b[n:]) {
		_, size := utf8.DecodeRune(b[n:])
		n += size
	}
	return n
}

// splitControl handles a control character. A CR followed by LF is one line
// end, as in text pasted from a file with such ends.
func splitControl(b []byte) (key []byte, taken int) {
	switch b[0] {
	case '\r':
		if len(b) > 1 && b[1] == '\n' {
			return []byte{'\r'}, 2
		}
		return []byte{'\r'}, 1
	case '\n':
		return []byte{'\r'}, 1
	case ctrlA, ctrlB, ctrlC, ctrlD, ctrlE, ctrlF, ctrlH, '\t', ctrlK, ctrlL,
		ctrlN, ctrlP, ctrlU, ctrlW, deleteKey:
		return b[:1:1], 1
	}
	return nil, 1
}

// The control characters that edit a line.
const (
	ctrlA = 0x01 // to the start
	ctrlB = 0x02 // left
	ctrlC = 0x03 // drop the line
	ctrlD = 0x04 // delete, or end of input on an empty line
	ctrlE = 0x05 // to the end
	ctrlF = 0x06 // right
	ctrlH = 0x08 // backspace
	ctrlK = 0x0b // delete to the end
	ctrlL = 0x0c // clear the screen
	ctrlN = 0x0e // newer line
	ctrlP = 0x10 // older line
	ctrlU = 0x15 // delete to the start
	ctrlW = 0x17 // delete a word
)

// splitEscape handles what starts with ESC.
func splitEscape(b []byte) (key []byte, taken int) {
	if len(b) == 1 {
		return nil, 0
	}
	switch c := b[1]; {
	case c == '[':
		return splitCSI(b)
	case c == 'O':
		return splitSS3(b)
	case c == ']' || c == 'P' || c == '_' || c == '^' || c == 'X':
		return nil, stringEnd(b)
	case isControl(c) || c >= utf8.RuneSelf:
		return nil, 1 // a lone Escape before another key
	}
	return nil, 2
}

// splitCSI handles ESC [ and what belongs to it.
func splitCSI(b []byte) (key []byte, taken int) {
	if len(b) > 2 && b[2] == '[' { // function keys of the Linux console
		if len(b) == 3 {
			return nil, 0
		}
		return nil, 4
	}
	for i := 2; i < len(b); i++ {
		switch c := b[i]; {
		case c >= 0x40 && c < deleteKey:
			return knownSequence(string(b[:i+1])), i + 1
		case c < 0x20 || c > 0x3f:
			return nil, i // broken off by a byte that cannot be part of it
		}
	}
	return nil, tooLong(b)
}

// splitSS3 handles ESC O x.
func splitSS3(b []byte) (key []byte, taken int) {
	switch {
	case len(b) == 2:
		return nil, 0
	case isControl(b[2]) || b[2] >= utf8.RuneSelf:
		return nil, 2
	}
	return knownSequence("\x1b[" + string(b[2:3])), 3
}

// knownSequence gives the sequence back if it edits the line, else nil.
func knownSequence(s string) []byte {
	switch s {
	case "\x1b[A", "\x1b[B", "\x1b[C", "\x1b[D", // arrows
		"\x1b[H", "\x1b[F", // Home, End
		"\x1b[1~", "\x1b[4~", "\x1b[7~", "\x1b[8~", // Home, End elsewhere
		"\x1b[3~", // Delete
		"\x1b[Z":  // Shift-Tab
		return []byte(s)
	}
	return nil
}

// stringEnd measures a control string: up to BEL or ESC \, or up to any other
// control character, which then is a key of its own.
func stringEnd(b []byte) int {
	for i := 2; i < len(b); i++ {
		switch {
		case b[i] == bell:
			return i + 1
		case b[i] == escape && i+1 == len(b):
			return 0
		case b[i] == escape && b[i+1] == '\\':
			return i + 2
		case isControl(b[i]):
			return i
		}
	}
	return tooLong(b)
}

// tooLong gives up on a sequence that does not end: 0 while it may still.
func tooLong(b []byte) int {
	if len(b) > maxSequence {
		return len(b)
	}
	return 0
}
