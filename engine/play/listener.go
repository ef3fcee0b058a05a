package play

import (
	"context"
	"fmt"

	"candelua/engine/caution"
)

// Listener has the functions that are called with what goes on. Each function may be nil.
type Listener struct {
	Print func(string) // what the script prints
	Warn  func(string) // what should be known, and does not stop the run
	// Tell is told what goes on, by the goroutine that executes the script: whoever listens must not wait.
	Tell func(Event)
	// Caution shows cautions that were not shown before the run, and fails where they are not accepted. Told are those that
	// were shown; without Caution nobody is told.
	Caution func(context.Context, []caution.Caution) error
	Told    []caution.Kind
}

func (l *Listener) warn(format string, args ...any) {
	if l.Warn != nil {
		l.Warn(fmt.Sprintf(format, args...))
	}
}

func (l *Listener) tell(e Event) {
	if l.Tell != nil {
		l.Tell(e)
	}
}
