// Command candelua runs measurement procedures for displays. It parses, calls
// the engine and prints; it owns no logic.
package main

import (
	"context"
	"fmt"
	"io/fs"
	"os"

	"candelua/engine/plain"
)

// version is set by the linker for a release.
var version = "0.6.0"

func main() { os.Exit(run(os.Args[1:])) }

// unwritten is the error of a command whose output did not get through, which most of them need not look at.
func unwritten(lost error) error { return fmt.Errorf("the output cannot be written: %w", lost) }

// isWrite says whether an error is just that stdout no longer takes output.
func isWrite(err error) bool {
	failed, is := err.(*fs.PathError)
	return is && failed.Op == "write" && failed.Path == os.Stdout.Name()
}

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
	if lost := out.Close(); lost != nil && (err == nil || isWrite(err)) {
		err = unwritten(lost)
	}
	return a.exitStatus(cmd, args, err)
}
