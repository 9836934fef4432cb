package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/gowebpki/jcs"
)

// Version is the format version that this package writes, and the only one
// that it reads.
const Version = 1

// MaxLine is the length that a line may have at most, in bytes, its newline
// not counted: 1 MiB.
const MaxLine = 1 << 20

// Genesis stands in the place of the previous hash in the first entry, and is
// the head of a journal without entries: 64 zeros.
const Genesis = "0000000000000000000000000000000000000000000000000000000000000000"

// timeLayout is RFC 3339 with exactly nine digits of a second, in UTC. A fixed
// number of digits leaves one way only to write an instant.
const timeLayout = "2006-01-02T15:04:05.000000000Z"

// largestNumber is 2^53. Beyond it whole numbers have no exact double, so that
// RFC 8785 would write another number than the one given.
const largestNumber = 1 << 53

// An Entry is one line of a journal.
type Entry struct {
	Version int             // format version, 1
	Seq     int             // place in the journal, counted from 1
	Time    time.Time       // the clock's time at writing, UTC
	Kind    string          // what the entry is, a word of the caller's; never empty
	Payload json.RawMessage // a JSON object in canonical bytes; not to be changed
	Prev    string          // SHA-256 of the previous line, or Genesis
}

// wire is an entry as encoding/json sees it.
type wire struct {
	Kind    string          `json:"kind"`
	Payload json.RawMessage `json:"payload"`
	Prev    string          `json:"prev"`
	Seq     int             `json:"seq"`
	Time    string          `json:"time"`
	Version int             `json:"v"`
}

// encodeLine gives the canonical bytes of an entry, without the newline.
func encodeLine(e Entry) ([]byte, error) {
	if err := checkNumbers(e.Payload); err != nil {
		return nil, err
	}
	raw, err := json.Marshal(wire{
		Kind: e.Kind, Payload: e.Payload, Prev: e.Prev,
		Seq: e.Seq, Time: e.Time.UTC().Format(timeLayout), Version: e.Version,
	})
	if err != nil {
		return nil, err
	}
	return jcs.Transform(raw)
}

// encodePayload turns what a caller hands in into JSON. Raw JSON is taken as
// it is; everything else goes through encoding/json, which puts U+FFFD in the
// place of bytes that are not UTF-8. That would change a text as typed, so
// such a payload is refused.
func encodePayload(payload any) (json.RawMessage, error) {
	if raw, ok := payload.(json.RawMessage); ok {
		return raw, nil
	}
	raw, err := json.Marshal(payload)
	if err != nil {
		return nil, fmt.Errorf("the payload does not go into JSON: %w", err)
	}
	if replacedText(raw) {
		return nil, errors.New("the payload holds text that is not UTF-8")
	}
	return raw, nil
}

// replacedText tells whether encoding/json met bytes that are not UTF-8: only
// then it writes the escape \ufffd; a U+FFFD that was typed stays a letter.
func replacedText(raw []byte) bool {
	for i := 0; i+1 < len(raw); i++ {
		if raw[i] != '\\' {
			continue
		}
		if bytes.HasPrefix(raw[i+1:], []byte("ufffd")) {
			return true
		}
		i++ // the escaped character, a backslash perhaps
	}
	return false
}

// checkNumbers refuses a JSON text that holds a number beyond 2^53 on either
// side of zero. Faults of syntax are left to the canonical form.
func checkNumbers(raw []byte) error {
	dec := json.NewDecoder(bytes.NewReader(raw))
	dec.UseNumber()
	for {
		token, err := dec.Token()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return fmt.Errorf("not JSON: %w", err)
		}
		if n, ok := token.(json.Number); ok && !exact(string(n)) {
			return fmt.Errorf("number %s lies beyond 2^53 and could be rounded; keep it as a string", clip(string(n)))
		}
	}
}

// exact tells whether a number lies between -2^53 and 2^53. What rounds to
// 2^53 must also be written so: 2^53+1 rounds to it as well.
func exact(number string) bool {
	f, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return false
	}
	if math.Abs(f) < largestNumber {
		return true
	}
	return strings.TrimPrefix(number, "-") == strconv.Itoa(largestNumber)
}

