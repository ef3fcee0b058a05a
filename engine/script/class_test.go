package script

import (
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/sandbox"
)

var errJammed = errors.New("the shutter is jammed")

// codedError is a device's error, with a code that scripts can tell it by.
type codedError struct{}

func (codedError) Error() string { return "the shutter is stuck" }
func (codedError) Code() string  { return "stuck" }
func (codedError) Hint() string  { return "turn it by hand" }
func (codedError) Unwrap() error { return errJammed }

type stepArgs struct {
	Kind string           `lua:"kind" pos:"1" default:"fine" one_of:"fine|plain|stuck|panic"`
	Fn   declare.Function `lua:"fn" pos:"2" optional:"true"`
}

type raw struct {
	N int `json:"n"`
}

func classModule() *Module {
	live := func(_ context.Context, _ *Call, a stepArgs, emit func(float64) error) (raw, error) {
		switch a.Kind {
		case "plain":
			return raw{}, errJammed
		case "stuck":
			return raw{}, codedError{}
		case "panic":
			panic("index out of range")
		}
		return raw{3}, errors.Join(emit(1), emit(2))
	}
	derive := func(c *Call, _ stepArgs, w raw, samples []float64) (float64, error) {
		return float64(w.N*100+len(samples)*10) + float64(c.Number()), nil
	}
	return &Module{Name: "rig", Funcs: []*Func{
		Sampling("rig.step", "", live, derive, LeavesNothing()),
		Step("rig.checked", "", func(context.Context, *Call, stepArgs) (None, error) { return None{}, nil },
			func(*Call, stepArgs, None) (None, error) { return None{}, nil },
			Checking(func(a stepArgs) error {
				if a.Kind == "plain" {
					return &fault.ArgError{Arg: "kind", Got: "plain", Want: "another one"}
				}
				return nil
			}), LeavesNothing()),
		Pure("rig.pure", "", func(_ *Call, a stepArgs) (float64, error) {
			if a.Kind == "panic" {
				panic("nil map")
			}
			return 5, nil
		}),
		Output("rig.say", "", func(*Call, None) (None, error) { return None{}, nil }),
		Scope("rig.scope", "", func(c *Call, a stepArgs) (Passed, error) { return c.Pass(a.Fn, 1.5, "x"), nil }),
		Scope("rig.ends", "", func(c *Call, a stepArgs) (bool, error) { return c.Pass(a.Fn).False(), nil }),
	}}
}

func TestLoading(t *testing.T) {
	for _, c := range []struct{ src, name string }{
		{"rig.step()", "rig.step"},
		{"pcall(rig.step) rig.say()", "rig.say"}, // a caught one is no step either
		{"rig.scope('fine', function() end)", "rig.scope"},
	} {
		p := play(t, "a.lua", c.src+"\n"+inRun(""), classModule())
		failed(t, p.err, "a.lua:1: "+c.name+": cannot be called while the script is loading; call it inside run", "")
		if !errors.Is(p.err, ErrLoading) || len(p.door.asked) > 0 {
			t.Errorf("%v: %d steps were asked", p.err, len(p.door.asked))
		}
	}
	p := play(t, "a.lua", "local five = rig.pure()\n"+inRun("print(five, rig.step())"), classModule())
	if p.err != nil || p.printed.String() != "5\t321\n" {
		t.Errorf("a pure call while loading: %v, %q", p.err, p.printed.String())
	}
}

func TestStep(t *testing.T) {
	p := play(t, "a.lua", inRun("rig.step()\n  print(rig.step('fine'))"), classModule())
	if p.err != nil || p.printed.String() != "322\n" {
		t.Errorf("%v, printed %q", p.err, p.printed.String())
	}
	a := p.door.asked[1]
	if a.Name != "rig.step" || a.Device != "rig" || a.At != "a.lua:3" || string(a.Args) != `{"kind":"fine"}` {
		t.Errorf("asked %+v", a)
	}
	if k := p.door.kept[1]; string(k.Answer) != `{"n":3}` || len(k.Samples) != 2 || string(k.Samples[1]) != "2" {
		t.Errorf("kept %+v", k)
	}
	if got := a.Show([]byte(`{"kind":"plain"}`)); got != `rig.step{kind="plain"}` {
		t.Errorf("shown as %s", got)
	}
}

// A wrong call is the script's mistake and no step that failed.
func TestChecking(t *testing.T) {
	p := play(t, "a.lua", inRun("rig.checked('fine') rig.checked('plain')"), classModule())
	failed(t, p.err, "a.lua:2: rig.checked: kind is plain; it must be another one", "")
	if len(p.door.asked) != 1 {
		t.Errorf("%d steps were asked, want 1", len(p.door.asked))
	}
}

// damagedDoor answers what no step of ours answers.
type damagedDoor struct {
	fakeDoor
	kept Kept
}

func (d *damagedDoor) Step(context.Context, Ask) (Kept, error) { return d.kept, nil }

func TestDamagedAnswers(t *testing.T) {
	for want, kept := range map[string]Kept{
		"the journal's answer to step 4 cannot be read":   {Number: 4, Answer: []byte(`"x"`)},
		"the journal's sample 2 of step 4 cannot be read": {Number: 4, Answer: []byte(`{}`), Samples: []json.RawMessage{[]byte("1"), []byte(`"x"`)}},
	} {
		program, err := Compile("a.lua", []byte(inRun("rig.step()")), nil, []*Module{classModule()})
		if err != nil {
			t.Fatal(err)
		}
		rt, err := program.Start(t.Context(), Host{Door: &damagedDoor{kept: kept}})
		if err != nil {
			t.Fatal(err)
		}
		if err := rt.Run(nil); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error is %v, want %s", err, want)
		}
		rt.Close()
	}
}

