package main

import (
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"narrows": main})
}

// The scripts speak to the whole program as a shell would, and look at its
// exit codes: "exits CODE narrows ..." wants that very code.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("XDG_DATA_HOME", e.Getenv("WORK")+"/data")
			e.Setenv("TMPDIR", e.Getenv("WORK")+"/tmp")
			return os.Mkdir(e.Getenv("WORK")+"/tmp", 0o700)
		},
		Condition: func(name string) (bool, error) { return raced && name == "raced", nil },
		Cmds:      map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
	})
}
