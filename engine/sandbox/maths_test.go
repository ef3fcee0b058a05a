package sandbox

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// TestFmodIsCharged looks at numbers of all magnitudes: what fmod costs grows with the subtractions that it makes, a
// few nanoseconds each.
func TestFmodIsCharged(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	number := func() float64 { return math.Ldexp(1+r.Float64(), r.IntN(2100)-1074) }
	spent := func(a, b float64) int64 {
		m := New(context.Background(), Limits{}, func(string) {}, 1)
		defer m.Close()
		proto, err := Compile("x.lua", fmt.Appendf(nil, "return math.fmod(%.17g, %.17g)", a, b), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		before := m.fuel.left
		if _, err := m.Call(m.Load(proto), 1); err != nil {
			t.Fatal(err)
		}
		return before - m.fuel.left
	}
	pairs := [][2]float64{{1.7e308, 3e-308}, {-1.7e308, 3e-308}, {1.7e308, -7e-324}}
	for range 300 {
		pairs = append(pairs, [2]float64{number(), number()})
	}
	for _, p := range pairs {
		if units, steps := spent(p[0], p[1]), subtractions(p[0], p[1]); units < steps/8 {
			t.Errorf("math.fmod(%g, %g) makes %d subtractions for %d units of work", p[0], p[1], steps, units)
		}
	}
}

// subtractions counts those of a remainder that is computed by long division.
func subtractions(a, b float64) (n int64) {
	a, b = math.Abs(a), math.Abs(b)
	for ; a >= b; n++ {
		fraction, high := math.Frexp(a)
		least, low := math.Frexp(b)
		if fraction < least {
			high--
		}
		a -= math.Ldexp(b, high-low)
	}
	return n
}

// TestLog10OfPowers takes the logarithm of each power of ten, which is whole: digits are counted so. Old runs keep what
// they got.
func TestLog10OfPowers(t *testing.T) {
	const src = "for n = -307, 308 do local l = math.log10(tonumber('1e' .. n)) if l ~= n then print(n) end end"
	if out, err := execute(t, "x.lua", src, Limits{}); err != nil || out != "" {
		t.Errorf("not whole, %v: %.300s", err, out)
	}
	if out, err := execute(t, "x.lua", src, Limits{Before4: true}); err != nil || !strings.Contains(out, "15\n") {
		t.Errorf("the rules before 4 compute otherwise, %v: %.300s", err, out)
	}
	if out, err := execute(t, "x.lua", "print(math.log10(0), math.log10(-1), math.log10(1e-320) == -320, math.log10(1000.0000001) > 3)", Limits{}); err != nil || out != "-inf\tnan\tfalse\ttrue\n" {
		t.Errorf("%v: %q", err, out)
	}
}
