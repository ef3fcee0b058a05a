package builtins

import (
	"context"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
)

func runModule() *script.Module {
	return &script.Module{Name: "run", Help: "The run itself: parts, decisions, control patches and random order.",
		Funcs: []*script.Func{
			script.Scope("run.part", "calls a function as a named part of the run", part),
			script.Scope("run.unbroken", "calls a function that cannot be resumed in the middle; after an interruption it starts over", unbroken),
			script.Scope("run.readings", "says how many readings come from here on, so that a person who reads the meter is told, as in reading 3 of 41; parts inside count too", foretellReadings),
			decideStep,
			script.Scope("run.decide_by", "works as run.decide, with a function that computes the choice and returns it; the function is not called where the run is computed again for its uncertainties, since the choice is on record: put long computations into it that nothing else needs", decideBy, script.Gives("the choice")),
			script.Scope("run.text_by", "returns the text that a function returns, for a note or a reason; where the run is computed again for its uncertainties, the function is not called, and the text is that of the run; put long computations into it that only words need", textBy),
			script.Scope("run.guard", "reads a control patch, to check later with guard:look() that it has not changed", guard),
			script.Scope("guard:look", "reads the control patch again if a check is due, and returns true if it was read; if it has changed, the readings since the last check that found it unchanged are set aside, and the run pauses", look),
			script.Pure("run.shuffle", "returns a list in a random order, which depends only on the run's seed and the name", shuffle),
		},
		Consts: []script.Const{
			{Name: "mode", Help: "mode of the unit at the start of this run, a text; empty if no mode was given; a picture mode that unit.set sets is recorded beside the readings and does not change it. Write run.mode without ()", Get: func(c *script.Call) any { return c.Host().Mode }},
			{Name: "simulated", Help: "true if the bench is simulated, otherwise false. Write run.simulated without ()", Get: func(c *script.Call) any { return c.Host().Simulated }},
		},
	}
}

type blockArgs struct {
	Name string           `lua:"name" pos:"1" most:"200" help:"name of the part in the journal"`
	Run  declare.Function `lua:"run" pos:"2" help:"the function to call: function() … end"`
	// Readings is not in the journal: it only tells a person how much is to come.
	Readings int `lua:"readings" default:"0" min:"0" max:"100000" help:"how many readings the part takes, so that a person who reads the meter is told, as in reading 3 of 41; 0: not known"`
}

type readingsArgs struct {
	Count  int  `lua:"count" pos:"1" min:"1" max:"1000000" help:"how many"`
	AtMost bool `lua:"at_most" default:"false" help:"true: there may be fewer, because the script decides by what is read"`
}

// foretellReadings says how many readings come. It is not in the journal: it only tells a person how much is to come.
func foretellReadings(c *script.Call, a readingsArgs) (script.None, error) {
	sceneOf(c).count = countOf{of: a.Count, atMost: a.AtMost}
	return script.None{}, nil
}

type unbrokenArgs struct {
	Name          string            `lua:"name" pos:"1" most:"200" help:"name of the part in the journal"`
	Run           declare.Function  `lua:"run" pos:"2" help:"the function to call: function() … end"`
	BeforeRestart *declare.Function `lua:"before_restart" help:"function() … end, called before run starts over, for example to let a half-done stress decay; it may take steps and record notes only"`
}

func part(c *script.Call, a blockArgs) (script.Passed, error) {
	s := sceneOf(c)
	if a.Readings > 0 { // else what is around it says how many there are
		outer := s.count
		s.count = countOf{of: a.Readings}
		defer func() { // what a part within a part reads counts for both
			outer.done += s.count.done
			s.count = outer
		}()
	}
	return within(c, a.Run, script.Stretch{Name: a.Name})
}

func unbroken(c *script.Call, a unbrokenArgs) (script.Passed, error) {
	return within(c, a.Run, unbrokenStretch(c, a.Name, a.BeforeRestart))
}

func within(c *script.Call, f declare.Function, s script.Stretch) (out script.Passed, err error) {
	err = enclose(c, s, func() error {
		out = c.Pass(f)
		return nil
	})
	return out, err
}

// unbrokenStretch is a stretch that is started over when it was interrupted.
func unbrokenStretch(c *script.Call, name string, before *declare.Function) script.Stretch {
	s := script.Stretch{Name: name, Unbroken: true}
	if before != nil {
		s.BeforeRestart = func(block int) error {
			return c.Interlude(fmt.Sprintf("before_restart %d", block), *before)
		}
	}
	return s
}

// enclose marks a stretch of the run. An error of the script inside passes
// through as a panic of the interpreter; the stretch is then over too.
func enclose(c *script.Call, stretch script.Stretch, inside func() error) error {
	stretch.At = c.Where()
	block, err := c.Door().Open(c.Context(), stretch)
	if err != nil {
		return err
	}
	s := sceneOf(c)
	s.parts = append(s.parts, stretch.Name)
	failed := true
	defer func() {
		s.parts = s.parts[:len(s.parts)-1]
		if failed && c.Context().Err() == nil {
			// Left by an error of the script, which goes on its way.
			_ = c.Door().Close(block, true)
		}
	}()
	if err := inside(); err != nil {
		return err
	}
	failed = false
	return c.Door().Close(block, false)
}

