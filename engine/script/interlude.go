package script

import (
	"errors"
	"hash/fnv"
	"reflect"

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
