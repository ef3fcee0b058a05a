package sandbox

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/fault"
)

// Machine is one sandboxed Lua state with its budget and its stop. One
// goroutine at a time may use it; stop may be called from any.
//
// Scripts run on threads of the state, never on its root: a thread on which
// an error was raised is thrown away, because raising an error closes the
// upvalues of each frame that is live on its thread.
type Machine struct {
	lim        Limits
	L          *lua.LState // the root state: owns the globals, makes values, runs nothing
	globals    *lua.LTable // what the script assigns
	base       *lua.LTable // what the script is given; globals fall back to it
	ctx        context.Context
	cancel     context.CancelCauseFunc
	fuel       *fuel
	print      func(string)
	random     *random
	ipairsStep *lua.LFunction
	ids        map[lua.LValue]int // numbers that stand for addresses in tostring
	texts      *lua.LTable        // the metatable of text
	modules    map[string]lua.LValue
	readers    map[*lua.LTable]Reader     // by the metatable of the objects, see Reads
	inside     func() map[string][]string // see Inside
	held       int64                      // bytes that library functions hold while they call the script
	kept       int64                      // bytes that the host keeps for the script

	clean  []*lua.LState // idle threads on which no error was raised
	depth  int           // protected calls that are open
	halt   *Error        // where the script was when it was stopped
	looked time.Time     // when look was last called
	spent  int64         // work that was counted until the budget was last filled
	filled int64         // to where it was filled then
	heap   heapMark
}

// errClosed is the cause of a machine that was closed.
var errClosed = errors.New("the script was closed")

// New returns a machine that ends when ctx does. What the script
// prints goes to log; its random numbers follow from seed.
func New(ctx context.Context, lim Limits, log func(string), seed uint64) *Machine {
	m := &Machine{
		lim:    lim.filled(),
		print:  log,
		random: newRandom(seed),
		ids:    map[lua.LValue]int{},
	}
	m.ctx, m.cancel = context.WithCancelCause(ctx)
	m.fuel = &fuel{slow: m.look, every: checkEvery, parent: m.ctx, machine: m, full: countEvery}
	if m.lim.Before4 {
		m.fuel.full = math.MaxInt64
	}
	m.L = lua.NewState(lua.Options{
		CallStackSize:    m.lim.CallDepth,
		RegistrySize:     registryStart,
		RegistryMaxSize:  registryMost,
		RegistryGrowStep: registryStep,
		SkipOpenLibs:     true,
	})
	m.L.G.MainThread, m.L.G.CurrentThread = m.L, m.L
	m.openGlobals()
	m.Refill()
	watch(m)
	return m
}

// The registry of a thread holds the registers of all its open calls, so its
// size also bounds the longest list of arguments. Those of a procedure fill some
// hundred places, and each execution makes two of them.
const (
	registryStart = 512
	registryStep  = 2048
	registryMost  = 256 * 1024

	mostKeptRegisters = 16 * 1024 // of a thread that is used again
)

// Close ends the machine and gives its memory back.
func (m *Machine) Close() {
	m.cancel(errClosed)
	unwatch(m)
	for _, th := range m.clean {
		th.Close()
	}
	m.L.Close()
}

// Load makes a function of a compiled source. The function may be called
// often; each call runs the source anew.
func (m *Machine) Load(p *lua.FunctionProto) *lua.LFunction { return m.L.NewFunctionFromProto(p) }

// SetGlobal gives the script a value under a name. Scripts may assign the
// name and then see their own value.
func (m *Machine) SetGlobal(name string, v lua.LValue) { m.base.RawSetString(name, v) }

// newFunction makes a Lua function of a Go function.
func (m *Machine) newFunction(fn lua.LGFunction) *lua.LFunction { return m.L.NewFunction(fn) }

// Refill makes the instruction budget full again: script time has moved.
func (m *Machine) Refill() {
	m.looked = time.Now()
	m.spent, m.filled = m.Work(), m.lim.Instructions
	m.fuel.fill(m.filled)
}

// Charge counts the work of a host function, in units of about one
// instruction (some 10 ns). It ends the run where the budget is used up or
// the machine was stopped.
func (m *Machine) Charge(n int64) {
	m.fuel.left -= max(n, 0)
	if m.fuel.left <= m.fuel.check && m.fuel.slow() {
		m.stopped()
		panic(halted{})
	}
}

// work counts the work of a library function of the script, which the rules before 4 did
// not count.
func (m *Machine) work(n int64) {
	if !m.lim.Before4 {
		m.Charge(n)
	}
}

// Grow counts bytes that a host function makes for the script, before it makes them. They are
// work, too.
func (m *Machine) Grow(n int64) {
	if m.lim.Before4 || n <= 0 {
		return
	}
	m.fuel.grow(n)
	m.Charge(0)
}

// grew counts what a table has grown.
func (m *Machine) grew(t *lua.LTable, before extent) {
	if !m.lim.Before4 {
		m.fuel.grew(tableOf(t), before)
		m.Charge(0)
	}
}

// Keep counts bytes that the host keeps for the script until it ends, such as the rows of a
// table that it wrote.
func (m *Machine) Keep(n int64) {
	m.kept += max(n, 0)
	m.Grow(n)
}

// holding counts bytes that a library function holds while it calls a function of the
// script. An error in it gives them back, too ([Machine.protect]).
func (m *Machine) holding(n int, call func()) {
	m.held += int64(n)
	m.Grow(int64(n))
	call()
	m.held -= int64(n)
}

