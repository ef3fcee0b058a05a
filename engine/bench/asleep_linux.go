package bench

import (
	"syscall"
	"time"
	"unsafe"
)

// The clocks of the system: both run with the machine, and only the second while it sleeps.
//
// Source: clock_gettime(2) of the Linux man-pages, from memory.
const (
	clockMonotonic = 1
	clockBoottime  = 7
)

// asleep is for how long the machine has slept since it was started, as its system counts. Setting the time of day does
// not change it. It is false where the system does not say.
func asleep() (time.Duration, bool) {
	awake, ok := clockTime(clockMonotonic)
	all, both := clockTime(clockBoottime)
	return all - awake, ok && both
}

func clockTime(clock uintptr) (time.Duration, bool) {
	var t syscall.Timespec
	_, _, failed := syscall.Syscall(syscall.SYS_CLOCK_GETTIME, clock, uintptr(unsafe.Pointer(&t)), 0)
	return time.Duration(t.Nano()), failed == 0
}
