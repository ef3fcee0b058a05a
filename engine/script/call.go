package script

import (
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"time"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/result"
	"candelua/engine/sandbox"
)

// Host is what the engine lends to a running script. A script that is only
// being described has an empty one.
type Host struct {
	Door      Door
	Bench     *bench.Bench
	Results   *result.Results
	Unit      string // its name
	Panel     string // the kind of its panel; empty where not stated
	Mode      string
	Day       string // on which the run began, year-month-day; empty where nobody says
	Simulated bool
	Seed      uint64
	Rules     int // by which the run computes; 0: today's
	// Devices are what is known of the bench, from the journal's head, so that
	// it is there on a replay too.
	Devices map[string]bench.Identity
	// Corrections are those of the meters' readings, by the meter's place. What
	// is made of the samples gets them; the samples themselves stay as read.
	Corrections map[string]*bench.Correction
	// Reading is called for each single reading, for the list of readings.
	Reading func(ReadingRow)
	Print   func(string)
	// Draws is there where the execution is one of many on drawn readings.
	Draws *Draws
}

// ReadingRow is one single reading beside what was so when it was taken.
type ReadingRow struct {
	Reading  int // the step's number
	Sample   int // within the step, from 1
	At       string
	Part     string
	Meter    string
	Began    float64 // script time, seconds
	Ended    float64
	X, Y, Z  float64 // cd/m²
	Colour   bool
	Flags    []bench.Flag
	Typed    string
	Patch    *bench.Patch
	Lit      float64    // script time, seconds
	Path     bench.Path // how the patch reached the panel; empty where the source does not say
	HDR      string     // who says that the unit shows HDR; empty for SDR, or where nobody need say so
	Settings map[string]any
	Rig      map[string]float64 // how the rig stands, by what it is and its unit; never written to
	// Correction is what X, Y and Z were corrected by, nil where they are as read.
	Correction *bench.Correction
}

// Door is the one way from a script to the world. It answers a step from the
// journal where it is kept there, and live otherwise.
type Door interface {
	Step(context.Context, Ask) (Kept, error)
	// Open and Close enclose a named stretch of the run.
	Open(context.Context, Stretch) (block int, err error)
	Close(block int, failed bool) error
	// Steps is how many steps were answered so far.
	Steps() int
	// SetAside sets aside the steps from a number on, which cannot be trusted,
	// and pauses the run. hint says what to do then. It gives the stop.
	SetAside(from int, reason, hint, at string) error
	// Now is script time in seconds: it moves only at answers.
	Now() float64
	// Relit is when the last patch was shown again because a run went on, in
	// script time, and whether a person has yet to say that it is lit.
	Relit() (lit float64, pending, again bool)
	// Time turns bench time into script time.
	Time(time.Duration) float64
}

// Stretch is a part of the run: steps with a name.
type Stretch struct {
	Name     string
	Unbroken bool // must not be interrupted and taken up again
	At       string
	// BeforeRestart is called before an unbroken stretch is entered anew that
	// was interrupted; nil where the script gives none.
	BeforeRestart func(block int) error
}

// Ask is one step as the script asks it.
type Ask struct {
	Name   string
	Device string
	At     string // the script's line
	Args   json.RawMessage
	// Differing names the arguments that differ from recorded ones.
	Differing func(recorded, asked json.RawMessage) ([]string, error)
	// Show writes arguments for people.
	Show func(json.RawMessage) string
	// Live touches the world.
	Live func(context.Context, *Contact) (json.RawMessage, error)
	// Request is what the step asks of its device; nil where it has none.
	Request func() (any, error)
}

// Contact is what a live step tells the door on its way.
type Contact struct {
	Sample func(json.RawMessage) error
	// ByHand says that a person gave the answer, which can be withdrawn.
	ByHand bool
}

func (k *Contact) take(sample any) error {
	raw, err := json.Marshal(sample)
	if err != nil {
		return err
	}
	return k.Sample(raw)
}

// Kept is an answer as the journal keeps it.
type Kept struct {
	Number  int // the step's
	Samples []json.RawMessage
	Answer  json.RawMessage
	Memo    *Memo // nil where each execution decodes for itself
}

// StepError is a step that failed, as the journal keeps it; the script may
// catch it.
type StepError struct {
	Step   int
	Reason string
	Text   string
	Tip    string
	Err    error // the device's own, on a live run
}

func (e *StepError) Error() string { return e.Text }

// Unwrap gives the device's own error, which only a live run has.
func (e *StepError) Unwrap() error { return e.Err }

// Code is the error's code in reports.
func (e *StepError) Code() string { return e.Reason }

// Hint says what to do next.
func (e *StepError) Hint() string { return e.Tip }

// Call is one call of a builtin by a script.
type Call struct {
	rt      *Runtime
	fn      *Func
	device  string
	state   *lua.LState
	contact *Contact
	number  int // of the step that was answered
	place   int // see [Call.Place]
}

// Bench is what the script may reach. It fails where the bench lacks a device,
// which only happens when a procedure uses what its needs do not name.
func (c *Call) Bench() *bench.Bench { return c.rt.host.Bench }

