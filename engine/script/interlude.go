package script

import (
	"errors"
	"hash/fnv"
	"reflect"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/declare"
)

// Pause describes a pause of the run to the procedure's on_resume.
type Pause struct {
	Seconds float64 `lua:"seconds" unit:"s" help:"how long the run was paused"`
	Reason  string  `lua:"reason" help:"reason of the pause, in words"`
}

// LuaName is what scripts call it.
func (Pause) LuaName() string { return "pause" }

// ErrInterlude refuses a result that on_resume or before_restart records:
// results must not depend on where the run was interrupted.
var ErrInterlude = errors.New("cannot be called here; on_resume and before_restart may take steps and record notes only")

// A Saver is state of a builtin, see [State], that on_resume must leave
// unchanged: the patch on the screen, and all other settings.
type Saver interface {
	// Save returns the function that restores the state.
	Save() (restore func())
}

// HasOnResume says whether the procedure has an on_resume.
func (rt *Runtime) HasOnResume() bool { return rt.contract.onResume != nil }

// OnResume calls the procedure's on_resume. It may take steps and record
// notes only, has its own random numbers, named by key, and leaves the state of
// builtins unchanged.
func (rt *Runtime) OnResume(params Params, p Pause, key string) error {
	for _, s := range rt.state {
		if s, ok := s.(Saver); ok {
			defer s.Save()()
		}
	}
	return rt.Interlude(key, func() error {
		_, err := rt.m.Call(rt.contract.onResume, 0, rt.paramsToLua(params), rt.toLua(reflect.ValueOf(&p)))
		return err
	})
}

// Interlude calls a part of the script that an uninterrupted run does not
// reach. It may take steps and record notes only. It has its own random numbers,
// so that the rest of the run gets the same ones as without it.
func (rt *Runtime) Interlude(key string, call func() error) error {
	h := fnv.New64a()
	h.Write([]byte(key))
	defer rt.m.Stream(rt.host.Seed ^ h.Sum64())()
	before := rt.interlude
	rt.interlude = true
	defer func() { rt.interlude = before }()
	return call()
}

// Interlude calls a function of the script as [Runtime.Interlude] does. An
// error in the script is returned, not raised again.
func (c *Call) Interlude(key string, f declare.Function) error {
	return c.rt.Interlude(key, func() error {
		_, err := c.rt.m.Call(f.Fn, 0)
		return err
	})
}

// ErrComputing is a step, a part or a result in a function that computes only.
var ErrComputing = errors.New("cannot be called here; a function that run.decide_by or run.text_by calls only computes and returns what it found; take steps and record results outside of it")

// LeavesOut says whether the execution leaves out functions that only compute what a draw can do without.
func (c *Call) LeavesOut() bool {
	d := c.rt.host.Draws
	return d != nil && d.Chosen
}

// Compute calls a function of the script that only computes, and gives what it returns. It has random numbers of its
// own, so that executions which leave it out go on with the same ones ([Draws.Chosen]); then it gives nothing. An error
// in the script passes through on its own.
func (c *Call) Compute(key string, f declare.Function) Passed {
	if c.LeavesOut() {
		return Passed{}
	}
	return c.ComputeAlways(key, f)
}

// ComputeAlways is Compute, also where such functions are left out.
func (c *Call) ComputeAlways(key string, f declare.Function) Passed {
	if d := c.rt.host.Draws; d != nil {
		d.Shared.computed.Store(true)
	}
	h := fnv.New64a()
	h.Write([]byte(key))
	defer c.rt.m.Stream(c.rt.host.Seed ^ h.Sum64())()
	before := c.rt.computing
	c.rt.computing = true
	defer func() { c.rt.computing = before }()
	return c.Pass(f)
}

// Hand lets a scope call another builtin with a text and the first value that a function of the script returned. It
// is checked as if the script had handed it over.
func Hand[R any](c *Call, f *Func, text string, p Passed) (r R, err error) {
	value := lua.LValue(lua.LFalse) // stands for what is left out
	if len(p.values) > 0 {
		value = p.values[0]
	}
	a, err := c.rt.decode(f, []lua.LValue{lua.LString(text), value}, nil)
	if err != nil {
		return r, err
	}
	d := *c
	d.fn, d.device = f, f.device
	v, err := f.invoke(&d, a)
	if err == nil {
		r, _ = v.Interface().(R) // nil has no type
	}
	return r, err
}

// place tells a step that was just answered by its place in a run that was not
// interrupted, see [Call.Place].
func (rt *Runtime) place(step int) int {
	if rt.interlude {
		rt.extra++
		return -step
	}
	return step - rt.extra
}

// refuseResults refuses, during an interlude, every output but a note.
func (rt *Runtime) refuseResults(f *Func) error {
	if rt.interlude && f.Class == ClassOutput && f.Name != "record.note" {
		return ErrInterlude
	}
	return nil
}
