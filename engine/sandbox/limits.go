package sandbox

import (
	"errors"
	"fmt"

	lua "github.com/yuin/gopher-lua"
)

// Limits bound what a script may use. A field that is zero or negative counts
// as its value in [DefaultLimits].
type Limits struct {
	Instructions int64 // virtual machine instructions between two contacts with the world
	MemoryBytes  int64 // what the script's values may take, as they are counted
	HeapBytes    int64 // growth of the process's heap over its size when the machine started
	StringBytes  int   // longest string that a script may make
	SourceBytes  int   // longest source file
	Nesting      int   // deepest nesting of brackets, blocks and operators in a source file
	CallDepth    int   // calls open at once, and protected calls open at once
	TableItems   int   // highest index in a table's array part, and most values in one list

	// Before4 computes as by the rules before 4, for runs that were made by them: see "Old
	// rules" in the package's documentation.
	Before4 bool
}

// DefaultLimits returns the limits that runs use.
func DefaultLimits() Limits {
	return Limits{
		Instructions: 100_000_000,
		MemoryBytes:  112 << 20,
		HeapBytes:    192 << 20,
		StringBytes:  8 << 20,
		SourceBytes:  1 << 20,
		Nesting:      200,
		CallDepth:    200,
		TableItems:   1 << 20,
	}
}

// The limits whose excess ends a run. No script can catch them. Budget and memory are
// counted, so that the same script ends at the same place wherever it is executed. The
// heap is measured, as the last guard: what it ends says nothing about the script, and may
// come further at another time.
var (
	ErrBudget = errors.New("too many instructions without a step")
	ErrMemory = errors.New("the script uses too much memory")
	ErrHeap   = errors.New("candelua needs too much memory")
)

func init() {
	// The array part of a table is allocated up to its highest index, so one
	// assignment could take gigabytes. The library has one setting for all states.
	lua.MaxArrayIndex = 1 << 20
	// The old variable arg of functions with `...` would cost each call a table.
	lua.CompatVarArg = false
}

// filled returns the limits with defaults in place of missing values.
func (l Limits) filled() Limits {
	d := DefaultLimits()
	fill(&l.Instructions, d.Instructions)
	fill(&l.MemoryBytes, d.MemoryBytes)
	fill(&l.HeapBytes, d.HeapBytes)
	fill(&l.StringBytes, d.StringBytes)
	fill(&l.SourceBytes, d.SourceBytes)
	fill(&l.Nesting, d.Nesting)
	fill(&l.CallDepth, d.CallDepth)
	fill(&l.TableItems, d.TableItems)
	l.TableItems = min(l.TableItems, lua.MaxArrayIndex)
	return l
}

func fill[T int | int64](field *T, value T) {
	if *field <= 0 {
		*field = value
	}
}

// budgetError says what ran out and how to get more.
func budgetError(l Limits) error {
	return &hinted{
		err:  fmt.Errorf("%w: %d", ErrBudget, l.Instructions),
		hint: "a reading or clock.wait resets the limit; look for a loop that never ends",
	}
}

func memoryError(l Limits) error {
	return &hinted{
		err:  fmt.Errorf("%w: over %d MiB", ErrMemory, l.MemoryBytes>>20),
		hint: "keep only what you need of each reading, and look for a table that only grows",
	}
}

func heapError(l Limits) error {
	return &hinted{
		err:  fmt.Errorf("%w: over %d MiB more than at the start", ErrHeap, l.HeapBytes>>20),
		hint: "resume the run when less is running; if it stops here again, keep less of each reading",
	}
}

// hinted is an error with advice for the script's author.
type hinted struct {
	err  error
	hint string
}

func (h *hinted) Error() string { return h.err.Error() }
func (h *hinted) Unwrap() error { return h.err }
func (h *hinted) Hint() string  { return h.hint }