// Device is the place on the bench that this call speaks to.
func (c *Call) Device() string { return c.device }

// Results is where the script says what it concludes.
func (c *Call) Results() *result.Results { return c.rt.host.Results }

// Host is what the engine lent.
func (c *Call) Host() Host { return c.rt.host }

// Door gives scopes the means to enclose a part.
func (c *Call) Door() Door { return c.rt.host.Door }

// Since says whether the run computes by these rules or later ones.
func (c *Call) Since(rules int) bool { return c.rt.since(rules) }

func (rt *Runtime) since(rules int) bool { return rt.host.Rules == 0 || rt.host.Rules >= rules }

// Now is script time in seconds.
func (c *Call) Now() float64 {
	if c.rt.host.Door == nil {
		return 0
	}
	return c.rt.host.Door.Now()
}

// Context ends when the run does.
func (c *Call) Context() context.Context { return c.rt.ctx }

// Where is the script's line, as in window-sweep.lua:31.
func (c *Call) Where() string {
	if d := c.Host().Draws; c.state == nil || d != nil && d.Before4 {
		return ""
	}
	for level := 1; level < 100; level++ {
		at := strings.TrimSuffix(strings.TrimSpace(c.state.Where(level)), ":")
		if at == "" {
			break
		}
		if at != "[G]" && !strings.HasPrefix(at, "<") {
			return at
		}
	}
	for _, f := range sandbox.FramesOf(c.state) { // called by pcall itself, on a thread without frames
		return fmt.Sprintf("%s:%d", f.File, f.Line)
	}
	return c.rt.program.File
}

// ByHand says that a person gave this step's answer.
func (c *Call) ByHand() {
	if c.contact != nil {
		c.contact.ByHand = true
	}
}

// Charge counts n units of work, each about one instruction, against the
// budget of work without contact with the world.
func (c *Call) Charge(n int64) { c.rt.Charge(n) }

// Loading says whether the script is being loaded and has not begun to run.
func (c *Call) Loading() bool { return c.rt.loading }

func (c *Call) with(k *Contact) *Call {
	d := *c
	d.contact = k
	return &d
}

// Pass calls a function of the script and gives back all that it returns, to
// be returned to the script untouched. An error in the script passes through on
// its own, as if the builtin were not there.
func (c *Call) Pass(f declare.Function, args ...any) Passed {
	L := c.state
	top := L.GetTop()
	L.Push(f.Fn)
	for _, a := range args {
		L.Push(c.rt.toLua(reflect.ValueOf(a)))
	}
	L.Call(len(args), lua.MultRet)
	var out []lua.LValue
	for i := top + 1; i <= L.GetTop(); i++ {
		out = append(out, L.Get(i))
	}
	L.SetTop(top)
	return Passed{out}
}

// Passed is what a function of the script returned.
type Passed struct{ values []lua.LValue }

// Nothing says that nothing was returned, not even nil.
func (p Passed) Nothing() bool { return len(p.values) == 0 }

// Text is the first value that was returned, if it is a text.
func (p Passed) Text() (string, bool) {
	if p.Nothing() {
		return "", false
	}
	s, ok := p.values[0].(lua.LString)
	return string(s), ok
}

// False says whether the first value is false; nil and nothing are not.
func (p Passed) False() bool { return len(p.values) > 0 && p.values[0] == lua.LFalse }

var passedType = reflect.TypeFor[Passed]()

// State is what a builtin keeps during one execution of a script. It must
// follow from the steps' answers alone, so that a replay rebuilds it.
func State[T any](c *Call) *T {
	t := reflect.TypeFor[T]()
	if s, ok := c.rt.state[t]; ok {
		return s.(*T)
	}
	s := new(T)
	c.rt.state[t] = s
	return s
}

func (c *Call) ask(f *Func) Ask {
	return Ask{Name: f.Name, Device: c.device, Differing: c.rt.differing(f), Show: f.show}
}

func (c *Call) step(a Ask, args reflect.Value) (Kept, error) {
	raw, err := c.fn.args.Encode(args)
	if err = tooLarge("the call", raw, err); err != nil {
		return Kept{}, err
	}
	a.Args, a.At = raw, c.Where()
	kept, err := c.rt.host.Door.Step(c.rt.ctx, a)
	c.rt.m.Waited() // the world's time is not the script's work
	c.number, c.place = kept.Number, c.rt.place(kept.Number)
	return kept, err
}

func tooLarge(what string, raw []byte, err error) error {
	if err == nil && len(raw) > mostKept {
		return &fault.ArgError{Arg: what, Got: fmt.Sprintf("is %d bytes long in the journal; the limit is %d", len(raw), mostKept),
			Tip: "keep only what you need of it"}
	}
	return err
}

// Number is the number of the step that this call was, once it is answered.
func (c *Call) Number() int { return c.number }

// Place is the number that the step has in a run that is not interrupted. A
// step that such a run lacks has its own number, negative.
func (c *Call) Place() int { return c.place }
