package sandbox

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	lua "github.com/yuin/gopher-lua"

	"candelua/testdata/campaign"
)

type bomb struct {
	name, src string
	stop      error  // ErrBudget or ErrMemory
	message   string // of an error
}

// bombs are scripts that would take the machine's memory or time, each with
// what must end it. The first group ends by the sandbox's stops, the others by
// an error.
var bombs = []bomb{
	{"endless loop", "while true do end", ErrBudget, ""},
	{"endless loop in pcall", "while true do pcall(function() while true do end end) end", ErrBudget, ""},
	{"endless xpcall", "xpcall(function() while true do end end, function() while true do end end) while true do end", ErrBudget, ""},
	{"endless __tostring", "local t = setmetatable({}, { __tostring = function() while true do end end }) pcall(tostring, t)", ErrBudget, ""},
	{"endless __index", "local t = setmetatable({}, { __index = function(t, k) while true do end end }) pcall(function() return t.x end)", ErrBudget, ""},
	{"endless comparison", "pcall(table.sort, { 1, 2, 3 }, function() while true do end end)", ErrBudget, ""},
	{"endless callback of gsub", "pcall(string.gsub, 'x', 'x', function() while true do end end)", ErrBudget, ""},
	{"endless iterator", "for _ in function() return 1 end do end", ErrBudget, ""},
	{"endless tail calls", "local function f() return f() end f()", ErrBudget, ""},
	{"endless goto", "::a:: goto a", ErrBudget, ""},
	{"backtracking", "return ('a'):rep(40):find(('a-'):rep(20) .. 'b')", ErrBudget, ""},
	{"nested repetition", "return ('a'):rep(30000):find('.-.-.-.-b')", ErrBudget, ""},
	{"quadratic gsub", "return ('('):rep(1000000):gsub('%b()', '')", ErrBudget, ""},
	{"long comparisons", "local a, b = ('x'):rep(8e6) .. 'a', ('x'):rep(8e6) .. 'b' while true do local _ = a == b end", ErrBudget, ""},
	{"length of emptied tables", "local t = {} for i = 1, 1e6 do t[i] = i end for i = 1, 1e6 do t[i] = nil end while true do local _ = #t end", ErrBudget, ""},
	{"endless rep", "while true do local _ = ('x'):rep(8e6) end", ErrBudget, ""},

	{"table growth", "local t = {} for i = 1, 1e9 do t[i] = { i } end", ErrMemory, ""},
	{"table of keys", "local t = {} for i = 1, 1e9 do t['k' .. i] = i end", ErrMemory, ""},
	{"many long texts", "local t = {} for i = 1, 1e6 do t[i] = ('x'):rep(8e6 + i) end", ErrMemory, ""},
	{"nested closures", "local f for i = 1, 1e9 do local g = f f = function() return g, i end end", ErrMemory, ""},
	{"memory in pcall", "while true do pcall(function() local t = {} for i = 1, 1e9 do t[i] = { i } end end) end", ErrMemory, ""},

	{"rep", "return ('x'):rep(1e10)", nil, "too long"},
	{"rep of a long text", "return ('xxxxxxxx'):rep(2e6)", nil, "too long"},
	{"doubling", "local s = 'x' while true do s = s .. s end", nil, "bytes long"},
	{"doubling in a chain", "local s = ('x'):rep(1e6) return s .. s .. s .. s .. s .. s .. s .. s .. s .. s", nil, "bytes long"},
	{"doubling by format", "local s = 'x' while true do s = ('%s%s'):format(s, s) end", nil, "bytes long"},
	{"doubling by gsub", "local s = 'x' while true do s = s:gsub('x', ('x'):rep(1000)) end", nil, "bytes long"},
	{"doubling by concat", "local s = 'x' while true do s = table.concat({ s, s }) end", nil, "bytes long"},
	{"print of long texts", "local s = ('x'):rep(8e6) print(s, s)", nil, "bytes long"},
	{"insert far away", "table.insert({}, 6e7, 1)", nil, "position is"},
	{"unpack of a huge range", "return unpack({}, 1, 1e8)", nil, "more than"},
	{"unpack of all numbers", "return unpack({}, -1e300, 1e300)", nil, "more than"},
	{"concat of a huge range", "return table.concat({}, 'x', 1, 1e9)", nil, "more than"},
	{"byte of a long text", "return ('x'):rep(1e6):byte(1, -1)", nil, "more than"},
	{"wide format", "return ('%1000000d'):format(1)", nil, "over 99"},
	{"recursion", "local function f() return 1 + f() end f()", nil, "more than 200 calls"},
	{"recursion by __index", "local t = {} setmetatable(t, { __index = function(t, k) return t[k] end }) return t.x", nil, "more than 200 calls"},
	{"circle of __index", "local t = {} setmetatable(t, { __index = t }) return t.x", nil, "leads back to itself"},
	{"recursion by pcall", "local function f() return select(2, assert(pcall(f))) end f()", nil, "more than 200"},
	{"recursion by sort", "local function f() table.sort({ 1, 2 }, f) end f()", nil, "more than 200 calls"},
	{"recursion by gsub", "local function f() return (('x'):gsub('x', f)) end f()", nil, "more than 200 calls"},
	{"recursion by tostring", "local t t = setmetatable({}, { __tostring = function() return tostring(t) end }) return tostring(t)", nil, "more than 200 calls"},
	{"many values", "local t = {} for i = 1, 90000 do t[i] = i end local function f(...) return 1, f(...) end f(unpack(t))", nil, "too many values"},
}

