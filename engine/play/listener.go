package play

import "fmt"

// Listener has the functions that are called with what goes on. Each function may be nil.
type Listener struct {
	Print    func(string)   // what the script prints
	Progress func(Progress) // each step, as it is begun
	Warn     func(string)   // what should be known, and does not stop the run
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