func TestStepErrors(t *testing.T) {
	p := play(t, "a.lua", inRun("rig.step('stuck')"), classModule())
	failed(t, p.err, "a.lua:2: rig.step: the shutter is stuck", "turn it by hand")
	var step *StepError
	var coded codedError
	if !errors.Is(p.err, errJammed) || !errors.As(p.err, &step) || step.Step != 1 || !errors.As(p.err, &coded) || fault.CodeOf(p.err) != "stuck" {
		t.Errorf("%v has lost its cause", p.err)
	}
	p = play(t, "a.lua", inRun(`
local ok, e = pcall(rig.step, "stuck")
print(ok, e.code, e.hint, e.message, e)
ok, e = pcall(rig.step, "plain")
print(ok, e.code, e.message)
ok, e = pcall(rig.step, 5)
print(e.code, e.message)
error(e)`), classModule())
	want := "false\tstuck\tturn it by hand\trig.step: the shutter is stuck\trig.step: the shutter is stuck\n" +
		"false\terror\trig.step: the shutter is jammed\n" +
		"argument\trig.step: kind is 5; it must be one of \"fine\", \"plain\", \"stuck\", \"panic\"\n"
	if p.printed.String() != want {
		t.Errorf("printed\n%s, want\n%s", p.printed.String(), want)
	}
	var arg *fault.ArgError
	if !errors.As(p.err, &arg) {
		t.Errorf("thrown again, %v has lost its cause", p.err)
	}
}

// A panic in our own code ends the run, whatever the script tries, and shows
// no Go trace.
func TestPanicsEndTheRun(t *testing.T) {
	for _, src := range []string{
		"rig.step('panic')", "rig.pure('panic')", "pcall(rig.pure, 'panic') print('went on')",
		"rig.scope('fine', function() pcall(rig.step, 'panic') end) print('went on')",
	} {
		p := play(t, "a.lua", inRun(src), classModule())
		if !errors.Is(p.err, fault.ErrInternal) || strings.Contains(p.err.Error(), "goroutine") || strings.Contains(p.err.Error(), ".go:") {
			t.Errorf("%s ends with %v", src, p.err)
		}
		if p.printed.Len() > 0 {
			t.Errorf("%s went on", src)
		}
	}
}

func TestScopes(t *testing.T) {
	p := play(t, "a.lua", inRun(`
print(rig.scope("fine", function(a, b) return a, b, nil, rig.step() end))
print(select("#", rig.scope("fine", function() end)))
for _, x in ipairs { false, true, 0 } do print(rig.ends("fine", function() return x end)) end
print(rig.ends("fine", function() return rig end), rig.ends("fine", function() end))
local n = 0
local function count() n = n + 1 end
print(pcall(rig.scope, "fine", function() count() error({ message = "mine" }) end))
count()
print(n)
rig.scope("fine", function() error("out") end)`), classModule())
	want := "1.5\tx\tnil\t321\n0\ntrue\nfalse\nfalse\nfalse\tfalse\nfalse\ttable: 1\n2\n"
	if got := p.printed.String(); got != want {
		t.Errorf("printed\n%s, want\n%s", got, want)
	}
	failed(t, p.err, "a.lua:12: out", "")
}

// Each call counts, so a loop of calls that touch nothing ends.
func TestCallsAreCharged(t *testing.T) {
	for name, body := range map[string]string{
		"calls":  "while true do rig.pure() end",
		"caught": "while true do pcall(rig.pure) end",
		"values": "local t = {} for i = 1, 100000 do t[i] = i end while true do lamp.set { list = t } end",
		"scopes": "while true do rig.scope('fine', function() end) end",
	} {
		program, err := Compile("a.lua", []byte(inRun(body)), nil, []*Module{classModule(), everyModule(new(everyArgs))})
		if err != nil {
			t.Fatal(err)
		}
		program.limits.Instructions = 5_000_000
		rt, err := program.Start(t.Context(), Host{Door: &fakeDoor{}})
		if err != nil {
			t.Fatal(err)
		}
		if err := rt.Run(nil); !errors.Is(err, sandbox.ErrBudget) {
			t.Errorf("%s: %v", name, err)
		}
		rt.Close()
	}
}

// Within a bubble no time passes, so that a busy machine adds nothing.
func TestCostOfACall(t *testing.T) {
	synctest.Test(t, costOfACall)
}

func costOfACall(t *testing.T) {
	program, err := Compile("a.lua", []byte(inRun("for i = 1, 1000 do rig.pure() end")), nil, []*Module{classModule()})
	if err != nil {
		t.Fatal(err)
	}
	rt, err := program.Start(t.Context(), Host{Door: &fakeDoor{}})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		rt.Close()
		time.Sleep(time.Second) // of the bubble: the watchdog must be asleep before the bubble ends
	}()
	before := rt.m.Left()
	if err := rt.Run(nil); err != nil {
		t.Fatal(err)
	}
	if used := before - rt.m.Left(); used < 1000*callCost || used > 1000*(callCost+30) {
		t.Errorf("a thousand calls used %d of the budget, want about %d", used, 1000*callCost)
	}
}
