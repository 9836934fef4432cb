// Package journal keeps the record of one case: entries that are only ever
// added, each chained to the one before by its hash, each on the disk before
// it counts. It knows nothing of engines, only entries; what an entry means is
// its writer's business, and undoing something is one more entry.
//
// # The folder
//
// A case is a folder, mode 0700. The journal has these files in it:
//
//	journal.jsonl   the entries, one a line
//	lock            locked by the one writer; holds a note for people on who
//	                that is, and nothing that matters otherwise; stays there
//	torn-DATE       a last line whose writing was cut short, set aside
//	damaged-DATE    what Repair cut off
//
// DATE is the instant of setting aside, as 20310402T071500.000000000Z, with -2,
// -3 and so on behind it when the name was taken.
//
// # The format, version 1
//
// The file is a sequence of lines. A line is the bytes of one entry followed
// by one newline, byte 0A. There is no byte order mark, no blank line, no
// other line end. An empty file is a journal without entries. A line has at
// most 1048576 bytes, the newline not counted.
//
// An entry is a JSON object in the canonical form of RFC 8785: no space
// outside strings, keys sorted by their UTF-16 code units, numbers as the
// shortest decimal that gives back the double, strings in UTF-8 with only the
// escapes that must be, no key twice in one object. So there is one way only to
// write an entry, and its hash is the hash of the line. It has these six keys
// and no others, which stand in this order because the canonical form sorts
// them:
//
//	kind      string, not empty: what the entry is, a word of the writer's
//	payload   object: what the entry says
//	prev      string: SHA-256 (FIPS 180-4) of the bytes of the line before,
//	          its newline left out, as 64 lower-case hexadecimal digits;
//	          64 zeros in the first entry
//	seq       number: 1 in the first entry, one more in each further one
//	time      string: the writer's clock, RFC 3339 in UTC, always with nine
//	          digits of a second and a Z: 2031-04-02T07:15:00.000000000Z
//	v         number: the format version, 1
//
// A payload holds no number beyond 2^53 (9007199254740992) on either side of
// zero, since whole numbers from there on have no double of their own. Other
// numbers are rounded to the nearest double and lose how they were written:
// 4.50 becomes 4.5. What was typed is therefore kept in a string beside the
// number.
//
// The time is what the clock said. A clock may be set back, so an earlier time
// than the entry before is allowed, and Verify warns of it. The order of the
// entries is that of seq.
//
// The head of a journal is the SHA-256 of its last line; 64 zeros when there
// is none.
//
// A reader that meets another number in v stops at that entry: it is neither
// read nor taken for damage that may be cut off.
//
// # A worked example
//
// Three entries, 208 bytes in the first line with its newline. The prev of
// line 2 is what "sed -n 1p journal.jsonl | tr -d '\n' | sha256sum" prints.
//
//	{"kind":"complaint","payload":{"boat":"Eider","text":"dies at idle once warm"},"prev":"0000000000000000000000000000000000000000000000000000000000000000","seq":1,"time":"2031-04-02T07:15:00.000000000Z","v":1}
//	{"kind":"reading","payload":{"as_typed":"4.50 psi","check":"fuel_pressure","kPa":31.026},"prev":"4172eb8bd93e652dbd7ca297fe441eecf813440cc8469ad44a522ba24624b463","seq":2,"time":"2031-04-02T07:21:40.250000000Z","v":1}
//	{"kind":"undo","payload":{"seq":2},"prev":"d6373387585b908b1e55056536b4bd5211cefce48ba9823235eeff7b65b44dbf","seq":3,"time":"2031-04-02T07:22:05.000000000Z","v":1}
//
// The head:
//
//	69d9a0a2b7ad79db995cb775dc330353fd7599bbbdf2dd6879b98d27ca94d7f9
//
// # Writing
//
// One writer at a time holds the lock; readers take none. An entry is
// acknowledged when its line was written whole, in one call, and the file
// synced. What is acknowledged stays. What is not may be there all the same
// when the power fails between writing and acknowledging: the line is then
// whole, and counts from the next opening on.
//
// Bytes after the last newline were never acknowledged, whatever they hold;
// opening for writing sets them aside, unless they are more than a line can
// have, which is damage. A line that does end with a newline and
// does not fit is damage, the last line too; nothing is written after damage
// until Repair has been asked to cut it off, and what it cuts it keeps.
//
// The lock is the operating system's and holds among the processes of one
// machine. A case does not belong on a network share.
//
// # What the chain shows, and what not
//
// Verify finds any byte changed in any line but the last, and lines taken out,
// put in, doubled or moved. By itself the chain does not show a last line
// changed to another one that fits, nor lines missing at the end: for that,
// compare the head with one that was noted elsewhere. Nor does it show a
// journal written anew from some entry on with all its hashes, or say who
// wrote an entry, or that its time is true.
package journal
