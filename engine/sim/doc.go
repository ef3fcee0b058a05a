// Package sim is the simulated world: a display, its source of patches, two
// meters, a room with a rig and an operator, on one virtual clock. Hours take
// milliseconds. It is good enough that a wrong procedure is caught, and each of
// its truths is a named parameter ([Params]) that a world file can state.
//
// # Time
//
// A [World]'s time moves only when a device takes time or when somebody
// waits by its clock ([bench.Clock]). Whatever changes with time is a sum of
// exponentials anchored at the last turn, where a turn is a change of what the
// panel is asked to show, or one of its own accord (dimming begins, brightness
// follows the room). Between turns nothing is stepped: the value at any time,
// and the mean over any integration, are computed from the anchor in closed
// form. What changes of its own accord does so at its own time, not when somebody
// looks. So it does not matter, to the last bit, how waiting is divided, or which
// readings were taken in between.
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
// g_i is the product of the factors of the phenomena in force, each of which has
// a file of its own and implements phenomenon; v_i is that of angle and place,
// p of switching; ρ is the screen's reflectance, E the illuminance.
//
// # What there is, and what it catches
//
//	phenomenon                    file          a procedure fails that …
//	white subpixel                panel.go      sums primaries, or corrects a meter by a sum of them
//	tone by formula or table      tone.go       takes one exponent for the whole curve
//	near-black cut-off            tone.go       takes the first code for the first light
//	merged steps                  tone.go       finds banding by eye alone, or skips codes
//	HDR roll-off by metadata      tone.go       leaves out the metadata that it tests
//	power limiting                limit.go      compares windows or greys of other mean light
//	warm-up                       warmup.go     reads a cold panel, or does not watch the drift
//	retention                     retention.go  reads where something bright just stood, or has no control place
//	static-content dimming        static.go     reads one patch for too long
//	thermal dimming               thermal.go    gives the panel no rest
//	automatic brightness          adaptive.go   leaves it on, or shades its sensor
//	switched light                pwm.go        integrates over part of a period
//	angle                         view.go       looks from aside
//	edges                         view.go       takes one place for the whole screen
//	field of view                 view.go       reads a window smaller than the field
//	filter meter                  optics.go     uses it without a correction
//	dark drift                    optics.go     takes no dark level for long
//	saturation, floor, noise      optics.go     takes what is flagged, or too few readings
//	room light, lamps             room.go       forgets reflections, or reads while lamps warm
//	controls                      control.go    forgets a setting
//	modes                         mode.go       compares what is not in the same mode
//	latency                       source.go     takes show for lit, or times holds by waiting
//	faults                        fault.go      trusts every reading
//
// # Worlds and truths
//
// A world file is [Params] as TOML. Each parameter is declared once, by the tags of its field (params.go): name, unit, limits and help. [Parse] checks by
// them and [Print] prints by them. The files in worlds are shipped. [World] has functions that compute truths without noise, for a warm panel, at once or after so
// many steps (truth.go and the files beside it); truthnames.go names those that a trial may ask for.
//
// A phenomenon implements the interface phenomenon (world.go): what a turn does to it, its factor over time as a sum of exponentials, its next turn of its
// own accord, and its steady factor. [New] makes them all.
//
// # Going on with a run
//
// A simulated world is made anew when a run goes on. Its devices live through the kept steps again (relive.go, [bench.Reliver]) and know what still stands
// ([bench.Verifier]). The noise of a reading follows from seed and time, so a world that was relived goes on as if it had never been
// interrupted, to the last bit.
//
// # Chance
//
// No generator runs along. The noise of a reading is drawn from a generator
// that is seeded with the world's seed, the kind of noise and the simulated
// time at which the reading began; the same holds for latency. Slow drifts are
// sums of sinusoids drawn once from the seed. The same seed is the same world,
// and a resumed run meets the noise that an unbroken one would have met.
//
// # Conventions
//
//   - The zero value of a phenomenon's parameters means that it is not there.
//   - A former name of a parameter or control stays known.
//   - What a model is based on stands at its type: a source, or "Model of our own".
//   - Names of units are invented, after birds.
//
// # Where it ends
//
// The package imports colour and bench, and nothing of runs, scripts or journals.
package sim
