// Package scripts holds the procedures that are shipped in the binary, the libraries that any procedure may require (lib), and the trials that hold
// the procedures against known truth (trials).
//
// # Conventions
//
//   - A procedure reads like the method section of a test report. What is computed from numbers alone is in lib.
//   - Each procedure has at least one trial, and a recorded terminal output in testdata/golden.
//   - Light is read by lib/steady.lua: it waits for the light to settle, says what stands against a reading, and never ends a series on one
//     noisy reading.
//   - Names of parameters and values stay. One that is renamed lists its former name (formerly), so that old runs still replay.
//   - The largest of many noisy rows is never stated as a value by itself: it is too high by the noise.
//
// # A series that ends on a reading
//
// A series that ends at the first reading over a limit ends by noise. Its value cannot be trusted, and it cannot be drawn:
//
//	repeat
//	  grey = grey + 0.004
//	  patches.show { grey = grey, window = 10 }
//	until meter.read({ after = 2 }).Y >= half
//	record.value { name = "Half", value = grey }
//
// On drawn readings the series has another length. On the simulated phone this happened in 31 % of the draws with seed 1, and in 40 and 23 % with seeds 2 and 3 (version
// 0.1.0, commit 4109488). So the value has no uncertainty, and the reason says so. run.decide around the condition would let the draws follow, and would be wrong: the choice is the value, so all draws
// would give the same. Read a schedule to its end, and compute the crossing of the whole series:
//
//	for grey = 0.70, 0.76, 0.004 do
//	  patches.show { grey = grey, window = 10 }
//	  x[#x + 1], y[#y + 1] = grey, meter.read({ after = 2 }).Y
//	end
//	local half_at = stats.crossing { x = x, y = y, level = half }
//	record.value { name = "Half", value = half_at.x, why = half_at.why }
//
// # Choices that depend on readings
//
// Where a reading only decides what is read next, keep the choice by run.decide. Draws and replays then follow the recorded choice.
//
// A procedure that weighs what it finds against the noise needs the same. Drawn readings have their noise twice, that of the day and that of the draw, so the
// procedure would withhold from most draws what it states of the readings themselves. Which model fits, what is left out, and whether a number is stated well enough are
// choices of the readings themselves. What the number is, each draw says anew:
//
//	local told = run.decide("the decay is told", fit.u < 0.1 * fit.tau)
//	record.value { name = "Time constant", value = told and fit.tau or nil, unit = "s", why = told and "" or "noise hides it" }
//
// Put such steps after all readings, so that no reading gets another place, and another key. A number that a choice makes exact, such as the drift of a series that was
// taken for level, is the same in all draws: add what the rejected model shows more of it than on the readings themselves, as lib/warming.lua does.
//
// # Where it ends
//
// The package is only files. What a contract may state is package script, what can be called is package builtins and candelua api.
package scripts
