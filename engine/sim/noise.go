package sim

import (
	"math/rand/v2"
	"time"
)

// What chance decides. Each kind has its own streams.
const (
	noiseLatency uint64 = iota + 1
	noiseMeter
	noiseReference
	noiseLux
	noiseMeterDark
	noiseReferenceDark
	noiseMeterZero
	noiseReferenceZero
	noiseLamp
	noiseMeterErrors
	noiseMeterLevel
	noiseReferenceLevel
	noiseLuxErrors
	noiseLuxZero
)

// noise draws normal numbers from a stream that depends only on seed, kind
// and simulated time.
type noise struct {
	seed uint64
	pcg  *rand.PCG
	draw *rand.Rand
}

func newNoise(seed uint64) *noise {
	pcg := rand.NewPCG(0, 0)
	return &noise{seed: seed, pcg: pcg, draw: rand.New(pcg)}
}

// at returns the stream of the kind at a time. It is good until the next call.
func (n *noise) at(kind uint64, t time.Duration) *rand.Rand {
	key := mix(mix(n.seed) ^ mix(kind*0x9e3779b97f4a7c15+uint64(t)))
	n.pcg.Seed(key, mix(key+0x9e3779b97f4a7c15))
	return n.draw
}

// mix spreads 64 bits so that neighbouring keys get unrelated streams.
//
// Source: [Steele2014], the SplitMix64 finaliser with the constants of
// variant 13 by Stafford.
func mix(z uint64) uint64 {
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}
