package knowledge

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// vocabularySource is the embedded vocabulary; all packs share it.
func vocabularySource(t testing.TB) Source {
	sources, err := EmbeddedSources()
	require.NoError(t, err)
	for _, s := range sources {
		if strings.HasSuffix(s.Name, "vocabulary.yaml") {
			return s
		}
	}
	require.Fail(t, "no vocabulary is embedded")
	return Source{}
}

func read(t testing.TB, path string) Source {
	s, err := ReadSource(path)
	require.NoError(t, err)
	return s
}

// goodSources are the small pack that uses every feature, with its sheet.
func goodSources(t testing.TB) []Source {
	return []Source{read(t, "testdata/good/marsh_twin.yaml"), read(t, "testdata/good/marsh_twin_sheet.yaml"), vocabularySource(t)}
}

func goodEngine(t testing.TB) *Engine {
	lib, problems := Load(goodSources(t))
	require.NoError(t, problems.Err())
	e, err := Open(lib, "marsh_twin_one")
	require.NoError(t, err)
	return e
}

var wantMark = regexp.MustCompile(`# want: (.*)$`)

// wants reads the messages that the comments of a file expect, by line.
func wants(s Source) map[int][]string {
	out := make(map[int][]string)
	for i, line := range strings.Split(string(s.Data), "\n") {
		if m := wantMark.FindStringSubmatch(line); m != nil {
			out[i+1] = strings.Split(m[1], " # want: ")
		}
	}
	return out
}

