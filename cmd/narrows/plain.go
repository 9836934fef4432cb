package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
)

// byteOrderMark may stand in front of a script written by an editor.
const byteOrderMark = "\ufeff"

// A plainReader reads lines from anything. It writes nothing at all: no
// prefix, no codes. A line ends with LF or CR LF, and the last one needs no
// end. It pays no heed to lineOptions.Wake.
//
// A context that is done ends ReadLine with errStopped: at once where the
// input is a file, a pipe or a terminal of a Unix system, elsewhere before the
// next read. What had been read of the line is kept for the next ReadLine.
type plainReader struct {
	source *patientFile // nil if the input is no file
	in     *bufio.Reader
	name   string
	number int    // of the line being read, from 1
	line   []byte // what has been read of it
	over   bool   // it is longer than maxLine; the rest is being skipped
	begun  bool   // some of it has been read
	closed bool
}

func newPlainReader(in io.Reader, name string) *plainReader {
	r := &plainReader{name: name, number: 1}
	if f, ok := in.(*os.File); ok {
		r.source = &patientFile{file: f}
		in = r.source
	}
	r.in = bufio.NewReader(in)
	return r
}

// ReadLine gives the next line; the prefix is not used.
func (r *plainReader) ReadLine(ctx context.Context, _ string) (string, error) {
	if r.closed {
		return "", io.EOF
	}
	if r.source != nil {
		r.source.ctx = ctx
	}
	for {
		if err := ctx.Err(); err != nil {
			return "", stoppedBy(err)
		}
		chunk, err := r.in.ReadSlice('\n')
		r.take(chunk)
		switch {
		case err == nil:
			return r.finish()
		case errors.Is(err, bufio.ErrBufferFull):
		case errors.Is(err, io.EOF) && r.begun:
			return r.finish()
		case errors.Is(err, io.EOF):
			return "", io.EOF
		case ctx.Err() != nil:
			return "", stoppedBy(ctx.Err())
		default:
			return "", fmt.Errorf("%s:%d: cannot read on: %w", r.name, r.number, err)
		}
	}
}

// Close ends the reading; the input itself stays open, since it is not ours.
func (r *plainReader) Close() error {
	r.closed = true
	return nil
}

// take adds a piece of the line, or notes that the line has grown too long.
func (r *plainReader) take(chunk []byte) {
	if len(chunk) == 0 {
		return
	}
	r.begun = true
	const lineEnd = 2 // CR LF
	if r.over || len(r.line)+len(chunk) > maxLine+lineEnd {
		r.over, r.line = true, r.line[:0]
		return
	}
	r.line = append(r.line, chunk...)
}

// finish hands out the line that has been collected and starts the next.
func (r *plainReader) finish() (string, error) {
	line := bytes.TrimSuffix(r.line, []byte("\n"))
	line = bytes.TrimSuffix(line, []byte("\r"))
	number, over := r.number, r.over || len(line) > maxLine
	if number == 1 {
		line = bytes.TrimPrefix(line, []byte(byteOrderMark))
	}
	text := string(line)
	r.number++
	r.line, r.over, r.begun = r.line[:0], false, false
	if over {
		return "", fmt.Errorf("%s:%d: %w: more than %d bytes; split it into shorter lines", r.name, number, errLineTooLong, maxLine)
	}
	return cleanText(text), nil
}

// stoppedBy is errStopped together with its reason.
func stoppedBy(reason error) error {
	return fmt.Errorf("%w: %w", errStopped, reason)
}

// A patientFile waits for bytes in a way that a context can end, before it
// reads. Without it a process that catches SIGTERM could not be ended while it
// waits for a line.
type patientFile struct {
	file *os.File
	ctx  context.Context // of the ReadLine that is running
}

func (f *patientFile) Read(p []byte) (int, error) {
	if f.ctx.Done() != nil {
		if err := waitReadable(f.ctx, f.file); err != nil {
			return 0, err
		}
	}
	return f.file.Read(p)
}
