// Package trial runs procedures on simulated units whose truth is known, and says how far their results are from it.
//
// A trial is a Lua file that is written like a procedure:
//
//	return trial {
//	  procedure = "tone-response",
//	  params    = { delay = 2 },
//	  worlds    = {
//	    phone = "default",
//	    steep = { base = "default", ["tone.exponent"] = 2.45 },
//	  },
//	  expect    = {
//	    gamma = { truth = "tone.exponent", within = 0.01 },
//	  },
//	  seeds = 20,
//	}
//
// The procedure runs in each world with each of the seeds 1 to 20, which differ in the instruments' noise only. A seed passes when every expected
// value is there and within its tolerance. The trial passes when all seeds do, or the share of them that it states (pass).
//
// # Conventions
//
//   - The file is read by struct tags, as arguments of builtins are (package declare). Errors name its line.
//   - A truth is a number, a parameter of the world by its path, or one of the functions that candelua trial --help lists. The simulator
//     computes it without noise.
//   - Meters have no error of scale, colour and dark level unless the world states one.
//   - The report is the same whatever the number of workers.
//
// # Expectations
//
//   - within is in the unit of the value, or in percent of the truth where unit = "%".
//
//   - A value that is only a bound passes where bound = "upper" (or "lower") is expected, it holds, and it lies within bound_within of the truth. A bound
//     that may be as loose as it likes would let a procedure pass that measures nothing.
//
//   - or_not_evaluated = true lets a value pass that is not stated: it must only not be wrong.
//
//   - refuses = "text" wants the run to end with an error that has this text.
//
//   - interrupt = { { at = 60, pause = 600 } } stops each run there and goes on with it; its results must be those of its replay.
//
//   - truths = { WORLD = … } in place of truth gives a truth for each world.
//
// # Uncertainties
//
// With draws = 200 the uncertainties of each run come from 200 draws. covers = 0.75 in an expectation then wants so many of a world's runs to have an interval of 95 % that holds the truth. A
// number without an interval counts as one that does not. Do not ask for 0.95: with 20 seeds, one value in four would fail by chance. Fewer than 15 of
// 20 happen once in 3,000. The world must be one where meters err (meter.scale, meter.xy, meter.dark) and where the panel does not
// drift, which no interval knows of.
//
// # Parts
//
// [Runner.Outcome] makes a [Share] of the runs. What they came to is plain data, which a [Part] keeps in a file. [Merge] joins the parts of all
// shares, and the report of what it gives is that of one run of all, to the byte. A merge that lacks a run, or has runs of other files, is refused.
//
// # Where it ends
//
// The package knows no simulator. Worlds are a value that the caller hands over ([Worlds]), as drivers are for a bench. Wrong procedures that trials must
// catch are in testdata/wrong.
package trial