// decodeLine reads one line, given without its newline. It does not look at
// the entry's place in the chain. The misfit is zero when the line is sound.
//
// The version is looked at before the bytes: a later version may have another
// canonical form, and must not be taken for damage.
func decodeLine(line []byte) (Entry, Misfit, string) {
	if len(line) > MaxLine {
		return Entry{}, TooLong, fmt.Sprintf("the line is longer than %d bytes", MaxLine)
	}
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(line, &fields); err != nil {
		return Entry{}, NotJSON, "the line is not a JSON object: " + err.Error()
	}
	if v, err := strconv.Atoi(string(fields["v"])); err == nil && v != Version {
		return Entry{}, UnknownVersion, fmt.Sprintf("the entry has format version %d, this program reads version %d", v, Version)
	}
	canonical, err := jcs.Transform(line)
	if err != nil {
		return Entry{}, NotCanonical, "the line has no canonical form (RFC 8785): " + err.Error()
	}
	if !bytes.Equal(canonical, line) {
		return Entry{}, NotCanonical, fmt.Sprintf("the line is not in canonical bytes (RFC 8785): it differs from byte %d of the line on", firstDifference(line, canonical))
	}
	e, err := entryOf(fields)
	if err != nil {
		return Entry{}, WrongFields, err.Error()
	}
	return e, 0, ""
}

// entryOf builds an entry out of a line's fields. No field may be missing,
// none be there that the format does not know.
func entryOf(fields map[string]json.RawMessage) (Entry, error) {
	for _, name := range []string{"kind", "payload", "prev", "seq", "time", "v"} {
		if _, ok := fields[name]; !ok {
			return Entry{}, fmt.Errorf("the field %q is missing", name)
		}
	}
	if len(fields) != 6 {
		return Entry{}, fmt.Errorf("the entry has %d fields where the format has 6", len(fields))
	}
	if string(fields["v"]) != strconv.Itoa(Version) {
		return Entry{}, fmt.Errorf("v is %s, not a format version", clip(string(fields["v"])))
	}
	e := Entry{Version: Version, Payload: fields["payload"]}
	seq, err := strconv.Atoi(string(fields["seq"]))
	if err != nil || seq < 1 {
		return Entry{}, fmt.Errorf("seq is %s, not a whole number from 1 up", clip(string(fields["seq"])))
	}
	e.Seq = seq
	if e.Kind, err = textOf(fields["kind"]); err != nil || e.Kind == "" {
		return Entry{}, fmt.Errorf("kind is %s, not a word", clip(string(fields["kind"])))
	}
	if e.Prev, err = textOf(fields["prev"]); err != nil || !isHash(e.Prev) {
		return Entry{}, fmt.Errorf("prev is %s, not 64 lower-case hexadecimal digits", clip(string(fields["prev"])))
	}
	if e.Time, err = timeOf(fields["time"]); err != nil {
		return Entry{}, err
	}
	if e.Payload[0] != '{' {
		return Entry{}, fmt.Errorf("the payload is %s, not a JSON object", clip(string(e.Payload)))
	}
	return e, checkNumbers(e.Payload)
}

// textOf reads a JSON string; null is none.
func textOf(raw json.RawMessage) (string, error) {
	if len(raw) == 0 || raw[0] != '"' {
		return "", errors.New("not a string")
	}
	var s string
	err := json.Unmarshal(raw, &s)
	return s, err
}

func timeOf(raw json.RawMessage) (time.Time, error) {
	bad := fmt.Errorf("time is %s, not of the form 2006-01-02T15:04:05.000000000Z", clip(string(raw)))
	s, err := textOf(raw)
	if err != nil {
		return time.Time{}, bad
	}
	t, err := time.Parse(timeLayout, s)
	if err != nil || t.Format(timeLayout) != s {
		return time.Time{}, bad
	}
	return t, nil
}

func isHash(s string) bool {
	return len(s) == len(Genesis) && strings.Trim(s, "0123456789abcdef") == ""
}

// hashOf is the lower-case hexadecimal SHA-256 (FIPS 180-4) of a line.
func hashOf(line []byte) string {
	sum := sha256.Sum256(line)
	return hex.EncodeToString(sum[:])
}

// firstDifference counts from 1.
func firstDifference(a, b []byte) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return n + 1
}

// clip keeps an error short: a damaged field may be a mebibyte long.
func clip(s string) string {
	const most = 80
	if s == "" {
		return "empty"
	}
	if len(s) <= most {
		return s
	}
	cut := most
	for cut > 0 && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return s[:cut] + "..."
}
