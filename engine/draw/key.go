package draw

import "math/bits"

// Key names a cause of error. A key returns the same number for the same draw, in
// any order, on any number of cores and in any run. Two keys that differ in
// anything return independent numbers. So two readings, or two runs, share exactly
// the errors whose keys are the same:
//
//	scale          NewKey("scale").Text(meter)
//	chromaticity   NewKey("chromaticity").Text(meter), with a correction NewKey("correction").Text(correction)…
//	correction     NewKey("correction gain").Text(correction)…
//	dark level     NewKey("dark").Text(meter).Text(run).Number(how often the dark level was measured)
//	drift          NewKey("drift")…, as for the dark level
//	scatter        NewKey("scatter").Text(run).Number(step)….Text(what was read)
//	resolution     NewKey("digit")…, as for scatter
//	wavelengths    NewKey("wavelengths").Text(meter)
//	response       NewKey("response").Text(meter)
//	spectral noise NewKey("spectral noise")…, as for scatter
//	lux, scale     NewKey("lux scale").Text(light meter)
//	lux, zero      NewKey("lux zero").Text(light meter).Text(run)
//	number         NewKey("number").Text(run).Number(step).Text(the number), of what an illuminance or a typed number has of its own
//
// The text run is empty, so that a copied run has the same errors. Only
// [candelua/engine.DrawApart] states it, to keep two runs apart (builtins/draws.go).
//
// A key is a value of 128 bits and may be compared and used in maps. The zero
// Key is a key like any other.
type Key struct{ a, b uint64 }

// Odd constants with about as many ones as noughts; they keep texts, numbers and
// parts apart.
const (
	stepDraw  = 0x9E3779B97F4A7C15 // 2⁶⁴ divided by the golden ratio
	stepPart  = 0xD1342543DE82EF95 // a multiplier of Steele and Vigna 2021, from memory
	tagText   = 0x7F1BC53A2D96E84D
	tagNumber = 0x3C8E1A65B7D2940B
)

// NewKey returns the key of a component of error, by its name.
func NewKey(component string) Key {
	return Key{0x243F6A8885A308D3, 0x13198A2E03707344}.Text(component) // the fraction of π
}

// Text returns the key of k and a text. Two texts are not the same as both in
// one: Text("a").Text("bc") differs from Text("ab").Text("c").
func (k Key) Text(s string) Key {
	k = k.absorb(tagText ^ uint64(len(s)))
	for len(s) > 0 {
		var word uint64
		n := min(8, len(s))
		for i := range n {
			word |= uint64(s[i]) << (8 * i)
		}
		k, s = k.absorb(word), s[n:]
	}
	return k
}

// Number returns the key of k and a whole number, such as a step's.
func (k Key) Number(n int) Key {
	return k.absorb(tagNumber).absorb(uint64(n))
}

// part returns the key of the i-th of several numbers that one cause draws
// together; part(0) is k itself. It is for the numbers of one draw and costs
// an addition: use [Key.Number] for what names a cause.
func (k Key) part(i int) Key {
	k.b += uint64(i) * stepPart
	return k
}

func (k Key) absorb(word uint64) Key {
	k.a = mix(k.a ^ word)
	k.b = mix(bits.RotateLeft64(k.b, 23) + word*stepDraw + k.a)
	return k
}

// bits returns the 64 random bits of one draw.
func (k Key) bits(draw int) uint64 {
	return mix(mix(k.a+uint64(draw)*stepDraw) ^ k.b)
}

// strata is how many draws divide the numbers between 0 and 1 among them.
const strata = 100

// stratum says in which hundredth the i-th of a block of draws lies: a permutation
// that belongs to key and block.
func (k Key) stratum(block int, i uint64) uint64 {
	r := mix(mix(k.b+uint64(block)*stepDraw+tagNumber) ^ k.a)
	for i = shuffled(i, r); i >= strata; {
		i = shuffled(i, r) // once more, until it is one of the hundred: still a permutation
	}
	return i
}

// shuffled is a bijection of 7 bits, chosen by 52 bits of r.
func shuffled(x, r uint64) uint64 {
	const bits7 = 1<<7 - 1
	for range 4 {
		x = (x*(r<<1|1) + r>>6) & bits7
		x ^= x >> 4
		r >>= 13
	}
	return x
}

// mix is a bijection of 64-bit words in which each bit of the input turns each
// bit of the output with a probability near one half.
//
// Source: D. Stafford's thirteenth variant of the 64-bit finaliser of
// MurmurHash3; constants from memory, the tests measure what they do.
func mix(z uint64) uint64 {
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}
