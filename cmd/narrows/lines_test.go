package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// readAll reads lines until the input ends. Refused lines are shown by their
// message.
func readAll(t require.TestingT, r lineReader) (lines []string) {
	for {
		line, err := r.ReadLine(context.Background(), "never shown> ")
		switch {
		case errors.Is(err, io.EOF):
			return lines
		case errors.Is(err, errLineTooLong):
			line = err.Error()
		default:
			require.NoError(t, err)
		}
		lines = append(lines, line)
	}
}

func TestPlainLines(t *testing.T) {
	most := strings.Repeat("x", maxLine)
	tooLong := "script:2: line too long: more than 65536 bytes; split it into shorter lines"
	for name, c := range map[string]struct {
		in   string
		want []string
	}{
		"nothing":            {"", nil},
		"one":                {"118 psi\n", []string{"118 psi"}},
		"no end":             {"a\nb", []string{"a", "b"}},
		"empty lines":        {"\n\na\n\n", []string{"", "", "a", ""}},
		"CR LF":              {"a\r\nb\r\n\r\nc\r", []string{"a", "b", "", "c"}},
		"byte order mark":    {"\ufeffa\n\ufeffb", []string{"a", "\ufeffb"}},
		"tab":                {"cyl\t3", []string{"cyl 3"}},
		"control characters": {"11\b8 psi\x1b[A\x00\x7f\u009b", []string{"11\ufffd8 psi\ufffd[A\ufffd\ufffd\ufffd"}},
		"not UTF-8":          {"4.7 \xb5A\n20 µ\n", []string{"4.7 \ufffdA", "20 µ"}},
		"longest":            {"a\n" + most + "\r\nb", []string{"a", most, "b"}},
		"too long":           {"a\n" + most + "x\nb", []string{"a", tooLong, "b"}},
		"too long, CR LF":    {"a\n" + most + "x\r\nb", []string{"a", tooLong, "b"}},
		"far too long":       {"a\n" + strings.Repeat(most, 5) + "\nb", []string{"a", tooLong, "b"}},
		"too long, no end":   {"a\n" + most + "x", []string{"a", tooLong}},
	} {
		t.Run(name, func(t *testing.T) {
			for _, in := range []io.Reader{strings.NewReader(c.in), iotest.HalfReader(strings.NewReader(c.in)), iotest.DataErrReader(strings.NewReader(c.in))} {
				require.Equal(t, c.want, readAll(t, newPlainReader(in, "script")))
			}
		})
	}
}

func TestPlainLinesAreThoseWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lines := rapid.SliceOfN(rapid.StringMatching(`[ -~µΩ°→]{0,20}`), 1, 10).Draw(t, "lines")
		end := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "end")
		in := strings.Join(lines, end) + end
		require.Equal(t, lines, readAll(t, newPlainReader(iotest.OneByteReader(strings.NewReader(in)), "script")))
	})
}

func TestPlainReadError(t *testing.T) {
	broken := errors.New("the disk is gone")
	r := newPlainReader(io.MultiReader(strings.NewReader("a\nb"), iotest.ErrReader(broken)), "script")
	line, err := r.ReadLine(context.Background(), "")
	require.NoError(t, err)
	require.Equal(t, "a", line)
	_, err = r.ReadLine(context.Background(), "")
	require.ErrorIs(t, err, broken)
	require.EqualError(t, err, "script:2: cannot read on: the disk is gone")
}

func TestPlainContext(t *testing.T) {
	in, out, err := os.Pipe()
	require.NoError(t, err)
	defer func() { _ = in.Close() }()
	r, err := newLineReader(lineOptions{In: in, Out: io.Discard})
	require.NoError(t, err)
	_, err = out.WriteString("half ")
	require.NoError(t, err)
	ctx, cancel := context.WithTimeout(context.Background(), 50*time.Millisecond)
	defer cancel()
	_, err = r.ReadLine(ctx, "")
	require.ErrorIs(t, err, errStopped)
	require.ErrorIs(t, err, context.DeadlineExceeded)
	_, err = out.WriteString("a line\n")
	require.NoError(t, err)
	require.NoError(t, out.Close())
	line, err := r.ReadLine(context.Background(), "")
	require.NoError(t, err)
	require.Equal(t, "half a line", line)
	_, err = r.ReadLine(context.Background(), "")
	require.ErrorIs(t, err, io.EOF)

	done, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = newPlainReader(strings.NewReader("a"), "script").ReadLine(done, "")
	require.ErrorIs(t, err, errStopped)
}

func TestNewLineReaderWithoutTerminal(t *testing.T) {
	terminal := func(name string) string { return map[string]string{"TERM": "xterm"}[name] }
	in, out, err := os.Pipe()
	require.NoError(t, err)
	defer func() { require.NoError(t, errors.Join(in.Close(), out.Close())) }()
	for _, opt := range []lineOptions{
		{In: strings.NewReader(""), Out: io.Discard, Env: terminal},
		{In: in, Out: out, Env: terminal},
	} {
		r, err := newLineReader(opt)
		require.NoError(t, err)
		require.IsType(t, &plainReader{}, r)
		require.NoError(t, r.Close())
		require.NoError(t, r.Close())
		_, err = r.ReadLine(context.Background(), "")
		require.ErrorIs(t, err, io.EOF)
	}
	_, err = newLineReader(lineOptions{})
	require.EqualError(t, err, "no input to read lines from; give one in lineOptions.In")
}

// A closeNoter notes what had been printed by the time it was closed.
type closeNoter struct {
	out      *bytes.Buffer
	atClose  []string
	closeErr error
}

func (c *closeNoter) ReadLine(context.Context, string) (string, error) { return "", io.EOF }

func (c *closeNoter) Close() error {
	c.atClose = append(c.atClose, c.out.String())
	return c.closeErr
}

func TestWithTerminalRestored(t *testing.T) {
	own, closing := errors.New("own"), errors.New("closing")
	const message = "narrows: an internal fault ended the program: index out of range; start it again, and report this line if it comes back\n"
	for name, c := range map[string]struct {
		f        func() error
		closeErr error
		want     error
		out      string
	}{
		"well":           {f: func() error { return nil }},
		"own error":      {f: func() error { return own }, closeErr: closing, want: own},
		"error of Close": {f: func() error { return nil }, closeErr: closing, want: closing},
		"panic":          {f: func() error { panic("index\n out of\trange") }, want: errFault, out: message},
		"panic, error":   {f: func() error { panic(errors.New("index out of range")) }, closeErr: closing, want: errFault, out: message},
	} {
		t.Run(name, func(t *testing.T) {
			var out bytes.Buffer
			r := &closeNoter{out: &out, closeErr: c.closeErr}
			require.Equal(t, c.want, withTerminalRestored(r, &out, c.f))
			require.Equal(t, []string{""}, r.atClose, "closed once, before anything is printed")
			require.Equal(t, c.out, out.String())
		})
	}
}

func TestCleanPrefix(t *testing.T) {
	for in, want := range map[string]string{
		"narrows> ":               "narrows> ",
		"\x1b[1;32mEider\x1b[0m>": "Eider>",
		"two\nlines\r> ":          "twolines> ",
		"half \x1b[3":             "half ",
		"\x1b]0;title\a20 °C> ":   "20 °C> ",
		"cut \xc2":                "cut ",
	} {
		require.Equal(t, want, cleanPrefix(in), "%q", in)
	}
}
