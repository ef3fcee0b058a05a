package journal

import (
	"encoding/json"
	"fmt"
	"math"
	"math/bits"
)

// Kind says what a record is.
type Kind string

// The kinds of record. A step is an ask, any number of samples and an answer. Everything else stands
// outside the numbering of steps.
const (
	KindHead   Kind = "head"   // the first record: what the run is
	KindAsk    Kind = "ask"    // a contact with the world is about to be made
	KindSample Kind = "sample" // a single reading that belongs to the open ask
	KindAnswer Kind = "answer" // what the world answered to the open ask
	KindVoid   Kind = "void"   // steps from a number on are set aside
	KindOpen   Kind = "open"   // a block, a part or an unbroken block, begins
	KindClose  Kind = "close"  // the innermost open block ends
	KindPause  Kind = "pause"  // the run stands still
	KindResume Kind = "resume" // the run goes on
	KindAside  Kind = "aside"  // a contact outside the numbering: a restore, a safe end, a caution
	KindEnd    Kind = "end"    // the run is over, or over for now
)

// Standing is the state of a run.
type Standing string

// The states of a run. An end record carries one of the first three; the others
// are seen from outside.
const (
	Done       Standing = "done"
	Failed     Standing = "failed"
	Paused     Standing = "paused"       // can be resumed
	Running    Standing = "running"      // another process has it open to write
	Damaged    Standing = "damaged"      // a record of its journal is
	Newer      Standing = "newer format" // a newer candelua made it
	Unreadable Standing = "unreadable"
)

// Failure is how a contact, a block or a run failed.
type Failure struct {
	Code    string // for machines
	Message string // for people
	Hint    string // what to do next; may be empty
}

// Record is one line of a journal. Beside each field stand the kinds that may carry it, those that must
// with an asterisk; a record with a field that is not its kind's is refused.
type Record struct {
	Kind     Kind
	Step     int             // ask*, sample*, answer*: the step's number, from 1
	Name     string          // ask*: the step's function; open*: the block's name; aside*: what was done
	Device   string          // ask, aside: "meter", "reference", "patches"
	Block    int             // open*, close*: the block's number, from 1
	Unbroken bool            // open: the block must not be interrupted
	From     int             // void*: the first step set aside
	Args     json.RawMessage // ask, open, aside: what was asked
	Data     json.RawMessage // sample*, answer (or a failure), and all others but ask: what the engine adds
	Failure  *Failure        // answer, close, aside, end: how it failed
	At       string          // all but head and sample: the script's line, "window-sweep.lua:31"
	T        float64         // all but head and sample, always written: script time in seconds
	ByHand   bool            // sample, answer, aside: a person gave it
	Reason   string          // void*, pause*, close, resume, end
	Status   Standing        // end*: Done, Failed or Paused

	PauseSeconds float64 // resume, always written: the length of the pause in seconds, 0 or more
}

// field is a set of a record's fields, one bit each, in the order in which they are written.
type field uint32

const (
	fStep field = 1 << iota
	fName
	fDevice
	fBlock
	fUnbroken
	fFrom
	fArgs
	fData
	fFailure
	fAt
	fT
	fByHand
	fReason
	fStatus
	fPause
)

// fieldKeys are the fields' names in the file.
var fieldKeys = [...]string{"step", "name", "device", "block", "unbroken", "from", "args", "data", "failure",
	"at", "t", "by_hand", "reason", "status", "pause_s"}

// key returns the name of the first field in f.
func (f field) key() string { return fieldKeys[bits.TrailingZeros32(uint32(f))] }

// rule says which fields a kind of record needs and which others it may have.
type rule struct{ needs, may field }

// ruleOf returns the rule of a kind; ok is false for a kind that cannot follow the head.
func ruleOf(k Kind) (r rule, ok bool) {
	switch k {
	case KindAsk:
		return rule{fStep | fName | fT, fDevice | fArgs | fAt}, true
	case KindSample:
		return rule{fStep | fData, fByHand}, true
	case KindAnswer:
		return rule{fStep | fT, fData | fFailure | fAt | fByHand}, true
	case KindVoid:
		return rule{fFrom | fT | fReason, fData | fAt}, true
	case KindOpen:
		return rule{fName | fBlock | fT, fUnbroken | fArgs | fData | fAt}, true
	case KindClose:
		return rule{fBlock | fT, fData | fFailure | fAt | fReason}, true
	case KindPause:
		return rule{fT | fReason, fData | fAt}, true
	case KindResume:
		return rule{fT | fPause, fData | fAt | fReason}, true
	case KindAside:
		return rule{fName | fT, fDevice | fArgs | fData | fFailure | fAt | fByHand}, true
	case KindEnd:
		return rule{fT | fStatus, fData | fFailure | fAt | fReason}, true
	}
	return rule{}, false
}

// checkFields reports what is wrong with a record of kind k that has exactly the fields in has.
func checkFields(k Kind, has field) error {
	r, ok := ruleOf(k)
	if !ok {
		return fmt.Errorf("kind is %q, want one that may follow the head", k)
	}
	if missing := r.needs &^ has; missing != 0 {
		return fmt.Errorf("%s has no %s", k, missing.key())
	}
	if extra := has &^ (r.needs | r.may); extra != 0 {
		return fmt.Errorf("%s has a field %s, which this kind of record does not have", k, extra.key())
	}
	if k == KindAnswer && has&(fData|fFailure) == 0 {
		return fmt.Errorf("answer has neither data nor failure")
	}
	return nil
}

// fields returns the fields that r is written with.
func (r *Record) fields() field {
	var has field
	set := func(f field, is bool) {
		if is {
			has |= f
		}
	}
	set(fStep, r.Step != 0)
	set(fName, r.Name != "")
	set(fDevice, r.Device != "")
	set(fBlock, r.Block != 0)
	set(fUnbroken, r.Unbroken)
	set(fFrom, r.From != 0)
	set(fArgs, len(r.Args) > 0)
	set(fData, len(r.Data) > 0)
	set(fFailure, r.Failure != nil)
	set(fAt, r.At != "")
	set(fT, r.T != 0 || r.Kind != KindSample)
	set(fByHand, r.ByHand)
	set(fReason, r.Reason != "")
	set(fStatus, r.Status != "")
	set(fPause, r.PauseSeconds != 0 || r.Kind == KindResume)
	return has
}

// checkValues reports the first field of r whose value is not allowed. What is numbered is checked
// against the view instead.
func (r *Record) checkValues() error {
	if math.IsNaN(r.T) || math.IsInf(r.T, 0) {
		return fmt.Errorf("%s: t is %v, want a number", r.Kind, r.T)
	}
	if err := checkPause(r.PauseSeconds); err != nil {
		return err
	}
	return checkStatus(r.Status)
}

func checkPause(seconds float64) error {
	if !(seconds >= 0) || math.IsInf(seconds, 0) {
		return fmt.Errorf("resume: pause_s is %v, want 0 or more", seconds)
	}
	return nil
}

func checkStatus(s Standing) error {
	switch s {
	case "", Done, Failed, Paused:
		return nil
	}
	return fmt.Errorf("end: status is %q, want %s, %s or %s", s, Done, Failed, Paused)
}
