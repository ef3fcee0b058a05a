package fault

import (
	"fmt"
	"strings"
)

// ArgError says what is wrong with one argument.
type ArgError struct {
	Arg  string // which
	Got  string // what was given
	Want string // what is allowed, after the words "it must be"
	Tip  string // what to do next
	Near string // the allowed word that was probably meant, if there is one
}

func (e *ArgError) Error() string {
	if e.Want == "" {
		return e.Arg + " " + e.Got
	}
	return fmt.Sprintf("%s is %s; it must be %s", e.Arg, e.Got, e.Want)
}

// Code is the error's code in reports.
func (e *ArgError) Code() string { return "argument" }

// Hint says what to do next.
func (e *ArgError) Hint() string {
	switch {
	case e.Near == "":
		return e.Tip
	case e.Tip == "":
		return fmt.Sprintf("did you mean %q?", e.Near)
	}
	return fmt.Sprintf("did you mean %q? (%s)", e.Near, e.Tip)
}

// Inside puts the argument before what is wrong inside of it: "tolerance.min".
func (e *ArgError) Inside(name string) *ArgError {
	out := *e
	switch {
	case e.Arg == "" || strings.HasPrefix(e.Arg, "["):
		out.Arg = name + e.Arg
	default:
		out.Arg = name + "." + e.Arg
	}
	return &out
}
