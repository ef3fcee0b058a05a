package builtins

import (
	"testing"

	"candelua/colour"
)

// bigPairs makes two lists of a million colours. Only one and a half million numbers
// are computed in Lua, lest the budget of one stretch of work run out.
const bigPairs = `
local kept = {}
for chunk = 1, 2 do
  local flat = {}
  for i = 1, 750000 do flat[i] = (i * 7919 + chunk) % 100 end
  kept[chunk] = colour.triples(flat, { of = "Lab" })
end
local a = colour.join { kept[1], kept[2], kept[1], kept[2] }
local b = colour.join { kept[2], kept[1], kept[2], kept[1] }
`

// BenchmarkMillionPairs is CIEDE2000 of a million pairs: by the library in a
// loop of Go, and from a script in one call. What it takes to make the lists in
// Lua is measured by itself.
func BenchmarkMillionPairs(b *testing.B) {
	b.Run("go", func(b *testing.B) {
		labs := make([]colour.Lab, 1_000_000)
		for i := range labs {
			labs[i] = colour.Lab{L: float64(i * 7919 % 100), A: float64(i * 31 % 97), B: float64(i * 17 % 89)}
		}
		for b.Loop() {
			for i := range labs {
				sink += colour.DeltaE2000(labs[i], labs[(i+250_000)%len(labs)])
			}
		}
	})
	b.Run("lists alone", func(b *testing.B) { plays(b, bigPairs) })
	b.Run("lists and call", func(b *testing.B) {
		plays(b, bigPairs+"local d = colour.delta_e2000 { a = a, b = b }\nif #d ~= 1000000 then error('wrong') end")
	})
}

// BenchmarkThousandPairs is what a script pays that loops on its own.
func BenchmarkThousandPairs(b *testing.B) {
	const colours = `local c = {} for i = 1, 1001 do c[i] = { L = i % 100, a = i % 31, b = i % 17 } end
`
	b.Run("lists alone", func(b *testing.B) { plays(b, colours) })
	b.Run("loop", func(b *testing.B) {
		plays(b, colours+"local d = {} for i = 1, 1000 do d[i] = colour.delta_e2000 { a = c[i], b = c[i + 1] } end")
	})
}

var sink float64

func plays(b *testing.B, body string) {
	for b.Loop() {
		if err := newRig().play(b, body); err != nil {
			b.Fatal(err)
		}
	}
}
