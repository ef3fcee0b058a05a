package sandbox

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	lua "github.com/yuin/gopher-lua"
)

// Loader finds a module by its checked name: a file beside the procedure, or a
// shipped library. It returns the name of the file for messages, and its text.
// It is called once for each module of a machine, so it may note what was used.
type Loader func(name string) (file string, src []byte, err error)

// moduleName is what may be required: letters, digits, '-' and '_', with dots between parts.
var moduleName = regexp.MustCompile(`^[A-Za-z0-9_-]+(\.[A-Za-z0-9_-]+)*$`)

// Library keeps the code of the modules of one program, which all its machines
// share, so that each is compiled once and not with every start.
type Library struct {
	sync.Mutex
	Compiled map[string]compiled // by the file's name
}

type compiled struct {
	src   []byte
	Proto *lua.FunctionProto
	err   error // why it cannot be compiled
}

// code compiles a module, or gives what was made of the same source before.
func (l *Library) code(file string, src []byte, lim Limits) (*lua.FunctionProto, error) {
	l.Lock()
	defer l.Unlock()
	if c, ok := l.Compiled[file]; ok && bytes.Equal(c.src, src) {
		return c.Proto, c.err
	}
	proto, err := Compile(file, src, lim)
	if l.Compiled == nil {
		l.Compiled = map[string]compiled{}
	}
	l.Compiled[file] = compiled{bytes.Clone(src), proto, err}
	return proto, err
}

// required is what a machine knows of its modules.
type required struct {
	library *Library
	loader  Loader
	values  map[string]lua.LValue
	loading []string // names, outermost first
}

// Requires gives the script the function require, which runs each module once.
func (m *Machine) Requires(loader Loader, library *Library) {
	r := &required{library: library, loader: loader, values: map[string]lua.LValue{}}
	m.modules = r.values
	m.SetGlobal("require", m.newFunction(func(L *lua.LState) int {
		name := textArg(L, 1, "require")
		v, ok := r.values[name]
		if !ok {
			v = m.loadModule(L, r, name)
		}
		L.Push(v)
		return 1
	}))
}

// compileCost is what one byte of source costs to compile, whether it is compiled now or was before.
const compileCost = 60

// codeBytes is what the code of one byte of source takes.
const codeBytes = 16

// loadModule finds, compiles and runs a module.
func (m *Machine) loadModule(L *lua.LState, r *required, name string) lua.LValue {
	if !moduleName.MatchString(name) || len(name) > 100 {
		throw(L, 1, "require: %q is not a module name; it must consist of letters, digits, '-' and '_', with dots between parts", short(name))
	}
	if at := slices.Index(r.loading, name); at >= 0 {
		throw(L, 1, "require: '%s' requires itself: %s", name, strings.Join(append(slices.Clone(r.loading[at:]), name), " -> "))
	}
	if r.loader == nil {
		throw(L, 1, "require: '%s' was not found; no other file can be loaded here", name)
	}
	file, src, err := r.loader(name)
	if err != nil {
		Raise(L, fmt.Errorf("require: '%s': %w", name, err))
	}
	m.Charge(int64(len(src)))
	m.work(compileCost * int64(len(src)))
	m.Keep(codeBytes * int64(len(src)))
	proto, err := r.library.code(file, src, m.lim)
	if err != nil {
		Raise(L, err)
	}
	r.loading = append(r.loading, name)
	defer func() { r.loading = r.loading[:len(r.loading)-1] }()
	v := callOne(L, m.Load(proto), lua.LString(name))
	if v == lua.LNil {
		v = lua.LTrue
	}
	r.values[name] = v
	return v
}
