package draw

import (
	"math"
	"math/bits"
	"slices"
	"sync"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// The numbers themselves: a change of them, or a platform that computes others, would
// make recorded uncertainties differ. There is no outside to compare them with.
func TestNumbersArePinned(t *testing.T) {
	k := NewKey("scatter").Text("run 1").Number(17)
	for _, c := range []struct {
		name string
		got  float64
		want float64
	}{
		{"uniform", k.uniform(0), 0.9553568954427681},
		{"normal", k.normal(0), 1.699175033097025},
		{"next draw", k.normal(1), 1.0428815106385991},
		{"far draw", k.normal(1 << 30), -0.5235291140377158},
		{"second part", k.part(1).normal(0), -0.18742052767226122},
		{"t", studentT(k, 4, 3), -0.023813800925472636},
		{"t of a fraction", studentT(k, 1.5, 3), -0.04070183187150918},
		{"χ²", k.chiSquare(9, 5), 15.336449938724446},
		{"rectangular", k.rectangular(2), 0.138875372376148},
	} {
		if c.got != c.want {
			t.Errorf("%s is %v (%x), want %v", c.name, c.got, c.got, c.want)
		}
	}
	sum := uint64(0)
	for i := range 20000 { // tails and rejections too
		sum = bits.RotateLeft64(sum, 7) ^ math.Float64bits(studentT(k, 3.3, i))
	}
	if sum != 0x904372aaf0dd601a {
		t.Errorf("sum of 20000 t numbers is %#x", sum)
	}
	r := fullReading()
	for i := range 2000 {
		out := r.draw(i).Apply(fewSingles[0])
		for _, x := range []float64{out.X, out.Y, out.Z} {
			sum = bits.RotateLeft64(sum, 7) ^ math.Float64bits(x)
		}
	}
	if sum != 0x2b811d4a29f74b66 {
		t.Errorf("sum of 2000 drawn readings is %#x", sum)
	}
}

func TestKeysTellApart(t *testing.T) {
	n := NewKey("a")
	keys := []Key{n, NewKey("b"), NewKey(""), NewKey("ab"), n.Text("b"), n.Text("b").Text("c"), n.Text("bc"), n.Text(""), n.Text("").Text(""),
		n.Number(0), n.Number(1), n.Number(-1), n.Number(1).Number(2), n.Number(2).Number(1), n.Number(12), n.Text("1"), n.Text("\x01"),
		n.Text("12345678"), n.Text("12345678\x00"), n.Text("123456789"), n.part(1), n.part(2), n.Number(1).part(1), {}}
	for i, a := range keys {
		for j, b := range keys[:i] {
			if a == b || a.normal(0) == b.normal(0) {
				t.Errorf("keys %d and %d are alike", i, j)
			}
		}
	}
	if n.part(0) != n || NewKey("a").Text("b") != n.Text("b") {
		t.Error("a key depends on more than what went into it")
	}
}

// Whoever asks, in whatever order and at the same time, is given the same.
func TestNumbersDoNotDependOnOrder(t *testing.T) {
	k := NewKey("scale").Text("meter")
	want := make([]float64, 1000)
	for i := range want {
		want[i] = studentT(k, 3, i)
	}
	var wg sync.WaitGroup
	got := make([]float64, len(want))
	for part := range 4 {
		wg.Go(func() {
			for i := len(got) - 1 - part; i >= 0; i -= 4 {
				got[i] = studentT(k, 3, i)
			}
		})
	}
	wg.Wait()
	if !slices.Equal(got, want) {
		t.Error("numbers depend on the order in which they are asked for")
	}
}

// Of each hundred draws one lies in each hundredth; where a draw lies is as by
// chance over keys, and two keys have nothing to do with each other: their
// correlations have the variance of chance, 1/n, within 8 % and no heavier tails
// (4,000 pairs, kurtosis 3 within three standard errors of it, 0.23).
func TestStrata(t *testing.T) {
	first := make([]float64, 5000)
	for i := range first {
		k := NewKey("strata").Number(i)
		first[i] = k.uniform(i % 300)
		if i >= 200 {
			continue
		}
		var seen [2][strata]int
		for draw := range 2 * strata {
			seen[draw/strata][int(k.uniform(draw)*strata)]++
		}
		for block := range seen {
			for at, n := range seen[block] {
				if n != 1 {
					t.Fatalf("key %d: %d of a hundred draws are in hundredth %d", i, n, at)
				}
			}
		}
	}
	if d := kolmogorov(first, func(x float64) float64 { return x }); d > 1.949 {
		t.Errorf("over keys D√n is %.3f", d)
	}
	for _, n := range []int{100, 250, 500} {
		const pairs = 4000
		second, fourth := 0., 0.
		for p := range pairs {
			a, b := NewKey("a").Number(p), NewKey("b").Number(p)
			if p%2 == 1 {
				b = a.part(1)
			}
			r := stat.Correlation(numbers(n, a.normal), numbers(n, b.normal), nil) * math.Sqrt(float64(n))
			second += r * r / pairs
			fourth += r * r * r * r / pairs
		}
		if math.Abs(second-1) > 0.08 || fourth/second/second > 3.25 {
			t.Errorf("%d draws: correlations have %.3f of the variance of chance, kurtosis %.2f", n, second, fourth/second/second)
		}
	}
}

// Each bit of a key's text, and of the draw's number, turns each bit of the
// number drawn in about half of all cases (strict avalanche): within five
// standard deviations of so many trials.
func TestEveryBitTurnsEveryBit(t *testing.T) {
	const trials = 1 << 14
	for _, c := range []struct {
		name string
		bits func(i int) uint64
	}{
		{"draw", func(i int) uint64 { return NewKey("a").bits(i) }},
		{"number", func(i int) uint64 { return NewKey("a").Number(i).bits(0) }},
		{"text", func(i int) uint64 {
			return NewKey("a").Text(string([]byte{byte(i), byte(i >> 8), byte(i >> 16)})).bits(3)
		}},
	} {
		for in := range 20 {
			var turned [64]int
			for i := range trials {
				i *= 12289 // so that hardly a pair comes twice, the other way round
				d := c.bits(i) ^ c.bits(i^1<<in)
				for out := range turned {
					turned[out] += int(d >> out & 1)
				}
			}
			for out, n := range turned {
				if share := float64(n) / trials; math.Abs(share-0.5) > 5*0.5/math.Sqrt(trials) {
					t.Errorf("%s: bit %d turns bit %d in %.3f of cases", c.name, in, out, share)
				}
			}
		}
	}
}
