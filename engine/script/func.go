package script

import (
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"candelua/engine/declare"
)

// Class says what a builtin is to the engine.
type Class string

// The classes of builtins.
const (
	ClassPure   Class = "pure"   // computed from its arguments; never journaled
	ClassStep   Class = "step"   // touches the world; journaled
	ClassOutput Class = "output" // says a result
	ClassScope  Class = "scope"  // calls back into the script; never a step itself
)

// Func is the one declaration of a builtin. The binding to Lua, the checks of
// its arguments, the journal's encoding and the reference page come from it.
type Func struct {
	Name  string // "meter.read"; a method is "table:add"
	Class Class
	Help  string // one line
	args  *declare.Plan
	given reflect.Type // what the script gets
	gives string       // what it gets, in words, where the type does not say it
	// device is the place on the bench that a step speaks to.
	device string
	// object is the type whose method this is, nil for a function.
	object reflect.Type
	// invoke is given addressable arguments, which are its own from then on, and
	// gives an addressable result, which it keeps nothing of.
	invoke func(*Call, reflect.Value) (reflect.Value, error)
	// differing and show compare and write arguments as a step's [Ask] says.
	differing     func(recorded, asked json.RawMessage) ([]string, error)
	show          func(json.RawMessage) string
	request       any // func(A) (any, error)
	hidden        bool
	leavesNothing bool
	check         any // func(*Call, A) error
	cost          any // func(*Call, A) int64
	// judge is what the step's own checks say of arguments, and what it would ask of its device.
	judge func(reflect.Value) (any, error)
}

// Option completes a declaration.
type Option func(*Func)

// Device names the place on the bench that a step speaks to; it is part of
// what a step is matched by. Without it, it is the module's name.
func Device(name string) Option { return func(f *Func) { f.device = name } }

// Requesting says what a step asks of its device, as the device takes it, so that
// the engine knows what the step left there.
func Requesting[A any](fn func(A) (any, error)) Option {
	return func(f *Func) { f.request = fn }
}

// LeavesNothing says that a step asks no device for anything that the engine would
// have to put back, or a simulated world to live through: a question, a choice.
func LeavesNothing() Option { return func(f *Func) { f.leavesNothing = true } }

// Checking refuses arguments that do not go together, before a step is asked:
// a wrong call is the script's mistake, not a step that failed.
func Checking[A any](fn func(A) error) Option {
	return CheckingBy(func(_ *Call, a A) error { return fn(a) })
}

// CheckingBy is [Checking] by the rules of the run, where older ones took what is refused now.
func CheckingBy[A any](fn func(*Call, A) error) Option { return func(f *Func) { f.check = fn } }

// Costing says how much work a call is, beyond what its arguments and its result are
// charged for, in instructions. It is charged before the call. Runs by rules before 4 are
// not charged for it.
func Costing[A any](fn func(*Call, A) int64) Option { return func(f *Func) { f.cost = fn } }

// Hidden takes a builtin out of the reference page. A builtin is never removed,
// since the scripts of old runs call it.
func Hidden() Option { return func(f *Func) { f.hidden = true } }

// Plan is what the builtin's arguments are declared as.
func (f *Func) Plan() *declare.Plan { return f.args }

// IsHidden says whether the builtin is there for old scripts alone.
func (f *Func) IsHidden() bool { return f.hidden }

// Gives says in words what the script gets, where the type of the result is any.
func Gives(words string) Option { return func(f *Func) { f.gives = words } }

// None is the type of what is not there: no arguments, no samples, no result.
type None struct{}

func newFunc[A, R any](name string, class Class, help string, opts []Option) *Func {
	f := &Func{Name: name, Class: class, Help: help, args: declare.For(reflect.TypeFor[A]()), given: reflect.TypeFor[R]()}
	f.differing, f.show = f.args.Differing, func(raw json.RawMessage) string { return name + f.args.Show(raw) }
	f.device, _, _ = strings.Cut(name, ".")
	if f.args.Self >= 0 {
		f.object = f.args.Fields[f.args.Self].Typ.Elem()
	}
	for _, o := range opts {
		o(f)
	}
	if _, right := f.cost.(func(*Call, A) int64); f.cost != nil && !right {
		panic(fmt.Sprintf("script: %s: Costing has other arguments than the function", name))
	}
	return f
}

// spend charges what a call costs by its declaration.
func spend[A any](c *Call, f *Func, a A) {
	if cost, ok := f.cost.(func(*Call, A) int64); ok {
		c.rt.charge(cost(c, a))
	}
}

// Pure declares a function that is computed from its arguments alone.
func Pure[A, R any](name, help string, fn func(*Call, A) (R, error), opts ...Option) *Func {
	return direct(name, ClassPure, help, fn, opts)
}

// Output declares a function that says a result.
func Output[A, R any](name, help string, fn func(*Call, A) (R, error), opts ...Option) *Func {
	return direct(name, ClassOutput, help, fn, opts)
}

// Scope declares a function that calls back into the script, with
// [Call.Pass].
func Scope[A, R any](name, help string, fn func(*Call, A) (R, error), opts ...Option) *Func {
	return direct(name, ClassScope, help, fn, opts)
}

// Perform lets a scope use another builtin, as if the script had called it.
func Perform[R, A any](c *Call, f *Func, a A) (r R, err error) {
	d := *c
	d.fn = f
	if f.device != c.fn.device { // else it stays with the device that the script named
		d.device = f.device
	}
	v, err := f.invoke(&d, reflect.ValueOf(&a).Elem())
	if err != nil {
		return r, err
	}
	return v.Interface().(R), nil
}