// TestBombs checks that each bomb is stopped, by what it should be.
func TestBombs(t *testing.T) {
	instructions := campaign.Of(t, 4_000_000, 60_000_000) // the same bombs, stopped sooner
	for _, b := range bombs {
		if b.stop == ErrMemory {
			continue // TestMemory
		}
		t.Run(b.name, func(t *testing.T) {
			lim := Limits{Instructions: int64(instructions)}
			start := time.Now()
			_, err := execute(t, "bomb.lua", b.src, lim)
			t.Logf("ended after %.2f s: %v", time.Since(start).Seconds(), err)
			checkBomb(t, err, b.stop, b.message)
		})
	}
}

func checkBomb(t *testing.T, err, stop error, message string) {
	t.Helper()
	var e *Error
	switch {
	case err == nil:
		t.Fatal("it was not stopped")
	case stop != nil && !errors.Is(err, stop):
		t.Errorf("got %v, want %v", err, stop)
	case stop == nil && !strings.Contains(err.Error(), message):
		t.Errorf("got %v, want %q", err, message)
	case !errors.As(err, &e) || e.File != "bomb.lua" || e.Line != 1 || len(e.Frames) == 0:
		t.Errorf("%v does not say where it happened", err)
	case strings.Contains(e.Error()+e.Traceback(), "goroutine") || strings.Contains(e.Error()+e.Traceback(), "[G]"):
		t.Errorf("Go shows through: %v\n%s", e, e.Traceback())
	}
}

// mostMemory is what a script may add to the process, in MiB: the limit of 192 and
// what is made between two looks.
const mostMemory = 256

