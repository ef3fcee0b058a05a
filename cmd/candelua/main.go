// Command candelua runs measurement procedures for displays. It parses, calls
// the engine and prints; it owns no logic.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"

	"candelua/engine"
)

// version is set by the linker for a release.
var version = "0.1.0"

func main() { os.Exit(run()) }

// run is main with a status, so that tests can start the command.
func run() int {
	ctx, stop := withInterrupts(context.Background())
	defer stop()
	root := newRoot()
	err := root.ExecuteContext(ctx)
	return exitStatus(err)
}

// withInterrupts makes the first Ctrl-C pause the run and the second end the
// process; the journal is valid either way.
func withInterrupts(ctx context.Context) (context.Context, func()) {
	ctx, cancel := context.WithCancelCause(ctx)
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, stopSignals...)
	go func() {
		if _, ok := <-signals; !ok {
			return
		}
		fmt.Fprintln(os.Stderr, "candelua: stopping after this single reading; Ctrl-C again stops now")
		cancel(engine.ErrInterrupted)
		if _, ok := <-signals; ok {
			os.Exit(statusPaused)
		}
	}()
	return ctx, func() { signal.Stop(signals); close(signals); cancel(nil) }
}