func direct[A, R any](name string, class Class, help string, fn func(*Call, A) (R, error), opts []Option) *Func {
	f := newFunc[A, R](name, class, help, opts)
	f.invoke = func(c *Call, v reflect.Value) (reflect.Value, error) {
		a := *v.Addr().Interface().(*A)
		spend(c, f, a)
		r, err := fn(c, a)
		return reflect.ValueOf(&r).Elem(), err
	}
	return f
}

// Step declares a contact with the world. live is the only code that touches
// it; what it returns is journaled raw. derive makes of that what the script is
// given, on a live run and on every replay alike.
func Step[A, W, R any](name, help string,
	live func(context.Context, *Call, A) (W, error),
	derive func(*Call, A, W) (R, error), opts ...Option,
) *Func {
	return Sampling(name, help,
		func(ctx context.Context, c *Call, a A, _ func(None) error) (W, error) { return live(ctx, c, a) },
		func(c *Call, a A, w W, _ []None) (R, error) { return derive(c, a, w) }, opts...)
}

// Sampling declares a step that takes single readings on its way: each is
// journaled as it comes, so that none is lost.
func Sampling[A, S, W, R any](name, help string,
	live func(context.Context, *Call, A, func(S) error) (W, error),
	derive func(*Call, A, W, []S) (R, error), opts ...Option,
) *Func {
	f := newFunc[A, R](name, ClassStep, help, opts)
	request, _ := f.request.(func(A) (any, error))
	if f.request != nil && request == nil {
		panic(fmt.Sprintf("script: %s: Requesting has other arguments than the step", name))
	}
	if (f.request == nil) != f.leavesNothing {
		panic(fmt.Sprintf("script: %s: a step says what it asks of its device, with Requesting, or that it LeavesNothing", name))
	}
	check, _ := f.check.(func(*Call, A) error)
	if f.check != nil && check == nil {
		panic(fmt.Sprintf("script: %s: Checking has other arguments than the step", name))
	}
	f.judge = judging(check, request)
	f.invoke = func(c *Call, v reflect.Value) (reflect.Value, error) {
		a := v.Addr().Interface().(*A)
		spend(c, f, *a)
		if check != nil {
			if err := check(c, *a); err != nil {
				return reflect.Zero(reflect.TypeFor[R]()), err
			}
		}
		var asks func() (any, error)
		if request != nil {
			asks = func() (any, error) { return request(*a) }
		}
		if err := c.needed(asks); err != nil {
			return reflect.Zero(reflect.TypeFor[R]()), err
		}
		ask := c.ask(f)
		ask.Request = asks
		ask.Live = func(ctx context.Context, k *Contact) (json.RawMessage, error) {
			w, err := live(ctx, c.with(k), *a, func(s S) error { return k.take(s) })
			if err != nil {
				return nil, err
			}
			raw, err := json.Marshal(w)
			return raw, tooLarge("the answer", raw, err)
		}
		var r R
		kept, err := c.step(ask, v)
		if err != nil {
			return reflect.ValueOf(&r).Elem(), err
		}
		w, samples, err := unpack[W, S](kept)
		if err == nil {
			r, err = derive(c, *a, w, samples)
		}
		return reflect.ValueOf(&r).Elem(), err
	}
	return f
}

func unpack[W, S any](k Kept) (w W, samples []S, err error) {
	if k.Memo == nil {
		return decodeKept[W, S](k)
	}
	if d, ok := k.Memo.v.Load().(*decoded[W, S]); ok {
		return d.w, d.samples, nil
	}
	if w, samples, err = decodeKept[W, S](k); err == nil {
		k.Memo.v.Store(&decoded[W, S]{w, samples})
	}
	return w, samples, err
}

func decodeKept[W, S any](k Kept) (w W, samples []S, err error) {
	if err = json.Unmarshal(k.Answer, &w); err != nil {
		return w, nil, fmt.Errorf("the journal's answer to step %d cannot be read: %w", k.Number, err)
	}
	if len(k.Samples) == 0 {
		return w, nil, nil
	}
	samples = make([]S, len(k.Samples))
	for i, raw := range k.Samples {
		if err = json.Unmarshal(raw, &samples[i]); err != nil {
			return w, nil, fmt.Errorf("the journal's sample %d of step %d cannot be read: %w", i+1, k.Number, err)
		}
	}
	return w, samples, nil
}

// method is a method's name without its object's.
func (f *Func) method() string {
	if _, name, ok := strings.Cut(f.Name, ":"); ok {
		return name
	}
	_, name, _ := strings.Cut(f.Name, ".")
	return name
}

// Module is a set of builtins under one name. It is itself a plugin: the
// command line hands over those that scripts shall see.
type Module struct {
	Name   string
	Help   string
	Funcs  []*Func // functions, and methods of the objects that they give
	Consts []Const
}

// Shown are the functions that the reference page, completion and suggestions name: all but
// those that are [Hidden].
func (m *Module) Shown() []*Func {
	return slices.DeleteFunc(slices.Clone(m.Funcs), (*Func).IsHidden)
}

// Const is a field of a module, the same for the whole of a run.
type Const struct {
	Name string
	Help string
	Get  func(*Call) any
}

// Bound is a module that speaks to another device than its own; given to a
// script it is used like the module.
type Bound struct {
	Module string
	Device string
}
