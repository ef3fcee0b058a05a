package journal

import (
	"bytes"
	"crypto/sha256"
	"hash"
)

const (
	// sumName is how the head names the sum of this format.
	sumName = "sha256-64"
	// sumLen is the length of a sum in hex digits: the first 64 bits of a SHA-256.
	sumLen = 16

	sumKey = `,"sum":"`
	sumEnd = `"}`
	// tailLen is the length of what follows a record's body on its line.
	tailLen = len(sumKey) + sumLen + len(sumEnd)
)

// chain computes the sum of each record from the one before and its own bytes:
//
//	sum(n) = hex(SHA-256(sum(n-1) body(n)))[:16]    sum(0) is empty
//
// where body is a line up to `,"sum":`. So a record that is changed, moved, missing or doubled does not
// fit the one before it. It is a check against damage and carelessness, not a signature: whoever can
// write the file can compute sums.
//
// Source: SHA-256 is [FIPS180-4].
type chain struct {
	hash hash.Hash
	sum  [sumLen]byte
	used int // length of sum: 0 before the first record
	full [sha256.Size]byte
}

func newChain() *chain { return &chain{hash: sha256.New()} }

// next returns the sum that a record with this body has as the next one. It does not move the chain on.
func (c *chain) next(body []byte) (sum [sumLen]byte) {
	c.hash.Reset()
	c.hash.Write(c.sum[:c.used])
	c.hash.Write(body)
	for i, b := range c.hash.Sum(c.full[:0])[:sumLen/2] {
		sum[2*i], sum[2*i+1] = hexDigits[b>>4], hexDigits[b&15]
	}
	return sum
}

// move makes sum the last record's.
func (c *chain) move(sum [sumLen]byte) { c.sum, c.used = sum, sumLen }

// splitLine parts a line, without its newline, into its body and its sum.
func splitLine(line []byte) (body, sum []byte, ok bool) {
	at := len(line) - tailLen
	if at < 0 {
		return nil, nil, false
	}
	tail, ok := bytes.CutPrefix(line[at:], []byte(sumKey))
	return line[:at], tail[:len(tail)-len(sumEnd)], ok && string(tail[sumLen:]) == sumEnd
}
