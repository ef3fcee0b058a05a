package sandbox

import (
	"context"
	"math"
	"sync/atomic"
	"time"

	lua "github.com/yuin/gopher-lua"
)

// checkEvery is the number of instructions between two looks at the stop flag:
// few enough that a stop is seen within microseconds, many enough to cost nothing.
const checkEvery = 256

// closed is what Done returns once a machine was stopped.
var closed = func() chan struct{} { c := make(chan struct{}); close(c); return c }()

// fuel is the context of a machine's Lua states. The library's loop asks
// Done before each instruction, so Done counts them, as our own loop does itself. Only the goroutine that
// runs the script may ask; host functions use the machine's plain context.
type fuel struct {
	left   int64       // instructions left
	check  int64       // look closely when left falls to this
	every  int64       // instructions between two close looks
	fresh  int64       // bytes made since the memory was counted
	full   int64       // count the memory when so many were made
	slow   func() bool // the close look; true ends the run
	parent context.Context

	machine *Machine    // whose fuel it is
	urgent  atomic.Bool // the watchdog asks for a close look at the memory, at once

	threads []*lua.LState // the threads with open calls, the innermost last
}

func (f *fuel) Done() <-chan struct{} {
	f.left--
	if f.left > f.check && !f.urgent.Load() {
		return nil // never ready, so the virtual machine goes on
	}
	if f.slow() {
		return closed
	}
	return nil
}

// fill puts n instructions in. The next close look is as near as it was: a
// script that touches the world all the time is looked at, too.
func (f *fuel) fill(n int64) {
	near := min(max(f.left-f.check, 0), f.every)
	f.left = n
	f.check = max(n-near, 0)
}

// next sets the point of the next close look.
func (f *fuel) next() { f.check = max(f.left-f.every, 0) }

// drain makes each further instruction fail.
func (f *fuel) drain() { f.check = math.MaxInt64 }

func (f *fuel) Err() error                  { return context.Canceled }
func (f *fuel) Value(key any) any           { return f.parent.Value(key) }
func (f *fuel) Deadline() (time.Time, bool) { return time.Time{}, false }

var _ context.Context = (*fuel)(nil)