var decideStep = script.Step("run.decide", "records in the journal a choice that was made from readings, and returns it; a choice is the procedure's own, so what is returned has no error: decide words and counts by it, and not a number that was measured", decideLive, decideDerive,
	script.LeavesNothing(), script.Device(""), script.Checking(decideCheck))

type decideArgs struct {
	Name  string `lua:"name" pos:"1" help:"what is decided"`
	Value any    `lua:"value" pos:"2" match:"no" want:"a number, a word, true or false, or a table of them" help:"the choice that was made"`
}

type decision struct {
	Value any `json:"value"`
}

func decideCheck(a decideArgs) error {
	right := true
	switch x := a.Value.(type) {
	case nil, bool, string:
	case float64:
		right = !math.IsNaN(x) && !math.IsInf(x, 0)
	case declare.Named: // an object
		right = false
	default:
		_, err := json.Marshal(x) // nan and infinities
		right = err == nil
	}
	if !right {
		return &fault.ArgError{Arg: "value", Got: declare.Show(a.Value), Want: "a finite number, a word, true or false, or a table of them"}
	}
	return nil
}

func decideLive(_ context.Context, _ *script.Call, a decideArgs) (decision, error) {
	return decision{a.Value}, nil
}

type decideByArgs struct {
	Name string           `lua:"name" pos:"1" help:"what is decided"`
	By   declare.Function `lua:"by" pos:"2" help:"function() … end, which computes the choice and returns it: a number, a word, true or false, or a table of them; it takes no steps and records nothing"`
}

// decideBy asks the same step as run.decide, so that a script can change from the one to the other.
func decideBy(c *script.Call, a decideByArgs) (any, error) {
	choice := c.Compute("decide "+a.Name, a.By)
	if choice.Nothing() && !c.LeavesOut() {
		return nil, &fault.ArgError{Arg: "by", Got: "a function that returns nothing", Want: "one that returns the choice", Tip: "end it with: return …"}
	}
	return script.Hand[any](c, decideStep, a.Name, choice)
}

type textByArgs struct {
	By declare.Function `lua:"by" pos:"1" help:"function() … end, which returns the text; it takes no steps and records nothing"`
}

// saidTexts are what run.text_by returned in the execution before the draws, in order; nil where its function
// returned no text or failed.
type saidTexts struct{ said []*string }

// textBy gives, where functions are left out, what the same call gave before the draws: a script must not tell a draw from
// the run.
func textBy(c *script.Call, a textByArgs) (string, error) {
	s, d := sceneOf(c), c.Host().Draws
	call := s.texts
	s.texts++
	if d == nil {
		return textOf(c.Compute("text", a.By))
	}
	all := script.SharedState[saidTexts](d.Shared)
	if c.LeavesOut() {
		if call < len(all.said) && all.said[call] != nil {
			return *all.said[call], nil
		}
		return textOf(c.ComputeAlways("text", a.By))
	}
	if d.Number == script.Look {
		all.said = append(all.said, nil) // where the function fails, it stays nil
	}
	said, err := textOf(c.Compute("text", a.By))
	if d.Number == script.Look && err == nil {
		all.said[call] = &said
	}
	return said, err
}

func textOf(returned script.Passed) (string, error) {
	said, ok := returned.Text()
	if !ok {
		return "", &fault.ArgError{Arg: "by", Got: "a function that returns no text", Want: "one that returns a text", Tip: "end it with: return …"}
	}
	return said, nil
}

func decideDerive(c *script.Call, a decideArgs, w decision) (any, error) {
	if d := c.Host().Draws; d != nil && d.Asking {
		return askedNumbers(w.Value, a.Value), nil
	}
	return w.Value, nil
}

// askedNumbers is a choice that was kept, with the numbers that are asked for now: where both have one.
func askedNumbers(kept, asked any) any {
	switch k := kept.(type) {
	case float64:
		if x, ok := asked.(float64); ok {
			return x
		}
	case []any:
		if list, ok := asked.([]any); ok && len(list) == len(k) {
			out := make([]any, len(k))
			for i := range k {
				out[i] = askedNumbers(k[i], list[i])
			}
			return out
		}
	case map[string]any:
		if table, ok := asked.(map[string]any); ok {
			out := make(map[string]any, len(k))
			for name, x := range k {
				out[name] = askedNumbers(x, table[name])
			}
			return out
		}
	}
	return kept
}

type shuffleArgs struct {
	Name string          `lua:"name" pos:"1" help:"name of the random order; another name gives another order"`
	List []declare.Value `lua:"list" pos:"2" help:"the list to shuffle, which is not changed itself"`
}

// shuffle draws from a stream of its own for each name, so that an edit
// elsewhere cannot move it.
func shuffle(c *script.Call, a shuffleArgs) ([]declare.Value, error) {
	h := fnv.New64a()
	h.Write([]byte(a.Name))
	r := rand.New(rand.NewPCG(c.Host().Seed, h.Sum64()))
	list := a.List // made for this call
	r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	return list, nil
}
