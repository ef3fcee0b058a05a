package still

import "slices"

// code is a prefix code of symbols: for each its length in bits, 0 for one that is not used, and its bits with
// the first one lowest.
type code struct {
	lengths []uint8
	bits    []uint16
}

// longestCode is how long a code may be, longestMeta one that describes it.
//
// Source: [RFC1951], 3.2.7.
const (
	longestCode = 15
	longestMeta = 7
)

// newCode is the shortest code for symbols that occur so often.
func newCode(counts []int) *code { return limitedCode(counts, longestCode) }

// limitedCode finds the lengths by package-merge: in each of most rounds the symbols and the pairs of the
// round before are merged by weight; a symbol's length is how often it is in the first 2(n-1) of the last round.
//
// Source: L. L. Larmore, D. S. Hirschberg, A fast algorithm for optimal length-limited Huffman codes, J. ACM 37
// (1990), from memory.
func limitedCode(counts []int, most int) *code {
	type item struct {
		weight  int
		symbols []int
	}
	c := &code{lengths: make([]uint8, len(counts)), bits: make([]uint16, len(counts))}
	var leaves []item
	for s, n := range counts {
		if n > 0 {
			leaves = append(leaves, item{n, []int{s}})
		}
	}
	if len(leaves) == 1 {
		c.lengths[leaves[0].symbols[0]] = 1
		return c
	}
	byWeight := func(a, b item) int { return a.weight - b.weight }
	slices.SortStableFunc(leaves, byWeight)
	var all []item
	for range most {
		var pairs []item
		for i := 0; i+1 < len(all); i += 2 {
			pairs = append(pairs, item{all[i].weight + all[i+1].weight, slices.Concat(all[i].symbols, all[i+1].symbols)})
		}
		all = append(slices.Clone(leaves), pairs...)
		slices.SortStableFunc(all, byWeight)
	}
	for _, it := range all[:2*(len(leaves)-1)] {
		for _, s := range it.symbols {
			c.lengths[s]++
		}
	}
	c.assign()
	return c
}

// assign gives symbols of the same length consecutive bits, the shorter lengths first.
//
// Source: [RFC1951], 3.2.2.
func (c *code) assign() {
	next := uint16(0)
	for n := uint8(1); n <= longestCode; n++ {
		for s, length := range c.lengths {
			if length == n {
				c.bits[s] = reversed(next, n)
				next++
			}
		}
		next <<= 1
	}
}

// metaOrder is the order in which the lengths of the code of lengths stand.
//
// Source: [RFC1951], 3.2.7.
var metaOrder = [...]int{16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15}

// describe writes the code, and one of distances that knows distance 1 alone.
//
// Source: [RFC1951], 3.2.7.
func (c *code) describe(w *bitWriter) {
	all := append(slices.Clone(c.lengths), 1) // the only distance has a code of one bit
	packed := packLengths(all)
	var counts [len(metaOrder)]int
	for _, l := range packed {
		counts[l.symbol]++
	}
	meta := limitedCode(counts[:], longestMeta)
	given := len(metaOrder)
	for given > 4 && meta.lengths[metaOrder[given-1]] == 0 {
		given--
	}
	w.put(symbols-257, 5)
	w.put(0, 5) // one distance
	w.put(uint64(given-4), 4)
	for _, s := range metaOrder[:given] {
		w.put(uint64(meta.lengths[s]), 3)
	}
	for _, l := range packed {
		w.put(uint64(meta.bits[l.symbol]), meta.lengths[l.symbol])
		w.put(uint64(l.extra), l.extraBits)
	}
}

// packLengths writes runs of unused symbols short: 17 is 3 to 10 zeros, 18 is 11 to 138.
//
// Source: [RFC1951], 3.2.7.
func packLengths(lengths []uint8) (out []token) {
	for i := 0; i < len(lengths); {
		end := i
		for end < len(lengths) && lengths[end] == 0 && end-i < 138 {
			end++
		}
		switch n := end - i; {
		case n >= 11:
			out = append(out, token{18, uint8(n - 11), 7})
		case n >= 3:
			out = append(out, token{17, uint8(n - 3), 3})
		default:
			end = i + 1
			out = append(out, token{symbol: uint16(lengths[i])})
		}
		i = end
	}
	return out
}
