package session

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Do answers a command. An error means that the entry could not be recorded or
// computed; a line that cannot be understood is answered by a View with Error
// set, and nothing is recorded.
func (c *Case) Do(ctx context.Context, cmd Command) (View, error) {
	was := c.owed
	v, err := c.do(ctx, cmd)
	var contradiction *ContradictionError
	if errors.As(err, &contradiction) {
		c.owedAgain(was)
		v = c.wrong("%s.", capital(contradiction.Error()))
		v.Text = contradiction.With
		v.Hint = "look at the entries named: one of them does not hold; undo takes back the last, noticed says otherwise"
		return v, nil
	}
	return v, err
}

func (c *Case) do(ctx context.Context, cmd Command) (View, error) {
	if c.doubt != nil {
		if v, done, err := c.doubted(ctx, cmd); done {
			return v, err
		}
	}
	if cmd.Verb != "" {
		v, _ := findVerb(cmd.Verb)
		switch {
		case c.Closed() && !v.after:
			return c.wrong("The case is closed; %q would change it.", cmd.Verb), nil
		case c.s.complaint == nil && needsComplaint(v.name):
			return c.wrong("There is no complaint yet; say first what the owner says."), nil
		}
		return v.run(c, ctx, cmd.Rest)
	}
	return c.free(ctx, cmd.Rest)
}

func needsComplaint(verb string) bool {
	switch verb {
	case "complaint", "help", "quit", "log", "undo", "note", "open", "shut", "cancel", "without", "with", "at", "parts", "readings", "using", "units", "height", "warmth", "reload":
		return false
	}
	return true
}

// free answers a line without a verb.
func (c *Case) free(ctx context.Context, line string) (View, error) {
	switch {
	case c.Closed() && line != "":
		return c.wrong("The case is closed."), nil
	case c.s.complaint == nil && line == "":
		return c.begin(), nil
	case c.s.complaint == nil:
		return c.doComplaint(ctx, line)
	case line == "":
		return c.here(ctx)
	case c.asked != nil:
		return c.answer(ctx, line)
	case c.s.untried:
		return c.retry(ctx, line)
	}
	switch strings.ToLower(line) {
	case "y", "yes", "ok", "right":
		return c.whatNext(ctx)
	}
	if n, err := strconv.Atoi(line); err == nil {
		return c.pick(ctx, n)
	}
	return c.wrong("%q is not understood here.", line), nil
}

// begin is the very first screen.
func (c *Case) begin() View {
	v := View{Kind: "begin", Hint: "type what the owner says, as it was said: stumbles at all rpm since lay-up, starts fine"}
	v.Text = []string{"Case " + c.ID + ": " + c.b.e.Sheet().Title + ", " + lower(c.b.e.Pack().Title) + "."}
	return v
}

// here repeats the present question or offer.
func (c *Case) here(ctx context.Context) (View, error) {
	switch {
	case c.asked != nil:
		return c.ask(), nil
	case c.s.complaint == nil:
		return c.begin(), nil
	case c.s.untried:
		return c.askRetry(), nil
	case c.Closed():
		return View{Kind: "closed", Text: []string{"The case is closed."}, Hint: "suspects, tree, log and why still answer; quit leaves"}, nil
	}
	return c.whatNext(ctx)
}

// Welcome is what to show when a case is taken up.
func (c *Case) Welcome(ctx context.Context) (View, error) {
	if err := c.takeUp(); err != nil {
		return View{}, err
	}
	return c.here(ctx)
}

// pick chooses a line of the list shown last.
func (c *Case) pick(ctx context.Context, n int) (View, error) {
	if err := c.await(ctx); err != nil {
		return View{}, err
	}
	list := c.list()
	if list == nil || len(list.actions) == 0 {
		return c.wrong("There is no list to pick number %d from.", n), nil
	}
	if n < 1 || n > len(list.actions) {
		return c.wrong("The list has the numbers 1 to %d.", len(list.actions)), nil
	}
	return c.start(ctx, list.actions[n-1])
}

// wrong is a line that was not understood; nothing was recorded.
func (c *Case) wrong(format string, args ...any) View {
	v := View{Kind: "error", Error: fmt.Sprintf(format, args...)}
	switch {
	case c.asked != nil:
		v.Hint = "Enter shows the question again; cancel leaves it"
	case c.s.complaint == nil:
		v.Hint = "type what the owner says; help lists the commands"
	default:
		v.Hint = "Enter shows what to do next; help lists the commands"
	}
	return v
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func lower(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
