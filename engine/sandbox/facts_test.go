package sandbox

import (
	"context"
	"strings"
	"testing"

	lua "github.com/yuin/gopher-lua"
)

// bare runs a source in the library as it is, without the sandbox.
func bare(t *testing.T, src string) (result string) {
	t.Helper()
	L := lua.NewState(lua.Options{IncludeGoStackTrace: false})
	defer L.Close()
	defer func() {
		if r := recover(); r != nil {
			result = "panic"
		}
	}()
	if err := L.DoString(src); err != nil {
		message, _, _ := strings.Cut(err.Error(), "\n")
		return "error: " + message
	}
	return lua.LVAsString(L.ToStringMeta(L.Get(-1)))
}

// TestLibraryFacts pins what this package works around in gopher-lua 1.1.2. Where a row
// fails after an upgrade, the workaround may have become needless.
func TestLibraryFacts(t *testing.T) {
	fifty := strings.TrimSuffix(strings.Repeat("1,", 50), ",")
	for _, f := range []struct{ fact, src, wrong string }{
		{"a caught error splits shared variables (448)",
			"local n=0 local function inc() n=n+1 end inc() pcall(error,'x') n=n+10 inc() inc() inc() return n", "11"},
		{"goto splits shared variables",
			"local n=0 local function inc() n=n+1 end for i=1,3 do if i==2 then goto c end inc() ::c:: end n=n+10 inc() return n", "11"},
		{"swapping locals", "local x,y=1,2 x,y=y,x return x..' '..y", "2 2"},
		{"and-or into an operand", "local x,a,b=1,2,3 x=(a or b) and x return x", "2"},
		{"a call in parentheses into the last parameter",
			"local function f(x) x=(tostring(x)) return x end return (select(2,pcall(f,1)))",
			"panic"},
		{"a call behind a last key", "local function f() return 8,9 end local t={1,2,x=f()} return #t", "3"},
		{"a key behind fifty items", "local t={" + fifty + ",x=(tostring(5)),y=6} return tostring(t[1])", "5"},
		{"a list behind fifty items", "local t={" + fifty + ",unpack({7,8})} return t[1]", "7"},
		{"more than 25550 items", "local t={" + strings.Repeat("1,", 25551) + "} return #t", "25550"},
		{"a bare function as iterator (514)",
			"local s={} local function go() local r={} for k in function(st,c) r[#r+1]=tostring(c) return #r<3 and #r or nil end do end return table.concat(r,' ') end local a,b,c=7,8,9 return go()", "nil 1 2"},
		{"a constant-false if at the start of a loop (540)",
			"local n=0 while n<3 do if false then n=10 end n=n+1 end return n", "3"},
		{"local f = function sees itself", "f=5 local f=function() return f end return type(f())", "function"},
		{"octal numerals", "return 0010", "8"},
		{"octal text", "return '010'+0", "8"},
		{"tonumber of 2e2 (472, 491)", "return tostring(tonumber('2e2'))", "nil"},
		{"varargs into a local", "local function f(...) local n,p=1,false n=(...) if p then return 'shifted' end return 'kept' end return f(7)", "shifted"},
		{"% is exact", "local a,b=1,0.1 return tostring(a % b)", "0.09999999999999995"},
		{"arithmetic loses -0", "local z,m=0,-1 return tostring(1/(z*m))", "+Inf"},
		{"the length of a table is asked", "return tostring(#setmetatable({},{__len=function() return 7 end}))", "7"},
		{"__unm gets its operand once", "return -setmetatable({},{__unm=function(a,b) return tostring(b) end})", "nil"},
		{"a metamethod that is no function is missing", "local t={__eq=5} return tostring(setmetatable({},t)==setmetatable({},t))", "false"},
		{"powers are off in the last place", "local x,y=8,1/3 return tostring(x^y==2)", "false"},
		{"text as a limit of for", "for i='1',2 do end", "error: <string>:1: for statement init must be a number"},
		{"a key is read too early", "local i,t=1,{} local function f() i=2 return 'v' end t[i]=f() return t[1]", "v"},
		{"math.huge", "return math.huge == 1/0 and 'inf' or 'finite'", "finite"},
		{"tables are named by address", "return (tostring({})):match('^table: 0x') or ''", "table: 0x"},
		{"Go shows in formats", "return (string.format('%T', 1))", "lua.LNumber"},
		{"assert refuses tables", "return tostring(select(2, pcall(assert, false, {}))):match('string expected') or ''", "string expected"},
		{"the metatable of text is open", "return type(getmetatable('x'))", "table"},
	} {
		if got := bare(t, f.src); got != f.wrong {
			t.Errorf("%s: the library gives %q, known is %q", f.fact, got, f.wrong)
		}
	}
}

// TestLibraryAsked pins that the virtual machine asks Done once an instruction, on which the
// budget rests.
func TestLibraryAsked(t *testing.T) {
	L := lua.NewState()
	defer L.Close()
	asked := &askedContext{Context: context.Background()}
	L.SetContext(asked)
	if err := L.DoString("for i = 1, 1000 do end"); err != nil {
		t.Fatal(err)
	}
	if asked.times < 1000 || asked.times > 1020 {
		t.Errorf("1000 rounds of an empty loop asked %d times, want one each and a few around it", asked.times)
	}
}

type askedContext struct {
	context.Context
	times int
}

func (a *askedContext) Done() <-chan struct{} { a.times++; return nil }

// TestLibraryFrames pins the fields that are read by reflection.
func TestLibraryFrames(t *testing.T) {
	L := lua.NewState()
	defer L.Close()
	var tails, pc int
	L.SetGlobal("look", L.NewFunction(func(L *lua.LState) int {
		dbg, _ := L.GetStack(1)
		tails, pc = tailCalls(dbg), framePc(dbg)
		return 0
	}))
	if err := L.DoString("local function a() look() local x end local function b() return a() end local function c() return b() end c()"); err != nil {
		t.Fatal(err)
	}
	if tails != 2 || pc != 2 {
		t.Errorf("%d tail calls, program counter %d, want 2 and 2", tails, pc)
	}
}

// TestLibraryMessages pins the messages that plain.go translates.
func TestLibraryMessages(t *testing.T) {
	for src, want := range map[string]string{
		"local r return r.x":   "attempt to index a non-table object(nil) with key 'x'",
		"return nil + 1":       "cannot perform add operation between nil and number",
		"return 1 < 'x'":       "attempt to compare number with string",
		"for i = 1, {} do end": "for statement limit must be a number",
		"return -{}":           "__unm undefined",
		"return #5":            "__len undefined",
		"local f f()":          "attempt to call a non-function object",
		"local function f() return 1 + f() end f()": "stack overflow",
	} {
		if got := bare(t, src); !strings.HasSuffix(got, want) {
			t.Errorf("%s: got %q, known is %q", src, got, want)
		}
	}
}

// TestSettings pins the library's settings that hold for all states of the process.
func TestSettings(t *testing.T) {
	if lua.MaxArrayIndex != 1<<20 || lua.CompatVarArg {
		t.Errorf("MaxArrayIndex %d, CompatVarArg %v", lua.MaxArrayIndex, lua.CompatVarArg)
	}
	out, err := execute(t, "x.lua", "local t = {} t[67108863] = 1 t[2^40] = 2 print(#t, t[67108863])", Limits{})
	if out != "0\t1\n" || err != nil {
		t.Errorf("got %q, %v", out, err)
	}
}
