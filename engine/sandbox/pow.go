package sandbox

import "math"

// pow is x^y as C's pow gives it, which Lua 5.1 uses: the number that is nearest to the true power. Go's math.Pow is often
// the one beside it, so that 8^(1/3) was not 2 and 10^-25 not 1e-25.
//
// The logarithm and the exponential are computed with pairs of numbers, of which the second holds what does not
// fit into the first. The error of a pair is below 2^-79 of the power, so that less than one of ten million results is
// rounded the wrong way. Every step is rounded by itself or a fused one by name, so that all processors agree.
//
// Sources: T. J. Dekker, A floating-point technique for extending the available precision, Numerische Mathematik 18,
// 1971 (the pairs); J.-M. Muller and others, Handbook of Floating-Point Arithmetic, 2nd edition, 2018 (the product by a
// fused multiplication and addition; tables with short series), both from memory. Special cases: ISO/IEC 9899:1999,
// F.9.4.4.
func pow(x, y float64) float64 {
	switch {
	case x == 1 || y == 0: // whatever the other is, also nan
		return 1
	case y == 1 || x != x:
		return x
	case y != y:
		return y
	case math.IsInf(y, 0):
		return powInf(x, y > 0)
	case x == 0 || math.IsInf(x, 0):
		return powEdge(x, y)
	case y == 2: // these three are rounded once
		return x * x
	case y == -1:
		return 1 / x
	case y == 0.5 && x > 0:
		return math.Sqrt(x)
	case x > 0:
		return powPositive(x, y)
	case y != math.Trunc(y):
		return math.NaN()
	case isOdd(y):
		return -powPositive(-x, y)
	}
	return powPositive(-x, y)
}

// powInf is a number to the power of infinity or, where it is not up, of -infinity.
func powInf(x float64, up bool) float64 {
	switch size := math.Abs(x); {
	case size == 1:
		return 1
	case size > 1 == up:
		return math.Inf(1)
	}
	return 0
}

// powEdge is a power of zero or infinity.
func powEdge(x, y float64) float64 {
	size := 0.0
	if x == 0 == (y < 0) {
		size = math.Inf(1)
	}
	if math.Signbit(x) && isOdd(y) {
		return -size
	}
	return size
}

// isOdd says whether a number is whole and odd.
func isOdd(y float64) bool {
	return math.Abs(y) < 1<<53 && y == math.Trunc(y) && int64(y)&1 != 0
}

// pair is a number in two parts, of which the second is at most half of the last place of the first.
type pair struct{ hi, lo float64 }

// sum adds two numbers exactly.
func sum(a, b float64) pair {
	s := a + b
	t := s - a
	return pair{s, (a - (s - t)) + (b - t)}
}

// quick is sum where a is the larger one or 0.
func quick(a, b float64) pair {
	s := a + b
	return pair{s, b - (s - a)}
}

// product multiplies two numbers exactly.
func product(a, b float64) pair {
	p := float64(a * b)
	return pair{p, math.FMA(a, b, -p)}
}

func (a pair) plus(b pair) pair {
	s := sum(a.hi, b.hi)
	return quick(s.hi, s.lo+(a.lo+b.lo))
}

func (a pair) times(b pair) pair {
	p := product(a.hi, b.hi)
	return quick(p.hi, math.FMA(a.lo, b.hi, math.FMA(a.hi, b.lo, p.lo)))
}

func (a pair) over(b pair) pair {
	q := a.hi / b.hi
	rest := math.FMA(-q, b.lo, math.FMA(-q, b.hi, a.hi)+a.lo)
	return quick(q, rest/b.hi)
}

// ln2 is the natural logarithm of 2.
var ln2 = pair{0x1.62e42fefa39efp-1, math.Ln2 - 0x1.62e42fefa39efp-1}

// Of so many numbers between 1 and 2 the logarithm is in a table, and between two neighbours of
// 2^(1/expSteps) the exponential.
const (
	logSteps = 256
	expSteps = 64
)

// logs are 1/c for the numbers c from 0.7 to 1.42 in steps of 1/256, and the logarithms of the inverse of that.
var logs = func() (all [364]struct {
	inverse float64
	log     pair
}) {
	for i := 181; i < len(all); i++ {
		inverse := logSteps / float64(i)
		all[i].inverse = inverse
		// -log v is twice the area tangent of (1 - v)/(1 + v)
		s := sum(1, -inverse).over(sum(1, inverse))
		square, series := s.times(s), pair{}
		for n := 45.0; n > 0; n -= 2 {
			series = series.times(square).plus(pair{1, 0}.over(pair{n, 0}))
		}
		l := s.times(series)
		all[i].log = pair{2 * l.hi, 2 * l.lo}
	}
	return all
}()

