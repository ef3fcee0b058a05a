package fault

import "errors"

// ErrInternal is a bug of candelua, not of the script.
var ErrInternal = errors.New("an error inside candelua, not in the script")

// CodeOf finds the code that an error carries, "error" without one.
func CodeOf(err error) string {
	var coded interface{ Code() string }
	if errors.As(err, &coded) {
		return coded.Code()
	}
	return "error"
}

// HintOf finds what an error says to do next.
func HintOf(err error) string {
	var hinted interface{ Hint() string }
	if errors.As(err, &hinted) {
		return hinted.Hint()
	}
	return ""
}
