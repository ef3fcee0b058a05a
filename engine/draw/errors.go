package draw

import (
	"errors"
	"fmt"
)

// Why a value has no uncertainty. Such a value's uncertainty is not evaluated,
// and its error says why.
var (
	// ErrDivergent is for a value that more than 5 % of the draws did not give:
	// the script took other steps, failed, or left it out.
	ErrDivergent = errors.New("too many draws gave no value")
	// ErrTooFew is for fewer draws with a value than a 95 % interval needs.
	ErrTooFew = errors.New("too few draws")
	// ErrNoEstimate is for a value that the readings themselves do not make a finite number.
	ErrNoEstimate = errors.New("the value is not a finite number")
	// ErrTooLarge is for a value whose draws are so large that their spread is not a finite number.
	ErrTooLarge = errors.New("the draws spread too widely for a number")
	// ErrThroughInfinity is for a value whose draws lie on both sides of infinity, as those of a quotient do whose
	// divisor may be 0. No interval from one number to another holds the truth.
	ErrThroughInfinity = errors.New("the draws go through infinity, as those of a quotient do whose divisor may be 0; record the divisor too, and the quotient as a bound")
	// ErrUnequal is for two runs with different numbers of draws.
	ErrUnequal = errors.New("the two runs have different numbers of draws")
	// ErrDivisor is for a ratio to a value that may be 0, within the draws.
	ErrDivisor = errors.New("the divisor may be 0")
)

const (
	mostDivergent = 0.05
	leastDraws    = 100
)

// ErrManySets is for values of which too many have numbers in different draws.
var ErrManySets = errors.New("the values have numbers in too many different sets of draws")

func tooFewFor(draws, numbers int) error {
	return fmt.Errorf("%w: %d gave a value; at least %d are needed to tell the shared causes of error apart", ErrTooFew, draws, 3*numbers)
}
