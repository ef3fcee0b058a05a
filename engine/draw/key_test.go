package draw

import (
	"math"
	"math/bits"
	"slices"
	"sync"
	"testing"
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
		{"uniform", k.Uniform(0), 0.5356895442768074},
		{"normal", k.Normal(0), 0.08958008398256295},
		{"next draw", k.Normal(1), -1.0371142527633905},
		{"far draw", k.Normal(1 << 30), -1.8763326545761214},
		{"second part", k.Part(1).Normal(0), 0.1675883982822846},
		{"t", k.T(4, 3), -1.6085638769608828},
		{"t of a fraction", k.T(1.5, 3), -2.255935051205065},
		{"χ²", k.ChiSquare(9, 5), 9.78106664877462},
		{"rectangular", k.Rectangular(2), 0.8875372376147952},
	} {
		if c.got != c.want {
			t.Errorf("%s is %v (%x), want %v", c.name, c.got, c.got, c.want)
		}
	}
	sum := uint64(0)
	for i := range 20000 { // tails and rejections too
		sum = bits.RotateLeft64(sum, 7) ^ math.Float64bits(k.T(3.3, i))
	}
	if sum != 0x3fab68b98dd7e8b6 {
		t.Errorf("sum of 20000 t numbers is %#x", sum)
	}
	r := fullReading()
	for i := range 2000 {
		out := r.Draw(All, i).Apply(fewSingles[0])
		for _, x := range []float64{out.X, out.Y, out.Z} {
			sum = bits.RotateLeft64(sum, 7) ^ math.Float64bits(x)
		}
	}
	if sum != 0x1566045425cff514 {
		t.Errorf("sum of 2000 drawn readings is %#x", sum)
	}
}

func TestKeysTellApart(t *testing.T) {
	n := NewKey("a")
	keys := []Key{n, NewKey("b"), NewKey(""), NewKey("ab"), n.Text("b"), n.Text("b").Text("c"), n.Text("bc"), n.Text(""), n.Text("").Text(""),
		n.Number(0), n.Number(1), n.Number(-1), n.Number(1).Number(2), n.Number(2).Number(1), n.Number(12), n.Text("1"), n.Text("\x01"),
		n.Text("12345678"), n.Text("12345678\x00"), n.Text("123456789"), n.Part(1), n.Part(2), n.Number(1).Part(1), {}}
	for i, a := range keys {
		for j, b := range keys[:i] {
			if a == b || a.Normal(0) == b.Normal(0) {
				t.Errorf("keys %d and %d are alike", i, j)
			}
		}
	}
	if n.Part(0) != n || NewKey("a").Text("b") != n.Text("b") {
		t.Error("a key depends on more than what went into it")
	}
}

// Whoever asks, in whatever order and at the same time, is given the same.
func TestNumbersDoNotDependOnOrder(t *testing.T) {
	k := NewKey("scale").Text("meter")
	want := make([]float64, 1000)
	for i := range want {
		want[i] = k.T(3, i)
	}
	var wg sync.WaitGroup
	got := make([]float64, len(want))
	for part := range 4 {
		wg.Go(func() {
			for i := len(got) - 1 - part; i >= 0; i -= 4 {
				got[i] = k.T(3, i)
			}
		})
	}
	wg.Wait()
	if !slices.Equal(got, want) {
		t.Error("numbers depend on the order in which they are asked for")
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
