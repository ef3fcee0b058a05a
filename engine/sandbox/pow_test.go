package sandbox

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"candelua/testdata/campaign"
)

// bigBits are the places of the reference, which is far more exact than a number.
const bigBits = 240

func bigOf(x float64) *big.Float { return new(big.Float).SetPrec(bigBits).SetFloat64(x) }

// bigSeries sums terms until they are negligible; next gives the factor from term n to the one after it.
func bigSeries(first *big.Float, next func(n int64) *big.Float) *big.Float {
	total, term := bigOf(0), first
	for n := int64(0); term.Sign() != 0 && (n == 0 || term.MantExp(nil) > total.MantExp(nil)-bigBits); n++ {
		total = bigOf(0).Add(total, term)
		term = bigOf(0).Mul(term, next(n))
	}
	return total
}

// bigLog is the natural logarithm by the series of the area tangent: log m = 2 artanh((m-1)/(m+1)).
func bigLog(x *big.Float) *big.Float {
	m := bigOf(0)
	e := x.MantExp(m)
	if m.Cmp(bigOf(0.7)) < 0 {
		m.Mul(m, bigOf(2))
		e--
	}
	log := bigArtanh(bigOf(0).Quo(bigOf(0).Sub(m, bigOf(1)), bigOf(0).Add(m, bigOf(1))))
	two := bigArtanh(bigOf(0).Quo(bigOf(1), bigOf(3)))
	return log.Add(log, two.Mul(two, bigOf(float64(e))))
}

func bigArtanh(s *big.Float) *big.Float {
	square := bigOf(0).Mul(s, s)
	return bigSeries(bigOf(0).Add(s, s), func(n int64) *big.Float {
		f := bigOf(0).Mul(square, bigOf(float64(2*n+1)))
		return f.Quo(f, bigOf(float64(2*n+3)))
	})
}

// bigPow is x^y by exp(y ln x), for a positive x, rounded once. A power that is exact, or in the middle between two
// numbers, has fewer places than are kept before the last rounding.
func bigPow(x, y float64) float64 {
	p := bigLog(bigOf(x))
	p.Mul(p, bigOf(y))
	if f, _ := p.Float64(); math.Abs(f) > 800 {
		return math.Exp(f)
	}
	const halvings = 40
	small := bigOf(0).SetMantExp(p, -halvings)
	e := bigSeries(bigOf(1), func(n int64) *big.Float { return bigOf(0).Quo(small, bigOf(float64(n+1))) })
	for range halvings {
		e.Mul(e, e)
	}
	f, _ := e.SetPrec(160).Float64()
	return f
}

// powerPair draws a pair of numbers for a power, of all magnitudes and of the kinds that scripts use.
func powerPair(r *rand.Rand) (x, y float64) {
	any := func(least, most int) float64 { return math.Ldexp(1+r.Float64(), least+r.IntN(most-least)) }
	sign := float64(2*r.IntN(2) - 1)
	switch r.IntN(9) {
	case 0: // a root
		return any(-1074, 1024), 1 / float64(1+r.IntN(9))
	case 1: // the root of a whole power
		n := float64(1 + r.IntN(9))
		return math.Pow(float64(1+r.IntN(30)), n), 1 / n
	case 2: // a power of ten
		return 10, float64(r.IntN(640) - 330)
	case 3: // a whole power of a whole number
		return float64(1 + r.IntN(1000)), float64(r.IntN(200) - 100)
	case 4: // near to 1
		return 1 + sign*any(-52, -1), sign * any(-5, 60)
	case 5: // with a result among the smallest and largest numbers
		x = any(-1000, 1000)
		return x, sign * (700 + 60*r.Float64()) / math.Log(x)
	case 6: // from a subnormal number
		return float64(1+r.IntN(1000)) * 5e-324, sign * any(-10, 1)
	case 7: // decimal fractions, such as a gamma
		return float64(r.IntN(100000)) / 1000, float64(r.IntN(10000)-5000) / 1000
	}
	return any(-1074, 1024), sign * any(-60, 12)
}

// TestPowIsNearest compares pow with the true power, rounded once. None of so few differs.
func TestPowIsNearest(t *testing.T) {
	count := uint64(campaign.Of(t, 2000, 20_000))
	if campaign.Race {
		count = 200
	}
	r, differ := rand.New(rand.NewPCG(8, 8)), 0
	for range count {
		x, y := powerPair(r)
		if x == 0 {
			continue
		}
		if got, want := pow(x, y), bigPow(x, y); got != want {
			differ++
			t.Logf("%v ^ %v is %v, the nearest number is %v", x, y, got, want)
		}
	}
	if differ > 0 {
		t.Errorf("%d of %d powers are not the nearest number", differ, count)
	}
}