// TestMemory runs each bomb in a process of its own and looks at the most memory it had.
func TestMemory(t *testing.T) {
	if name := os.Getenv("SCRIPT_BOMB"); name != "" {
		explode(name)
	}
	if campaign.Race {
		t.Skip("the race detector multiplies memory; run without -race")
	}
	var hungry []bomb
	for _, b := range bombs {
		if b.stop != ErrBudget || b.name == "endless rep" || b.name == "long comparisons" {
			hungry = append(hungry, b)
		}
	}
	for _, b := range campaign.Part(t, hungry, 4, (len(hungry)+1)/2) { // neighbours are of a kind
		t.Run(b.name, func(t *testing.T) {
			cmd := exec.Command(os.Args[0], "-test.run=^TestMemory$")
			cmd.Env = append(os.Environ(), "SCRIPT_BOMB="+b.name)
			out, err := cmd.CombinedOutput()
			if err != nil {
				t.Fatalf("the process fell: %v\n%.2000s", err, out)
			}
			before, after, ok := strings.Cut(strings.TrimSpace(string(out)), " ")
			idle, err1 := strconv.Atoi(before)
			most, err2 := strconv.Atoi(after)
			if !ok || err1 != nil || err2 != nil {
				t.Fatalf("the process says %q", out)
			}
			t.Logf("%d MiB over %d", most-idle, idle)
			if most-idle > mostMemory {
				t.Errorf("it took %d MiB, want at most %d", most-idle, mostMemory)
			}
		})
	}
}

// explode runs a bomb and prints the memory before and at most, in MiB.
func explode(name string) {
	for _, b := range bombs {
		if b.name != name {
			continue
		}
		lim := Limits{Instructions: 100_000_000}
		if b.stop == ErrMemory {
			lim.Instructions = 1 << 50
		}
		m := New(context.Background(), lim, func(string) {}, 1)
		idle := residentPeak()
		proto, err := Compile("bomb.lua", []byte(b.src), Limits{})
		if err == nil {
			_, err = m.Call(m.Load(proto), 0)
		}
		if err == nil || b.stop != nil && !errors.Is(err, b.stop) {
			fmt.Println("ended with", err)
			os.Exit(0)
		}
		fmt.Println(idle, residentPeak())
		os.Exit(0)
	}
}

// residentPeak returns the most memory that the process had, in MiB.
func residentPeak() int {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	_, rest, _ := strings.Cut(string(status), "VmHWM:")
	var kib int
	fmt.Sscan(rest, &kib)
	return kib >> 10
}

// sources are files that the parser or the compiler must not see, or not survive as they are.
var sources = []struct{ name, src, message string }{
	{"parentheses", "return " + strings.Repeat("(", 400000) + "1" + strings.Repeat(")", 400000), "nested over"},
	{"brackets", "return " + strings.Repeat("{", 400000) + strings.Repeat("}", 400000), "nested over"},
	{"indexes", "return x" + strings.Repeat("[x", 200000) + strings.Repeat("]", 200000), "nested over"},
	{"functions", strings.Repeat("return function() ", 40000) + strings.Repeat("end ", 40000), "nested over"},
	{"blocks", strings.Repeat("do ", 100000) + strings.Repeat("end ", 100000), "nested over"},
	{"ifs", strings.Repeat("if x then ", 60000) + strings.Repeat("end ", 60000), "nested over"},
	{"a..a..a", "local a = 'a' return a" + strings.Repeat("..a", 300000), "operators in a row"},
	{"a..a", "local a = 'a' return a" + strings.Repeat("..a", 150), "use table.concat"},
	{"a^a^a", "local a = 1 return a" + strings.Repeat("^a", 300000), "operators in a row"},
	{"not not not", "return " + strings.Repeat("not ", 200000) + "x", "operators in a row"},
	{"unary minus", "return " + strings.Repeat("- ", 300000) + "1", "operators in a row"},
	{"lengths", "return " + strings.Repeat("#", 300000) + "x", "operators in a row"},
	{"sums", "local a = 1 return a" + strings.Repeat("+a", 300000), "nested over"},
	{"ands", "local a = 1 return a" + strings.Repeat(" and a", 100000), "nested over"},
	{"fields", "return print" + strings.Repeat(".a", 300000), "nested over"},
	{"calls", "return print" + strings.Repeat("()", 300000), "nested over"},
	{"elseifs", "if a then " + strings.Repeat("elseif a then ", 60000) + "end", "nested over"},
	{"locals", strings.Repeat("local a ", 100000), "too many variables"},
	{"arguments", "print(" + strings.Repeat("1,", 300) + "1)", "too many variables"},
	{"returns", "return " + strings.Repeat("1,", 300) + "1", "too many variables"},
	{"parameters", "return function(" + strings.Repeat("a,", 300) + "a) end", "too many variables"},
	{"items", "return {" + strings.Repeat("1,", 30000) + "}", "lists 30000 items"},
	{"constants", numbered("x[%d]=%d ", 50000), "too many different constants"},
	{"a long function", strings.Repeat("a=b ", 250000), "too long"},
	{"upvalues", upvalues(250), "variables of the functions around it"},
	{"a large file", strings.Repeat(" ", 1<<20+1), "at most 1048576 are allowed"},
	{"labels in a row", numbered("::l%d:: --%d\n", 40000), "labels and jumps"},
	{"labels apart", numbered("::l%d:: x = %d ", 30000), "labels and jumps"},
	{"labels and gotos", "do " + numbered("if x then goto m%d end y = %d ", 9000) + numbered("::l%d:: y = %d ", 9000) + numbered("::m%d:: y = %d ", 9000) + " end", "labels and jumps"},
	{"labels and breaks", "while x do " + strings.Repeat("if x then break end ", 9000) + numbered("::l%d:: x = %d ", 9000) + " end", "labels and jumps"},
	{"names in nested functions", nestedNames(60, 150, "x = y "), "too many names"},
	{"names in functions of nested functions", nestedNames(60, 150, "x = function() return y end "), "too many names"},
	{"functions beside each other", "local x " + strings.Repeat("x = function() end ", 10_001), "over 10000 functions"},
	{"many errors", strings.Repeat(")", 1<<20), "this is not Lua"},
}

