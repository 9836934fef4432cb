package faulttree_test

import "flag"

// Package circuit reads networks from this folder; the flag is known here so
// that one call of go test serves all packages below faulttree.
var _ = flag.String("networks", "", "folder with BIF networks and reference answers, for package circuit")
