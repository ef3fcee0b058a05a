package play

import (
	"context"
	"fmt"

	"candelua/engine/caution"
)

// Listener has the functions that are called with what goes on. Each function may be nil.
type Listener struct {
	Print    func(string)   // what the script prints
	Progress func(Progress) // each step, as it is begun
	Warn     func(string)   // what should be known, and does not stop the run
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

// Progress is what is being done, for those who wait.
type Progress struct {
	Step int
	Name string
	Show func() string // the step in words
	At   string
	Now  float64 // script time, seconds
}
