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
	ErrNoEstimate = errors.New("estimate is not a finite number")
	// ErrTooLarge is a value whose draws are so large that their spread is no finite number.
	ErrTooLarge = errors.New("draws spread too far for a number")
	// ErrUnequal is two runs that were not drawn equally often.
	ErrUnequal = errors.New("runs were not drawn equally often")
	// ErrDivisor is a ratio to what may be nothing, within the draws.
	ErrDivisor = errors.New("divisor is not clear of 0")
)

const (
	mostDivergent = 0.05
	leastDraws    = 100
)

func tooFewFor(draws, numbers int) error {
	return fmt.Errorf("%w: %d with a value for %d numbers of shared causes, want three times as many", ErrTooFew, draws, numbers)
}
