// Package fault holds what errors have in common across packages: a code for
// machines, a hint that says what to do next, and two kinds of blame.
//
// An error may have a method Code and a method Hint; [CodeOf] and [HintOf] find
// them however deep the error is wrapped. An error that matches [ErrUsage] is the
// caller's: nothing was run, and another name, file or value helps. One that
// matches [ErrInternal] is a bug of candelua. All others are told as they are.
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
