// Command candelua runs measurement procedures for displays. It parses, calls
// the engine and prints; it owns no logic.
package main

import (
	"context"
	"os"

	"candelua/engine/plain"
)

// version is set by the linker for a release.
var version = "0.3.0"

func main() { os.Exit(run(os.Args[1:])) }

// run is main with a status, so that deferred work is done.
func run(args []string) int {
	a := &app{line: newStatusLine(os.Stderr)}
	out := plain.On(os.Stdout)
	if isTerminal(os.Stdout) {
		out.Fit(func() int { return columnsOf(os.Stdout) })
	}
	defer out.Close()
	ctx, stop := a.withInterrupts(context.Background())
	defer stop()
	root := a.root()
	root.SetArgs(args)
	root.SetOut(out)
	root.SetErr(a.line.screen)
	cmd, err := root.ExecuteContextC(ctx)
	a.line.finish()
	defer a.line.screen.Close()
	return a.exitStatus(cmd, args, err)
}
