package sandbox

import (
	"math"
	"math/bits"
	"slices"
	"strconv"

	lua "github.com/yuin/gopher-lua"
)

func (m *Machine) openMaths() *lua.LTable {
	lib := m.L.CreateTable(0, 40)
	m.register(lib, append(slices.Clone(mathFunctions), libraryFunction{"random", m.mathRandom}))
	lib.RawSetString("pi", lua.LNumber(math.Pi))
	lib.RawSetString("huge", lua.LNumber(math.Inf(1)))
	return lib
}

// mathFunctions are those that need no machine, made once for all.
var mathFunctions = []libraryFunction{
	one("abs", math.Abs), one("acos", math.Acos), one("asin", math.Asin), one("atan", math.Atan), two("atan2", math.Atan2),
	one("ceil", math.Ceil), one("cos", math.Cos), one("cosh", math.Cosh), one("deg", func(x float64) float64 { return x * (180 / math.Pi) }),
	one("exp", math.Exp), one("floor", math.Floor), {"fmod", mathFmod}, {"frexp", mathFrexp}, {"ldexp", mathLdexp},
	one("log", math.Log), {"log10", mathLog10}, most("max", func(a, b float64) bool { return b > a }),
	most("min", func(a, b float64) bool { return b < a }), {"modf", mathModf}, {"pow", mathPow},
	one("rad", func(x float64) float64 { return x * (math.Pi / 180) }), one("sin", math.Sin), one("sinh", math.Sinh),
	one("sqrt", math.Sqrt), one("tan", math.Tan), one("tanh", math.Tanh),
}

func one(name string, f func(float64) float64) libraryFunction {
	who := "math." + name
	return libraryFunction{name, func(L *lua.LState) int {
		L.Push(lua.LNumber(f(numberArg(L, 1, who))))
		return 1
	}}
}

// twoCost is what a function of two numbers costs.
const twoCost = 30

func two(name string, f func(a, b float64) float64) libraryFunction {
	who := "math." + name
	return libraryFunction{name, func(L *lua.LState) int {
		work(L, twoCost)
		L.Push(lua.LNumber(f(numberArg(L, 1, who), numberArg(L, 2, who))))
		return 1
	}}
}

// mathPow is math.pow, which the rules before 4 left to the library.
func mathPow(L *lua.LState) int {
	const who = "math.pow"
	work(L, twoCost)
	x, y := numberArg(L, 1, who), numberArg(L, 2, who)
	if f := fuelOf(L); f != nil && f.machine.lim.Before4 {
		L.Push(lua.LNumber(math.Pow(x, y)))
	} else {
		L.Push(lua.LNumber(pow(x, y)))
	}
	return 1
}

// mathFmod is math.fmod. It subtracts at each binary exponent that lies between the two numbers, so that 1.7e308
// by 3e-308 takes a thousand times as long as 7 by 3.
func mathFmod(L *lua.LState) int {
	const who = "math.fmod"
	a, b := numberArg(L, 1, who), numberArg(L, 2, who)
	_, high := math.Frexp(a)
	_, low := math.Frexp(b)
	work(L, twoCost+int64(max(0, high-low))/exponentsAUnit)
	L.Push(lua.LNumber(math.Mod(a, b)))
	return 1
}

// exponentsAUnit is how many exponents fmod passes in the time of a unit of work.
const exponentsAUnit = 8

// mathLog10 is math.log10. That of a power of ten is a whole number, as in C, so that floor counts digits; the library's
// own, which the rules before 4 kept, gives 14.999999999999998 of 1e15.
func mathLog10(L *lua.LState) int {
	x := numberArg(L, 1, "math.log10")
	l := math.Log10(x)
	f := fuelOf(L)
	if n := math.Round(l); math.Abs(n) <= 308 && l != n && (f == nil || !f.machine.lim.Before4) {
		if power, err := strconv.ParseFloat("1e"+strconv.Itoa(int(n)), 64); err == nil && power == x {
			l = n
		}
	}
	L.Push(lua.LNumber(l))
	return 1
}