// powers are 2^(i/64).
var powers = func() (all [expSteps]pair) {
	for i := range all {
		x := pair{float64(i), 0}.times(pair{ln2.hi / expSteps, ln2.lo / expSteps})
		series := pair{1, 0}
		for n := 30.0; n > 0; n-- {
			series = pair{1, 0}.plus(series.times(x).over(pair{n, 0}))
		}
		all[i] = series
	}
	return all
}()

var (
	third = pair{1, 0}.over(pair{3, 0})
	sixth = pair{1, 0}.over(pair{6, 0})
)

// logOf is the natural logarithm of a positive number.
func logOf(x float64) pair {
	m, e := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m *= 2
		e--
	}
	known := &logs[int(math.FMA(m, logSteps, 0.5))]
	p := product(m, known.inverse)
	r := quick(p.hi-1, p.lo) // p is near to 1, so that the difference is exact
	// log(1 + r) = r - r²/2 + r³/3 - …; what is small enough as a single number
	h := r.hi
	tail := math.FMA(h, 1.0/11, -1.0/10)
	tail = math.FMA(h, tail, 1.0/9)
	tail = math.FMA(h, tail, -1.0/8)
	tail = math.FMA(h, tail, 1.0/7)
	tail = math.FMA(h, tail, -1.0/6)
	tail = math.FMA(h, tail, 1.0/5)
	series := quick(-0.25, float64(h*tail))
	series = third.plus(series.times(r))
	series = pair{-0.5, 0}.plus(series.times(r))
	log := r.plus(r.times(r).times(series))
	if known.inverse != 1 {
		log = known.log.plus(log)
	}
	if e != 0 {
		whole := product(float64(e), ln2.hi)
		log = quick(whole.hi, math.FMA(float64(e), ln2.lo, whole.lo)).plus(log)
	}
	return log
}

// powPositive is a power of a positive number; both are finite.
func powPositive(x, y float64) float64 {
	log := logOf(x)
	p := product(y, log.hi)
	switch {
	case p.hi > 710:
		return math.Inf(1)
	case p.hi < -746:
		return 0
	}
	p = quick(p.hi, math.FMA(y, log.lo, p.lo))
	n := math.Round(p.hi * (expSteps / math.Ln2))
	away := product(-n, ln2.hi/expSteps)
	r := p.plus(quick(away.hi, math.FMA(-n, ln2.lo/expSteps, away.lo)))
	// exp(r) - 1 = r + r²/2 + r³/6 + …
	h := r.hi
	tail := math.FMA(h, 1.0/39916800, 1.0/3628800)
	tail = math.FMA(h, tail, 1.0/362880)
	tail = math.FMA(h, tail, 1.0/40320)
	tail = math.FMA(h, tail, 1.0/5040)
	tail = math.FMA(h, tail, 1.0/720)
	tail = math.FMA(h, tail, 1.0/120)
	tail = math.FMA(h, tail, 1.0/24)
	series := sixth.plus(pair{float64(h * tail), 0})
	series = pair{0.5, 0}.plus(series.times(r))
	less := r.plus(r.times(r).times(series))
	step := int(n)
	power := powers[step&(expSteps-1)]
	return scaled(power.plus(power.times(less)), step>>6)
}

// scaled rounds v * 2^e, once. A power can be a number or lie just in the middle between two, such as 3^34. The pair
// misses it by its error, so what is so near is taken for it.
func scaled(v pair, e int) float64 {
	place := 0x1p-52 // the last one of a number with all places, as seen from v
	if v.hi < 1 {
		place /= 2
	}
	switch size := math.Abs(v.lo); {
	case size < near*place:
		v.lo = 0
	case math.Abs(size-place/2) < near*place && math.Float64bits(v.hi)&1 != 0:
		v = pair{v.hi + math.Copysign(place, v.lo), -v.lo}
	}
	if least := math.Ldexp(1, -1074-e); least > place {
		return few(v, e, least)
	}
	return math.Ldexp(v.hi, e)
}

// near is what counts as no distance, in last places; the error is smaller.
const near = 0x1p-26

// few is scaled where the result has fewer places.
func few(v pair, e int, place float64) float64 {
	if place > 4 { // so that it is less than half of the smallest number
		return 0
	}
	shift := 0x1p52 * place // beyond it the last place of a number is this one
	grid := sum(shift, v.hi)
	switch { // where the first part is just in the middle, the second one decides
	case grid.lo == place/2 && v.lo > 0:
		grid.hi += place
	case grid.lo == -place/2 && v.lo < 0:
		grid.hi -= place
	}
	return math.Ldexp(grid.hi-shift, e)
}
