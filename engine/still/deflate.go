package still

import "math/bits"

// stretch are bytes, at least one, that stand so many times one after the other.
type stretch struct {
	bytes []byte
	times int
}

// token is a part of what is compressed: a byte, or a run of the byte before.
type token struct {
	symbol    uint16 // of literals and lengths
	extra     uint8  // bits of the length behind the symbol
	extraBits uint8
}

// The symbols of literals and lengths, and how long a run can be.
//
// Source: [RFC1951], 3.2.5.
const (
	endOfBlock  = 256
	firstLength = 257
	symbols     = 286
	shortestRun = 3
	longestRun  = 258
)

// lengthBase are the shortest runs of the symbols from firstLength on, and lengthBits the bits that are added.
//
// Source: [RFC1951], 3.2.5.
var (
	lengthBase = [...]int{3, 4, 5, 6, 7, 8, 9, 10, 11, 13, 15, 17, 19, 23, 27, 31, 35, 43, 51, 59, 67, 83, 99, 115, 131, 163, 195, 227, 258}
	lengthBits = [...]uint8{0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3, 4, 4, 4, 4, 5, 5, 5, 5, 0}
)

// runToken is the token of a run of so many bytes.
func runToken(length int) token {
	i := len(lengthBase) - 1
	for lengthBase[i] > length {
		i--
	}
	return token{uint16(firstLength + i), uint8(length - lengthBase[i]), lengthBits[i]}
}

// tokens are bytes as literals and runs of one byte. Longer repetitions are not looked for: a picture of
// rectangles has none in the differences from pixel to pixel that would be worth it.
func tokens(data []byte) (out []token) {
	for i := 0; i < len(data); {
		b := data[i]
		out = append(out, token{symbol: uint16(b)})
		end := i + 1
		for end < len(data) && data[end] == b {
			end++
		}
		rest := end - i - 1
		for rest >= shortestRun {
			n := min(rest, longestRun)
			out = append(out, runToken(n))
			rest -= n
		}
		for ; rest > 0; rest-- {
			out = append(out, token{symbol: uint16(b)})
		}
		i = end
	}
	return out
}

// compress gives a zlib stream of one block, with a code of its own. The tokens of a stretch are the same each
// time it stands: a run never begins in one and ends in the next.
//
// Source: [RFC1950], 2.2; [RFC1951], 3.2.3 and 3.2.7.
func compress(data []stretch) []byte {
	known := map[*byte][]token{} // of rows that stand more than once
	parts := make([][]token, len(data))
	var counts [symbols]int
	counts[endOfBlock] = 1
	sum := adler{a: 1}
	for i, s := range data {
		if known[&s.bytes[0]] == nil {
			known[&s.bytes[0]] = tokens(s.bytes)
		}
		parts[i] = known[&s.bytes[0]]
		for _, t := range parts[i] {
			counts[t.symbol] += s.times
		}
		sum.repeat(s)
	}
	code := newCode(counts[:])
	w := &bitWriter{bytes: []byte{0x78, 0x01}} // a window of 32 KiB, no dictionary
	const lastBlock, ownCode = 1, 2
	w.put(lastBlock, 1)
	w.put(ownCode, 2)
	code.describe(w)
	for i, s := range data {
		for range s.times {
			for _, t := range parts[i] {
				w.put(uint64(code.bits[t.symbol]), code.lengths[t.symbol])
				if t.symbol >= firstLength {
					w.put(uint64(t.extra), t.extraBits)
					w.put(0, 1) // the only distance, 1
				}
			}
		}
	}
	w.put(uint64(code.bits[endOfBlock]), code.lengths[endOfBlock])
	return be32(w.end(), sum.value())
}

// adler is the check of a zlib stream.
//
// Source: [RFC1950], 8.2 and 9.
type adler struct{ a, b uint64 }

const adlerBase = 65521

// repeat takes in a stretch. One turn of n bytes adds their sum to a; to b it adds a for each of them, and
// each byte once for itself and once for every byte behind it.
func (s *adler) repeat(data stretch) {
	n := uint64(len(data.bytes))
	var sum, weighted uint64
	for i, v := range data.bytes {
		sum += uint64(v)
		weighted = (weighted + (n-uint64(i))*uint64(v)) % adlerBase
	}
	for range data.times {
		s.b = (s.b + n*s.a + weighted) % adlerBase
		s.a = (s.a + sum) % adlerBase
	}
}

func (s *adler) value() uint32 { return uint32(s.b<<16 | s.a) }

// bitWriter packs bits, the lowest first.
//
// Source: [RFC1951], 3.1.1.
type bitWriter struct {
	bytes []byte
	held  uint64
	n     uint8
}

func (w *bitWriter) put(v uint64, n uint8) {
	w.held |= v << w.n
	for w.n += n; w.n >= 8; w.n -= 8 {
		w.bytes = append(w.bytes, byte(w.held))
		w.held >>= 8
	}
}

func (w *bitWriter) end() []byte {
	if w.n > 0 {
		w.bytes = append(w.bytes, byte(w.held))
	}
	return w.bytes
}

func reversed(v uint16, n uint8) uint16 { return bits.Reverse16(v) >> (16 - n) }
