package builtins

import (
	"syscall"
	"time"
)

// threadTime is the time that the processor spent on this thread.
func threadTime() time.Duration {
	const thread = 1 // RUSAGE_THREAD of getrusage(2)
	var u syscall.Rusage
	if syscall.Getrusage(thread, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
