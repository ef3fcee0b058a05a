package draw

import (
	"errors"
	"fmt"
)

// Why a value has no uncertainty. Such a value's uncertainty is not evaluated,
// and its error says why.
var (
	// ErrDivergent is a value that more than 5 % of the draws did not give:
	// the script would have asked other steps, failed, or left it out.
	ErrDivergent = errors.New("too many draws gave no value")
	// ErrTooFew is fewer draws with a value than limits of 95 % can be read off.
	ErrTooFew = errors.New("too few draws")
	// ErrNoEstimate is a value that is not a finite number on the readings themselves.
	ErrNoEstimate = errors.New("the value is not a finite number")
	// ErrTooLarge is a value whose draws are so large that their spread is no finite number.
	ErrTooLarge = errors.New("the draws spread too widely for a number")
	// ErrUnequal is two runs that were not drawn equally often.
	ErrUnequal = errors.New("the two runs have different numbers of draws")
	// ErrDivisor is a ratio to what may be nothing, within the draws.
	ErrDivisor = errors.New("the divisor may be 0")
)

const (
	mostDivergent = 0.05
	leastDraws    = 100
)

func tooFewFor(draws, numbers int) error {
	return fmt.Errorf("%w: %d gave a value, want at least %d to tell the shared causes of error apart", ErrTooFew, draws, 3*numbers)
}