// most makes max and min: the argument that better prefers over all before it.
func most(name string, better func(a, b float64) bool) libraryFunction {
	who := "math." + name
	return libraryFunction{name, func(L *lua.LState) int {
		best := numberArg(L, 1, who)
		for i := 2; i <= L.GetTop(); i++ {
			if x := numberArg(L, i, who); better(best, x) {
				best = x
			}
		}
		L.Push(lua.LNumber(best))
		return 1
	}}
}

func mathFrexp(L *lua.LState) int {
	fraction, exponent := math.Frexp(numberArg(L, 1, "math.frexp"))
	L.Push(lua.LNumber(fraction))
	L.Push(lua.LNumber(exponent))
	return 2
}

func mathLdexp(L *lua.LState) int {
	L.Push(lua.LNumber(math.Ldexp(numberArg(L, 1, "math.ldexp"), intArg(L, 2, "math.ldexp"))))
	return 1
}

func mathModf(L *lua.LState) int {
	x := numberArg(L, 1, "math.modf")
	whole := math.Trunc(x)
	fraction := math.Copysign(x-whole, x)
	if math.IsInf(x, 0) {
		fraction = math.Copysign(0, x)
	}
	L.Push(lua.LNumber(whole))
	L.Push(lua.LNumber(fraction))
	return 2
}

// mathRandom is math.random: a number in [0, 1), or a whole one from 1 to m, or
// from m to n. Its numbers follow from the seed of the run.
func (m *Machine) mathRandom(L *lua.LState) int {
	const who = "math.random"
	low, high := 1, 0
	switch L.GetTop() {
	case 0:
		L.Push(lua.LNumber(m.random.float()))
		return 1
	case 1:
		high = intArg(L, 1, who)
	case 2:
		low, high = intArg(L, 1, who), intArg(L, 2, who)
	default:
		throw(L, 1, "%s: %d arguments; it takes up to 2", who, L.GetTop())
	}
	if low > high {
		throw(L, 1, "%s: no whole number lies from %d to %d", who, low, high)
	}
	L.Push(lua.LNumber(low + int(m.random.below(uint64(high-low)+1))))
	return 1
}

// random is PCG-XSL-RR 128/64, which is simple, passes the usual tests and
// gives the same numbers on every machine.
//
// Source: M. E. O'Neill, PCG: A Family of Simple Fast Space-Efficient
// Statistically Good Algorithms for Random Number Generation, HMC-CS-2014-0905, 2014.
type random struct{ high, low uint64 }

// The multiplier and increment of the 128-bit generator; from the same report's code.
const (
	pcgMultiplierHigh, pcgMultiplierLow = 2549297995355413924, 4865540595714422341
	pcgIncrementHigh, pcgIncrementLow   = 6364136223846793005, 1442695040888963407
)

// newRandom makes a stream of chance of a seed and the stream's name.
func newRandom(seed uint64) *random {
	r := &random{}
	r.step()
	var carry uint64
	r.low, carry = bits.Add64(r.low, seed, 0)
	r.high += carry
	r.step()
	return r
}

func (r *random) step() {
	high, low := bits.Mul64(r.low, pcgMultiplierLow)
	high += r.high*pcgMultiplierLow + r.low*pcgMultiplierHigh
	var carry uint64
	r.low, carry = bits.Add64(low, pcgIncrementLow, 0)
	r.high = high + pcgIncrementHigh + carry
}

func (r *random) next() uint64 {
	r.step()
	return bits.RotateLeft64(r.high^r.low, -int(r.high>>58))
}

// float returns a multiple of 2^-53 in [0, 1).
func (r *random) float() float64 { return float64(r.next()>>11) / (1 << 53) }

// below returns a whole number in [0, n), each equally likely; n is at least 1.
func (r *random) below(n uint64) uint64 {
	high, low := bits.Mul64(r.next(), n)
	for least := -n % n; low < least; { // the few values that would be favoured
		high, low = bits.Mul64(r.next(), n)
	}
	return high
}
