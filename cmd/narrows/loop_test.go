package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"narrows/faulttree/plan"
	"narrows/session"
)

// A trial is the program in this process, with its streams in hand.
type trial struct {
	*program
	out, errOut bytes.Buffer
}

func newTrial(t *testing.T, in string, args ...string) *trial {
	t.Helper()
	x := &trial{}
	at := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	x.program = &program{
		in: strings.NewReader(in), out: &x.out, errOut: &x.errOut,
		env:    func(string) string { return "" },
		clock:  func() time.Time { at = at.Add(time.Second); return at },
		pause:  func(context.Context, time.Duration) {},
		args:   args,
		engine: "holm_pump_5", home: t.TempDir(),
	}
	return x
}

// typedLines is a lineReader with lines ready; an error in the list is given
// out as such, errWoken once there are news.
type typedLines struct {
	list []any
	wake <-chan struct{}
}

func (r *typedLines) ReadLine(context.Context, string) (string, error) {
	if len(r.list) == 0 {
		return "", io.EOF
	}
	next := r.list[0]
	r.list = r.list[1:]
	if err, ok := next.(error); ok {
		if errors.Is(err, errWoken) {
			<-r.wake
		}
		return "", err
	}
	return next.(string), nil
}

func (r *typedLines) Close() error { return nil }

func (x *trial) bench(t *testing.T, prompt bool, lines ...any) (*bench, *session.Open) {
	t.Helper()
	o, err := x.start(context.Background())
	require.NoError(t, err)
	t.Cleanup(func() { _ = o.Close() })
	b := newBench(x.program, o)
	b.lines, b.prompt = &typedLines{list: lines}, prompt
	return b, o
}

// Ctrl-C at the prompt and a line too long ask again; the end of the input
// leaves, and what was entered is there.
func TestLoopGoesOn(t *testing.T) {
	x := newTrial(t, "")
	b, o := x.bench(t, true, errInterrupted, "stumbles under load", errLineTooLong, errInterrupted)
	require.NoError(t, b.loop(context.Background()))
	require.Len(t, o.Log.Entries(), 2)
	require.Contains(t, x.out.String(), "line too long")
}

// A ranking that fails beside the typing is said to have failed, and the prompt
// goes on; none is left running at the end.
func TestRankingFails(t *testing.T) {
	x := newTrial(t, "")
	b, o := x.bench(t, true, "stumbles under load", "", errWoken, errInterrupted, "", "suspects", errInterrupted, "next", "quit")
	b.lines.(*typedLines).wake = b.ranks.wake
	var tries atomic.Int32
	o.RankLater(func(ctx context.Context, _ *plan.Problem) (*plan.Advice, error) {
		if tries.Add(1) == 1 {
			return nil, errors.New("the planner is broken")
		}
		<-ctx.Done()
		return nil, ctx.Err()
	})
	require.NoError(t, b.loop(context.Background()))
	require.Contains(t, x.out.String(), "! the planner is broken")
	require.Equal(t, 1, strings.Count(x.out.String(), "The ranking was stopped."))
	require.Nil(t, o.Ranking())
}

// An entry that cannot be recorded is said to be so. A person goes on, a
// script does not.
func TestNotRecorded(t *testing.T) {
	for _, prompt := range []bool{true, false} {
		x := newTrial(t, "")
		b, o := x.bench(t, prompt, "stumbles under load", "help")
		require.NoError(t, o.Close())
		err := b.loop(context.Background())
		if prompt {
			require.NoError(t, err)
			require.Contains(t, x.out.String(), "! the entry could not be recorded")
			require.Contains(t, x.out.String(), "Commands")
			continue
		}
		require.ErrorIs(t, err, session.ErrNotRecorded)
		require.NotContains(t, x.out.String(), "Commands")
		require.Equal(t, exitCannot, x.exit(err))
	}
}

// A line that is stopped on its way leaves the prompt standing.
func TestStoppedWork(t *testing.T) {
	x := newTrial(t, "")
	b, _ := x.bench(t, true)
	require.NoError(t, b.failed(context.Background(), context.Canceled))
	require.Contains(t, x.out.String(), "! Stopped.")
	require.Equal(t, exitInterrupted, x.exit(stoppedBy(context.Canceled)))
}

// Two at once: the second is told who holds the case.
func TestCaseInUse(t *testing.T) {
	x := newTrial(t, "")
	_, o := x.bench(t, false)
	y := newTrial(t, "", "--home", x.home)
	require.Equal(t, exitCannot, run(y.program))
	require.Contains(t, y.errOut.String(), "the case is in use")
	require.Contains(t, y.errOut.String(), "--new")
	z := newTrial(t, "", "--home", x.home, "verify", o.ID)
	require.Equal(t, exitDone, run(z.program), "looking takes no lock")
}

// fullOutput takes nothing, as a full disk does.
type fullOutput struct{}

func (fullOutput) Write([]byte) (int, error) { return 0, os.ErrClosed }

func TestOutputThatFails(t *testing.T) {
	x := newTrial(t, "", "packs")
	x.program.out = fullOutput{}
	require.Equal(t, exitCannot, run(x.program))
	require.Contains(t, x.errOut.String(), "the output cannot be written")
}

// Every screen of the demo is at most 80 columns wide, and those that ask for
// a decision leave room for the prompt in 24 rows.
func TestScreensFit(t *testing.T) {
	if raced {
		t.Skip("the large pack is slow under the race detector")
	}
	x := newTrial(t, "")
	x.engine = usualEngine
	b, o := x.bench(t, true)
	for _, s := range demoScript() {
		v, err := o.Do(context.Background(), session.Parse(s.line))
		require.NoError(t, err)
		require.Empty(t, v.Error, s.line)
		lines := b.screen.draw(v)
		for _, l := range lines {
			require.LessOrEqual(t, ansi.StringWidth(l), 80, "%q", l)
		}
		if v.Kind != "log" {
			require.LessOrEqual(t, len(lines), 22, "after %q:\n%s", s.line, strings.Join(lines, "\n"))
		}
		if v.Report != "" {
			require.NoError(t, x.writeReport(o, b.screen))
			require.FileExists(t, filepath.Join(o.Dir, reportName))
		}
	}
	require.True(t, o.Closed())
}

// The layout is drawn from the view alone: mistake first, hint last.
func TestScreenOrder(t *testing.T) {
	s := &screen{}
	lines := s.draw(session.View{
		Error: "no such thing", Text: []string{"text"}, Missed: []string{"blorp"}, Hint: "go on", Unlisted: 0.004, Several: 1,
		Suspects: []session.Suspect{{N: 1, Title: "pilot jet", Present: 0.999, Cures: 0}},
		Ask:      &session.Ask{Title: "look", Prompt: "what?", Choices: []string{"this", "that"}},
	})
	text := strings.Join(lines, "\n")
	require.Equal(t, "! no such thing", lines[0])
	require.Equal(t, "-> go on", lines[len(lines)-1])
	for _, want := range []string{`Not understood: "blorp"`, "over 99 %         0 %", "under 1 %", "100 %", "Look", "  2  that"} {
		require.Contains(t, text, want)
	}
}
