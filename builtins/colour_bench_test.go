package builtins

import (
	"testing"

	"candelua/colour"
)

// bigPairs makes two lists of a million colours, most of them by joining, so that
// Lua's own loop is a small part of it.
const bigPairs = `
local kept = {}
for chunk = 1, 2 do
  local flat = {}
  for i = 1, 30000 do flat[i] = (i * 7919 + chunk) % 100 end
  local few = colour.triples(flat, { of = "Lab" })
  local many = {}
  for i = 1, 100 do many[i] = few end
  kept[chunk] = colour.join(many)
end
local a, b = kept[1], kept[2]
`

// BenchmarkMillionPairs is CIEDE2000 of a million pairs: by the library in a
// loop of Go, and from a script in one call, whose differences come as a table or
// packed. What it takes to make the lists is measured by itself.
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
	b.Run("lists and call, packed", func(b *testing.B) {
		plays(b, bigPairs+"local d = colour.delta_e2000 { a = a, b = b, packed = true }\nif d.n ~= 1000000 then error('wrong') end")
	})
	b.Run("lists and call, packed, and their mean", func(b *testing.B) {
		plays(b, bigPairs+"local d = colour.delta_e2000 { a = a, b = b, packed = true }\nif not (stats.mean(d) > 0) then error('wrong') end")
	})
}

// BenchmarkTriples is what it takes to pack the numbers of a table, a million of them.
func BenchmarkTriples(b *testing.B) {
	const numbers = "local flat = {} for i = 1, 999999 do flat[i] = i end\n"
	b.Run("table alone", func(b *testing.B) { plays(b, numbers) })
	b.Run("packed", func(b *testing.B) { plays(b, numbers+"local list = colour.triples(flat)") })
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
