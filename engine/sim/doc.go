// Package sim is the simulated world: a display, its source of patches, a
// spectral meter and an operator, on one virtual clock. Hours take
// milliseconds. It is good enough that a wrong procedure is caught, and each of
// its truths is a named parameter ([Params]) that a world file can state.
//
// # Time
//
// A [World]'s time moves only when a device takes time or when
// [World.WaitUntil] is called. Whatever changes with time (limiting, warmth)
// is a sum of exponentials anchored at the last event, where an event is a
// change of what the panel is asked to show. Between events nothing is
// stepped: the value at any time, and the mean over any integration, are
// computed from the anchor in closed form. So it does not matter, to the last
// bit, how waiting is divided, or which readings were taken in between.
//
// # Light
//
// Model of our own, additive as IDMS asks of a display before it lets
// primaries be summed:
//
//	L(λ, t) = black · S_W(λ) + Σ_i d_i · g_i(t) · S_i(λ)     i = R, G, B
//	S_W = S_R + S_G + S_B
//
// S_i are the primaries' spectra, so scaled that S_W has the stated white and
// a luminance of 1 cd/m². d_i, in cd/m², is what the signal asks for above
// black; g_i is the product of the factors of the phenomena in force, each of
// which has a file of its own and implements phenomenon.
//
// # Chance
//
// No generator runs along. The noise of a reading is drawn from a generator
// that is seeded with the world's seed, the kind of noise and the simulated
// time at which the reading began; the same holds for latency. The same seed
// is the same world, and a resumed run meets the noise that an unbroken one
// would have met.
package sim
