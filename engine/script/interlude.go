package script

import (
	"errors"
	"hash/fnv"
	"reflect"

	"candelua/engine/declare"
)

// Pause is what a procedure's on_resume is told of how the run stood still.
type Pause struct {
	Seconds float64 `lua:"seconds" unit:"s" help:"how long the run stood still"`
	Reason  string  `lua:"reason" help:"why, in words"`
}

// LuaName is what scripts call it.
func (Pause) LuaName() string { return "pause" }

// ErrInterlude is a result that was recorded while a run was being taken up
// again: what is concluded must not depend on where it was interrupted.
var ErrInterlude = errors.New("is called while the run is being taken up again; on_resume and before_restart make steps and notes, and no other results")

// A Saver is state of a builtin, see [State], that on_resume must leave as it
// was: what is on the screen, and how all else was set.
type Saver interface {
	// Save returns what puts it back.
	Save() (restore func())
}

// HasOnResume says whether the procedure states what must be done before a run
// that stood still goes on.
func (rt *Runtime) HasOnResume() bool { return rt.contract.onResume != nil }

// OnResume calls the procedure's on_resume. It makes steps and notes and no
// other results, has a stream of chance of its own, named by key, and leaves
// the state of builtins as it was.
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
// reach. It makes steps and notes and no other results, and has a stream of
// chance of its own, so that the rest of the run has the numbers that it would
// have had without it.
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
// error in the script is given back, not passed through.
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

// refuseResults refuses, during an interlude, what says a result.
func (rt *Runtime) refuseResults(f *Func) error {
	if rt.interlude && f.Class == ClassOutput && f.Name != "record.note" {
		return ErrInterlude
	}
	return nil
}
