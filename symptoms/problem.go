package symptoms

import "strings"

// Problem is one fault of the data a lexicon is made from.
type Problem struct {
	// Path leads to the value at fault: shows, rough, words, "lumpy". The
	// first step is a list of the vocabulary, "symptoms" or "history".
	Path    []string
	Message string // what is wrong and what to do about it
}

// Error gives path and message on one line.
func (p Problem) Error() string {
	return strings.Join(p.Path, ".") + ": " + p.Message
}

// Problems are all faults found, in the order of the data.
type Problems []Problem

// Error gives one fault a line.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, one := range p {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap lets errors.As find the single faults.
func (p Problems) Unwrap() []error {
	out := make([]error, len(p))
	for i, one := range p {
		out[i] = one
	}
	return out
}
