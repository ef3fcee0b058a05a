package script

import (
	"context"
	"fmt"
	"reflect"
	"sync"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/fault"
	"candelua/engine/sandbox"
)

// Program is a script that was read and compiled, with the modules it may use.
type Program struct {
	File    string // its name in messages
	proto   *lua.FunctionProto
	loader  sandbox.Loader
	limits  sandbox.Limits
	modules []*Module
	byName  map[string]*Module
	methods map[reflect.Type][]*Func
	library sandbox.Library // of what it requires
	inside  func() map[string][]string
}

// Compile reads a script. It refuses source that is too large, too deeply
// nested, not Lua, or that the interpreter is known to compile wrongly.
func Compile(file string, src []byte, loader sandbox.Loader, modules []*Module) (*Program, error) {
	return CompileBy(0, file, src, loader, modules)
}

// rulesOfOperators are those since which the sandbox computes as Lua 5.1 does, and not as the
// library for it does.
const rulesOfOperators = 4

// CompileBy is Compile for a script that computes by the rules of its run; 0: by today's.
func CompileBy(rules int, file string, src []byte, loader sandbox.Loader, modules []*Module) (*Program, error) {
	p := &Program{File: file, loader: loader, limits: sandbox.DefaultLimits(), modules: modules,
		byName: map[string]*Module{}, methods: map[reflect.Type][]*Func{}}
	p.limits.Before4 = rules > 0 && rules < rulesOfOperators
	for _, m := range modules {
		if p.byName[m.Name] != nil {
			panic("script: two modules are called " + m.Name)
		}
		p.byName[m.Name] = m
		for _, f := range m.Funcs {
			if f.object != nil {
				p.methods[f.object] = append(p.methods[f.object], f)
			}
		}
	}
	p.inside = sync.OnceValue(p.insideModules)
	proto, err := sandbox.Compile(file, src, p.limits)
	if err != nil {
		return nil, err
	}
	p.proto = proto
	return p, nil
}

// insideModules gives what modules and objects hold by its bare name, for the errors of unknown names.
func (p *Program) insideModules() map[string][]string {
	inside := map[string][]string{}
	for _, m := range p.modules {
		for _, f := range m.Shown() {
			inside[f.method()] = append(inside[f.method()], f.Name)
		}
		for _, k := range m.Consts {
			inside[k.Name] = append(inside[k.Name], m.Name+"."+k.Name)
		}
	}
	return inside
}

// Runtime is one execution of a program.
type Runtime struct {
	program    *Program
	m          *sandbox.Machine
	ctx        context.Context
	host       Host
	contract   *Contract
	loading    bool
	interlude  bool // being taken up again: steps and notes only
	computing  bool // in a function that computes only, see [Call.Compute]
	settling   bool // the engine itself asks for the contract's settings
	extra      int  // steps so far that an uninterrupted run lacks
	state      map[reflect.Type]any
	metatables map[reflect.Type]*lua.LTable
	bound      map[Bound]*lua.LTable
	args       []lua.LValue // of the call that is being decoded, for the next one to reuse
	texts      int          // bytes of text in all results so far
	charged    int64        // work of builtins so far, in instructions
	asked      int          // bytes that all steps and parts were given so far
}

// Start loads the script in a new machine and reads its contract. Nothing of
// the world is touched: a step asked while loading is refused.
func (p *Program) Start(ctx context.Context, h Host) (*Runtime, error) {
	if h.Print == nil {
		h.Print = func(string) {}
	}
	rt := &Runtime{program: p, host: h, loading: true, state: map[reflect.Type]any{},
		metatables: map[reflect.Type]*lua.LTable{}, bound: map[Bound]*lua.LTable{}}
	rt.m = sandbox.New(ctx, p.limits, printing(h.Print), h.Seed)
	rt.ctx = rt.m.Context()
	rt.m.SetGlobal("trial", rt.m.L.NewFunction(otherKind("a trial, not a procedure", "candelua trial FILE")))
	for _, m := range p.modules {
		rt.m.SetGlobal(m.Name, rt.bind(m.Name, ""))
	}
	rt.m.SetGlobal("procedure", rt.m.L.NewFunction(rt.declare))
	rt.m.Inside(p.inside)
	rt.m.Requires(p.loader, &p.library)
	out, err := rt.m.Call(rt.m.Load(p.proto), 1)
	if err == nil {
		err = rt.readContract(out)
	}
	if err != nil {
		rt.Close()
		return nil, rt.shortened(err)
	}
	rt.loading = false
	return rt, nil
}

func (rt *Runtime) readContract(out []lua.LValue) error {
	if len(out) == 1 {
		if ud, ok := out[0].(*lua.LUserData); ok {
			if c, ok := ud.Value.(*Contract); ok {
				rt.contract = c
				return nil
			}
		}
	}
	return &sandbox.Error{File: rt.program.File, Message: "the script does not return a procedure",
		Err: &fault.ArgError{Arg: "the script", Got: "does not return a procedure", Tip: "end it with: return procedure { title = …, run = function(p) … end }"}}
}

// Contract is what the procedure states of itself.
func (rt *Runtime) Contract() *Contract { return rt.contract }

// Stop ends the execution; the script cannot catch it, and the first cause
// wins.
func (rt *Runtime) Stop(cause error) { rt.m.Stop(cause) }

// Context is done when the execution is stopped.
func (rt *Runtime) Context() context.Context { return rt.ctx }

// Refill is called when script time moves: the script may again work as long
// as its budget says without a contact with the world.
func (rt *Runtime) Refill() { rt.m.Refill() }

// Charge counts n units of work against the budget of work without contact.
func (rt *Runtime) Charge(n int64) {
	rt.charged += n
	rt.m.Charge(n)
}

// Charged is the work that was charged so far for what builtins did. It follows from the script
// and the answers alone, unlike the budget, from which instructions that take long take more.
func (rt *Runtime) Charged() int64 { return rt.charged }

// charge is Charge for work that runs by older rules were not charged for: what such a run
// got through, its replay gets through too.
func (rt *Runtime) charge(n int64) {
	if !rt.lenient() {
		rt.Charge(n)
	}
}

// Work is how much work was counted since the start, in units of about one instruction. It is the
// same wherever the same is executed.
func (rt *Runtime) Work() int64 { return rt.m.Work() }

// Close frees the machine.
func (rt *Runtime) Close() { rt.m.Close() }

// Run puts the settings that the procedure requires and then calls its run
// function with the parameters.
func (rt *Runtime) Run(params Params) error {
	if len(rt.contract.Settings) > 0 {
		if err := rt.putSettings(); err != nil {
			return err
		}
	}
	_, err := rt.m.Call(rt.contract.run, 0, rt.paramsToLua(params))
	return rt.shortened(err)
}

// putSettings asks for the required settings as the script itself would, by
// the same door and as the run's first step.
func (rt *Runtime) putSettings() error {
	f := rt.program.find("unit.set")
	if f == nil {
		return fmt.Errorf("%s: it requires settings, but nothing here can set them", rt.program.File)
	}
	t := rt.toLua(reflect.ValueOf(rt.contract.Settings))
	rt.settling = true
	_, err := rt.m.Call(rt.function(f, "", nil), 0, t)
	rt.settling = false
	return err
}

func (p *Program) find(name string) *Func {
	for _, m := range p.modules {
		for _, f := range m.Funcs {
			if f.Name == name {
				return f
			}
		}
	}
	return nil
}
