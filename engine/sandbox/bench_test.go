package sandbox

import (
	"context"
	"math"
	"strings"
	"testing"

	lua "github.com/yuin/gopher-lua"
)

// benchmark runs a function that takes a count.
func benchmark(b *testing.B, src string) {
	m := New(context.Background(), Limits{Instructions: 1 << 60}, func(string) {}, 1)
	defer m.Close()
	proto, err := Compile("bench.lua", []byte(src), Limits{})
	if err != nil {
		b.Fatal(err)
	}
	fn, err := m.Call(m.Load(proto), 1)
	if err != nil {
		b.Fatal(err)
	}
	b.ResetTimer()
	if _, err := m.Call(fn[0], 0, lua.LNumber(b.N)); err != nil {
		b.Fatal(err)
	}
}

// bareBenchmark runs the same in the library as it is, with or without a context.
func bareBenchmark(b *testing.B, src string, ctx context.Context) {
	L := lua.NewState()
	defer L.Close()
	if ctx != nil {
		L.SetContext(ctx)
	}
	if err := L.DoString(src); err != nil {
		b.Fatal(err)
	}
	fn := L.Get(-1)
	b.ResetTimer()
	if err := L.CallByParam(lua.P{Fn: fn, Protect: true}, lua.LNumber(b.N)); err != nil {
		b.Fatal(err)
	}
}

const (
	loopSource   = "return function(n) local x = 0 for i = 1, n do x = x + i % 7 end return x end"
	arithSource  = "return function(n) local x, y = 1, 0.5 for i = 1, n do x = (x * y + i) / 3 - y end return x end"
	pcallSource  = "return function(n) local f = function() end for i = 1, n do pcall(f) end end"
	raiseSource  = "return function(n) for i = 1, n do pcall(error, 'x') end end"
	concatSource = "return function(n) local a, b = 'a', 'b' for i = 1, n do local _ = a .. b .. i end end"
	findSource   = "return function(n) local s = ('x'):rep(50) .. '12.5' for i = 1, n do local _ = s:find('(%d+)%.(%d+)') end end"
	globalSource = "return function(n) for i = 1, n do local _ = math end end"
)

func BenchmarkLoop(b *testing.B)          { benchmark(b, loopSource) }
func BenchmarkLoopNoContext(b *testing.B) { bareBenchmark(b, loopSource, nil) }
func BenchmarkLoopPlainContext(b *testing.B) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	bareBenchmark(b, loopSource, ctx)
}
func BenchmarkArithmetic(b *testing.B) { benchmark(b, arithSource) }
func BenchmarkPcall(b *testing.B)      { benchmark(b, pcallSource) }
func BenchmarkPcallBare(b *testing.B)  { bareBenchmark(b, pcallSource, nil) }
func BenchmarkPcallError(b *testing.B) { benchmark(b, raiseSource) }
func BenchmarkConcat(b *testing.B)     { benchmark(b, concatSource) }
func BenchmarkConcatBare(b *testing.B) { bareBenchmark(b, concatSource, nil) }
func BenchmarkFind(b *testing.B)       { benchmark(b, findSource) }
func BenchmarkFindBare(b *testing.B)   { bareBenchmark(b, findSource, nil) }
func BenchmarkGlobal(b *testing.B)     { benchmark(b, globalSource) }
func BenchmarkGlobalBare(b *testing.B) { bareBenchmark(b, globalSource, nil) }

func BenchmarkMachine(b *testing.B) {
	for b.Loop() {
		New(context.Background(), Limits{}, func(string) {}, 1).Close()
	}
}

func BenchmarkCompile(b *testing.B) {
	src := []byte(strings.Repeat("local function f(a, b) local t = { a, b, x = a .. b } return t.x and #t or 0 end\n", 100))
	b.SetBytes(int64(len(src)))
	for b.Loop() {
		if _, err := Compile("bench.lua", src, Limits{}); err != nil {
			b.Fatal(err)
		}
	}
}

func benchmarkPow(b *testing.B, f func(x, y float64) float64) {
	x := 0.5
	for b.Loop() {
		x = 0.5 + f(x, 2.2)/2
	}
}

func BenchmarkPow(b *testing.B)          { benchmarkPow(b, pow) }
func BenchmarkPowOfLibrary(b *testing.B) { benchmarkPow(b, math.Pow) }
