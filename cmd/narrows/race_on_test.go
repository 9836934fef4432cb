//go:build race

package main

// raced leaves out the long plays on the large pack: they compute on one
// goroutine, and the race detector makes them many times slower.
const raced = true
