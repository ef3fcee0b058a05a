// Package scripts holds the procedures that are shipped in the binary, the libraries that any procedure may require (lib), and the trials that hold
// the procedures against known truth (trials).
//
// # Conventions
//
//   - A procedure reads like the method section of a test report. Code that only computes is in lib.
//   - Each procedure has at least one trial, and a recorded terminal output in testdata/golden.
//   - A value is given as the reading itself, or states its readings with from: then what stands against them holds for the value. A table takes readings as they are.
//   - Light is read by meter.measure, which waits until it is stable and says what stands against the reading. A series never ends on one noisy reading.
//   - A procedure says how many readings come (run.readings), so that a person who reads the meter is told. TestShippedPromptsCount of package engine counts.
//   - Names of parameters and values stay. One that is renamed lists its former name (formerly), so that old runs still replay.
//   - The largest of many noisy rows is never stated as a value by itself: it is too high by the noise.
//
// # A series that ends on a reading
//
// A series that ends at the first reading over a limit ends by noise. Its value cannot be trusted, and draws give it no uncertainty:
//
//	repeat
//	  grey = grey + 0.004
//	  patches.show { grey = grey, window = 10 }
//	until meter.read({ after = 2 }).Y >= half
//	record.value { name = "Half", value = grey }
//
// In a draw, whose readings have other errors, the series has another length. On the simulated phone this happened in 31 % of the draws with seed 1, and in 40 and 23 % with seeds 2 and 3 (version
// 0.1.0, commit 4109488). So the value has no uncertainty, and the reason says so. With run.decide around the condition the draws would follow the run, and that would be wrong: the choice is the value, so all draws
// would give the same value. Read a schedule to its end, and compute the crossing of the whole series:
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
// A procedure that compares what it finds with the noise needs run.decide, too. The readings of a draw have noise twice: that of the measurement, and that of the draw. If each
// draw decided for itself, most draws would withhold a value that the run states. So decide once, by the readings of the run: which model fits, what is left out, and whether a number is
// known well enough to be stated. The number itself is computed anew in each draw:
//
//	local told = run.decide("the decay is told", fit.u < 0.1 * fit.tau)
//	record.value { name = "Time constant", value = told and fit.tau or nil, unit = "s", why = told and "" or "noise hides it" }
//
// Where such a choice takes long to compute, as one among several fits does, give it as a function: run.decide_by. It is not called in draws. The same goes for texts
// that take long: run.text_by. Fit each curve when it is first asked for, as lib/warming.lua does; then a draw fits the chosen one alone.
//
// Put such steps after all readings, so that no reading gets another place, and another key. If a choice fixes a number, all draws give this
// number, and its uncertainty would be 0: an example is a drift of 0, because a level fits the series. Then add in each draw the difference between what the rejected model gives for this draw and
// what it gives for the readings of the run, as lib/warming.lua does.
//
// # Where it ends
//
// The package is only files. What a contract may state is package script, what can be called is package builtins and candelua api.
package scripts