func numbered(format string, n int) string {
	var b strings.Builder
	b.WriteString("local x = {} ")
	for i := range n {
		fmt.Fprintf(&b, format, i, i)
	}
	return b.String()
}

// nestedNames makes functions in each other with variables, and in the innermost one so much of a statement as
// a file may hold.
func nestedNames(functions, variables int, statement string) string {
	var b strings.Builder
	for i := range functions {
		for v := range variables {
			fmt.Fprintf(&b, "local v%d_%d = 1 ", i, v)
		}
		b.WriteString("local function f() ")
	}
	end := strings.Repeat("end ", functions)
	return b.String() + strings.Repeat(statement, (1<<20-b.Len()-len(end))/len(statement)) + end
}

// upvalues makes a function that uses n variables of two functions around it.
func upvalues(n int) string {
	var b, use strings.Builder
	for i := range n {
		if i == n/2 {
			b.WriteString("return function() ")
		}
		fmt.Fprintf(&b, "local v%d ", i)
		fmt.Fprintf(&use, "v%d = v%d ", i, i)
	}
	return b.String() + "return function() " + use.String() + "end end"
}

func TestSources(t *testing.T) {
	for _, s := range campaign.Some(t, sources, 12) {
		t.Run(s.name, func(t *testing.T) {
			start := time.Now()
			_, err := Compile("big.lua", []byte(s.src), Limits{})
			t.Logf("%.2f s: %.200v", time.Since(start).Seconds(), err)
			var e *Error
			if !errors.As(err, &e) || !strings.Contains(err.Error(), s.message) || e.File != "big.lua" {
				t.Errorf("got %.200v, want %q", err, s.message)
			}
			if len(err.Error()) > 300 {
				t.Errorf("a message of %d bytes", len(err.Error()))
			}
		})
	}
}

