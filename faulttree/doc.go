// Package faulttree says what a fault model means and what follows from it,
// exactly.
package faulttree