// TestPowOfLua compares pow with that of lua5.1, whose C library may miss the nearest number by one place: glibc 2.36 does
// so in one of some thousand.
func TestPowOfLua(t *testing.T) {
	path, count := reference(t), campaign.Of(t, 5000, 100_000)
	r := rand.New(rand.NewPCG(9, 9))
	var src strings.Builder
	src.WriteString("local function p(x, y) print(string.format('%.17g', x ^ y)) end\n")
	pairs := make([][2]float64, count)
	for i := range pairs {
		x, y := powerPair(r)
		if i%10 == 0 { // whole powers of numbers below 0, and what is no number
			x = -x
			y = math.Trunc(y) + float64(i/10%2)/2
		}
		pairs[i] = [2]float64{x, y}
		fmt.Fprintf(&src, "p(%.17g, %.17g)\n", x, y)
	}
	cmd := exec.Command(path, "-")
	cmd.Stdin = strings.NewReader(src.String())
	out, err := cmd.Output()
	lines := strings.Fields(string(out))
	if err != nil || len(lines) != count {
		t.Fatalf("%d results, %v", len(lines), err)
	}
	differ, before := 0, 0
	for i, p := range pairs {
		want, err := strconv.ParseFloat(strings.TrimPrefix(lines[i], "-nan"), 64)
		if err != nil {
			want = math.NaN()
		}
		got := pow(p[0], p[1])
		if old := math.Pow(p[0], p[1]); old != want && old == old {
			before++
		}
		switch {
		case got == want || got != got && want != want:
		case got == math.Nextafter(want, got):
			differ++
		default:
			t.Errorf("%v ^ %v is %v, and %v in lua5.1", p[0], p[1], got, want)
		}
	}
	t.Logf("of %d powers, %d differ from lua5.1 by one place; %d of the library's", count, differ, before)
	if differ > count/200 {
		t.Errorf("%d of %d powers differ from lua5.1", differ, count)
	}
}

// TestPowOfEdges has the special cases of ISO/IEC 9899:1999, F.9.4.4, each with members of its families.
func TestPowOfEdges(t *testing.T) {
	inf, nan, zero := math.Inf(1), math.NaN(), math.Copysign(0, -1)
	odd, even, broken := []float64{1, 3, 1<<53 - 1}, []float64{2, 4, 1 << 53, 1e300}, []float64{0.5, 1.5, 5e-324, 1e10 + 0.5}
	any := []float64{-inf, -1e300, -2, -1, -0.5, -5e-324, zero, 0, 5e-324, 0.5, 1, 2, 1e300, inf, nan}
	for _, c := range []struct {
		x, y []float64
		sign float64 // of y
		want float64
	}{
		{[]float64{0}, odd, -1, inf}, {[]float64{zero}, odd, -1, -inf}, {[]float64{0, zero}, append(even, broken...), -1, inf}, {[]float64{0, zero}, []float64{inf}, -1, inf},
		{[]float64{0}, odd, 1, 0}, {[]float64{zero}, odd, 1, zero}, {[]float64{0, zero}, append(even, broken...), 1, 0},
		{[]float64{-1}, []float64{inf}, 1, 1}, {[]float64{-1}, []float64{inf}, -1, 1}, {[]float64{1}, any, 1, 1}, {any, []float64{0, zero}, 1, 1},
		{[]float64{-1e300, -2, -0.5, -5e-324}, broken, 1, nan}, {[]float64{-1e300, -2, -0.5, -5e-324}, broken, -1, nan},
		{[]float64{0.5, -0.5, 5e-324, 0}, []float64{inf}, -1, inf}, {[]float64{2, -2, 1e300}, []float64{inf}, -1, 0}, {[]float64{0.5, -0.5, 5e-324, 0}, []float64{inf}, 1, 0}, {[]float64{2, -2, 1e300}, []float64{inf}, 1, inf},
		{[]float64{-inf}, odd, -1, zero}, {[]float64{-inf}, append(even, broken...), -1, 0}, {[]float64{-inf}, odd, 1, -inf}, {[]float64{-inf}, append(even, broken...), 1, inf},
		{[]float64{inf}, append(append(odd, even...), broken...), -1, 0}, {[]float64{inf}, append(append(odd, even...), broken...), 1, inf},
		{[]float64{nan}, append(append(odd, even...), broken...), 1, nan}, {[]float64{0, zero, 2, -2, inf, -inf, nan}, []float64{nan}, 1, nan},
	} {
		for _, x := range c.x {
			for _, y := range c.y {
				got := pow(x, c.sign*y)
				if got != c.want && (got == got || c.want == c.want) || math.Signbit(got) != math.Signbit(c.want) && got == got {
					t.Errorf("%v ^ %v is %v, want %v", x, c.sign*y, got, c.want)
				}
			}
		}
	}
}

// TestPowInTheMiddle has powers that lie just in the middle between two numbers: whole numbers of 54 places, to which
// no logarithm comes near enough to tell. They are rounded to the even one.
func TestPowInTheMiddle(t *testing.T) {
	middles := 0
	for base := int64(3); base < 1<<18+2; base += 2 {
		whole := new(big.Int).SetInt64(base)
		for n := 2.0; ; n++ {
			if whole.Mul(whole, big.NewInt(base)); whole.BitLen() > 54 {
				break
			} else if whole.BitLen() < 54 {
				continue
			}
			middles++
			want, _ := new(big.Float).SetInt(whole).Float64()
			if got := pow(float64(base), n); got != want {
				t.Errorf("%d ^ %v is %.17g, want %.17g", base, n, got, want)
			}
			if got := pow(float64(base*base), n/2); got != want {
				t.Errorf("%d ^ %v is %.17g, want %.17g", base*base, n/2, got, want)
			}
			if got := pow(float64(base)/2, n); got != math.Ldexp(want, -int(n)) {
				t.Errorf("%v ^ %v is %.17g, want %.17g", float64(base)/2, n, got, math.Ldexp(want, -int(n)))
			}
		}
	}
	if middles < 1000 {
		t.Errorf("only %d powers", middles)
	}
}