// TestLargeSources compiles what is large but allowed.
func TestLargeSources(t *testing.T) {
	for name, src := range map[string]string{
		"a long chain":   "local a = 'a' assert(#(a" + strings.Repeat("..a", 149) + ") == 150)",
		"a long sum":     "local a = 1 assert(a" + strings.Repeat("+a", 600) + " == 601)",
		"many elseifs":   "local a = false if a then" + strings.Repeat(" elseif a then", 600) + " else return end error('x')",
		"many items":     "local t = {" + strings.Repeat("1,", 25550) + "} assert(#t == 25550)",
		"many constants": numbered("x[%d]=%d ", 8000) + "assert(x[7999] == 7999)",
		"nesting":        "return " + strings.Repeat("(", 199) + "1" + strings.Repeat(")", 199),
		"many labels":    "local n = 0 " + numbered("::l%d:: n = n + 1 if n == %d then error('x') end ", 800)[len("local x = {} "):] + "assert(n == 800)",
		"many breaks":    "local n while true do " + strings.Repeat("if n then break end ", 5000) + " break end",
		"many loops":     strings.Repeat("for i = 1, 2 do if i == 2 then break end end ", 3000),
	} {
		if _, err := execute(t, "large.lua", src, Limits{}); err != nil {
			t.Errorf("%s: %.300v", name, err)
		}
	}
}

// TestStop checks that a stop from outside is seen soon, that nothing swallows it, and that
// the first cause wins.
func TestStop(t *testing.T) {
	mine := errors.New("the operator stopped the run")
	for name, src := range map[string]string{
		"loop":     "while true do end",
		"pcall":    "while true do pcall(function() while true do end end) end",
		"xpcall":   "while true do xpcall(function() while true do end end, function() while true do end end) end",
		"tostring": "local t = setmetatable({}, { __tostring = function() while true do end end }) while true do pcall(tostring, t) end",
		"sort":     "while true do pcall(table.sort, { 1, 2, 3 }, function() while true do end end) end",
		"gsub":     "while true do pcall(string.gsub, 'x', 'x', function() while true do end end) end",
		"pattern":  "while true do pcall(string.find, ('a'):rep(40), ('a-'):rep(20) .. 'b') end",
		"return":   "return pcall(function() while true do end end)",
	} {
		m := New(context.Background(), Limits{Instructions: 1 << 50}, func(string) {}, 1)
		proto, err := Compile("stop.lua", []byte(src), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		var stopped time.Time
		time.AfterFunc(20*time.Millisecond, func() {
			stopped = time.Now()
			m.Stop(mine)
			m.Stop(errors.New("a later cause"))
		})
		_, err = m.Call(m.Load(proto), 0)
		t.Logf("%s: seen after %v", name, time.Since(stopped))
		if !errors.Is(err, mine) {
			t.Errorf("%s: got %v, want %v", name, err, mine)
		}
		if _, err := m.Call(m.Load(proto), 0); !errors.Is(err, mine) {
			t.Errorf("%s: a stopped machine gives %v", name, err)
		}
		m.Close()
	}
}

func TestParentContext(t *testing.T) {
	ctx, cancel := context.WithCancelCause(context.Background())
	m := New(ctx, Limits{}, func(string) {}, 1)
	defer m.Close()
	mine := errors.New("from above")
	cancel(mine)
	if _, err := m.Call(m.newFunction(func(*lua.LState) int { return 0 }), 0); !errors.Is(err, mine) {
		t.Errorf("got %v, want %v", err, mine)
	}
}

// TestRefill checks that the budget is full again when script time moved, and that it is
// counted, not timed.
func TestRefill(t *testing.T) {
	for _, refill := range []bool{true, false} {
		m := New(context.Background(), Limits{Instructions: 100_000}, func(string) {}, 1)
		m.SetGlobal("wait", m.newFunction(func(*lua.LState) int {
			if refill {
				m.Refill()
			}
			return 0
		}))
		proto, err := Compile("refill.lua", []byte("for i = 1, 100 do wait() for j = 1, 5000 do end end"), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		_, err = m.Call(m.Load(proto), 0)
		if refill && err != nil || !refill && !errors.Is(err, ErrBudget) {
			t.Errorf("refill %v: %v", refill, err)
		}
		m.Close()
	}
}
