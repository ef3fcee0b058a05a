// Package sim is the simulated world: a display, its source of patches, two
// meters, a room with a rig and an operator, on one virtual clock. Hours take
// milliseconds. It is detailed enough to catch a wrong procedure, and each of its
// true properties is a named parameter ([Params]) that a world file can state.
//
// # Time
//
// A [World]'s time moves only when a device takes time or when
// [World.WaitUntil] is called. Everything that changes with time is a sum of
// exponentials that starts at the last turn. A turn is a change of what the
// panel is asked to show, or a change by the panel itself (dimming begins, the
// brightness follows the room). Between turns there is no stepping: the value at any
// time, and the mean over any integration, are computed in closed form from the last
// turn. The panel's own changes happen at their own times, whether or not the
// world is read then. So the results are the same, to the last bit, however
// waiting is divided and whichever readings are taken in between.
//
// # Light
//
// Model of our own, additive as IDMS asks of a display before it lets
// primaries be summed:
//
//	L(λ, t) = Σ_i v_i · p(t) · d_i · g_i(t) · S_i(λ) + black · S_B(λ) + ρE(t)/π · S_E(λ)
//
// with i = red, green, blue and, on some panels, white. S_i are the subpixels'
// spectra, S_B that of equal red, green and blue, S_E the room's light, each
// scaled to 1 cd/m². d_i, in cd/m², is what the signal asks for above black;
// g_i is the product of the factors of all phenomena, each of which has a file of
// its own and implements phenomenon; v_i is the factor of angle and place, p that
// of modulation; ρ is the screen's reflectance, E the illuminance.
//
// # What there is, and what it catches
//
//	phenomenon                    file          a procedure fails that …
//	white subpixel                panel.go      sums primaries, or corrects a meter by a sum of them
//	crosstalk                     panel.go      sums primaries, or takes a display for additive unchecked
//	tone by formula or table      tone.go       uses one exponent for the whole curve
//	near-black cut-off            tone.go       assumes that the first code gives light
//	merged steps                  tone.go       finds banding by eye alone, or skips codes
//	HDR roll-off by metadata      tone.go       does not send the metadata that it tests
//	power limiting                limit.go      compares windows or greys of different mean light
//	warm-up                       warmup.go     reads a cold panel, or does not watch the drift
//	retention                     retention.go  reads where something bright was just shown, or has no reference place
//	static-content dimming        static.go     reads one patch for too long
//	thermal dimming               thermal.go    gives the panel no rest
//	automatic brightness          adaptive.go   leaves it on, or shades the sensor
//	switched light                pwm.go        integrates over part of a period
//	angle                         view.go       reads from the side
//	edges                         view.go       assumes that one place stands for the whole screen
//	field of view                 view.go       reads a window smaller than the field
//	filter colorimeter            optics.go     uses it without a correction
//	dark drift                    optics.go     does not measure the dark level for long
//	saturation, floor, noise      optics.go     uses flagged readings, or too few
//	room light, lamps             room.go       forgets reflections, or reads while lamps warm up
//	controls                      control.go    forgets a setting
//	modes                         mode.go       compares readings of different modes
//	latency                       source.go     ignores the latency of patches, or times holds by waiting
//	faults                        fault.go      trusts every reading
//
// # Worlds and truths
//
// A world file is [Params] as TOML. Each parameter is declared once, by the tags of its field (params.go): name, unit, limits and help. [Parse] checks by
// them and [Print] prints by them. The files in worlds are shipped. [World] has functions that compute truths without noise, for a warm panel, at once or after so
// many steps (truth.go and the files beside it); truthnames.go names those that a trial may ask for.
//
// A phenomenon implements the interface phenomenon (world.go), which has four methods: turn takes in a turn, appendFactor gives the factor over time as a sum
// of exponentials, next says when the phenomenon makes a turn by itself, and steady gives the factor after everything has settled. [New] makes all phenomena.
//
// # Going on with a run
//
// A simulated world is made anew when a run goes on. Its devices live through the recorded steps again (relive.go, [bench.Reliver]), and know whether all is still as
// a request left it ([bench.Verifier]). A request that a device does not know is an error there, and does not stand. The noise of a reading follows from seed and time, so a world that was relived goes on as if it had never been
// interrupted, to the last bit.
//
// # Chance
//
// There is no random generator that runs through the whole simulation. The noise of a
// reading is drawn from a generator that is seeded with the world's seed, the kind
// of noise and the simulated time at which the reading began; latency likewise. Slow
// drifts are sums of sinusoids that are drawn once from the seed. So the same seed
// makes the same world, and a resumed run has the same noise as an uninterrupted run.
//
// # Conventions
//
//   - An amplitude of 0 means that the world does not have the phenomenon. A time constant is never 0, unless its help says what 0 does.
//   - A world file that does not state a parameter has the value of its base, which is worlds/default.toml.
//   - A former name of a parameter or control stays known.
//   - The comment of a model's type says what it is based on: a source, or "Model of our own".
//   - Names of units are invented, after birds.
//
// # Where it ends
//
// The package imports colour and bench, and nothing of runs, scripts or journals.
package sim
