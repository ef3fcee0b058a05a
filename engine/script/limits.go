package script

import (
	"errors"
	"fmt"
	"strings"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/sandbox"
)

// What a script may hand to the engine, in bytes. A text or a table counts each time
// that it is given, since each time it is written. All is measured before it is copied,
// where arguments are taken ([declare.Intake]), so that no builtin has to do it. Runs by
// rules before 4 had other limits, and keep them.
const (
	mostText     = 16 << 10 // one text
	mostCall     = 32 << 20 // the arguments of one call, in memory
	mostStep     = 4 << 20  // those of a step, in memory
	mostKept     = 1 << 20  // those of a step, or its answer beside the samples, in the journal
	mostContract = 1 << 20  // all that procedure { … } states
	mostTexts    = 8 << 20  // the texts in all results of a run
	mostAsked    = 64 << 20 // the arguments of all steps and parts of a run
	mostPrinted  = 1 << 20  // what a run prints; the rest is left out
	mostNames    = 200      // parameters, or settings, of a procedure
)

// Limit is a limit that a script's author may meet.
type Limit struct {
	Of   string // what is limited
	Most int
	Unit string
}

// Limits are the limits on what scripts hand over, for the reference.
func Limits() []Limit {
	return []Limit{
		{"in one text", mostText, "bytes"},
		{"in all that procedure { … } states", mostContract, "bytes"},
		{"of a procedure, and as many settings", mostNames, "parameters"},
		{"in the arguments of one step, as the journal keeps them", mostKept, "bytes"},
		{"in the arguments of all steps of a run", mostAsked, "bytes"},
		{"in the arguments of any other call", mostCall, "bytes"},
		{"in the texts of all results of a run", mostTexts, "bytes"},
		{"in all that a run prints; the rest is left out", mostPrinted, "bytes"},
	}
}

// lenient says whether the script runs by rules that had no limits in bytes.
func (rt *Runtime) lenient() bool { return rt.program.limits.Before4 }

// intake measures what the script hands over at once, at most so many bytes of it.
func (rt *Runtime) intake(most int) declare.Intake {
	in := declare.Intake{Spend: rt.Charge}
	if !rt.lenient() {
		in.Limits, in.Grow = declare.Limits{Text: mostText, Bytes: most}, rt.m.Grow
	}
	return in
}

// mostOf is how much one call of a builtin may be given.
func mostOf(c Class) int {
	if c == ClassStep {
		return mostStep
	}
	return mostCall
}

// handed adds what a call was given to what the run handed over before: results are kept in
// memory, and the arguments of steps and parts in the journal, until the run ends.
func (rt *Runtime) handed(f *Func, in *declare.Intake) error {
	if rt.lenient() {
		return nil
	}
	switch f.Class {
	case ClassOutput:
		rt.m.Keep(int64(in.Bytes))
		if rt.texts += in.Texts; rt.texts > mostTexts {
			return &fault.ArgError{Arg: "the text of all results", Got: fmt.Sprintf("%d bytes", rt.texts), Want: fmt.Sprintf("%d bytes or fewer", mostTexts),
				Tip: "record numbers in a table, and say once what holds for all"}
		}
	case ClassStep, ClassScope:
		if rt.asked += in.Bytes; rt.asked > mostAsked {
			return &fault.ArgError{Arg: "what all steps were given", Got: fmt.Sprintf("%d bytes", rt.asked), Want: fmt.Sprintf("%d bytes or fewer in one run", mostAsked),
				Tip: "give each step less, or measure in several runs"}
		}
	}
	return nil
}

// printing bounds what is printed. It says so in words, once.
func printing(print func(string)) func(string) {
	left := mostPrinted
	return func(text string) {
		if left < 0 {
			return
		}
		if left -= len(text) + 1; left >= 0 {
			print(text)
			return
		}
		print(fmt.Sprintf("(the rest of what the script prints is left out: at most %d bytes are shown)", mostPrinted))
	}
}

// shortened cuts the message of an error that ends the script. What the script caught
// itself was whole.
func (rt *Runtime) shortened(err error) error {
	var e *sandbox.Error
	if rt.lenient() || !errors.As(err, &e) || len(e.Message) <= mostText {
		return err
	}
	e.Message = fmt.Sprintf("%s… (the first %d of %d bytes)", strings.ToValidUTF8(e.Message[:mostText], ""), mostText, len(e.Message))
	return err
}