// TestFaults loads every file of testdata/faults and compares the problems with
// the comments on their lines: each comment is one problem, and there is no
// other.
func TestFaults(t *testing.T) {
	files, err := filepath.Glob("testdata/faults/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	total := 0
	for _, name := range files {
		t.Run(filepath.Base(name), func(t *testing.T) {
			src := read(t, name)
			lib, problems := Load(append(goodSources(t), src))
			expected := wants(src)
			for _, list := range expected {
				total += len(list)
			}
			require.Empty(t, match(expected, problems, src.Name))
			require.Len(t, lib.Packs(), 1, "a pack with a fault is refused whole")
			require.Len(t, lib.Sheets(), 1, "a sheet with a fault is refused whole")
		})
	}
	require.GreaterOrEqual(t, total, 100)
}

// match returns what was expected and not found, and what was found and not
// expected.
func match(expected map[int][]string, problems Problems, file string) []string {
	var wrong []string
	for _, p := range problems {
		found := -1
		for i, w := range expected[p.Line] {
			if p.File == file && regexp.MustCompile(w).MatchString(p.Error()) {
				found = i
				break
			}
		}
		if found < 0 {
			wrong = append(wrong, "not expected: "+p.Error())
			continue
		}
		list := expected[p.Line]
		expected[p.Line] = append(list[:found:found], list[found+1:]...)
	}
	for line, list := range expected {
		for _, w := range list {
			wrong = append(wrong, fmt.Sprintf("not found: line %d: %s", line, w))
		}
	}
	return wrong
}

// edited returns the good pack with one piece of text exchanged.
func edited(t *testing.T, old, new string) Problems {
	sources := goodSources(t)
	text := string(sources[0].Data)
	require.Equal(t, 1, strings.Count(text, old), "the piece to exchange stands once: %s", old)
	sources[0].Data = []byte(strings.Replace(text, old, new, 1))
	_, problems := Load(sources)
	return problems
}

// TestPlace checks line and column by counting in the file: letters count, not
// bytes.
func TestPlace(t *testing.T) {
	problems := edited(t, "note: for tests", `note: {ä: "Ωµ", x: 1}`)
	require.Len(t, problems, 1)
	require.Equal(t, "testdata/good/marsh_twin.yaml:7:7: wrong type: this is a mapping; write a text [wrong-type]", problems[0].Error())

	problems = edited(t, `shows: rough, regime: [idle], unlisted: 0.02`, `shows: rough, regime: [idel], unlisted: 0.02`)
	require.Len(t, problems, 1)
	line := "  rough_idle: {title: rough at idle, shows: rough, regime: ["
	require.Equal(t, len(line)+1, problems[0].Col)
	require.Equal(t, `did you mean "idle"?`, problems[0].Mend)

}

func TestLimitOfAPackNoSheetGives(t *testing.T) {
	problems := edited(t, "limit: fuel_pressure,", "limit: fuel_presure,")
	require.Len(t, problems, 2, "the pack's limit, and the sheet's that nobody reads any more")
	require.Equal(t, `unknown limit "fuel_presure": no sheet of this pack gives it; did you mean "fuel_pressure"?`, problems[0].What+"; "+problems[0].Mend)
	require.Contains(t, problems[1].Error(), `no check of pack marsh_twin reads against limit "fuel_pressure"`)
}

func TestNotYAML(t *testing.T) {
	voc := vocabularySource(t)
	deep := "pack: x\nitems: " + strings.Repeat("[", 41) + strings.Repeat("]", 41)
	for name, c := range map[string]struct{ data, want string }{
		"empty":         {"", "f.yaml: the file is empty"},
		"comment only":  {"# nothing\n", "f.yaml: the file is empty"},
		"syntax":        {"pack: x\nitems: {\n", "f.yaml:2:1: not readable as YAML: "},
		"list":          {"- a\n", "f.yaml:1:1: this is neither a pack, a sheet nor a vocabulary"},
		"foreign":       {"name: x\n", "f.yaml:1:1: this is neither a pack, a sheet nor a vocabulary"},
		"two documents": {"shows: {}\n---\npack: y\n", "f.yaml:2:1: a second document begins here"},
		"deep":          {deep, "f.yaml:2:47: nested more than 40 deep"},
		"many":          {"pack: x\nitems: [" + strings.Repeat("a,", 200_000) + "]", "more than 200000 values in one file"},
		"long":          {"# " + strings.Repeat("x", maxBytes), "f.yaml: longer than 1 MiB"},
		"binary":        {"pack: \x00\x01", "not readable as YAML"},
	} {
		t.Run(name, func(t *testing.T) {
			lib, problems := Load([]Source{{"f.yaml", []byte(c.data)}, voc})
			require.NotEmpty(t, problems)
			require.Contains(t, problems.Error(), c.want)
			require.Empty(t, lib.Packs())
		})
	}
}

// TestManyFaults makes sure that a file of nonsense ends in a report of bounded
// length, and soon.
func TestManyFaults(t *testing.T) {
	var b strings.Builder
	b.WriteString("pack: x\nformat: 1\nitems:\n")
	for i := range 5000 {
		fmt.Fprintf(&b, "  item%d: {titel: x, modes: {a: {title: a, prior: 2}}}\n", i)
	}
	_, problems := Load([]Source{{"f.yaml", []byte(b.String())}, vocabularySource(t)})
	require.Len(t, problems, maxProblems+1)
	require.Contains(t, problems.Error(), "more than 200 faults; mend those listed")
}

func TestFilesTogether(t *testing.T) {
	good := goodSources(t)
	pack, sheet, voc := good[0], good[1], good[2]
	again := func(s Source) Source { return Source{"again.yaml", s.Data} }

	for name, c := range map[string]struct {
		sources []Source
		want    string
		packs   int
	}{
		"same name":           {[]Source{pack, pack, voc}, "marsh_twin.yaml: the file is given twice; load it once", 1},
		"same pack":           {[]Source{pack, again(pack), voc}, `again.yaml:3:7: pack "marsh_twin": the identifier is in use, in testdata/good/marsh_twin.yaml`, 1},
		"same sheet":          {[]Source{pack, sheet, again(sheet), voc}, `again.yaml:1:8: sheet "marsh_twin_one": the identifier is in use`, 1},
		"no vocabulary":       {[]Source{pack}, "marsh_twin.yaml: there is no vocabulary among the files; load the vocabulary with it", 0},
		"two vocabularies":    {[]Source{pack, voc, again(voc)}, "again.yaml: a second vocabulary; the first is packs/vocabulary.yaml", 1},
		"faulty vocabulary":   {[]Source{pack, {"v.yaml", []byte("shows: {}\nregime: {}\n")}}, `v.yaml:2:1: unknown key "regime" in the vocabulary; did you mean "regimes"?`, 0},
		"a sheet by itself":   {[]Source{sheet, voc}, `marsh_twin_sheet.yaml:4:7: unknown pack "marsh_twin"; load the pack with it`, 0},
		"nothing to load":     {nil, "", 0},
		"a pack by itself":    {[]Source{pack, voc}, "", 1},
		"a file without name": {[]Source{{"", []byte("x")}}, "unnamed:1:1: this is neither", 0},
	} {
		t.Run(name, func(t *testing.T) {
			lib, problems := Load(c.sources)
			require.Len(t, lib.Packs(), c.packs)
			if c.want == "" {
				require.NoError(t, problems.Err())
				return
			}
			require.Contains(t, problems.Error(), c.want)
		})
	}
}

// TestWords follows faults that package symptoms finds back to their places.
func TestWords(t *testing.T) {
	problems := edited(t, `phrases: ["since lay-up", "after the winter"]
    said: {stale_fuel: 0.7, pilot_jet.blocked: 1}
    else: 0`, `phrases: ["since lay-up"]
    said: {stale_fuel: 0.7}
    else: 0
  again:
    title: again
    phrases: ["on a Tuesday", "since layup"]
    said: {stale_fuel: 0.7}
    else: 0`)
	require.Len(t, problems, 1)
	require.Regexp(t, `marsh_twin.yaml:\d+:31: history.again.phrases.since layup: says the same as .*; take it out of one of them`, problems[0].Error())

	sources := goodSources(t)
	text := string(sources[2].Data)
	require.Contains(t, text, "\n    kind: cranking\n")
	sources[2].Data = []byte(strings.Replace(text, "\n    kind: cranking\n", "\n    kind: cranky\n", 1))
	lib, problems := Load(sources)
	require.Len(t, problems, 1)
	line := strings.Count(text[:strings.Index(text, "    kind: cranking\n")], "\n") + 1
	require.Equal(t, fmt.Sprintf("packs/vocabulary.yaml:%d:11", line), Pos{problems[0].File, problems[0].Line, problems[0].Col}.String())
	require.Contains(t, problems[0].What, `no such kind "cranky"`)
	require.Empty(t, lib.Packs())
}

func TestProblemsSortedAndNilSafe(t *testing.T) {
	var none Problems
	require.NoError(t, none.Err())
	ps := Problems{{File: "b", Line: 1, Col: 1, What: "x"}, {File: "a", Line: 2, Col: 9, What: "y"}, {File: "a", Line: 2, Col: 3, What: "z", Mend: "do"}}
	ps.sort()
	require.EqualError(t, ps.Err(), "a:2:3: z; do\na:2:9: y\nb:1:1: x")
}

func TestReadSource(t *testing.T) {
	_, err := ReadSource("testdata/absent.yaml")
	require.ErrorIs(t, err, os.ErrNotExist)
	require.ErrorContains(t, err, "check the name")
	_, err = ReadSource("testdata")
	require.Error(t, err)
	long := filepath.Join(t.TempDir(), "long.yaml")
	require.NoError(t, os.WriteFile(long, make([]byte, maxBytes+1), 0o600))
	_, err = ReadSource(long)
	require.ErrorContains(t, err, "longer than 1 MiB")
}

// TestSum uses the SHA-256 example "abc" of FIPS 180-4 (published with the
// standard by NIST; value from memory).
func TestSum(t *testing.T) {
	require.Equal(t, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", Sum(Source{"n", []byte("abc")}))
}
