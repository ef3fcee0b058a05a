package sandbox

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/fault"
)

// meterError is a Go error as instruments give it.
type meterError struct{ what string }

func (e *meterError) Error() string { return e.what }
func (e *meterError) Code() string  { return "saturated" }
func (e *meterError) Hint() string  { return "put a filter on" }

// hosted runs a source with the functions fail, which raises a Go error, break_, which panics, and
// within, which calls a function and passes on its error.
func hosted(t *testing.T, src string) (string, error) {
	t.Helper()
	var out strings.Builder
	m := New(context.Background(), Limits{}, func(s string) { out.WriteString(s + "\n") }, 1)
	defer m.Close()
	m.SetGlobal("fail", m.newFunction(func(L *lua.LState) int {
		Raise(L, fmt.Errorf("meter.read: %w", &meterError{"the light is too bright"}))
		return 0
	}))
	m.SetGlobal("break_", m.newFunction(func(*lua.LState) int {
		var p *meterError
		_ = p.what
		return 0
	}))
	m.SetGlobal("within", m.newFunction(func(L *lua.LState) int {
		results, err := m.Call(L.Get(1), 1)
		if err != nil {
			Raise(L, err)
		}
		L.Push(results[0])
		return 1
	}))
	proto, err := Compile("sweep.lua", []byte(src), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = m.Call(m.Load(proto), 0)
	return out.String(), err
}

func TestGoErrors(t *testing.T) {
	for _, src := range []string{
		"fail()",
		"local ok, e = pcall(fail)\nerror(e)",
		"local ok, e = pcall(fail)\nerror(e, 2)",
		"local ok, e = pcall(fail)\nassert(ok, e)",
		"local ok, e = xpcall(fail, function(e) return e end)\nerror(e)",
		"within(fail)",
		"within(function() within(fail) end)",
		"local ok, e = pcall(within, fail)\nerror(e)",
	} {
		_, err := hosted(t, src)
		var e *Error
		var inner *meterError
		switch {
		case !errors.As(err, &e) || !errors.As(err, &inner):
			t.Errorf("%s: got %v, want the meter's error", src, err)
		case e.Error() != "sweep.lua:1: meter.read: the light is too bright":
			t.Errorf("%s: got %q", src, e)
		case e.Hint() != "put a filter on":
			t.Errorf("%s: hint %q", src, e.Hint())
		}
	}
}

func TestGoErrorsInLua(t *testing.T) {
	out, err := hosted(t, `
local ok, e = pcall(fail)
print(ok, type(e), e.code, e.message, e.hint, tostring(e), getmetatable(e))
print(pcall(function() return e.cod end))
print(pcall(function() e.code = 1 end))
print(pcall(within, function() error({ kept = true }, 0) end))
local ok, e = pcall(within, function() error({ kept = true }, 0) end)
print(e.kept)
print(select(2, pcall(within, function() error("text") end)))
`)
	want := `false	userdata	saturated	meter.read: the light is too bright	put a filter on	meter.read: the light is too bright	error
false	sweep.lua:4: an error has no field 'cod', only code, message and hint
false	sweep.lua:5: an error's fields cannot be set
false	table: 1
true
sweep.lua:9: text
`
	if out != want || err != nil {
		t.Errorf("got %v\n%s\nwant\n%s", err, out, want)
	}
}

func TestTraceback(t *testing.T) {
	_, err := hosted(t, `local M = {}
function M.sweep(list)
  for _, w in ipairs(list) do
    fail()
  end
end
local procedure = {
  run = function(p)
    M.sweep({ 1 })
    return nil
  end,
}
local function twice(f) f() f() end
twice(procedure.run)
`)
	var e *Error
	if !errors.As(err, &e) {
		t.Fatal(err)
	}
	want := `    sweep.lua:4: in function 'M.sweep'
    sweep.lua:9: in function 'run'
    sweep.lua:13: in function 'twice'
    sweep.lua:14: in the file itself`
	if e.Traceback() != want {
		t.Errorf("got\n%s\nwant\n%s", e.Traceback(), want)
	}
	deep := &Error{Frames: make([]Frame, 100)}
	if n := strings.Count(deep.Traceback(), "\n") + 1; n != 21 || !strings.Contains(deep.Traceback(), "(80 more)") {
		t.Errorf("a deep traceback has %d lines:\n%s", n, deep.Traceback())
	}
}

// TestPanic checks that a mistake of ours ends the run, whatever the script catches, and
// shows nothing of Go.
func TestPanic(t *testing.T) {
	for _, src := range []string{"break_()", "while true do pcall(break_) end", "xpcall(break_, function() end)", "pcall(within, break_)"} {
		_, err := hosted(t, src)
		if !errors.Is(err, fault.ErrInternal) || strings.Contains(err.Error(), "goroutine") || strings.Contains(err.Error(), ".go:") {
			t.Errorf("%s: got %v", src, err)
		}
	}
}

func TestRequireKeepsCause(t *testing.T) {
	if _, err := execute(t, "x.lua", "require 'missing'", Limits{}); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("got %v, want a missing file", err)
	}
	m := New(context.Background(), Limits{}, func(string) {}, 1)
	defer m.Close()
	m.Requires(nil, new(Library))
	proto, err := Compile("x.lua", []byte("require 'a'"), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := m.Call(m.Load(proto), 0); err == nil || !strings.Contains(err.Error(), "no other file can be loaded here") {
		t.Errorf("got %v", err)
	}
}

// TestRandom checks the generator against itself elsewhere: the same seed gives the same
// numbers, others give others. The numbers are pinned so that old runs repeat.
func TestRandom(t *testing.T) {
	a, b, c := newRandom(1), newRandom(1), newRandom(2)
	same := 0
	for range 1000 {
		x, y, z := a.next(), b.next(), c.next()
		if x != y {
			t.Fatal("the same seed gives other numbers")
		}
		if x == z {
			same++
		}
	}
	if same > 0 {
		t.Errorf("%d of 1000 numbers are the same for two seeds", same)
	}
	counts := make([]int, 6)
	for range 60000 {
		counts[a.below(6)]++
	}
	chi := 0.0
	for _, n := range counts {
		d := float64(n) - 10000
		chi += d * d / 10000
	}
	if chi > 20.5 { // chi-squared, 5 degrees of freedom, exceeded once in a thousand; from memory
		t.Errorf("six sides come up %v, chi-squared %.1f", counts, chi)
	}
}

// TestSharedCode runs one compiled source in two machines.
func TestSharedCode(t *testing.T) {
	proto, err := Compile("x.lua", []byte("count = (rawget(_G, 'count') or 0) + 1 return count"), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		m := New(context.Background(), Limits{}, func(string) {}, 1)
		for want := 1; want <= 2; want++ {
			results, err := m.Call(m.Load(proto), 1)
			if err != nil || results[0] != lua.LNumber(want) {
				t.Errorf("got %v, %v, want %d", results, err, want)
			}
		}
		m.Close()
	}
}

// TestHeap ends a script by the heap of the process, which is none of the script's own limits;
// the script does not see it.
func TestHeap(t *testing.T) {
	m := New(context.Background(), Limits{HeapBytes: 8 << 20, MemoryBytes: 1 << 40, Instructions: 1 << 40}, func(s string) { t.Errorf("the script went on: %s", s) }, 1)
	defer m.Close()
	proto, err := Compile("heap.lua", []byte("local t = {} while true do local ok = pcall(function() for i = 1, 1e9 do t[#t + 1] = { i } end end) print(ok) end"), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = m.Call(m.Load(proto), 0)
	var e *Error
	if !errors.Is(err, ErrHeap) || errors.Is(err, ErrMemory) || !errors.As(err, &e) || e.Line != 1 || !strings.Contains(e.Hint(), "resume") {
		t.Errorf("got %v", err)
	}
}

// TestUnwind: no pcall catches what the host unwinds, and the machine goes on.
func TestUnwind(t *testing.T) {
	for _, src := range []string{
		"gone()",
		"pcall(gone); went_on = true",
		"pcall(function() pcall(gone); went_on = true end); went_on = true",
		"xpcall(gone, function() went_on = true end); went_on = true",
		"pcall(table.sort, { 1, 2 }, function() gone() end); went_on = true",
		"pcall(function() within(gone) end); went_on = true",
	} {
		m := New(context.Background(), Limits{}, func(string) {}, 1)
		cause := &meterError{"no answer came"}
		m.SetGlobal("gone", m.newFunction(func(L *lua.LState) int { Unwind(L, cause); return 0 }))
		m.SetGlobal("within", m.newFunction(func(L *lua.LState) int {
			if _, err := m.Call(L.Get(1), 0); err != nil {
				Raise(L, err)
			}
			return 0
		}))
		proto, err := Compile("sweep.lua", []byte("went_on = false\nlocal n = 0\nfunction count() n = n + 1; return n, went_on end\ncount()\n"+src), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		_, err = m.Call(m.Load(proto), 0)
		var e *Error
		if !errors.Is(err, cause) || !errors.As(err, &e) || e.Line != 5 || fault.CodeOf(err) != "saturated" {
			t.Errorf("%s: the error is %v", src, err)
		}
		out, err := m.Call(m.globals.RawGetString("count"), 2)
		if err != nil || out[0] != lua.LNumber(2) || out[1] != lua.LFalse {
			t.Errorf("%s: afterwards, count gives %v, %v", src, out, err)
		}
		m.Close()
	}
}
