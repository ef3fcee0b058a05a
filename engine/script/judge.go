package script

import (
	"reflect"
	"slices"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/fault"
)

// What a source writes, for those who judge it without executing it: nil, a bool, a float64 or a string as such, and these.
type (
	// Unknown is a value that only an execution gives.
	Unknown struct{}
	// Kind is a value of which only the kind is known: "number", "text" or "table".
	Kind string
	// Code is a function.
	Code struct{}
	// Object is something that a builtin gave, by its type.
	Object struct{ Type reflect.Type }
	// Written is a table that is written out: a list, and values with names.
	Written struct {
		List  []any
		Names []string
		Named []any
	}
)

// judged turns what is written into a value of Lua, as far as it is known.
func judged(x any) lua.LValue {
	switch x := x.(type) {
	case nil:
		return lua.LNil
	case bool:
		return lua.LBool(x)
	case float64:
		return lua.LNumber(x)
	case string:
		return lua.LString(x)
	case Kind:
		return map[Kind]lua.LValue{"number": declare.UnknownNumber, "text": declare.UnknownText, "table": declare.UnknownTable}[x]
	case Code:
		return &lua.LFunction{}
	case Object:
		return &lua.LUserData{Value: reflect.New(x.Type).Interface(), Metatable: lua.LNil}
	case *Written:
		t := &lua.LTable{Metatable: lua.LNil}
		for i, v := range x.List {
			t.RawSetInt(i+1, judged(v))
		}
		for i, name := range x.Names {
			t.RawSetString(name, judged(x.Named[i]))
		}
		return t
	}
	return declare.Unknown
}

// known says whether all of what is written is known.
func known(x any) bool {
	switch x := x.(type) {
	case nil, bool, float64, string:
		return true
	case *Written:
		return !slices.ContainsFunc(x.List, func(v any) bool { return !known(v) }) && !slices.ContainsFunc(x.Named, func(v any) bool { return !known(v) })
	}
	return false
}

// Judge says what is wrong with the arguments of a call as far as they are known, in the words of the error that the call would raise.
// The first argument of a method is its object. The second result is what the step would ask of its device, where all is known.
func (f *Func) Judge(args []any) (request any, err error) {
	in := &declare.Intake{Limits: declare.Limits{Text: mostText, Bytes: mostOf(f.Class)}}
	all := make([]lua.LValue, len(args))
	whole := true
	for i, x := range args {
		all[i] = judged(x)
		whole = whole && known(x)
	}
	v, err := f.args.Judge(in, all, false)
	if wrong, ok := err.(*fault.ArgError); ok && wrong.Got == declare.WithDot {
		wrong.Tip = "write a colon between the object and its method, as in my_" + f.Name
	}
	if err == nil && whole && f.judge != nil {
		request, err = f.judge(v)
	}
	if err != nil {
		return nil, &CallError{Name: f.Name, Err: err}
	}
	return request, nil
}

// judging is what a step's own checks say of arguments that are all known, and what it would ask.
func judging[A any](check func(*Call, A) error, request func(A) (any, error)) func(reflect.Value) (any, error) {
	return func(v reflect.Value) (asked any, err error) {
		a := v.Interface().(A)
		if check != nil {
			err = check(&Call{rt: &Runtime{}}, a)
		}
		if err == nil && request != nil {
			asked, err = request(a)
		}
		return asked, err
	}
}

// JudgeTable says what is wrong with the fields of a table that a file declares, such as procedure { … }, as far as they are known.
func JudgeTable(p *declare.Plan, word string, x *Written) error {
	in := &declare.Intake{Limits: declare.Limits{Text: mostText, Bytes: mostContract}}
	if _, err := p.Judge(in, []lua.LValue{judged(x)}, true); err != nil {
		return &CallError{Name: word, Err: err}
	}
	return nil
}

// ContractPlan is what procedure { … } is declared as, ParamPlan what each of its params is.
func ContractPlan() *declare.Plan { return declare.For(reflect.TypeFor[contractArgs]()) }

// ParamPlan is what each of the params of a procedure is declared as.
func ParamPlan() *declare.Plan { return declare.For(reflect.TypeFor[paramArgs]()) }

// Device is the place on the bench that a step speaks to.
func (f *Func) Device() string { return f.device }

// Given is the type of what the script gets.
func (f *Func) Given() reflect.Type { return f.given }

// Object is the type whose method this is, nil for a function.
func (f *Func) Object() reflect.Type { return f.object }

// Method is the name by which a script calls it of its module or object.
func (f *Func) Method() string { return f.method() }

// Members are the names of what is in the module.
func (m *Module) Members() []string { return m.members() }

// Lacks says what needs must state for a step on a device, nil where they state it. request is what the step asks, nil where that is not
// known.
func Lacks(stated bench.Needs, device string, request any) error {
	if !slices.Contains(deviceNames, device) {
		return nil
	}
	return lacking(stated, device, request)
}
