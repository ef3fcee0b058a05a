// Command candelua runs measurement procedures for displays. It parses, calls
// the engine and prints; it owns no logic.
package main

import (
	"context"
	"os"
)

// version is set by the linker for a release.
var version = "0.3.0"

func main() { os.Exit(run(os.Args[1:])) }

// run is main with a status, so that deferred work is done.
func run(args []string) int {
	a := &app{line: newStatusLine(os.Stderr)}
	ctx, stop := a.withInterrupts(context.Background())
	defer stop()
	root := a.root()
	root.SetArgs(args)
	root.SetErr(a.line)
	cmd, err := root.ExecuteContextC(ctx)
	a.line.finish()
	return a.exitStatus(cmd, args, err)
}
