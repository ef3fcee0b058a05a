package uncertainty

import (
	"fmt"

	"candelua/engine/fault"
	"candelua/engine/result"
)

// mostKept is how much memory the numbers of all draws may take together, in bytes,
// and numberSize what one takes.
const (
	mostKept   = 1_000_000_000
	numberSize = 8
)

// TooManyDrawsError is for draws whose numbers would take too much memory.
type TooManyDrawsError struct {
	Draws   int
	Numbers int // that are kept of each draw: values, and cells of tables
}

// Most returns the largest number of draws for so many numbers. Even for the most
// numbers that results may hold, it is above the 100 that an interval needs.
func (e *TooManyDrawsError) Most() int { return mostKept / numberSize / e.Numbers }

func (e *TooManyDrawsError) Error() string {
	return fmt.Sprintf("%d draws of %d numbers take %.1f GB of memory; give at most %d draws, which take 1 GB",
		e.Draws, e.Numbers, e.bytes()/1e9, e.Most())
}

func (e *TooManyDrawsError) bytes() float64 {
	return numberSize * float64(e.Draws) * float64(e.Numbers)
}

// Hint says what to do next.
func (e *TooManyDrawsError) Hint() string { return fmt.Sprintf("use at most --draws %d", e.Most()) }

// Code is the error's code in reports.
func (e *TooManyDrawsError) Code() string { return "usage" }

// Unwrap gives [fault.ErrUsage].
func (e *TooManyDrawsError) Unwrap() error { return fault.ErrUsage }

// withinMemory refuses draws that memory should not hold. Of those that are made as needed it allows
// as many as it does hold.
func withinMemory(base *result.Results, p Plan) (Plan, error) {
	e := &TooManyDrawsError{Draws: p.Draws}
	eachNumber(base, func(*result.Value) { e.Numbers++ }, func(cell) { e.Numbers++ })
	if p.Least > 0 && e.bytes() > mostKept {
		p.Draws = max(p.Least, e.Most())
		e.Draws = p.Draws
	}
	if e.bytes() <= mostKept {
		return p, nil
	}
	return p, e
}
