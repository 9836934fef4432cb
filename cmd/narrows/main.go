// Narrows narrows a running complaint of a small carburetted engine to its
// cause before anyone reaches for a spanner, and keeps the reasoning beside
// the fix. Without a command it asks for the complaint and goes on from there;
// narrows --help lists the commands.
package main

import "os"

func main() { os.Exit(run(standard())) }