// Left is how much work the budget still holds, in instructions.
func (m *Machine) Left() int64 { return m.fuel.left }

// Work is how much work was counted since the machine began, in instructions.
func (m *Machine) Work() int64 { return m.spent + m.filled - m.fuel.left }

// Context ends when the machine is stopped, and carries the cause.
func (m *Machine) Context() context.Context { return m.ctx }

// Waited says that the time since the script's last instruction was not its own:
// the world took it.
func (m *Machine) Waited() { m.looked = time.Now() }

// Stream gives the script's math.random another stream of chance, until restore
// is called.
func (m *Machine) Stream(seed uint64) (restore func()) {
	before := m.random
	m.random = newRandom(seed)
	return func() { m.random = before }
}

// Stop ends the run. The first cause wins, and no pcall sees it.
func (m *Machine) Stop(cause error) { m.cancel(cause) }

// cause returns why the run was stopped, or nil while it was not.
func (m *Machine) cause() error { return context.Cause(m.ctx) }

// look is the close look at the stop, the memory and the budget. It reports
// whether the run is over.
func (m *Machine) look() bool {
	f := m.fuel
	if m.lim.Before4 {
		slow := m.slowness()
		f.left -= slow
		m.spent -= slow // of the machine that it ran on, and no work of the script
	}
	if f.fresh >= f.full {
		m.count()
	}
	if f.left <= 0 {
		m.Stop(budgetError(m.lim))
	}
	if m.fuel.urgent.CompareAndSwap(true, false) && m.overHeap() {
		m.Stop(heapError(m.lim))
	}
	if m.cause() != nil {
		f.drain()
		return true
	}
	f.next()
	return false
}

// By the rules before 4, what takes long is found by the time that it took: comparing texts
// of megabytes, `#` and next on tables from which much was removed. Where the time between two looks is far
// beyond what the instructions between them need, it counts as instructions too.
const (
	slowLook    = 2 * time.Millisecond // 256 instructions need a few µs
	quickLook   = 100 * time.Microsecond
	longestLook = 20 * time.Millisecond // the rest was a wait for the world
	instruction = 50 * time.Nanosecond  // some five times what one needs: a busy machine must not end a run
)

// slowness returns what the time since the last look is worth, if it was long.
func (m *Machine) slowness() int64 {
	now := time.Now()
	spent := now.Sub(m.looked)
	m.looked = now
	watched := m.fuel.every < checkEvery
	switch {
	case spent > slowLook:
		m.fuel.every = max(m.fuel.every/16, 1) // look sooner, so that each is counted
	case spent < quickLook:
		m.fuel.every = min(2*m.fuel.every, checkEvery)
	}
	if spent < slowLook && !watched {
		return 0
	}
	return min(int64(min(spent, longestLook)/instruction), m.lim.Instructions/100)
}

// Call runs a function and returns nret results, or all with
// [lua.MultRet]. It may be used by a host function that the script called. If
// the run was stopped, the error is the cause, whatever the function made of
// it; an error of the script is an [*Error].
func (m *Machine) Call(fn lua.LValue, nret int, args ...lua.LValue) ([]lua.LValue, error) {
	if cause := m.cause(); cause != nil {
		return nil, m.stopError(cause)
	}
	m.looked = time.Now()
	results, thrown := m.protect(fn, nret, args)
	if cause := m.cause(); cause != nil {
		return nil, m.stopError(cause)
	}
	if thrown != nil {
		return nil, m.explain(thrown)
	}
	return results, nil
}

// protect runs a function on a thread of its own and catches what it throws.
func (m *Machine) protect(fn lua.LValue, nret int, args []lua.LValue) (results []lua.LValue, caught *thrown) {
	th := m.thread()
	m.fuel.threads = append(m.fuel.threads, th)
	m.depth++
	held := m.held
	defer func() {
		r := recover()
		if r != nil {
			results, caught = nil, m.recovered(r)
			m.held = held
		}
		m.fuel.threads = m.fuel.threads[:len(m.fuel.threads)-1]
		m.depth--
		if r != nil {
			return
		}
		if len(stateOf(th).reg.array) <= mostKeptRegisters {
			m.clean = append(m.clean, th)
		}
	}()
	mustCall(th, fn)
	room(th, len(args)+1)
	th.Push(fn)
	for _, a := range args {
		th.Push(a)
	}
	th.Call(len(args), nret)
	results = make([]lua.LValue, th.GetTop())
	for i := range results {
		results[i] = th.Get(i + 1)
	}
	th.SetTop(0)
	return results, nil
}

// thread returns an idle thread.
func (m *Machine) thread() *lua.LState {
	if n := len(m.clean); n > 0 {
		th := m.clean[n-1]
		m.clean = m.clean[:n-1]
		return th
	}
	m.fuel.made(threadBytes) // the work is in what catching costs
	th, _ := m.L.NewThread()
	th.SetContext(m.fuel)
	takeLoop(th)
	th.Panic = m.panicked
	return th
}

// recovered makes a thrown value of what a recover returned. A Go panic is
// our own mistake, or the library's: it ends the run.
func (m *Machine) recovered(r any) *thrown {
	switch r := r.(type) {
	case *thrown:
		return r
	case halted:
		m.stopped()
	default:
		m.Stop(fmt.Errorf("%w: %v", fault.ErrInternal, r))
		m.stopped()
	}
	return &thrown{value: lua.LNil}
}
